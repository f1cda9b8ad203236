//! What is wrong with a drawing, in words: where, what, and what to do.

use crate::drawing::{DrawingFault, Flaw, Inspection, Meeting, ScaleSource, Unseen};
use crate::geometry::Point;
use crate::layout::FeatureKind;
use crate::units::{Units, trimmed};

/// One line: the element, its place in the drawing, and what is wrong with it.
pub fn drawing_fault_line(fault: &DrawingFault, units: Units) -> String {
    let what = flaw_words(&fault.flaw, units);
    format!("{} at {}: {what}", fault.element, place(units, fault.at))
}

/// Fills in the sentences of an inspection, in these units.
pub fn tell_inspection(inspection: &mut Inspection, units: Units) {
    inspection.scale = scale_words(&inspection.scale_source, units);
    for fault in &mut inspection.faults {
        fault.message = flaw_words(&fault.flaw, units);
    }
}

/// The length of a drawing's user unit, and where that scale comes from.
pub fn scale_words(scale: &ScaleSource, units: Units) -> String {
    let unit = match units {
        Units::Mm => format!("{} mm", trimmed(scale.mm_per_unit(), 5)),
        Units::In => format!("{} in", trimmed(scale.mm_per_unit() / units.mm(), 6)),
    };
    let known = match scale {
        ScaleSource::Physical { stated, .. } => format!("the file states {stated}"),
        ScaleSource::Assumed { dpi, given: true, .. } => {
            format!("{} dpi, as given", trimmed(*dpi, 3))
        }
        ScaleSource::Assumed { dpi, given: false, .. } => format!(
            "the file states no physical size, so {} dpi is assumed; older files use 72 or 90: set dpi or scale if sizes are \
             wrong",
            trimmed(*dpi, 3)
        ),
    };
    format!("1 unit = {unit} ({known})")
}

/// What is wrong with an element, and what to do.
pub fn flaw_words(flaw: &Flaw, units: Units) -> String {
    match flaw {
        Flaw::Small { width, height, least } => format!(
            "a part of {} by {} is smaller than the least size, {}: left out; check the scale of the drawing, or lower `min-size` under [reading]",
            length(units, *width),
            length(units, *height),
            length(units, *least)
        ),
        Flaw::Open { gap, inside: Some(part), stroke, .. } => {
            let line = format!(
                "an open line in part '{part}', its nearest free end {} away",
                length(units, *gap)
            );
            match stroke {
                Some([r, g, b]) => format!(
                    "{line}: say what it is under [marks] in a job file (`tabwright begin` writes one), such as engraving = \
                     {{ stroke = \"#{r:02x}{g:02x}{b:02x}\" }}, or leave it out with ignore = {{ stroke = \"#{r:02x}{g:02x}{b:02x}\" }}"
                ),
                None => format!(
                    "{line}: it looks like a cut edge; close it, or draw it in a colour of its own and say under [marks] in a job file \
                     what that colour is (`tabwright begin` writes one)"
                ),
            }
        }
        Flaw::Open { end, gap, other, .. } => format!(
            "open path: its nearest free end{} is {} away, at {}; close it, or raise `join` under [reading] in a job file",
            other.as_ref().map_or(String::new(), |o| format!(", of {o},")),
            length(units, *gap),
            place(units, (*end).into())
        ),
        Flaw::Spoiled => "left out: a line in it, or round it, has a fault".into(),
        Flaw::Dashed { elements } => format!(
            "dashed: taken for {} and left out; draw lines to be cut solid, or give dashed lines a mark with dash = true",
            match elements {
                1 => "a construction line".into(),
                n => format!("construction lines ({n} of them)"),
            }
        ),
        Flaw::FilledShut => "open path: closed by a straight line, as its fill shows it".into(),
        Flaw::Loop { under } => format!("a loop smaller than {}: cut off", length(units, *under)),
        Flaw::Spike => "runs out and back along itself: cut off".into(),
        Flaw::NoLength => "has no length or no area: left out".into(),
        Flaw::NoArea => "encloses no area: left out".into(),
        Flaw::Doubled { of } => format!("drawn twice: lies on {of}; left out"),
        Flaw::Branch { ends, with } => {
            format!(
                "a branch: {ends} ends of lines meet here (with {}); in an outline only two may meet",
                with.join(", ")
            )
        }
        Flaw::Meets { how, other, places, side_by_side } => {
            let verb = match how {
                Meeting::Cross => "crosses",
                Meeting::Touch => "touches",
                Meeting::Overlap => "shares a line with",
            };
            let more = if *places > 1 { format!(" ({places} places)") } else { String::new() };
            match other {
                None => format!("{verb} itself{more}: left out"),
                Some(other) if *side_by_side => {
                    format!("{verb} {other}{more}: read as two parts side by side")
                }
                Some(other) => format!("{verb} {other}{more}: both left out"),
            }
        }
        Flaw::TouchesItself { rings: 1, .. } => "touches itself: read as its fill shows it".into(),
        Flaw::TouchesItself { rings, wall: None } => {
            format!("touches itself: read as its fill shows it, as {rings} lines")
        }
        Flaw::TouchesItself { rings, wall: Some(wall) } => format!(
            "touches itself: read as its fill shows it, as {rings} lines; a wall of {} is left where an opening touches its \
             outline: draw them apart if that wall must hold",
            length(units, *wall)
        ),
        Flaw::FeatureInNoPart { feature } => {
            let article = if *feature == FeatureKind::Engraving { "an" } else { "a" };
            format!(
                "{article} {} that lies in no part: left out; if the line round it is not a cut edge, give that line a mark of its \
                own",
                feature.name()
            )
        }
        Flaw::Nested { levels } => format!("nested deeper than {levels} levels: left out"),
        Flaw::Transform { written } => format!("transform '{written}' cannot be read: ignored"),
        Flaw::NotShown { why, shapes } => {
            let why = match why {
                Unseen::Display => "hidden (display: none)",
                Unseen::Opacity => "fully transparent (opacity 0)",
                Unseen::Visibility => "hidden (visibility)",
                Unseen::Unpainted => "invisible (no stroke, no fill)",
            };
            match shapes {
                1 => format!("{why}: left out"),
                n => format!("{why}: {n} shapes left out"),
            }
        }
        Flaw::Text { elements: 1 } => {
            "text is left out: convert it to paths if it is to be cut or engraved".into()
        }
        Flaw::Text { elements } => format!(
            "the first of {elements} text elements, all left out: convert them to paths if they are to be cut or engraved"
        ),
        Flaw::NotOutline { tag } => format!("<{tag}> is not an outline: left out"),
        Flaw::NoTarget { href } => {
            format!("refers to '{href}', which is not in the drawing: left out")
        }
        Flaw::Circular { href } => {
            format!("refers to '{href}', which contains it: left out")
        }
        Flaw::TooFar => "lies more than a kilometre away: left out".into(),
        Flaw::Mask => "a mask hides part of it on screen; all of it is read".into(),
        Flaw::ClipFractions { clip } => {
            format!("the clip path {clip} is given in fractions of its box: ignored")
        }
        Flaw::ClippedAway { clip } => format!("the clip path {clip} hides it: left out"),
        Flaw::ClippedPart { clip } => format!(
            "the clip path {clip} hides part of it: left out; apply the clip in your drawing program"
        ),
        Flaw::NotLength { attribute, written } => {
            format!("{attribute}='{written}' is not a length")
        }
        Flaw::Flat { tag, sizes } => {
            let sizes: Vec<String> = sizes.iter().map(|s| trimmed(*s, 6)).collect();
            match *tag {
                "circle" => format!("a circle of radius {} has no area", sizes.join(" and ")),
                "ellipse" => format!("an ellipse of radii {} has no area", sizes.join(" and ")),
                _ => format!("a rectangle of {} has no area", sizes.join(" by ")),
            }
        }
        Flaw::PathData { reason } => format!("its path data cannot be read to the end: {reason}"),
    }
}

/// A length in a drawing: to a micrometre, or a tenth of a thousandth of an inch.
fn length(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{} mm", trimmed(mm, 3)),
        Units::In => format!("{} in", trimmed(mm / units.mm(), 4)),
    }
}

/// A place in a drawing: `(12.5, 3) mm`.
fn place(units: Units, at: Point) -> String {
    let digits = if units == Units::In { 4 } else { 3 };
    let show = |mm: f64| trimmed(mm / units.mm(), digits);
    let unit = if units == Units::In { "in" } else { "mm" };
    format!("({}, {}) {unit}", show(at.x), show(at.y))
}
