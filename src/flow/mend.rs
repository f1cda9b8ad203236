//! Mends tabs that found no anchor: once the sheet is nested, the stock left of it is known, and a
//! part whose tabs land on loose stock gets other places, or another method with the reason.

use super::members::{Member, planned_anew};
use super::placed_sheet::LaidSheet;
use crate::cut::{Skeleton, landing_on_skeleton};
use crate::hold::HoldPlan;
use crate::job::Job;
use crate::layout::{Hold, Method, Sheet, Tab, Warning, WarningKind};
use rayon::prelude::*;

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
    /// Parts that found no stock for any tabs, or whose skin ties them to no stock that stays: indices into the sheet's parts.
    pub(super) lost: Vec<usize>,
    pub(super) warnings: Vec<Warning>,
}

/// Plans again every part of the sheet with a tab that does not land on clamped skeleton.
///
/// Parts on the sheet itself come first, then those in their openings: the waste that a small part hangs on may have lost
/// its own tabs by then. Where a part may land depends on its hosts alone, so one round is enough.
pub(super) fn mend(laid: &mut LaidSheet, job: &Job, members: &[Member]) -> Mended {
    let mut skeleton = landing_on_skeleton(&laid.sheet);
    let depths = skeleton.depths();
    let mut mended = Mended::default();
    for depth in 0..=depths.iter().copied().max().unwrap_or(0) {
        let here: Vec<usize> = (0..depths.len()).filter(|&i| depths[i] == depth).collect();
        let mends = mends(laid, &skeleton, &here, job, members);
        if !mends.is_empty() {
            apply(mends, &mut laid.sheet, &mut mended);
            skeleton.tie(&laid.sheet);
        }
        let skin = |i: &&usize| laid.sheet.parts[**i].hold.method == Method::Skin;
        let on_nothing = here.iter().filter(skin).filter(|&&i| !skeleton.skin_anchors(i));
        let new: Vec<usize> = on_nothing.copied().filter(|i| !mended.lost.contains(i)).collect();
        mended.lost.extend(new);
    }
    mended
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
fn apply(mends: Vec<Mend>, sheet: &mut Sheet, mended: &mut Mended) {
    for mend in mends {
        let part = &mut sheet.parts[mend.part];
        let lost = mend.hold.method != Method::Tabs && part.hold.method == Method::Tabs;
        let of_part = |kind| Warning::of(&part.part, kind);
        mended.warnings.extend(mend.warnings.into_iter().map(of_part));
        if lost {
            mended.lost.push(mend.part);
            let kind = WarningKind::NoLanding { method: mend.hold.method };
            mended.warnings.push(Warning { copies: vec![part.copy], ..of_part(kind) });
        }
        part.hold = mend.hold;
    }
}
