//! One group through the flow: plan the holds, nest, mend the anchors, plan the cut.

use super::{anchors, sheets};
use crate::cut::{CutFault, CutPlan, plan_cut};
use crate::geometry::{Point, Vector, point};
use crate::hold::{HoldPlan, HoldTask, plan, strongest_grain};
use crate::job::{Grain, Group, Job, Part, Turns};
use crate::layout::{PlacedPart, Sheet, Unplaced, Warning};
use crate::nest::{self, Budget, Ended, NestPart, Problem};
use rayon::prelude::*;
use std::f64::consts::{FRAC_PI_4, PI};
use std::sync::atomic::AtomicBool;
use std::time::Duration;

/// How long to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Moves tried a group; with neither, a number that grows with the number of parts.
    pub moves: Option<u64>,
    /// Or a time limit; the answer may then differ from run to run.
    pub time: Option<Duration>,
    /// Worker threads a group; the result is the same at any number.
    pub threads: usize,
}

/// Who watches the search, and may stop it.
pub struct Watch<'a> {
    /// Set to stop with the best valid layout so far.
    pub stop: &'a AtomicBool,
    /// Called now and then from the search's threads.
    pub progress: Option<&'a (dyn Fn(GroupProgress) + Sync)>,
}

/// How far a group's search is.
#[derive(Debug, Clone)]
pub struct GroupProgress {
    /// The group's number in the job.
    pub group: usize,
    /// What the search says.
    pub search: nest::Progress,
}

/// A group made.
pub(super) struct GroupMade {
    pub(super) sheets: Vec<Sheet>,
    pub(super) cuts: Vec<CutPlan>,
    pub(super) unplaced: Vec<Unplaced>,
    pub(super) warnings: Vec<Warning>,
    pub(super) holds: Vec<HoldPlan>,
    pub(super) moves: u64,
    pub(super) ended: Ended,
}

/// A part as its group sees it: its grain resolved, its hold planned.
pub(super) struct Member<'a> {
    pub(super) part: &'a Part,
    pub(super) turns: Turns,
    /// Directions, in the part's frame, that the grain may take.
    pub(super) grain: Vec<f64>,
    pub(super) hold: HoldPlan,
}

/// Makes one group.
pub(super) fn make_group(
    job: &Job,
    number: usize,
    group: &Group,
    effort: &Effort,
    watch: &Watch,
) -> GroupMade {
    let members = members(job, group);
    let problem = Problem {
        parts: members.iter().map(|m| nest_part(m, group.bit.diameter)).collect(),
        sheets: group.stock.clone(),
        kerf: group.bit.diameter,
        gap: group.gap(job.web),
        seed: job.seed,
        budget: Budget { moves: effort.moves, time: effort.time },
        threads: effort.threads,
    };
    let report = |search: nest::Progress| {
        if let Some(progress) = watch.progress {
            progress(GroupProgress { group: number, search });
        }
    };
    let control = nest::Control { stop: watch.stop, progress: Some(&report) };
    let nested = nest::nest(&problem, &control);
    let mut warnings = warnings_of(&members);
    let (mut sheets, mut cuts) = (vec![], vec![]);
    for (mut sheet, whose) in sheets::sheets_of(job, group, &members, &nested) {
        anchors::mend(&mut sheet, &whose, job, group, &members, &mut warnings);
        sheets::common_last_pass(&mut sheet);
        let cut = in_order_of_cut(&mut sheet);
        let fault = |f: &CutFault| Warning { part: String::new(), message: f.describe(&sheet) };
        warnings.extend(cut.faults.iter().map(fault));
        sheet.total();
        sheets.push(sheet);
        cuts.push(cut);
    }
    let unplaced = sheets::unplaced_of(job, group, &members, &nested);
    let holds = members.into_iter().map(|m| m.hold).collect();
    GroupMade { sheets, cuts, unplaced, warnings, holds, moves: nested.moves, ended: nested.ended }
}

/// Sorts the parts in the order their outlines are cut and plans the cut.
fn in_order_of_cut(sheet: &mut Sheet) -> CutPlan {
    let order = plan_cut(sheet).part_order();
    let mut parts: Vec<Option<PlacedPart>> = sheet.parts.drain(..).map(Some).collect();
    sheet.parts = order.iter().filter_map(|&i| parts.get_mut(i)?.take()).collect();
    // Parts the plan could not use keep their place at the end.
    sheet.parts.extend(parts.into_iter().flatten());
    plan_cut(sheet)
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
    if tolerance >= PI / 2.0 {
        return (Turns::free(part.mirror), (0..4).map(|i| FRAC_PI_4 * f64::from(i)).collect());
    }
    let grain = match tolerance {
        0.0 => vec![along],
        t => vec![along, along - t, along + t],
    };
    (Turns::along(along, tolerance, part.mirror), grain)
}

fn nest_part(member: &Member, kerf: f64) -> NestPart {
    let part = member.part;
    NestPart {
        name: part.name.clone(),
        shape: part.shape.clone(),
        copies: part.quantity,
        spares: part.spares,
        turns: member.turns.clone(),
        landings: member.hold.hold.tabs.iter().map(|t| t.landing(kerf)).collect(),
        pins: part.pins.clone(),
    }
}

fn warnings_of(members: &[Member]) -> Vec<Warning> {
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
pub(super) fn grain_in_part(pose: &crate::geometry::Pose, sheet_grain: f64) -> f64 {
    let along: Point = point(1.0, 0.0).turned(sheet_grain);
    let v = pose.inverse(along + pose.offset);
    v.y.atan2(v.x)
}
