//! Soft landings: a tab on a strip of the sheet so slender that it bends away under the cut.
//!
//! Once the order of cut is known, a part with such a tab gets other places where the sheet is firm, if it has
//! any; remaining soft landings are reported, part by part, with what to do.

use super::members::{Member, planned_anew};
use super::placed_sheet::LaidSheet;
use crate::cut::{CutPlan, Standing, Web, landing_on_skeleton};
use crate::hold::HoldPlan;
use crate::job::Job;
use crate::layout::{
    Hold, HoldDown, Method, PlacedPart, Sheet, SoftLanding, Tab, Warning, WarningKind,
};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A strip that gives this much under the cut holds nothing, mm: twenty times the movement that a hold allows. Set by hand.
const NO_SUPPORT: f64 = 1.0;

/// Plans every part with a tab on a soft landing once more; returns whether any got other tabs. The warnings of the new
/// plans are added to `warnings`.
pub(super) fn firm_up(
    laid: &mut LaidSheet,
    cut: &CutPlan,
    job: &Job,
    members: &[Member],
    warnings: &mut Vec<Warning>,
) -> bool {
    let LaidSheet { sheet, whose } = laid;
    let soft: Vec<usize> = (0..sheet.parts.len()).filter(|&i| softest(cut, i).is_some()).collect();
    if soft.is_empty() {
        return false;
    }
    let skeleton = landing_on_skeleton(sheet);
    let standing = Standing::of(sheet, &cut.part_order());
    let firmer: Vec<(usize, Hold, Vec<WarningKind>)> = soft
        .into_par_iter()
        .filter_map(|i| {
            let (placed, member) = (&sheet.parts[i], &members[whose[i]]);
            let standing = standing.beside(i);
            let pose = placed.pose();
            let landing_ok = |tab: &Tab| {
                let tab = tab.placed(&pose);
                // Tabs of an opening hold its waste; whatever hangs on that keeps it.
                skeleton.accepts(&tab)
                    && (tab.ring > 0 || standing.is_firm(&tab, placed.hold.load_n))
            };
            let planned = planned_anew(sheet, i, job, member, &landing_ok);
            let HoldPlan { hold, warnings, .. } = planned;
            let bridged = |h: &Hold| h.tabs.iter().any(|t| t.is_holding_bridge(sheet.thickness));
            if hold.method != Method::Tabs || (bridged(&hold) && !bridged(&placed.hold)) {
                // Tabs that give a little are better than no tabs, and than bridges to be sawn off.
                return None;
            }
            let far = |w: &WarningKind| matches!(w, WarningKind::FarEdge { .. });
            let overhang = |h: &Hold| h.figures.as_ref().and_then(|f| f.overhang_mm);
            let farther = warnings.iter().any(far) && overhang(&hold) > overhang(&placed.hold);
            if farther && no_firm_landing(sheet, cut, i).is_none() {
                // Some of them on firm stock, they are better than tabs on one side of a large part, too.
                return None;
            }
            Some((i, hold, warnings))
        })
        .collect();
    let any = !firmer.is_empty();
    for (i, hold, said) in firmer {
        let part = &mut sheet.parts[i];
        warnings.extend(said.into_iter().map(|kind| Warning::of(&part.part, kind)));
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

/// The copies with a soft landing, and how far their softest gives, mm.
pub(super) fn landings(sheet: &Sheet, cut: &CutPlan) -> BTreeMap<(String, usize), f64> {
    let softest =
        |(i, p): (usize, &PlacedPart)| Some(((p.part.clone(), p.copy), softest(cut, i)?.1.gives));
    sheet.parts.iter().enumerate().filter_map(softest).collect()
}

/// Whether landings are softer than they were: more of them, or any that gives a tenth more.
pub(super) fn softer(
    before: &BTreeMap<(String, usize), f64>,
    after: &BTreeMap<(String, usize), f64>,
) -> bool {
    after.iter().any(|(copy, gives)| before.get(copy).is_none_or(|was| *gives > 1.1 * was))
}

/// How far the firmest landing of a part gives, mm, if its outline has tabs and none of them lands on stock that holds it.
pub(super) fn no_firm_landing(sheet: &Sheet, cut: &CutPlan, part: usize) -> Option<f64> {
    if sheet.hold_down == HoldDown::Tape {
        return None; // the strips lie on it too
    }
    let hold = &sheet.parts.get(part)?.hold;
    let tabs = hold.tabs.iter().zip(&cut.ties.get(part)?.tabs).filter(|(tab, _)| tab.holds());
    let gives = tabs.map(|(_, tied)| tied.web.map_or(0.0, |web| web.gives));
    let least = gives.reduce(f64::min).filter(|_| hold.method == Method::Tabs)?;
    (least >= NO_SUPPORT).then_some(least)
}

/// The warnings with those about soft landings made anew, after sheets were laid on tape.
pub(super) fn warned_anew(
    warnings: &[Warning],
    sheets: &[Sheet],
    cuts: &[CutPlan],
) -> Vec<Warning> {
    let soft = |w: &&Warning| matches!(w.kind, Some(WarningKind::SoftLanding { .. }));
    let others = warnings.iter().filter(|w| !soft(w)).cloned();
    sheets
        .iter()
        .zip(cuts)
        .flat_map(|(sheet, cut)| self::warnings(sheet, cut))
        .chain(others)
        .collect()
}

/// One warning for each kind of part with soft landings, naming its copies. None on a sheet that lies on tape: so do its strips.
pub(super) fn warnings(sheet: &Sheet, cut: &CutPlan) -> Vec<Warning> {
    if sheet.hold_down == HoldDown::Tape {
        return vec![];
    }
    let mut list: Vec<(&str, Vec<SoftLanding>)> = vec![];
    for (i, placed) in sheet.parts.iter().enumerate() {
        let Some(landing) = softest(cut, i).map(|s| landing(s, placed.copy)) else { continue };
        let known = list.iter().position(|(part, _)| *part == placed.part);
        let of_part = known.unwrap_or_else(|| {
            list.push((&placed.part, vec![]));
            list.len() - 1
        });
        let of_part = &mut list[of_part].1;
        let same =
            |s: &SoftLanding| SoftLanding { copies: s.copies.clone(), ..landing.clone() } == *s;
        match of_part.iter_mut().find(|s| same(s)) {
            Some(like) => like.copies.push(placed.copy),
            None => of_part.push(landing),
        }
    }
    list.iter_mut().flat_map(|(_, landings)| landings).for_each(|l| l.copies.sort_unstable());
    let warn = |(part, landings)| Warning::of(part, WarningKind::SoftLanding { landings });
    list.into_iter().map(warn).collect()
}

/// The landing for the layout: the strip's width to a tenth of a mm and its deflection to a hundredth, since neither is
/// known better.
fn landing((tab, web): (usize, Web), copy: usize) -> SoftLanding {
    let to = |parts: f64, mm: f64| (parts * mm).round() / parts;
    SoftLanding {
        copies: vec![copy],
        tab: tab + 1,
        width_mm: to(10.0, web.width),
        gives_mm: (web.gives < NO_SUPPORT).then(|| to(100.0, web.gives)),
    }
}
