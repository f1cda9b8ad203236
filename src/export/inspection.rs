//! What is in a drawing, as text for a terminal.

use super::columns::{Align, columns};
use super::drawing_faults::{flaw_words, scale_words};
use super::words::{count, fine, hair, pair_of, size};
use crate::drawing::{BitReport, Inspection, LeftReport, Limit, Severity};
use crate::units::Units;

/// The parts as a table, what the bits asked about leave, then every fault; places in mm from the page's top left.
pub fn inspection_text(inspection: &Inspection, units: Units) -> String {
    let parts = &inspection.parts;
    let copies: usize = parts.iter().map(|p| p.copies).sum();
    let [width, height] = inspection.page;
    let mut out = format!(
        "{}: {} of part, {copies} in all; page {}, {}\n",
        inspection.drawing,
        count(parts.len(), "kind"),
        size(units, width, height),
        scale_words(&inspection.scale_source, units)
    );
    if parts.is_empty() {
        out += "no part: the drawing has no closed outline to be cut\n";
    }
    let head = ["part", "copies", "size", "thinnest neck", "largest bit", "openings", "features"];
    let mut rows = vec![head.map(String::from).to_vec()];
    rows.extend(parts.iter().map(|p| {
        let neck = p.thinnest_neck.as_ref().map_or("-".into(), |n| fine(units, n.width));
        let bit = p.largest_bit.as_ref().map_or("any".into(), |b| fine(units, b.diameter));
        vec![
            p.name.clone(),
            p.copies.to_string(),
            size(units, p.size[0], p.size[1]),
            neck,
            bit,
            p.openings.to_string(),
            features(&p.features),
        ]
    }));
    use Align::{Left, Right};
    out += &columns(&[Left, Right, Right, Right, Right, Right, Left], &rows);
    out += &bits(inspection, units);
    for fault in &inspection.faults {
        let kind = match fault.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        let at = pair_of(units, fault.at);
        out += &format!("{kind}: {} at {at}: {}\n", fault.element, flaw_words(&fault.flaw, units));
    }
    out
}

/// `2 drill, 1 pocket`.
fn features(kinds: &[&str]) -> String {
    let mut counted: Vec<(&str, usize)> = vec![];
    for &kind in kinds {
        match counted.iter_mut().find(|(k, _)| *k == kind) {
            Some((_, n)) => *n += 1,
            None => counted.push((kind, 1)),
        }
    }
    let words: Vec<String> = counted.iter().map(|(kind, n)| format!("{n} {kind}")).collect();
    words.join(", ")
}

/// For each bit asked about, the parts that it does not cut; then, part by part, what the bit leaves or changes.
fn bits(inspection: &Inspection, units: Units) -> String {
    let mut out = String::new();
    let asked = inspection.parts.first().map_or(&[][..], |p| &p.bits);
    for (i, bit) in asked.iter().enumerate() {
        let not = inspection.parts.iter().filter(|p| !p.bits[i].cuts);
        let not: Vec<&str> = not.map(|p| p.name.as_str()).collect();
        let name = fine(units, bit.diameter);
        out += &match not.as_slice() {
            [] => format!("{name} bit: cuts every part\n"),
            some => format!("{name} bit: does not cut {}\n", some.join(", ")),
        };
    }
    for part in &inspection.parts {
        for bit in &part.bits {
            let name = fine(units, bit.diameter);
            let lines = lost(bit, units);
            lines.iter().for_each(|line| out += &format!("{}, {name} bit: {line}\n", part.name));
        }
    }
    out
}

/// Lines about details that a bit does not cut, before the rest is only counted: `--json` has all.
const MOST_LINES: usize = 8;

/// What a part loses by a bit: details that stay uncut, those alike in one line; details that come out wider; corners.
fn lost(bit: &BitReport, units: Units) -> Vec<String> {
    // Deepest first, so that the first of those alike says how deep they are at most.
    let mut details: Vec<(&LeftReport, usize)> = vec![];
    for left in &bit.left {
        match details.iter_mut().find(|(first, _)| alike(first, left, units)) {
            Some((_, n)) => *n += 1,
            None => details.push((left, 1)),
        }
    }
    let mut lines: Vec<String> = vec![];
    for (left, n) in details.iter().take(MOST_LINES) {
        let (what, at) = (not_cut(left, units), pair_of(units, left.at));
        lines.push(match n {
            1 => format!("{what}, at {at}"),
            n => format!("{what}, in {n} places, the first at {at}"),
        });
    }
    let more: usize = details.iter().skip(MOST_LINES).map(|(_, n)| n).sum();
    if more > 0 {
        lines.push(format!("{} not cut (--json lists them)", count(more, "more detail")));
    }
    if let Some(most) = bit.wider.iter().max_by(|a, b| a.wider.total_cmp(&b.wider)) {
        lines.push(format!(
            "cuts {} at its own width, up to {} wider than drawn, the widest at {}",
            count(bit.wider.len(), "detail"),
            hair(units, most.wider),
            pair_of(units, most.at)
        ));
    }
    if let Some(at) = bit.deepest_corner_at {
        lines.push(format!(
            "rounds {}; up to {} of stock stays in them, the most at {}",
            count(bit.rounded_corners, "sharp inside corner"),
            hair(units, bit.deepest_corner),
            pair_of(units, at)
        ));
    }
    lines
}

/// Whether two details get the same words except for place and depth.
fn alike(a: &LeftReport, b: &LeftReport, units: Units) -> bool {
    let entered = |left: &LeftReport| left.depth.is_finite();
    let [one, other] =
        [a, b].map(|left| not_cut(&LeftReport { depth: 1.0, ..left.clone() }, units));
    let sizes = entered(a) || a.size.map(|v| fine(units, v)) == b.size.map(|v| fine(units, v));
    entered(a) == entered(b) && one == other && sizes
}

/// A detail that a bit does not cut: what it is, and what would.
fn not_cut(left: &LeftReport, units: Units) -> String {
    let ([width, height], bit) = (left.size, fine(units, left.enters));
    if !left.depth.is_finite() {
        let size = size(units, width, height);
        return format!("an opening of {size} stays closed, because it takes no bit over {bit}");
    }
    let depth = hair(units, left.depth);
    match left.limit {
        Some(Limit::InsideRadius) => {
            let radius = fine(units, left.enters / 2.0);
            format!("a hollow curve of {radius} radius keeps up to {depth} of stock")
        }
        Some(Limit::Gap) => {
            format!("a slot or gap {bit} wide keeps stock up to {depth} from where the bit stops")
        }
        _ => format!(
            "a short edge between corners, which takes no bit over {bit}, keeps up to {depth} of stock"
        ),
    }
}
