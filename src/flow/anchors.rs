//! Mending tabs that found no anchor: once the sheet is nested, what is left of it is known, and a
//! part whose tabs land on loose stock gets other places, or another method with the reason.

use super::members::{Member, planned_anew};
use crate::cut::landing_on_skeleton;
use crate::hold::HoldPlan;
use crate::job::{Group, Job};
use crate::layout::{Hold, Method, Sheet, Tab, Warning};
use rayon::prelude::*;

/// A part with a tab that does not land on clamped skeleton, planned anew.
pub(super) struct Mend {
    /// Index of the part on its sheet.
    pub(super) part: usize,
    hold: Hold,
    warnings: Vec<String>,
}

impl Mend {
    /// Whether it found no stock for any tabs.
    pub(super) fn lost_its_tabs(&self, sheet: &Sheet) -> bool {
        self.hold.method != Method::Tabs && sheet.parts[self.part].hold.method == Method::Tabs
    }
}

/// Plans anew every part of the sheet of which a tab does not land on clamped skeleton.
pub(super) fn mends(
    sheet: &Sheet,
    whose: &[usize],
    job: &Job,
    group: &Group,
    members: &[Member],
) -> Vec<Mend> {
    let skeleton = landing_on_skeleton(sheet);
    let mend = |part: usize| {
        let member = &members[whose[part]];
        let pose = sheet.parts[part].pose();
        let landing_ok = |tab: &Tab| skeleton.accepts(&tab.placed(&pose));
        let planned = planned_anew(sheet, part, job, group, member, &landing_ok);
        let HoldPlan { hold, warnings, .. } = planned;
        Mend { part, hold, warnings }
    };
    let loose = |i: &usize| sheet.parts[*i].hold.tabs.iter().any(|t| !skeleton.accepts(t));
    (0..sheet.parts.len()).into_par_iter().filter(loose).map(mend).collect()
}

/// Gives the parts their new holds, and tells which lost their tabs.
pub(super) fn apply(mends: Vec<Mend>, sheet: &mut Sheet, warnings: &mut Vec<Warning>) {
    for mend in mends {
        let lost = mend.lost_its_tabs(sheet);
        let part = &mut sheet.parts[mend.part];
        let of_part = |message| Warning { part: part.part.clone(), message };
        warnings.extend(mend.warnings.into_iter().map(of_part));
        if lost {
            warnings.push(of_part(format!(
                "found no stock for its tabs to land on where it lies: {} (copy {})",
                mend.hold.method.name(),
                part.copy
            )));
        }
        part.hold = mend.hold;
    }
}
