//! Turns the findings of the simulated cut into the layout's faults.

use crate::cut::{CutFault, CutPlan, Landing, any_clamped};
use crate::geometry::Point;
use crate::layout::{Fault, FaultKind, HoldDown, LandsOn, Sheet};

/// Everything that keeps the sheet from being cut as it is; `rounded` tells whether a part's job accepts its corners.
pub(super) fn faults_of(
    sheet: &Sheet,
    cut: &CutPlan,
    rounded: impl Fn(&str) -> bool,
) -> Vec<Fault> {
    let accepted = |f: &&CutFault| match f {
        CutFault::LeftStanding { part, cleft: Some(_), .. } => {
            sheet.parts.get(*part).is_some_and(|p| rounded(&p.part))
        }
        _ => false,
    };
    let of_cut = cut.faults.iter().filter(|f| !accepted(f)).map(|f| of_cut(sheet, f));
    let not_cut = sheet.parts.iter().enumerate().filter(|(_, p)| !p.hold.cuts_free());
    let not_held = not_cut.map(|(part, _)| (FaultKind::NotHeld, Some(part), None));
    let parts = sheet.parts.iter().enumerate();
    let too_weak = parts
        .filter_map(|(i, p)| Some((FaultKind::TooWeak { margin: p.hold.weak()? }, Some(i), None)));
    let no_clamp = (sheet.hold_down == HoldDown::Clamps && !any_clamped(sheet)).then_some((
        FaultKind::NoClamp,
        None,
        None,
    ));
    let told = |(kind, part, at): (FaultKind, Option<usize>, Option<Point>)| {
        let part = part.and_then(|i| sheet.parts.get(i));
        Fault {
            kind,
            sheet: sheet.id.clone(),
            part: part.map(|p| p.part.clone()),
            copy: part.map(|p| p.copy),
            at: at.map(|p| [p.x, p.y]),
            message: String::new(),
        }
    };
    no_clamp.into_iter().chain(of_cut).chain(not_held).chain(too_weak).map(told).collect()
}

/// The fault's kind, part and place.
fn of_cut(sheet: &Sheet, fault: &CutFault) -> (FaultKind, Option<usize>, Option<Point>) {
    let name = |i: usize| match sheet.parts.get(i) {
        Some(p) => (p.part.clone(), p.copy),
        None => (String::new(), 0),
    };
    match *fault {
        CutFault::BadSheet => (FaultKind::BadSheet, None, None),
        CutFault::BadPart { part } => (FaultKind::BadPart, Some(part), None),
        CutFault::TooNarrow { part, ring, at } => {
            (FaultKind::NotCut { ring }, Some(part), Some(at))
        }
        CutFault::NotReached { part, ring, width, at } => {
            (FaultKind::NotReached { ring, width_mm: width }, Some(part), Some(at))
        }
        CutFault::LeftStanding { part, area, cleft, at } => {
            (FaultKind::LeftStanding { area_mm2: area, cleft_mm: cleft }, Some(part), Some(at))
        }
        CutFault::LeftUncut { part, ring, at } => {
            (FaultKind::LeftUncut { ring }, Some(part), Some(at))
        }
        CutFault::Gouge { part, by, depth, at } => {
            let (by, by_copy) = name(by);
            (FaultKind::Gouge { by, by_copy, depth_mm: depth }, Some(part), Some(at))
        }
        CutFault::NotSeparated { part, other } => {
            let (other, other_copy) = name(other);
            (FaultKind::NotSeparated { other, other_copy }, Some(part), None)
        }
        CutFault::TabWidth { part, tab, left, planned, at } => {
            let kind = FaultKind::TabWidth { tab: tab + 1, left_mm: left, planned_mm: planned };
            (kind, Some(part), Some(at))
        }
        CutFault::NoAnchor { part, tab, on, at } => {
            let on = match on {
                Landing::Part(other) => {
                    let (part, copy) = name(other);
                    LandsOn::Part { part, copy }
                }
                Landing::Nothing => LandsOn::Nothing,
                Landing::Clamped | Landing::Opening | Landing::Kept(_) | Landing::Waste => {
                    LandsOn::Waste
                }
            };
            (FaultKind::NoAnchor { tab: tab + 1, on }, Some(part), Some(at))
        }
        CutFault::Chain { part } => (FaultKind::Chain, Some(part), None),
        CutFault::Loose { part } => (FaultKind::Loose, Some(part), None),
        CutFault::SkinCut { part, left } => (FaultKind::SkinCut { left }, Some(part), None),
    }
}
