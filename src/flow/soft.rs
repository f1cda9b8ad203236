//! Soft landings: a tab on a strip of the sheet so slender that it bends away under the cut.
//!
//! Once the order of cut is known, a part with such a tab gets other places where the sheet stands firm, if it has
//! any; what stays soft is said, part by part, with what to do.

use super::members::{Member, planned_anew};
use crate::cut::{CutPlan, Standing, Web, landing_on_skeleton};
use crate::hold::HoldPlan;
use crate::job::{Group, Job};
use crate::layout::{Hold, Method, PlacedPart, Sheet, Tab, Warning};
use crate::units::Units;
use rayon::prelude::*;

/// Plans anew, once, every part of which a tab lands softly; whether any got other tabs. What the new plans want
/// the maker to know is added to `warnings`.
pub(super) fn firm_up(
    sheet: &mut Sheet,
    cut: &CutPlan,
    whose: &[usize],
    job: &Job,
    group: &Group,
    members: &[Member],
    warnings: &mut Vec<Warning>,
) -> bool {
    let skeleton = landing_on_skeleton(sheet);
    let order = cut.part_order();
    let firmer: Vec<(usize, Hold, Vec<String>)> = (0..sheet.parts.len())
        .into_par_iter()
        .filter(|&i| softest(cut, i).is_some())
        .filter_map(|i| {
            let (placed, member) = (&sheet.parts[i], &members[whose[i]]);
            let standing = Standing::beside(sheet, i, &order);
            let pose = placed.pose();
            let landing_ok = |tab: &Tab| {
                let tab = tab.placed(&pose);
                // Tabs of an opening hold its waste; whatever hangs on that keeps it.
                skeleton.accepts(&tab)
                    && (tab.ring > 0 || standing.is_firm(&tab, placed.hold.load_n))
            };
            let planned = planned_anew(sheet, i, job, group, member, &landing_ok);
            let HoldPlan { hold, warnings, .. } = planned;
            let bridged = |h: &Hold| h.tabs.iter().any(|t| t.is_holding_bridge(sheet.thickness));
            if hold.method != Method::Tabs || (bridged(&hold) && !bridged(&placed.hold)) {
                // Tabs that give a little are better than no tabs, and than bridges to be sawn off.
                return None;
            }
            Some((i, hold, warnings))
        })
        .collect();
    let any = !firmer.is_empty();
    for (i, hold, said) in firmer {
        let part = &mut sheet.parts[i];
        warnings
            .extend(said.into_iter().map(|message| Warning { part: part.part.clone(), message }));
        part.hold = hold;
    }
    any
}

/// The softest landing of a part's outline: tab and web.
fn softest(cut: &CutPlan, part: usize) -> Option<(usize, Web)> {
    let tabs = cut.ties.get(part)?.tabs.iter().enumerate();
    let soft = tabs.filter_map(|(i, t)| Some((i, t.web.filter(|w| w.soft)?)));
    soft.reduce(|a, b| if b.1.gives > a.1.gives { b } else { a })
}

/// What is said of a part, and of which of its copies.
type Said = (String, Vec<usize>);

/// One warning for each kind of part that lands softly, its copies named in it, with what to do.
pub(super) fn warnings(sheet: &Sheet, cut: &CutPlan, units: Units) -> Vec<Warning> {
    let mut list: Vec<(&PlacedPart, Vec<Said>)> = vec![];
    for (i, placed) in sheet.parts.iter().enumerate() {
        let Some((tab, web)) = softest(cut, i) else { continue };
        let gives = if web.gives < 1.0 {
            format!("gives up to {} under the cut", small(units, web.gives))
        } else {
            "holds nothing".into()
        };
        let width = units.show((10.0 * web.width).round() / 10.0);
        let said = format!("tab {}: a strip {width} wide that {gives}", tab + 1);
        let known = list.iter().position(|(p, _)| p.part == placed.part);
        let of_part = known.unwrap_or_else(|| {
            list.push((placed, vec![]));
            list.len() - 1
        });
        let of_part = &mut list[of_part].1;
        match of_part.iter_mut().find(|(s, _)| *s == said) {
            Some((_, copies)) => copies.push(placed.copy),
            None => of_part.push((said, vec![placed.copy])),
        }
    }
    let warn = |(placed, said): (&PlacedPart, Vec<Said>)| {
        let told: Vec<String> = said.into_iter().map(of_copies).collect();
        let message = format!("{SOFT} ({})", told.join("; "));
        Warning { part: placed.part.clone(), message }
    };
    list.into_iter().map(warn).collect()
}

/// `copy 3, tab 1: ...`; `copies 1, 3, tab 1: ...`.
fn of_copies((said, mut copies): Said) -> String {
    copies.sort_unstable();
    let word = if copies.len() == 1 { "copy" } else { "copies" };
    let list: Vec<String> = copies.iter().map(usize::to_string).collect();
    format!("{word} {}, {said}", list.join(", "))
}

/// What a soft landing is and what to do about it.
const SOFT: &str = "soft landing: a tab hangs on a slender strip of the sheet, marked yellow on the page; put double-sided tape under that \
strip, clamp or screw it down beside the tab, or leave more stock between parts (`web` in the job)";

/// A small length with enough digits to tell.
fn small(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{mm:.2} mm"),
        Units::In => format!("{:.3} in", mm / units.mm()),
    }
}
