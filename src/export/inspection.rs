//! What is in a drawing, as text for a terminal.

use super::columns::{Align, columns};
use super::drawing_faults::{flaw_words, scale_words};
use super::words::{area, count, fine, hair, pair_of, size};
use crate::drawing::{Inspection, Severity};
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

/// One line for each part and bit asked about that leaves something standing.
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
            if let Some(left) = bit.left.first() {
                let more = bit.left.len() - 1;
                let also = match more {
                    0 => String::new(),
                    n => format!(", and {}", count(n, "more place")),
                };
                out += &format!(
                    "{}: a {name} bit does not reach {}: {} of stock stays{also}\n",
                    part.name,
                    pair_of(units, left.at),
                    area(units, left.area)
                );
            }
            if let Some(most) = bit.wider.iter().max_by(|a, b| a.wider.total_cmp(&b.wider)) {
                let [x, y] = most.at.map(|v| fine(units, v));
                out += &format!(
                    "{}: a {name} bit cuts {} at its own width, up to {} wider than drawn, at {x} from the left and \
                     {y} from the top\n",
                    part.name,
                    count(bit.wider.len(), "detail"),
                    hair(units, most.wider)
                );
            }
            if bit.left.is_empty() && bit.rounded_corners > 0 {
                out += &format!(
                    "{}: a {name} bit rounds {} sharp inside corners, by up to {}\n",
                    part.name,
                    bit.rounded_corners,
                    fine(units, bit.deepest_corner)
                );
            }
        }
    }
    out
}
