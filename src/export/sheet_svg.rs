//! One sheet as an SVG drawing at true scale, for a CAM program and for viewing.
//!
//! SVG 1.1, width and height in mm and a viewBox in mm, so one user unit is 1 mm. Every line is a plain path, or a circle, with
//! its own presentation attributes: no transforms, styles, clips, references, and no nesting deeper than the named group, so that
//! every importer sees the same. Circles and arcs are circles and arcs ([`arcs`](super::arcs)). Groups, in drawing order: `sheet`,
//! `parts`, `openings`, `features`, `pockets-DEPTH-deep`, `holes-DEPTH-deep`, `clear-waste-through` (if there is any waste to
//! clear), `tabs`, one group of paths for each depth in the order of cut (`upper-pass-4.85mm`, `through-pass-6.35mm`, or in
//! inches), `plunges-DEPTH-deep` (holes as wide as the bit, if there are any: circles of its diameter), `labels`.
//! `drawing::read_sheet_file` reads them back.

use super::arcs::{Beside, circle_of, drawn_data};
use super::label::{LabelSpot, label_spot};
use super::lines::{CutLine, LineKind, SheetCut};
use super::markup::{Ids, cross, escape, number, ring_data};
use super::words;
use crate::geometry::{Bounds, Point, Ring};
use crate::layout::{
    CLEARED_GROUP, DEEP_END, DEEP_GROUPS, Feature, FeatureKind, PlacedPart, Sheet,
};
use crate::units::{Units, trimmed};
use std::fmt::Write;

/// How the lines of a group look: a colour, a width in mm and a dash, so that they are distinct in grey too.
struct LineStyle {
    stroke: &'static str,
    width: f64,
    dash: &'static str,
}

const fn pen(stroke: &'static str, width: f64, dash: &'static str) -> LineStyle {
    LineStyle { stroke, width, dash }
}

/// The sheet's edge: driftwood.
const EDGE: LineStyle = pen("#8a7f70", 0.5, "");
const KEEP_CLEAR: LineStyle = pen("#8a7f70", 0.35, "2.5 1.2");
const REMNANT: LineStyle = pen("#8a7f70", 0.25, "6 2 1 2");
/// Cut edges: ink outside, iron inside.
const OUTLINE: LineStyle = pen("#1e1c1a", 0.35, "");
const OPENING: LineStyle = pen("#5c4a3d", 0.25, "");
/// Features: sea, rust, moss, plum.
const POCKET: LineStyle = pen("#2f6f8f", 0.25, "3 1");
const DRILL: LineStyle = pen("#a8482a", 0.25, "");
const ENGRAVING: LineStyle = pen("#66803c", 0.18, "");
const MARK: LineStyle = pen("#7d5a94", 0.18, "0.8 0.8");
const TAB_FREE: LineStyle = pen("#b9973f", 0.3, "1.6 0.8 0.4 0.8");
/// Waste to be cleared first, as pockets.
const CLEARED: LineStyle = pen("#2f6f8f", 0.3, "1 1");
/// Bridges across the kerf stand out from everything else; holding bridges are crossed out in the same pen.
const TAB: LineStyle = pen("#c0392b", 0.5, "");
const UPPER: LineStyle = pen("#4c93a8", 0.18, "1.6 0.8");
const THROUGH: LineStyle = pen("#b0307a", 0.2, "");

/// What waste tabs ask for.
const ORDER: &str = " Cut the outlines in the order of the drawing: the last part cut beside a piece of waste holds that waste, and \
whatever hangs on it, with tabs.";

/// What the waste to be cleared asks for.
const CLEAR: &str = " Clear the areas in clear-waste-through first, as pockets through the sheet: waste in them would come loose.";

/// The meaning of a crossed tab.
const BRIDGES: &str = " A tab drawn with a cross is a holding bridge of the sheet's full thickness: both passes are open at it, and \
the upper pass goes down to the last pass. Saw it off and trim it, never snap it.";

/// The sheet's drawing.
///
/// Coordinates are the layout's, to 0.0001 mm. Ids name part, copy and line: `minute-hand.1.outline`,
/// `.opening.1`, `.pocket.1`, `.tab.1`, `.upper.0`, `.through.0.1` (ring, then stretch between tabs).
/// Tabs are drawn as the bridge they leave across the kerf; holding bridges, which no pass cuts, are crossed and named
/// `.bridge.1`. The through pass is open where tabs stand; a part on a skin has its only pass in an `upper-pass`.
/// `units` apply to labels, title and the passes' depths.
pub fn sheet_svg(sheet: &Sheet, cut: &SheetCut, units: Units) -> String {
    let mut drawing = SheetDrawing::new(sheet, units);
    drawing.sheet(sheet);
    let stems: Vec<String> = sheet.parts.iter().map(|p| format!("{}.{}", p.part, p.copy)).collect();
    let parts = || stems.iter().zip(&sheet.parts);
    drawing.group("parts", |d| {
        parts().for_each(|(stem, p)| d.ring(&format!("{stem}.outline"), &p.outline, &OUTLINE));
    });
    drawing.group("openings", |d| {
        for (stem, p) in parts() {
            for (i, ring) in p.openings.iter().enumerate() {
                d.ring(&format!("{stem}.opening.{}", i + 1), ring, &OPENING);
            }
        }
    });
    drawing.features(&stems, sheet, units);
    if !sheet.cleared.is_empty() {
        drawing.group(CLEARED_GROUP, |d| {
            for (i, pocket) in sheet.cleared.iter().enumerate() {
                d.path(&format!("waste.{}", i + 1), &ring_data(pocket), &CLEARED);
            }
        });
    }
    drawing.group("tabs", |d| {
        for (stem, p) in parts() {
            for (i, tab) in p.hold.tabs.iter().enumerate() {
                let bridge = tab.bridge(sheet.bit.diameter);
                let (mut data, mut noun) = (ring_data(&bridge), "tab");
                if tab.waste {
                    noun = "waste-tab";
                }
                if tab.is_holding_bridge(sheet.thickness) {
                    data = format!("{data}{}", cross(&bridge));
                    noun = "bridge";
                }
                d.path(&format!("{stem}.{noun}.{}", i + 1), &data, &TAB);
            }
        }
    });
    let depths = depths(cut);
    let group = |l: &CutLine| {
        let at = |(through, depth): &(bool, f64)| {
            (l.kind == LineKind::Through) == *through && *depth <= l.depth
        };
        depths.iter().rposition(at)
    };
    for (i, &(through, depth)) in depths.iter().enumerate() {
        let (name, pen) = if through { ("through", &THROUGH) } else { ("upper", &UPPER) };
        // One point is a plunge, no line.
        let own = |l: &CutLine| l.points.len() > 1 && group(l) == Some(i);
        drawing.group(&format!("{name}-pass-{}", written(units, depth)), |d| {
            d.passes(&stems, sheet, cut, own, (name, pen))
        });
    }
    drawing.plunges(&stems, cut, sheet.bit.diameter, units);
    drawing.group("labels", |d| parts().for_each(|(_, p)| d.label(p)));
    drawing.finish()
}

/// The depth by which a feature is grouped: of a pocket the job's, a hole without one goes through.
fn deep(feature: &Feature, thickness: f64) -> Option<f64> {
    match feature.kind {
        FeatureKind::Pocket => feature.depth,
        FeatureKind::Drill => Some(feature.depth.unwrap_or(thickness)),
        _ => None,
    }
}

/// Depths no farther apart than this are one group, mm: twice the rounding of their names.
const SAME_DEPTH: f64 = 0.001;

/// Every depth at which something is cut, in the order of cut: the upper passes from the top down, then those through.
fn depths(cut: &SheetCut) -> Vec<(bool, f64)> {
    let lines = cut.lines.iter().filter(|l| l.points.len() > 1);
    let mut all: Vec<(bool, f64)> = lines.map(|l| (l.kind == LineKind::Through, l.depth)).collect();
    all.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    all.dedup_by(|b, a| a.0 == b.0 && b.1 - a.1 <= SAME_DEPTH);
    all
}

/// A depth in a group's name, to 0.001 mm: `4.85mm`, `0.1909in`.
fn written(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{}mm", trimmed(mm, 3)),
        Units::In => format!("{}in", trimmed(mm / units.mm(), 5)),
    }
}

/// The file being written.
struct SheetDrawing {
    out: String,
    ids: Ids,
}

impl SheetDrawing {
    fn new(sheet: &Sheet, units: Units) -> Self {
        let b = frame(sheet);
        let (x, y) = (number(b.min.x), number(b.min.y));
        let (w, h) = (number(b.width()), number(b.height()));
        let title = format!("{}: {}, {}", sheet.id, sheet.stock, words::sheet_size(units, sheet));
        let about = format!(
            "True scale: one unit is 1 mm. Bit {} ({}). Cut features and openings first, then outlines: the upper \
             pass to the tops of the tabs, the through pass to full depth; each group of passes is named with its depth. \
             Centre-lines in them are already offset by the bit's radius: follow them without compensation. Each through pass \
             starts just beyond the part's tab 1 and ends at it: keep that order.{}{}{}",
            sheet.bit.name,
            words::fine(units, sheet.bit.diameter),
            if sheet.cleared.is_empty() { "" } else { CLEAR },
            if words::bridged(sheet).next().is_some() { BRIDGES } else { "" },
            if words::in_order(sheet) { ORDER } else { "" },
        );
        let out = format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" \
             width=\"{w}mm\" height=\"{h}mm\" viewBox=\"{x} {y} {w} {h}\">\n<title>{}</title>\n<desc>{}</desc>\n",
            escape(&title),
            escape(&about),
        );
        SheetDrawing { out, ids: Ids::default() }
    }

    fn finish(mut self) -> String {
        self.out.push_str("</svg>\n");
        self.out
    }

    fn group(&mut self, name: &str, fill: impl FnOnce(&mut Self)) {
        let id = self.ids.take(name);
        let _ = writeln!(self.out, "<g id=\"{id}\">");
        fill(self);
        self.out.push_str("</g>\n");
    }

    fn path(&mut self, id: &str, data: &str, pen: &LineStyle) {
        if data.is_empty() {
            return;
        }
        self.element("path", id, pen, &format!("d=\"{data}\""));
    }

    /// Writes a closed line, as a circle if it is one.
    fn ring(&mut self, id: &str, ring: &Ring, pen: &LineStyle) {
        match circle_of(ring) {
            Some((at, radius)) => self.circle(id, at, radius, pen),
            None => self.path(id, &drawn_data(ring.points(), true), pen),
        }
    }

    fn circle(&mut self, id: &str, at: Point, radius: f64, pen: &LineStyle) {
        let (x, y, r) = (number(at.x), number(at.y), number(radius));
        self.element("circle", id, pen, &format!("cx=\"{x}\" cy=\"{y}\" r=\"{r}\""));
    }

    fn element(&mut self, tag: &str, id: &str, pen: &LineStyle, form: &str) {
        let id = self.ids.take(id);
        let dash = match pen.dash {
            "" => String::new(),
            dash => format!(" stroke-dasharray=\"{dash}\""),
        };
        let _ = writeln!(
            self.out,
            "<{tag} id=\"{id}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"{dash} {form}/>",
            pen.stroke, pen.width,
        );
    }

    /// The stock: its edge, areas to keep clear, pieces worth keeping.
    fn sheet(&mut self, sheet: &Sheet) {
        self.group("sheet", |d| {
            // As the page is: an arc would rise over the page's edge.
            d.path("sheet.edge", &ring_data(&sheet.outline), &EDGE);
            for (i, ring) in sheet.keep_clear.iter().enumerate() {
                d.path(&format!("sheet.keep-clear.{}", i + 1), &ring_data(ring), &KEEP_CLEAR);
            }
            for (i, remnant) in sheet.remnants.iter().enumerate() {
                d.path(&format!("sheet.remnant.{}", i + 1), &ring_data(&remnant.outline), &REMNANT);
            }
        });
    }

    /// Everything drawn inside parts that is not cut through: pockets and holes in groups by depth, the rest together.
    fn features(&mut self, stems: &[String], sheet: &Sheet, units: Units) {
        let all = || sheet.parts.iter().flat_map(|p| &p.features);
        let mut depths: Vec<(usize, f64)> = vec![];
        for (i, (kind, _)) in DEEP_GROUPS.iter().enumerate() {
            let of_kind = all().filter(|f| f.kind == *kind);
            let mut own: Vec<f64> = of_kind.filter_map(|f| deep(f, sheet.thickness)).collect();
            own.sort_by(f64::total_cmp);
            own.dedup_by(|b, a| *b - *a <= SAME_DEPTH);
            depths.extend(own.into_iter().map(|depth| (i, depth)));
        }
        let group_of = |f: &Feature| {
            let depth = deep(f, sheet.thickness)?;
            depths.iter().rposition(|g| DEEP_GROUPS[g.0].0 == f.kind && g.1 <= depth)
        };
        self.group("features", |d| d.features_where(stems, sheet, |f| group_of(f).is_none()));
        for (n, (i, depth)) in depths.iter().enumerate() {
            let name = format!("{}{}{DEEP_END}", DEEP_GROUPS[*i].1, written(units, *depth));
            self.group(&name, |d| {
                d.features_where(stems, sheet, |f| group_of(f) == Some(n));
            });
        }
    }

    /// Some of the features, numbered by kind among all of their part.
    fn features_where(&mut self, stems: &[String], sheet: &Sheet, own: impl Fn(&Feature) -> bool) {
        for (stem, part) in stems.iter().zip(&sheet.parts) {
            let mut counts = [0; FeatureKind::ALL.len()];
            for feature in &part.features {
                let kind = FeatureKind::ALL.iter().position(|k| *k == feature.kind);
                let n = &mut counts[kind.unwrap_or(0)];
                let closed = feature.rings.iter().map(|r| (r, true));
                for (ring, closed) in closed.chain(feature.lines.iter().map(|l| (l, false))) {
                    *n += 1;
                    let id = format!("{stem}.{}.{n}", feature.kind.name());
                    if !own(feature) {
                        continue;
                    }
                    if closed {
                        self.ring(&id, ring, pen_of(feature.kind));
                    } else {
                        self.path(&id, &drawn_data(ring.points(), false), pen_of(feature.kind));
                    }
                }
            }
        }
    }

    /// The centre-lines of one group, in the order of cut.
    fn passes(
        &mut self,
        stems: &[String],
        sheet: &Sheet,
        cut: &SheetCut,
        in_group: impl Fn(&CutLine) -> bool,
        (name, pen): (&str, &LineStyle),
    ) {
        let mut last = None;
        let mut n = 0;
        let mut ring: Option<Beside> = None;
        for line in cut.lines.iter().filter(|l| in_group(l)) {
            let Some(stem) = stems.get(line.part) else { continue };
            let of = Some((line.part, line.ring));
            n = if last == of { n + 1 } else { 1 };
            if last != of {
                ring = beside(sheet, line);
            }
            last = of;
            let stretch = if line.closed { String::new() } else { format!(".{n}") };
            let id = format!("{stem}.{name}.{}{stretch}", line.ring);
            let data = ring.as_ref().map(|r| r.data(&line.points, line.closed));
            self.path(&id, &data.unwrap_or_default(), pen);
        }
    }

    /// Holes as wide as the bit, a group for each depth: circles of the bit's diameter round the points where it plunges.
    fn plunges(&mut self, stems: &[String], cut: &SheetCut, diameter: f64, units: Units) {
        let plunges: Vec<_> = cut.lines.iter().filter(|l| l.points.len() == 1).collect();
        let mut depths: Vec<f64> = plunges.iter().map(|l| l.depth).collect();
        depths.sort_by(f64::total_cmp);
        depths.dedup();
        for depth in depths {
            let name = format!("plunges-{}{DEEP_END}", written(units, depth));
            self.group(&name, |d| {
                for line in plunges.iter().filter(|l| l.depth == depth) {
                    let Some(stem) = stems.get(line.part) else { continue };
                    let id = format!("{stem}.plunge.{}", line.ring);
                    d.circle(&id, line.points[0], diameter / 2.0, &THROUGH);
                }
            });
        }
    }

    /// The part's name and copy, as large as its roomiest place allows.
    fn label(&mut self, part: &PlacedPart) {
        let spare = if part.spare { " (spare)" } else { "" };
        let text = format!("{} {}{spare}", part.part, part.copy);
        // A letter of a plain sans-serif is about 0.55 em wide.
        let aspect = 0.55 * text.chars().count() as f64;
        let Some(LabelSpot { at, height }) = label_spot(&part.shape(), aspect) else { return };
        let height = (0.9 * height).clamp(1.2, 5.0);
        let id = self.ids.take(&format!("{}.{}.label", part.part, part.copy));
        let _ = writeln!(
            self.out,
            "<text id=\"{id}\" x=\"{}\" y=\"{}\" font-family=\"sans-serif\" font-size=\"{}\" text-anchor=\"middle\" \
             fill=\"#6b6257\">{}</text>",
            number(at.x),
            number(at.y + 0.35 * height),
            number((height * 100.0).round() / 100.0),
            escape(&text),
        );
    }
}

/// The ring that a line of the bit's centre goes round.
fn beside(sheet: &Sheet, line: &CutLine) -> Option<Beside> {
    let part = sheet.parts.get(line.part)?;
    let ring = match line.ring {
        0 => &part.outline,
        n => part.openings.get(n - 1)?,
    };
    Some(Beside::of(ring, line.ring == 0, sheet.bit.diameter / 2.0))
}

/// The extent of the drawing: the sheet, from its own corner.
fn frame(sheet: &Sheet) -> Bounds {
    let b = sheet.outline.bounds();
    let sound =
        b.width() > 0.0 && b.height() > 0.0 && b.width().is_finite() && b.height().is_finite();
    if sound {
        b
    } else {
        Bounds::of(&[crate::geometry::point(0.0, 0.0), crate::geometry::point(1.0, 1.0)])
    }
}

fn pen_of(kind: FeatureKind) -> &'static LineStyle {
    match kind {
        FeatureKind::Pocket => &POCKET,
        FeatureKind::Drill => &DRILL,
        FeatureKind::Engraving => &ENGRAVING,
        FeatureKind::Mark => &MARK,
        FeatureKind::TabFree => &TAB_FREE,
    }
}
