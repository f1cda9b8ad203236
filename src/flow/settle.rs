//! Changes holds until the simulated cut finds nothing loose. What a part hangs on is certain only once the whole sheet is cut, and
//! a plan that mends one part may remove the stock that another part hangs on.
//!
//! Each part with a fault is planned again on the present skeleton, away from the tabs that failed; if that fails it is put on
//! tape; if that fails it is not cut out. A part never goes back a step, so the rounds end; a part that is not cut free has no such
//! fault.

use super::members::{Member, planned_anew};
use super::ordered::{cut_again, in_order_of_cut};
use super::placed_sheet::LaidSheet;
use super::soft;
use crate::cut::{CutFault, CutPlan, Skeleton, landing_on_skeleton};
use crate::geometry::Vector;
use crate::hold::plan_on_tape;
use crate::job::Job;
use crate::layout::{Because, Hold, Method, Sheet, Tab, Warning, WarningKind, Why};
use crate::nest::CopyOf;
use std::collections::BTreeMap;

/// How often a part is planned again before it is put on tape.
const PLANS: usize = 2;
/// Most steps of a part: its plans, tape, no cut, and one more for the waste that its openings' tabs tied.
const LAST: usize = PLANS + 3;

/// What is known about a part that had a fault.
#[derive(Default)]
struct Failed {
    /// Tabs that failed, in the sheet's frame.
    tabs: Vec<Tab>,
    /// The number of steps it has taken.
    steps: usize,
}

/// What is wrong with one part's hold.
#[derive(Default)]
struct Wrong {
    /// Tabs that land on nothing that stays, or are left with another width.
    tabs: Vec<usize>,
    /// Those of them that hold less than planned.
    weak: Vec<usize>,
    /// It hangs on nothing that stays.
    loose: bool,
    /// Its tabs bear less than required at the rotation that it got.
    too_weak: bool,
}

/// Puts the sheet's parts in the order of cut, and changes their holds until no part that is cut free is loose, hangs on
/// loose stock, or has a tab that lands on it. Returns the final plan of the cut.
pub(super) fn settle(
    laid: &mut LaidSheet,
    job: &Job,
    members: &[Member],
    warnings: &mut Vec<Warning>,
) -> CutPlan {
    let mut cut = in_order_of_cut(laid);
    if soft::firm_up(laid, &cut, job, members, warnings) {
        cut = in_order_of_cut(laid);
    }
    let mut settling = Settling { job, members, warnings, failed: BTreeMap::new() };
    loop {
        let holds = settling.next_holds(laid, &cut);
        if holds.is_empty() {
            return cut;
        }
        for (part, hold) in holds {
            laid.sheet.parts[part].hold = hold;
        }
        cut = in_order_of_cut(laid);
    }
}

/// The rounds of one sheet.
struct Settling<'a> {
    job: &'a Job,
    members: &'a [Member<'a>],
    warnings: &'a mut Vec<Warning>,
    failed: BTreeMap<CopyOf, Failed>,
}

impl Settling<'_> {
    /// The holds to be changed now, each with its part.
    fn next_holds(&mut self, laid: &LaidSheet, cut: &CutPlan) -> Vec<(usize, Hold)> {
        let sheet = &laid.sheet;
        let all = wrong(sheet, cut);
        let skeleton = landing_on_skeleton(sheet);
        let let_go = let_go(sheet, &skeleton, &all);
        let mut holds = let_go.clone();
        for (&part, wrong) in &all {
            let steps = |part: usize| self.failed.get(&laid.copy(part)).map_or(0, |f| f.steps);
            // What it lies in comes first: that may be all that is wrong.
            let waits = |host: &usize| all.contains_key(host) && steps(*host) < LAST;
            if steps(part) >= LAST || skeleton.hosts_of(part).iter().any(waits) {
                continue;
            }
            if let_go.iter().all(|(i, _)| *i != part) {
                holds.push((part, self.next_step(laid, part, wrong, &skeleton)));
            }
        }
        holds
    }

    /// The part's hold after its next step: planned again away from the tabs that failed, then on tape, then not cut out.
    fn next_step(
        &mut self,
        laid: &LaidSheet,
        part: usize,
        wrong: &Wrong,
        skeleton: &Skeleton,
    ) -> Hold {
        let (sheet, placed) = (&laid.sheet, &laid.sheet.parts[part]);
        let failed = self.failed.entry(laid.copy(part)).or_default();
        failed.tabs.extend(wrong.tabs.iter().filter_map(|&t| placed.hold.tabs.get(t)).cloned());
        failed.steps += 1;
        let (job, member) = (self.job, &self.members[laid.whose[part]]);
        let of_part = |kind: WarningKind| Warning::of(&placed.part, kind);
        if failed.steps <= PLANS {
            let pose = placed.pose();
            let landing_ok = |tab: &Tab| {
                let tab = tab.placed(&pose);
                is_off(&tab, &failed.tabs, sheet.bit.diameter) && skeleton.accepts(&tab)
            };
            let planned = planned_anew(sheet, part, job, member, &landing_ok);
            self.warnings.extend(planned.warnings.into_iter().map(of_part));
            return planned.hold;
        }
        let tape = || on_tape(sheet, part, job, member).filter(|_| failed.steps == PLANS + 1);
        let hold = last_ways(wrong, &placed.hold, placed.shape().net_area(), tape);
        if hold.method != placed.hold.method {
            let kind = WarningKind::ComesLoose { method: hold.method };
            self.warnings.push(Warning { copies: vec![placed.copy], ..of_part(kind) });
        }
        hold
    }
}

/// Whether a tab stands clear of all tabs that failed.
fn is_off(tab: &Tab, failed: &[Tab], kerf: f64) -> bool {
    let reach = |t: &Tab| (t.width.max(tab.width) + kerf) / 2.0;
    failed.iter().all(|t| t.ring != tab.ring || t.at.distance(tab.at) > reach(t))
}

/// The holds without their tabs for waste, for pieces of which any such tab has failed, also one of another part that helps: the
/// piece comes loose or is kept in another way, and what hung on it is planned again.
fn let_go(sheet: &Sheet, skeleton: &Skeleton, all: &BTreeMap<usize, Wrong>) -> Vec<(usize, Hold)> {
    let fails = |part: usize, n: usize| all.get(&part).is_some_and(|w| w.tabs.contains(&n));
    let waste = sheet.parts.iter().enumerate().flat_map(|(part, placed)| {
        let tabs = placed.hold.tabs.iter().enumerate().filter(|(_, t)| t.waste);
        tabs.map(move |(n, tab)| (part, n, skeleton.piece_under(tab)))
    });
    let waste: Vec<(usize, usize, Option<usize>)> = waste.collect();
    let failed = || waste.iter().filter(|(part, n, _)| fails(*part, *n));
    let gone = |part: usize, n: usize, piece: Option<usize>| {
        fails(part, n) || piece.is_some() && failed().any(|f| f.2 == piece)
    };
    let mut holds: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for &(part, n, _) in waste.iter().filter(|(part, n, piece)| gone(*part, *n, *piece)) {
        holds.entry(part).or_default().push(n);
    }
    let without = |(part, gone): (usize, Vec<usize>)| {
        let hold = &sheet.parts[part].hold;
        let left = hold.tabs.iter().enumerate().filter(|(n, _)| !gone.contains(n));
        (part, Hold { tabs: left.map(|(_, t)| t.clone()).collect(), ..hold.clone() })
    };
    holds.into_iter().map(without).collect()
}

/// Plans the cut of a sheet that lost a part, without the tabs for waste that keep nothing any more.
pub(super) fn settle_again(sheet: &mut Sheet) -> CutPlan {
    loop {
        let cut = cut_again(sheet);
        let let_go = let_go(sheet, &landing_on_skeleton(sheet), &wrong(sheet, &cut));
        if let_go.is_empty() {
            return cut;
        }
        let_go.into_iter().for_each(|(part, hold)| sheet.parts[part].hold = hold);
    }
}

/// The parts whose hold fails in the simulated cut, and those whose tabs are too weak.
fn wrong(sheet: &Sheet, cut: &CutPlan) -> BTreeMap<usize, Wrong> {
    let mut found: BTreeMap<usize, Wrong> = BTreeMap::new();
    for (part, placed) in sheet.parts.iter().enumerate() {
        if placed.hold.weak().is_some() {
            found.entry(part).or_default().too_weak = true;
        }
    }
    for fault in &cut.faults {
        match *fault {
            CutFault::NoAnchor { part, tab, .. } => {
                let wrong = found.entry(part).or_default();
                wrong.tabs.push(tab);
                wrong.weak.push(tab);
            }
            CutFault::TabWidth { part, tab, left, planned, .. } => {
                let wrong = found.entry(part).or_default();
                wrong.tabs.push(tab);
                wrong.weak.extend((left < planned).then_some(tab));
            }
            CutFault::Chain { part }
            | CutFault::Loose { part }
            | CutFault::SkinCut { part, .. } => found.entry(part).or_default().loose = true,
            _ => {}
        }
    }
    found
}

/// Tape, then nothing. If a part is held apart from some tab of an opening, that opening's tabs are dropped: its waste comes
/// loose. A part with a tab left wider than planned stays as it is: that is a fault to be seen, and it holds.
fn last_ways(wrong: &Wrong, hold: &Hold, face: f64, tape: impl FnOnce() -> Option<Hold>) -> Hold {
    let rings: Vec<usize> =
        wrong.weak.iter().filter_map(|&t| hold.tabs.get(t)).map(|t| t.ring).collect();
    let without = |gone: &dyn Fn(usize) -> bool| -> Vec<Tab> {
        hold.tabs.iter().filter(|t| !gone(t.ring)).cloned().collect()
    };
    if !wrong.loose && !rings.contains(&0) {
        if wrong.too_weak {
            return tape().unwrap_or_else(|| hold.clone());
        }
        return Hold { tabs: without(&|ring| rings.contains(&ring)), ..hold.clone() };
    }
    tape().unwrap_or_else(|| Hold {
        method: Method::None,
        reason: Some(Why { tape_mm2: Some(face), ..Why::because(Because::ComesLoose) }),
        limited_by: None,
        safety: 0.0,
        movement_mm: 0.0,
        skin_mm: None,
        figures: None,
        tabs: without(&|ring| ring == 0),
        ..hold.clone()
    })
}

/// The part's hold on tape, if tape holds it.
fn on_tape(sheet: &Sheet, part: usize, job: &Job, member: &Member) -> Option<Hold> {
    let mut hold = plan_on_tape(&member.task(job), &Because::ComesLoose)?.hold;
    let pose = sheet.parts[part].pose();
    hold.tabs = hold.tabs.iter().map(|t| t.placed(&pose)).collect();
    hold.tabs.extend(sheet.parts[part].hold.tabs.iter().filter(|t| t.waste).cloned());
    Some(hold)
}

#[cfg(test)]
mod tests {
    use super::super::{members::members, small_job};
    use super::*;
    use crate::geometry::{Pose, Ring, point};

    /// Half of 6 and 3 mm beside a failed tab 6 mm wide, whatever the width of the new one up to that.
    #[test]
    fn a_new_tab_stands_off_one_that_failed() {
        let failed = Tab {
            at: point(10.0, 0.0),
            out: point(0.0, -1.0),
            width: 6.0,
            height: 2.0,
            ring: 0,
            waste: false,
        };
        let at = |x: f64, width: f64, ring: usize| {
            let tab = Tab { at: point(x, 0.0), width, ring, ..failed.clone() };
            is_off(&tab, std::slice::from_ref(&failed), 3.0)
        };
        assert_eq!([at(14.49, 4.0, 0), at(14.51, 4.0, 0)], [false, true]);
        assert_eq!([at(15.49, 8.0, 0), at(15.51, 8.0, 0)], [false, true]);
        assert!(at(10.0, 4.0, 1));
    }

    /// A tab left wider than planned failed and is not weak; one left narrower is both; a margin below 1 is too weak.
    #[test]
    fn what_is_left_wider_is_not_weak() {
        let mut sheet = small_job::made().layout.sheets.swap_remove(0);
        let mut cut = crate::cut::plan_cut(&sheet);
        let with = |sheet: &Sheet, cut: &CutPlan| wrong(sheet, cut);
        assert!(with(&sheet, &cut).is_empty());
        let left = |left: f64| CutFault::TabWidth {
            part: 0,
            tab: 1,
            left,
            planned: 4.0,
            at: point(0.0, 0.0),
        };
        for (mm, weak) in [(5.0, vec![]), (3.0, vec![1])] {
            cut.faults = vec![left(mm)];
            let found = with(&sheet, &cut);
            assert_eq!((&found[&0].tabs, &found[&0].weak), (&vec![1], &weak), "{mm}");
        }
        cut.faults.clear();
        let figures = sheet.parts[1].hold.figures.as_mut().expect("on tabs");
        figures.least_margin = 0.99;
        assert!(with(&sheet, &cut)[&1].too_weak && with(&sheet, &cut).len() == 1);
    }

    /// Two plates a kerf apart on a panel of 200 x 120 mm, 60 x 20 at (40, 40) and 30 x 20 under it. The long one has a tab on the
    /// edge that the short one's kerf runs along: nothing is left there to land on, so the tab is cut away. It gets others, none of
    /// them there, and the cut has no fault.
    #[test]
    fn a_part_whose_tab_lands_on_the_next_one_is_planned_anew() {
        let job = small_job::job();
        let held = members(&job);
        let mut sheet = small_job::made().layout.sheets.swap_remove(0);
        let kerf = sheet.bit.diameter;
        let mut whose = vec![];
        for part in &mut sheet.parts {
            let member = held.iter().position(|m| m.part.name == part.part).expect("a member");
            whose.push(member);
            let (x, y) = if part.part == "long" { (40.0, 40.0) } else { (55.0, 60.0 + kerf) };
            let size = part.outline.bounds();
            part.outline = Ring::rectangle(size.width(), size.height()).moved(point(x, y));
            (part.x, part.y, part.rotation_deg, part.mirrored) = (x, y, 0.0, false);
            let pose = Pose::new(point(x, y), 0.0);
            part.hold = held[member].hold.hold.clone();
            part.hold.tabs = part.hold.tabs.iter().map(|t| t.placed(&pose)).collect();
        }
        let long = whose.iter().position(|&m| held[m].part.name == "long").expect("the long one");
        let tab = &mut sheet.parts[long].hold.tabs[0];
        (tab.at, tab.out) = (point(70.0, 60.0), point(0.0, 1.0));
        let faults = |cut: &CutPlan| format!("{:?}", cut.faults);
        let mut laid = LaidSheet { sheet, whose };
        let before = in_order_of_cut(&mut laid);
        let cut_away = |f: &CutFault| matches!(f, CutFault::TabWidth { left, .. } if *left == 0.0);
        assert!(before.faults.iter().any(cut_away), "{}", faults(&before));
        // It holds less than planned for two reasons: it is cut away, and lands on nothing.
        let found = wrong(&laid.sheet, &before);
        let weak: Vec<&[usize]> = found.values().map(|w| &w.weak[..]).collect();
        assert!(weak.contains(&&[0, 0][..]), "{weak:?}");
        let cut = settle(&mut laid, &job, &held, &mut vec![]);
        assert_eq!(cut.faults, vec![]);
        let parts = &laid.sheet.parts;
        let long = parts.iter().find(|p| p.part == "long").expect("the long one");
        assert!(long.hold.method == Method::Tabs && long.hold.tabs.len() >= 2, "{:?}", long.hold);
        let there = |t: &Tab| (t.at.y - 60.0).abs() < 1e-6 && (50.0..=90.0).contains(&t.at.x);
        assert!(!long.hold.tabs.iter().any(there), "{:?}", long.hold.tabs);
    }

    fn plate(
        sheet: &mut Sheet,
        part: usize,
        corners: &[(f64, f64)],
        tabs: &[(f64, f64, f64, bool)],
    ) {
        let placed = &mut sheet.parts[part];
        placed.outline = Ring(corners.iter().map(|&(x, y)| point(x, y)).collect());
        (placed.x, placed.y, placed.rotation_deg) = (corners[0].0, corners[0].1, 0.0);
        let tab = |&(x, y, out, waste): &(f64, f64, f64, bool)| Tab {
            at: point(x, y),
            out: point(0.0, out),
            width: 4.0,
            height: 1.5,
            ring: 0,
            waste,
        };
        placed.hold.tabs = tabs.iter().map(tab).collect();
    }

    /// A block of 105 x 40 mm with two notches of 30 x 30 in its upper edge, and a bar one kerf (3 mm) above that closes both. The
    /// bar has a tab for the island in the left notch, the block for that in the right one and, if asked, one for the left too.
    fn notched_twice(more: bool) -> Sheet {
        let mut sheet = small_job::made().layout.sheets.swap_remove(0);
        sheet.parts.sort_by(|a, b| a.part.cmp(&b.part));
        sheet.outline = Ring::rectangle(200.0, 140.0);
        sheet.bit.diameter = 3.0;
        let notch = |x: f64| [(x, 60.0), (x, 90.0), (x + 30.0, 90.0), (x + 30.0, 60.0)];
        let ends = [(145.0, 60.0), (145.0, 100.0), (40.0, 100.0)];
        let block = [&[(40.0, 60.0)][..], &notch(55.0), &notch(100.0), &ends].concat();
        let mut tabs = vec![(70.0, 100.0, 1.0, false), (110.0, 100.0, 1.0, false)];
        tabs.push((115.0, 90.0, -1.0, true));
        tabs.extend(more.then_some((70.0, 90.0, -1.0, true)));
        plate(&mut sheet, 0, &block, &tabs);
        let bar = [(40.0, 47.0), (145.0, 47.0), (145.0, 57.0), (40.0, 57.0)];
        let tabs = [(60.0, 47.0, -1.0, false), (120.0, 47.0, -1.0, false), (70.0, 57.0, 1.0, true)];
        plate(&mut sheet, 1, &bar, &tabs);
        sheet
    }

    /// Where the bar's tab for the left island fails, the block's for the same goes too; that for the right one stays.
    #[test]
    fn an_island_is_let_go_with_all_that_keeps_it() {
        let sheet = notched_twice(true);
        let failed = Wrong { tabs: vec![2], ..Wrong::default() };
        let holds = let_go(&sheet, &landing_on_skeleton(&sheet), &BTreeMap::from([(1, failed)]));
        let left: Vec<(usize, Vec<Tab>)> = holds.into_iter().map(|(i, h)| (i, h.tabs)).collect();
        let tabs = |part: usize, n: usize| sheet.parts[part].hold.tabs[..n].to_vec();
        assert_eq!(left, [(0, tabs(0, 3)), (1, tabs(1, 2))]);
    }

    /// Neither part can be the last round both islands: one is let go, and no tab of the sheet fails any more.
    #[test]
    fn tabs_that_keep_nothing_any_more_go() {
        let mut sheet = notched_twice(false);
        assert!(!wrong(&sheet, &cut_again(&mut sheet.clone())).is_empty());
        let cut = settle_again(&mut sheet);
        assert!(wrong(&sheet, &cut).values().all(|w| w.tabs.is_empty()), "{:?}", cut.faults);
        let waste = sheet.parts.iter().flat_map(|p| &p.hold.tabs).filter(|t| t.waste).count();
        assert_eq!(waste, 1);
    }

    /// A plate in the opening of another: where both have a tab that fails, the outer one is planned first, for as long as it has
    /// steps left.
    #[test]
    fn what_a_part_lies_in_is_mended_first() {
        let job = small_job::job();
        let held = members(&job);
        let mut sheet = small_job::made().layout.sheets.swap_remove(0);
        sheet.parts.sort_by(|a, b| a.part.cmp(&b.part));
        let square =
            |x: f64, y: f64, w: f64, h: f64| [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
        plate(&mut sheet, 0, &square(20.0, 10.0, 150.0, 100.0), &[(90.0, 10.0, -1.0, false)]);
        sheet.parts[0].openings = vec![Ring::rectangle(100.0, 60.0).moved(point(40.0, 30.0))];
        plate(&mut sheet, 1, &square(60.0, 40.0, 30.0, 20.0), &[(70.0, 40.0, -1.0, false)]);
        let whose = |p: &crate::layout::PlacedPart| held.iter().position(|m| m.part.name == p.part);
        let whose = sheet.parts.iter().map(|p| whose(p).expect("a member")).collect();
        let laid = LaidSheet { sheet, whose };
        let mut cut = crate::cut::plan_cut(&laid.sheet);
        let on = crate::cut::Landing::Waste;
        let fails = |part: usize| CutFault::NoAnchor { part, tab: 0, on, at: point(0.0, 0.0) };
        cut.faults = vec![fails(0), fails(1)];
        let mut warnings = vec![];
        let mut settling = Settling {
            job: &job,
            members: &held,
            warnings: &mut warnings,
            failed: BTreeMap::new(),
        };
        let rounds: Vec<Vec<usize>> = (0..LAST + 1)
            .map(|_| settling.next_holds(&laid, &cut).into_iter().map(|(i, _)| i).collect())
            .collect();
        assert_eq!(rounds[..LAST - 1], vec![vec![0]; LAST - 1]);
        assert_eq!(rounds[LAST - 1..], [vec![0, 1], vec![1]]);
    }
}
