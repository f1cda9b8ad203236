//! Mends tabs that found no anchor: once the sheet is nested, the stock left of it is known, and a
//! part whose tabs land on loose stock gets other places, or another method with the reason.

use super::closed_off::ClosedOff;
use super::islands::{Islands, Keeping};
use super::members::{Member, grain_in_part, planned_anew};
use super::placed_sheet::LaidSheet;
use crate::cut::{SKIN_LEFT, Skeleton, landing_on_skeleton, part_order};
use crate::hold::HoldPlan;
use crate::job::{Hang, Job};
use crate::layout::{Hold, Method, Tab, Warning, WarningKind};
use crate::nest::CopyOf;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// A part planned again because one of its tabs does not land on clamped skeleton.
struct Mend {
    /// Index of the part on its sheet.
    part: usize,
    hold: Hold,
    warnings: Vec<WarningKind>,
}

/// The result of mending a sheet.
#[derive(Default, Clone)]
pub(super) struct Mended {
    /// Copies that found no stock for any tabs, or whose skin ties them to no stock that stays.
    pub(super) lost: Vec<CopyOf>,
    /// Those of them whose neighbours cut too much of their skin.
    pub(super) skin_cut: Vec<CopyOf>,
    /// The pieces without a clamp that planned tabs land on, where parts hang on stock alone.
    pub(super) closed_off: ClosedOff,
    pub(super) warnings: Vec<Warning>,
}

/// Plans again every part of the sheet with a tab that lands on no stock that stays, and gives islands of waste to parts that keep
/// them.
///
/// Parts on the sheet itself come first, then those in their openings: the waste that a small part hangs on may have lost
/// its own tabs by then. Where a part in an opening may land depends on its hosts alone, so one round is enough for those.
pub(super) fn mend(laid: &mut LaidSheet, job: &Job, members: &[Member]) -> Mended {
    let mut mended = Mended::default();
    let mut skeleton = landing_on_skeleton(&laid.sheet);
    on_all_sides(laid, &skeleton, job, members);
    if job.holding.hang == Hang::Stock {
        mended.closed_off = ClosedOff::of(laid, &skeleton);
    }
    if hang_on_islands(laid, &skeleton, job, members, &mut mended) {
        in_order(laid);
        skeleton = landing_on_skeleton(&laid.sheet);
    }
    let depths = skeleton.depths();
    for depth in 0..=depths.iter().copied().max().unwrap_or(0) {
        let here: Vec<usize> = (0..depths.len()).filter(|&i| depths[i] == depth).collect();
        let mends = mends(laid, &skeleton, &here, job, members);
        if !mends.is_empty() {
            apply(mends, laid, &mut mended);
            skeleton.tie(&laid.sheet);
        }
        let skin = |i: &&usize| laid.sheet.parts[**i].hold.method == Method::Skin;
        // A skin that neighbours cut too much of ties its part to little: where parts lie close that is common.
        let through = |i: usize| {
            let hold = &laid.sheet.parts[i].hold;
            hold.method != Method::Skin && hold.cuts_free()
        };
        let parts = job.holding.hang == Hang::Parts;
        let whole = |i: usize| !parts || skeleton.skin_left(i, &through) >= SKIN_LEFT;
        let cut: Vec<usize> = here.iter().filter(skin).filter(|&&i| !whole(i)).copied().collect();
        let ties = |i: usize| skeleton.skin_anchors(i) && !cut.contains(&i);
        let on_nothing = here.iter().filter(skin).filter(|&&i| !ties(i));
        let new: Vec<CopyOf> = on_nothing.map(|&i| laid.copy(i)).collect();
        let new = new.into_iter().filter(|c| !mended.lost.contains(c)).collect::<Vec<_>>();
        mended.lost.extend(new);
        mended.skin_cut.extend(cut.iter().map(|&i| laid.copy(i)));
    }
    mended
}

/// Gives copies that were laid with all tabs on one side their usual plan, where the stock round them takes its tabs: where no row
/// lies close a part that turns about one edge gains nothing.
fn on_all_sides(laid: &mut LaidSheet, skeleton: &Skeleton, job: &Job, members: &[Member]) {
    let grain = laid.sheet.grain_deg.to_radians();
    for (part, whose) in laid.sheet.parts.iter_mut().zip(&laid.whose) {
        let usual = members[*whose].judged(job, 0, grain_in_part(&part.pose(), grain));
        let one_side = part.hold.reason.as_ref().is_some_and(|why| why.one_side);
        if one_side && usual.method == Method::Tabs && part.hold.method == Method::Tabs {
            let pose = part.pose();
            let tabs: Vec<Tab> = usual.tabs.iter().map(|t| t.placed(&pose)).collect();
            if tabs.iter().all(|t| skeleton.accepts(t)) {
                part.hold = Hold { tabs, ..usual };
            }
        }
    }
}

/// On a sheet of more parts no island is kept: to plan thousands again takes longer than what it saves is worth (set by hand).
pub(super) const MOST_PARTS: usize = 250;

/// Plans again, wave by wave, the parts on the sheet itself that hang on no stock that stays: on clamped stock, and on islands that
/// parts which hang already keep. Returns whether any island is kept. The others are tied last of all (`tied_waste`), so that
/// nothing hangs on what bears the nominal force alone.
fn hang_on_islands(
    laid: &mut LaidSheet,
    skeleton: &Skeleton,
    job: &Job,
    members: &[Member],
    mended: &mut Mended,
) -> bool {
    if job.holding.hang == Hang::Stock || laid.sheet.parts.len() > MOST_PARTS {
        return false;
    }
    let mut islands = Islands::new(skeleton, &laid.sheet);
    let depths = skeleton.depths();
    let lands = |t: &Tab| skeleton.accepts(t);
    let mut held: Vec<bool> =
        laid.sheet.parts.iter().map(|p| p.hold.tabs.iter().all(lands)).collect();
    held.iter_mut().zip(&depths).for_each(|(held, depth)| *held &= *depth == 0);
    // A part waits with a plan that leaves an edge too far from its tabs: an island that is kept later may bring them nearer.
    let far = |m: &Mend| m.warnings.iter().any(|w| matches!(w, WarningKind::FarEdge { .. }));
    let mut waiting: BTreeMap<usize, Mend> = BTreeMap::new();
    let mut anew: BTreeSet<usize> =
        (0..held.len()).filter(|&i| depths[i] == 0 && !held[i]).collect();
    loop {
        anew.extend(islands.keep(laid, &Keeping { job, members, held: &held, least: 1.0 }));
        anew.retain(|&i| depths[i] == 0 && !held[i]);
        let LaidSheet { sheet, whose } = &*laid;
        let mend = |part: usize| {
            let pose = sheet.parts[part].pose();
            let landing_ok = |tab: &Tab| {
                let tab = tab.placed(&pose);
                skeleton.accepts(&tab) || islands.bear(part, &tab)
            };
            let planned = planned_anew(sheet, part, job, &members[whose[part]], &landing_ok);
            let HoldPlan { hold, warnings, .. } = planned;
            Mend { part, hold, warnings }
        };
        let open: Vec<usize> = std::mem::take(&mut anew).into_iter().collect();
        let plans: Vec<Mend> = open.into_par_iter().map(mend).collect();
        let tabs = plans.into_iter().filter(|m| m.hold.method == Method::Tabs);
        let (later, mut hangs): (Vec<Mend>, Vec<Mend>) = tabs.partition(far);
        waiting.extend(later.into_iter().map(|m| (m.part, m)));
        if hangs.is_empty() {
            hangs.extend(std::mem::take(&mut waiting).into_values());
        }
        hangs.retain(|m| !held[m.part]);
        if hangs.is_empty() {
            break;
        }
        hangs.iter().for_each(|m| held[m.part] = true);
        apply(hangs, laid, mended);
    }
    islands.any_kept()
}

/// Puts the parts in the order of cut.
fn in_order(laid: &mut LaidSheet) {
    let order = part_order(&laid.sheet);
    laid.sort(&order);
}

fn mends(
    laid: &LaidSheet,
    skeleton: &Skeleton,
    parts: &[usize],
    job: &Job,
    members: &[Member],
) -> Vec<Mend> {
    let LaidSheet { sheet, whose } = laid;
    let mend = |part: usize| {
        let member = &members[whose[part]];
        let pose = sheet.parts[part].pose();
        let landing_ok = |tab: &Tab| skeleton.accepts(&tab.placed(&pose));
        let planned = planned_anew(sheet, part, job, member, &landing_ok);
        let HoldPlan { hold, warnings, .. } = planned;
        Mend { part, hold, warnings }
    };
    let loose = |i: &usize| sheet.parts[*i].hold.tabs.iter().any(|t| !skeleton.accepts(t));
    parts.par_iter().copied().filter(loose).map(mend).collect()
}

/// Gives the parts their new holds, and notes which lost their tabs.
fn apply(mends: Vec<Mend>, laid: &mut LaidSheet, mended: &mut Mended) {
    for mend in mends {
        let copy = laid.copy(mend.part);
        let part = &mut laid.sheet.parts[mend.part];
        let lost = mend.hold.method != Method::Tabs && part.hold.method == Method::Tabs;
        let of_part = |kind| Warning::of(&part.part, kind);
        mended.warnings.extend(mend.warnings.into_iter().map(of_part));
        if lost {
            mended.lost.push(copy);
            let kind = WarningKind::NoLanding { method: mend.hold.method };
            mended.warnings.push(Warning { copies: vec![part.copy], ..of_part(kind) });
        }
        part.hold = mend.hold;
    }
}

#[cfg(test)]
mod tests {
    use super::super::{members::members, small_job};
    use super::*;
    use crate::geometry::{Pose, Ring, Vector, point};

    /// On the panel of 200 x 120 mm the long plate of 60 x 20 mm at (70, 50), with both tabs on its upper edge, as beside a row.
    /// The short plate of 30 x 20 lies a kerf from the place of a tab of the usual plan if that is `blocked`, else at the corner.
    fn one_sided(job: &Job, held: &[Member], blocked: bool) -> (LaidSheet, usize) {
        let mut sheet = small_job::made_of(job).layout.sheets.swap_remove(0);
        let kerf = sheet.bit.diameter;
        let long = held.iter().find(|m| m.part.name == "long").expect("the long one");
        let at = Pose::new(point(70.0, 50.0), 0.0);
        let tab = long.hold.hold.tabs[0].placed(&at);
        let half = point(15.0, 10.0);
        let reach = (tab.out.x * half.x).abs() + (tab.out.y * half.y).abs() + kerf;
        let beside = tab.at + tab.out * reach - half;
        for placed in &mut sheet.parts {
            let is_long = placed.part == "long";
            let corner = if is_long {
                at.offset
            } else if blocked {
                beside
            } else {
                point(10.0, 10.0)
            };
            let size = if is_long { point(60.0, 20.0) } else { half * 2.0 };
            placed.outline = Ring::rectangle(size.x, size.y).moved(corner);
            (placed.x, placed.y, placed.rotation_deg, placed.mirrored) =
                (corner.x, corner.y, 0.0, false);
            if is_long {
                let top = |x: f64| Tab {
                    at: at.offset + point(x, 0.0),
                    out: point(0.0, -1.0),
                    ring: 0,
                    ..tab.clone()
                };
                placed.hold = long.hold.hold.clone();
                placed.hold.tabs = vec![top(15.0), top(45.0)];
                placed.hold.reason.as_mut().expect("a reason").one_side = true;
            }
        }
        let whose = |p: &crate::layout::PlacedPart| held.iter().position(|m| m.part.name == p.part);
        let whose = sheet.parts.iter().map(|p| whose(p).expect("a member")).collect();
        let part = sheet.parts.iter().position(|p| p.part == "long").expect("placed");
        (LaidSheet { sheet, whose }, part)
    }

    /// Whether two tabs of a part lie on different edges.
    fn on_two_edges(laid: &LaidSheet, part: usize) -> bool {
        let tabs = &laid.sheet.parts[part].hold.tabs;
        tabs.iter().any(|t| t.out.dot(tabs[0].out) < 0.9)
    }

    #[test]
    fn tabs_leave_one_side_where_there_is_stock_on_others() {
        let job = small_job::job();
        let held = members(&job);
        // In the open it gets its usual plan.
        let (mut laid, long) = one_sided(&job, &held, false);
        assert!(!on_two_edges(&laid, long));
        mend(&mut laid, &job, &held);
        let usual = &held[laid.whose[long]].hold.hold;
        let pose = laid.sheet.parts[long].pose();
        let placed: Vec<Tab> = usual.tabs.iter().map(|t| t.placed(&pose)).collect();
        assert_eq!(laid.sheet.parts[long].hold.tabs, placed);
        assert!(on_two_edges(&laid, long), "{placed:?}");
        // Where the short plate stands in the way of that, it keeps what it has.
        let (mut laid, long) = one_sided(&job, &held, true);
        let before = laid.sheet.parts[long].hold.clone();
        mend(&mut laid, &job, &held);
        assert_eq!(laid.sheet.parts[long].hold, before);
    }
}
