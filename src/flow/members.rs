//! A group's parts as the flow sees them: the grain resolved, the hold planned.

use crate::geometry::{Point, Pose, Vector, point};
use crate::hold::{HoldPlan, HoldTask, plan, strongest_grain};
use crate::job::{Grain, Group, Job, Part, Turns};
use crate::layout::Warning;
use rayon::prelude::*;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

/// A part as its group sees it: its grain resolved, its hold planned.
pub(super) struct Member<'a> {
    pub(super) part: &'a Part,
    pub(super) turns: Turns,
    /// Directions, in the part's frame, that the grain may take.
    pub(super) grain: Vec<f64>,
    pub(super) hold: HoldPlan,
}

/// The group's parts with their grain resolved and their holds planned, in parallel.
pub(super) fn members<'a>(job: &'a Job, group: &Group) -> Vec<Member<'a>> {
    group.parts.par_iter().map(|&i| member(job, group, &job.parts[i])).collect()
}

/// One part with its grain resolved and its hold planned.
pub(super) fn member<'a>(job: &Job, group: &Group, part: &'a Part) -> Member<'a> {
    let (turns, grain) = turns_of(part, group);
    let hold = plan(&task(job, group, part, &grain));
    Member { part, turns, grain, hold }
}

/// What the holding stage is asked for a part.
pub(super) fn task<'a>(
    job: &'a Job,
    group: &'a Group,
    part: &'a Part,
    grain: &'a [f64],
) -> HoldTask<'a> {
    HoldTask {
        shape: &part.shape,
        thickness: group.thickness,
        material: &group.material,
        grain,
        bit: &group.bit,
        holding: &job.holding,
        tab_free: &part.tab_free,
        landing_ok: None,
    }
}

/// How a part may turn, and which of its directions may then lie along the grain.
fn turns_of(part: &Part, group: &Group) -> (Turns, Vec<f64>) {
    if !group.material.has_grain() {
        return (Turns::free(part.mirror), vec![]);
    }
    let along = match part.grain {
        Grain::Along(angle) => angle,
        Grain::Strong => strongest_grain(&part.shape),
        // Every eighth of a turn stands for all: strength by angle is smooth between them.
        Grain::Any => {
            return (Turns::free(part.mirror), (0..4).map(|i| FRAC_PI_4 * f64::from(i)).collect());
        }
    };
    let tolerance = part.grain_tolerance;
    if tolerance >= FRAC_PI_2 {
        return (Turns::free(part.mirror), (0..4).map(|i| FRAC_PI_4 * f64::from(i)).collect());
    }
    let grain = match tolerance {
        0.0 => vec![along],
        t => vec![along, along - t, along + t],
    };
    (Turns::along(along, tolerance, part.mirror), grain)
}

/// What the holding plans want the maker to know.
pub(super) fn warnings_of(members: &[Member]) -> Vec<Warning> {
    let of = |m: &Member| {
        let part = m.part.name.clone();
        m.hold
            .warnings
            .iter()
            .map(move |w| Warning { part: part.clone(), message: w.clone() })
            .collect::<Vec<_>>()
    };
    members.iter().flat_map(of).collect()
}

/// The part's own direction, radians, that lies along the sheet's grain at this pose.
pub(super) fn grain_in_part(pose: &Pose, sheet_grain: f64) -> f64 {
    let along: Point = point(1.0, 0.0).turned(sheet_grain);
    let v = pose.inverse(along + pose.offset);
    v.y.atan2(v.x)
}

/// One part's holding plan, by itself.
pub struct PartHold {
    group: usize,
    part: usize,
    grain: Vec<f64>,
    /// The plan.
    pub plan: HoldPlan,
}

/// The holding plan of part number `part` of the job; `None` when no group has it.
pub fn part_hold(job: &Job, part: usize) -> Option<PartHold> {
    let group = job.groups.iter().position(|g| g.parts.contains(&part))?;
    let member = member(job, &job.groups[group], job.parts.get(part)?);
    Some(PartHold { group, part, grain: member.grain, plan: member.hold })
}

impl PartHold {
    /// What the holding stage was asked.
    pub fn task<'a>(&'a self, job: &'a Job) -> HoldTask<'a> {
        task(job, &job.groups[self.group], &job.parts[self.part], &self.grain)
    }
}
