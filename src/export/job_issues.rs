//! What is wrong in a job, or worth knowing about it, in words: where, what, and what to write instead.

use super::drawing_faults::drawing_fault_line;
use super::words::{
    density, exact_width, few, from_corner, hundredth, pair_of, size, stress, thousands,
};
use crate::job::{Issue, IssueKind, ValueKind};
use crate::units::Units;

/// One line: the place in the job, what is wrong there, and what to do.
pub fn issue_line(issue: &Issue, units: Units) -> String {
    let what = what(&issue.kind, units);
    match issue.place.as_str() {
        "" => what,
        place => format!("{place}: {what}"),
    }
}

/// The line over a summary of a job that leaves something out.
pub fn left_out_line(faults: usize) -> String {
    format!(
        "NOT ALL PARTS ARE MADE: some are left out because of {}, listed above; the rest is made\n",
        super::words::count(faults, "fault")
    )
}

fn what(kind: &IssueKind, units: Units) -> String {
    let meant = |near: &Option<String>, known: &[String], joint: &str| match near {
        Some(near) => format!("did you mean '{near}'?"),
        None => format!("known: {}", known.join(joint)),
    };
    match kind {
        IssueKind::Toml(message) => message.clone(),
        IssueKind::UnknownKey { key, near, known } => {
            format!("unknown key '{key}'; {}", meant(near, known, ", "))
        }
        IssueKind::WrongKind { key, found, wanted } => {
            let key = if key.is_empty() { "this key" } else { key };
            let told = format!("{key} takes {}, not {}", wanted_words(wanted), found_words(found));
            match (wanted, found.as_str()) {
                (ValueKind::List, "map") => format!(
                    "{told}; a table that may occur several times has double brackets, such as [[stock]]"
                ),
                _ => told,
            }
        }
        IssueKind::OneBracket { table } => {
            format!("write [[{table}]], with two brackets: there may be several such tables")
        }
        IssueKind::SeveralMarks => "a kind of line has one mark: put everything that identifies it into one table, such as pocket = { stroke = [\"red\", \"blue\"], \
             group = \"recesses\" }; any one of these keys is enough"
            .into(),
        IssueKind::MissingKey { key } => format!("the key '{key}' is missing here"),
        IssueKind::Unquoted { key, written } => {
            format!("write {key} = '{written}': only a plain number goes without quotation marks")
        }
        IssueKind::UnknownMaterial { name, near } => {
            let meant = near.as_ref().map_or(String::new(), |n| format!(" did you mean '{n}'?"));
            format!(
                "unknown material '{name}';{meant} `tabwright materials` lists the known ones; to use your own, add a [[material]] \
                with this name"
            )
        }
        IssueKind::StandIn { name, row } => format!(
            "there are no figures for {name}: those of {row} are used instead (cutting force: [[cutting-force]])"
        ),
        IssueKind::NoName => "give it a name: the one that [[stock]] and [[drawing]] use".into(),
        IssueKind::LikeWhat => "say what it is like: like = \"walnut\", or any name that `tabwright materials` lists; or kind = \
        \"plastic\", \"board\", \"plywood\" or \"wood\" (a wood also needs its strength or density)"
            .into(),
        IssueKind::LikeOwn { like } => {
            format!("'{like}' is itself a material of this job: write a name that `tabwright materials` lists")
        }
        IssueKind::LikeOtherKind { like, kind } => {
            format!("'{like}' is a {kind}: write kind = \"{kind}\", or leave one of the two out")
        }
        IssueKind::NotFigure { key, written } => {
            let how = match *key {
                "strength" => "strength = \"10000 psi\" or \"70 MPa\"",
                "stiffness" => "stiffness = \"1500000 psi\" or \"10 GPa\"",
                _ => "density = \"40 lb/ft3\" or \"640 kg/m3\"",
            };
            format!("{key} needs a number with its unit, not '{written}': write it like {how}")
        }
        IssueKind::FigureOutOfRange { key, range: (low, high) } => {
            let show = if *key == "density" { density } else { stress };
            format!("{key} must be from {} to {}", show(units, *low), show(units, *high))
        }
        IssueKind::StrengthAndStiffness { strength, stiffness } => format!(
            "a strength of {} does not go with a stiffness of {}: correct the unit of one (strength is the bending strength, stiffness Young's modulus)",
            stress(units, *strength),
            stress(units, *stiffness)
        ),
        IssueKind::NotLength { key, written } => {
            format!("{key}: {}", not_length(written, units))
        }
        IssueKind::NoUnit { key, written } => format!("{key} {}", no_unit(written)),
        IssueKind::NotFeed { written } => {
            format!(
                "feed: '{written}' is not a feed; write it like 60 in/min, 60ipm or 1500 mm/min"
            )
        }
        IssueKind::NotSize { written } => format!("size: {}", not_size(written, units)),
        IssueKind::NotPositive { key } => format!("{key} must be above zero"),
        IssueKind::Negative { key } => format!("{key} must not be negative"),
        IssueKind::NotOneOf { key, known, written } => {
            let written = written.as_ref().map_or("a number".into(), |w| format!("'{w}'"));
            format!("{key} must be {}, not {written}", one_of(known))
        }
        IssueKind::OutOfRange { key, range: (low, high), degrees } => {
            let unit = if *degrees { " degrees" } else { "" };
            format!("{key} must be from {} to {}{unit}", thousands(*low), thousands(*high))
        }
        IssueKind::LengthOutOfRange { key, range: (low, high) } => {
            format!("{key} must be from {} to {}", hundredth(units, *low), hundredth(units, *high))
        }
        IssueKind::NoBits => "there is no [[bit]]: give at least one bit on hand".into(),
        IssueKind::NoDrawings => "there is no [[drawing]]: give at least one drawing".into(),
        IssueKind::BadForce => "kc and ke must not be negative, and at least one must be above zero".into(),
        IssueKind::MinAboveMax => "min-width is above max-width".into(),
        IssueKind::UnknownMark { known } => {
            format!("no such kind of feature; known: {}", known.join(", "))
        }
        IssueKind::NotColour { written } => {
            format!("'{written}' is not a colour; write a name such as red, or #888, or #1f6f8b")
        }
        IssueKind::MarkByNothing => {
            "give a stroke, a group, a class, a layer, or dash = true".into()
        }
        IssueKind::DepthOfMark => "only pocket and drill have a depth".into(),
        IssueKind::PocketThrough => {
            "a pocket as deep as the sheet is an opening: draw it as a cut edge".into()
        }
        IssueKind::Drawn(fault) => drawing_fault_line(fault, units),
        IssueKind::NoPart => "the drawing has no closed outline, so no part".into(),
        IssueKind::TooManyCopies { copies, most } => {
            format!("{copies} copies are too many: at most {most} are made")
        }
        IssueKind::NotFlipped { parts } => format!(
            "mirror = true does not flip {}: a flipped copy would have its pockets, engravings or blind holes in the other face. If the mirror \
             image is wanted, write mirror = true in the [[part]]",
            few(parts)
        ),
        IssueKind::FlippedFace => "a flipped copy is the part's mirror image, with its pockets, engravings or blind holes in the other \
             face: it does not replace the part as drawn"
            .into(),
        IssueKind::NoneAsked => "its quantity is 0: none is made".into(),
        IssueKind::NothingToMake => {
            "every part has a quantity of 0: give at least one part a quantity of 1".into()
        }
        IssueKind::TooManyPins { pins, copies } => {
            format!("{pins} pins for {copies} copies: each copy has one pin at most")
        }
        IssueKind::BadPin => "a pin's sheet counts from 1, and its turn is in degrees".into(),
        IssueKind::InNoDrawing { near } => {
            let meant = near.as_ref().map_or(String::new(), |n| format!("; did you mean '{n}'?"));
            format!("no drawing has this part{meant}")
        }
        IssueKind::InSeveralDrawings { drawings } => format!(
            "several drawings have this part ({}): write one [[part]] for each, with drawing = \"{}\"",
            drawings.join(", "),
            drawings.first().map_or("", String::as_str)
        ),
        IssueKind::Renamed { first, second, name } => {
            format!(
                "'{first}' and '{second}' both have a part of this name; the part in '{second}' is listed as '{name}'"
            )
        }
        IssueKind::TwoBits { wish, have } => {
            format!("asks for bit '{wish}', but its group already has bit '{have}': name the same bit for all drawings of one \
            material and thickness")
        }
        IssueKind::BitTooWide { wish, fits, bit, at } => {
            let who = match wish {
                Some(name) => format!("bit '{name}', which the job asks for, does not cut it"),
                None => "no bit on hand cuts it".into(),
            };
            format!(
                "{who}: its narrowest place, {} from its top left as drawn, lets at most {} pass, not {}",
                from_corner(units, [at.x, at.y]),
                exact_width(units, *fits),
                units.show(*bit)
            )
        }
        IssueKind::BitNotOnHand { bit, material } => {
            format!("there is no bit '{bit}' for {material}")
        }
        IssueKind::NoBitFor { material } => format!("no bit on hand may cut {material} (key materials in [[bit]])"),
        IssueKind::NoRoom => "its margins leave no room for any part".into(),
        IssueKind::WiderThanLong { size: [length, width] } => format!(
            "it is sold by length (open-length), but {} is wider than long: write the length first, {}",
            size(units, *length, *width),
            size(units, *width, *length)
        ),
        IssueKind::ClearsNothing { at, size: of } => format!(
            "keep-clear: the area at {} lies off the stock, which is {}: x and y count from its top left",
            pair_of(units, *at),
            size(units, of[0], of[1])
        ),
        IssueKind::LargerThanBed { stock, bed } => format!(
            "it is {}, and the bed takes {} (bed): it is not used; cut it up and give the size of the pieces",
            size(units, stock[0], stock[1]),
            size(units, bed[0], bed[1])
        ),
        IssueKind::LongerThanBed { piece } => format!(
            "the bed takes {} of its length (bed): saw it into pieces that are no longer; the layout uses such pieces",
            units.show(*piece)
        ),
        IssueKind::SizeNotPositive => "both lengths of size must be above zero".into(),
        IssueKind::OffcutOutlines { file, found } => {
            format!("'{file}' has {found} outlines; an offcut's drawing must have exactly one")
        }
        IssueKind::OffcutUnread { file } => format!("'{file}' was not read"),
        IssueKind::SizeOrOutline => "give either a size or an outline".into(),
        IssueKind::KeepClearShape => {
            "keep-clear needs x, y, width and height, or x, y and radius".into()
        }
    }
}

/// A number whose unit neither the job nor its drawings say.
fn no_unit(written: &str) -> String {
    format!(
        "{written} has no unit, and neither the job nor its drawings say one: write units = \"in\" or units = \"mm\" at the head \
         of the job file, or give the number its unit ({written}in, {written}mm)"
    )
}

/// The form that a text must have to be a length.
pub fn not_length(written: &str, units: Units) -> String {
    let such_as = match units {
        Units::Mm => "6.35, 6.35mm, 0.25in, 1/4in, 1 1/2in or 1/4\"",
        Units::In => "0.25, 0.25in, 1/4in, 1 1/2in or 1/4\"",
    };
    format!("'{written}' is not a length; write it like {such_as}")
}

/// The form that a text must have to be a size.
pub fn not_size(written: &str, units: Units) -> String {
    let such_as = if units == Units::In { "12x24in" } else { "12x24in or 300x600mm" };
    format!("'{written}' is not a size; write length x width, such as {such_as}")
}

/// What a key takes.
fn wanted_words(wanted: &ValueKind) -> String {
    match wanted {
        ValueKind::Count => "a whole number, 0 or more".into(),
        ValueKind::Number => "a number".into(),
        ValueKind::Text => "a text in quotation marks".into(),
        ValueKind::YesNo => "true or false".into(),
        ValueKind::List => "a list in square brackets, such as [ ... ]".into(),
        ValueKind::Table => "a table in braces, such as { x = 1, y = 2 }".into(),
        ValueKind::Word(known) => one_of(&known.iter().map(String::as_str).collect::<Vec<_>>()),
        ValueKind::Other(words) => words.clone(),
    }
}

/// The parser's name of a value in the reader's words: `the text "two"`, `the number 2.5`.
fn found_words(found: &str) -> String {
    let kinds = [
        ("string ", "the text "),
        ("integer `", "the number "),
        ("floating point `", "the number "),
        ("boolean `", ""),
        ("sequence", "a list"),
        ("map", "a table"),
    ];
    let kind = kinds.iter().find_map(|(is, word)| Some((word, found.split_once(is)?)));
    match kind {
        Some((word, ("", rest))) => format!("{word}{}", rest.trim_end_matches('`')),
        _ => found.into(),
    }
}

/// `saw or snap`, `up, down or straight`.
fn one_of(known: &[&str]) -> String {
    match known {
        [] => String::new(),
        [one] => (*one).into(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_and_a_range_speak_the_jobs_units() {
        let line = |kind, units| issue_line(&Issue { place: "bit 'a'".into(), kind }, units);
        let range = || IssueKind::LengthOutOfRange { key: "allowance", range: (0.02, 0.25) };
        assert_eq!(line(range(), Units::Mm), "bit 'a': allowance must be from 0.02 mm to 0.25 mm");
        assert_eq!(
            line(range(), Units::In),
            "bit 'a': allowance must be from 0.0008 in to 0.0098 in"
        );
        let known = &["up", "down", "straight"][..];
        let spiral = IssueKind::NotOneOf { key: "spiral", known, written: Some("left".into()) };
        assert_eq!(
            line(spiral, Units::Mm),
            "bit 'a': spiral must be up, down or straight, not 'left'"
        );
    }
}
