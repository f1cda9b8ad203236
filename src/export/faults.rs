//! A layout's faults in words: what, where, and what to do.

use super::words;
use crate::layout::{Fault, FaultKind, LandsOn};
use crate::units::Units;

/// The fault in one sentence, in these units, without the sheet's name.
pub fn fault_words(fault: &Fault, units: Units) -> String {
    let what = fault_what(fault, units);
    let what = match (&fault.part, fault.copy) {
        (Some(part), Some(copy)) => format!("{part} {copy}: {what}"),
        (Some(part), None) => format!("{part}: {what}"),
        _ => what,
    };
    match fault.at {
        Some(at) => format!("{what} (at {})", fault_place(units, at)),
        None => what,
    }
}

/// A place from the sheet's left and top: `x 12.5, y 3.0 mm`.
pub(super) fn fault_place(units: Units, [x, y]: [f64; 2]) -> String {
    match units {
        Units::Mm => format!("x {x:.1}, y {y:.1} mm"),
        Units::In => format!("x {:.3}, y {:.3} in", x / units.mm(), y / units.mm()),
    }
}

/// What is wrong, without the part and the place.
pub(super) fn fault_what(fault: &Fault, units: Units) -> String {
    let edge = |ring: usize| match ring {
        0 => "its outline".to_string(),
        n => format!("its opening {n}"),
    };
    let small = |mm: f64| words::movement(units, mm);
    match &fault.kind {
        FaultKind::BadSheet => "the sheet's numbers describe no usable shape: nothing is cut".into(),
        FaultKind::BadPart => "its numbers describe no usable shape: it is not cut".into(),
        FaultKind::NotCut { ring } => {
            format!("{} is not cut, because the bit does not fit into it: use a smaller bit", edge(*ring))
        }
        FaultKind::NotReached { ring, width_mm } => format!(
            "a detail of {} is only {} wide, too narrow for the bit: use a smaller bit",
            edge(*ring),
            small(*width_mm)
        ),
        FaultKind::LeftStanding { cleft_mm: Some(cleft), .. } => format!(
            "the bit stops {} short of the point of an inside corner too sharp for any bit: round the corner in the drawing to the bit's radius \
             or more, or accept what stays by `corners = \"rounded\"` for the part or the whole job",
            words::hair(units, *cleft)
        ),
        FaultKind::LeftStanding { area_mm2, .. } => {
            let area = match units {
                Units::Mm => format!("{area_mm2:.1} mm²"),
                Units::In => format!("{:.4} sq in", area_mm2 / units.mm().powi(2)),
            };
            format!("the bit leaves {area} of stock on the part: use a smaller bit, or cut it off by hand")
        }
        FaultKind::LeftUncut { ring } => {
            format!("the upper pass round {} has a gap where there is no holding bridge", edge(*ring))
        }
        FaultKind::Gouge { by, by_copy, depth_mm } => {
            format!("the path of {by} {by_copy} cuts {} into it", small(*depth_mm))
        }
        FaultKind::NotSeparated { other, other_copy } => {
            format!("no cut separates it from {other} {other_copy}")
        }
        FaultKind::TabWidth { tab, left_mm, .. } if *left_mm <= 0.0 => {
            format!("tab {tab} is cut away")
        }
        FaultKind::TabWidth { tab, left_mm, planned_mm } => format!(
            "tab {tab} is left {} wide; {} is planned",
            small(*left_mm),
            small(*planned_mm)
        ),
        FaultKind::NoAnchor { tab, on } => match on {
            LandsOn::Waste => format!("tab {tab} lands on waste that comes loose"),
            LandsOn::Part { part, copy } => format!("tab {tab} lands on {part} {copy}"),
            LandsOn::Nothing => format!("tab {tab} has no stock to land on: a kerf removes it"),
        },
        FaultKind::Chain => "everything that it hangs on comes loose".into(),
        FaultKind::Loose => "nothing holds it when it is cut free".into(),
        FaultKind::SkinCut { left } => {
            format!("the cuts of its neighbours leave only {:.0} % of its skin", 100.0 * left)
        }
        FaultKind::TooWeak { margin } => format!(
            "its hold has a margin of only {margin:.2} (1.0 or more passes): put tape under it, change its grain, or give it more room"
        ),
        FaultKind::NoFirmLanding { gives_mm } => format!(
            "each of its tabs lands on a strip of stock too slender to hold it: the firmest gives way by {} under the cut; put double-sided tape \
             under the part, or leave more stock between parts (`web` in a job file)",
            small(*gives_mm)
        ),
        FaultKind::NotHeld => {
            "nothing holds it, so its outline is not cut; leave more stock between parts (`web` in a job file), or use other stock"
                .into()
        }
        FaultKind::NoClamp => {
            "no piece of the skeleton has room for a clamp; set a wider margin, name the clamps or screws (`holds = true` in \
             `keep-clear`), or lay the sheet on tape (`hold-down = \"tape\"` in `[holding]`)"
                .into()
        }
    }
}
