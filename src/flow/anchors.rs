//! Mending tabs that found no anchor: once the sheet is nested, what is left of it is known, and a
//! part whose tabs land on loose stock gets other places, or another method with the reason.

use super::members::{Member, grain_in_part, judged_at, task};
use crate::cut::{Skeleton, landing_on_skeleton};
use crate::hold::{HoldPlan, HoldTask, plan};
use crate::job::{Group, Job};
use crate::layout::{Hold, Method, Sheet, Tab, Warning};
use rayon::prelude::*;

/// Indices of the parts of which a tab does not land on clamped skeleton.
pub(super) fn loose(sheet: &Sheet) -> Vec<usize> {
    loose_on(sheet, &landing_on_skeleton(sheet))
}

fn loose_on(sheet: &Sheet, skeleton: &Skeleton) -> Vec<usize> {
    let loose = |i: &usize| sheet.parts[*i].hold.tabs.iter().any(|t| !skeleton.accepts(t));
    (0..sheet.parts.len()).filter(loose).collect()
}

/// Plans anew every part of the sheet of which a tab does not land on clamped skeleton.
pub(super) fn mend(
    sheet: &mut Sheet,
    whose: &[usize],
    job: &Job,
    group: &Group,
    members: &[Member],
    warnings: &mut Vec<Warning>,
) {
    let skeleton = landing_on_skeleton(sheet);
    let loose = loose_on(sheet, &skeleton);
    let mended: Vec<(usize, Hold, Vec<String>)> = loose
        .par_iter()
        .map(|&i| {
            let member = &members[whose[i]];
            let pose = sheet.parts[i].pose();
            let landing_ok = |tab: &Tab| skeleton.accepts(&tab.placed(&pose));
            let asked = HoldTask {
                landing_ok: Some(&landing_ok),
                ..task(job, group, member.part, &member.grain)
            };
            let HoldPlan { mut hold, warnings, .. } = plan(&asked);
            let grain = grain_in_part(&pose, sheet.grain_deg.to_radians());
            judged_at(job, group, member, &mut hold, grain);
            hold.tabs = hold.tabs.iter().map(|t| t.placed(&pose)).collect();
            (i, hold, warnings)
        })
        .collect();
    for (i, hold, said) in mended {
        let part = &mut sheet.parts[i];
        warnings
            .extend(said.into_iter().map(|message| Warning { part: part.part.clone(), message }));
        if hold.method != Method::Tabs && part.hold.method == Method::Tabs {
            warnings.push(Warning {
                part: part.part.clone(),
                message: format!(
                    "found no stock for its tabs to land on where it lies: {} (copy {})",
                    hold.method.name(),
                    part.copy
                ),
            });
        }
        part.hold = hold;
    }
}
