//! One group through the flow: nest, mend the anchors, plan the cut.

use super::members::{Member, warnings_of};
use super::{anchors, sheets, soft};
use crate::cut::{CutFault, CutPlan, part_order, plan_cut};
use crate::geometry::{Ring, grow_ring};
use crate::hold::HoldPlan;
use crate::job::{Group, Job};
use crate::layout::{LANDING_DEPTH, PlacedPart, Sheet, Unplaced, Warning};
use crate::nest::{self, Budget, Ended, First, Nest, NestPart, Nested, Problem};
use std::collections::BTreeSet;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};

/// How long to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Moves tried a group; with neither, a number that grows with the number of parts.
    pub moves: Option<u64>,
    /// Or a time limit for the whole job; the answer may then differ from run to run.
    pub time: Option<Duration>,
    /// Worker threads a group; the result is the same at any number.
    pub threads: usize,
}

impl Effort {
    fn budget(&self, share: f64) -> Budget {
        Budget { moves: self.moves, time: self.time.map(|t| t.mul_f64(share)) }
    }
}

/// Share of a group's time for its first nest: it may need a second one.
const FIRST_SHARE: f64 = 0.6;

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

/// A group with its holds planned, ready to nest.
pub(super) struct GroupTask<'a> {
    number: usize,
    group: &'a Group,
    members: Vec<Member<'a>>,
    problem: Problem,
}

impl<'a> GroupTask<'a> {
    /// Group `number` of the job, whose parts are the next of `held`.
    pub(super) fn new(
        job: &'a Job,
        number: usize,
        held: &mut impl Iterator<Item = Member<'a>>,
        effort: &Effort,
    ) -> GroupTask<'a> {
        let group = &job.groups[number];
        let members: Vec<Member> = held.take(group.parts.len()).collect();
        let problem = problem(job, group, &members, &vec![false; members.len()], effort);
        GroupTask { number, group, members, problem }
    }

    /// The group's nest, with no layout yet.
    pub(super) fn nest(&self) -> Nest<'_> {
        Nest::new(&self.problem)
    }

    /// Tells who watches how far the nest is.
    pub(super) fn report(&self, watch: &Watch, search: nest::Progress) {
        if let Some(progress) = watch.progress {
            progress(GroupProgress { group: self.number, search });
        }
    }

    /// Makes the group from its first layout on; the effort's time is what this group may take.
    ///
    /// Where kerfs coincide, what is left between parts may be islands that no clamp reaches. So a group
    /// is nested a second time with a web left round each part whose tabs found no clamped stock, and the
    /// better of the two layouts is kept: the fewer sheets, then the fewer parts without an anchor, then
    /// the less stock.
    pub(super) fn make(
        &self,
        job: &Job,
        nest: &Nest<'_>,
        first: First<'_>,
        effort: &Effort,
        watch: &Watch,
    ) -> GroupMade {
        let start = Instant::now();
        let (group, members) = (self.group, &self.members);
        let report = |search| self.report(watch, search);
        let control = nest::Control { stop: watch.stop, progress: Some(&report) };
        let attempt = |nested| Attempt::new(job, group, members, nested);
        let mut made = attempt(nest.improve(first, effort.budget(FIRST_SHARE), &control));
        let loose = made.without_anchor(members.len());
        if loose.contains(&true) && job.web.is_none() {
            let left = effort.time.map(|t| t.saturating_sub(start.elapsed()));
            let rest = Effort { time: left, ..*effort };
            let roomy = problem(job, group, members, &loose, &rest);
            let second = attempt(nest::nest(&roomy, &control));
            let moves = made.nested.moves + second.nested.moves;
            if second.rank() < made.rank() {
                made = second;
            }
            made.nested.moves = moves;
        }
        made.finish(job, group, members)
    }
}

fn problem(
    job: &Job,
    group: &Group,
    members: &[Member],
    roomy: &[bool],
    effort: &Effort,
) -> Problem {
    let part = |(m, &roomy): (&Member, &bool)| nest_part(m, group.bit.diameter, roomy);
    Problem {
        parts: members.iter().zip(roomy).map(part).collect(),
        sheets: group.stock.clone(),
        kerf: group.bit.diameter,
        gap: group.gap(job.web),
        seed: job.seed,
        budget: effort.budget(1.0),
        threads: effort.threads,
    }
}

/// A member as the nest sees it; `roomy` asks for a web all round it, as if it had a landing there.
fn nest_part(member: &Member, kerf: f64, roomy: bool) -> NestPart {
    let part = member.part;
    let mut landings: Vec<Ring> = member.hold.hold.tabs.iter().map(|t| t.landing(kerf)).collect();
    if roomy {
        let web = grow_ring(&part.shape.outline, kerf + LANDING_DEPTH);
        landings.extend(web.into_iter().map(|s| s.outline));
    }
    NestPart {
        name: part.name.clone(),
        shape: part.shape.clone(),
        copies: if member.refused.is_some() { 0 } else { part.quantity },
        spares: if member.refused.is_some() { 0 } else { part.spares },
        turns: member.turns.clone(),
        landings,
        pins: if member.refused.is_some() { vec![] } else { part.pins.clone() },
    }
}

/// One nest of the group, as sheets whose tabs are not mended yet.
struct Attempt {
    nested: Nested,
    sheets: Vec<(Sheet, Vec<usize>)>,
    /// Indices of the parts without an anchor, sheet by sheet.
    loose: Vec<Vec<usize>>,
}

impl Attempt {
    fn new(job: &Job, group: &Group, members: &[Member], nested: Nested) -> Self {
        let sheets = sheets::sheets_of(job, group, members, &nested);
        let loose = sheets.iter().map(|(sheet, _)| anchors::loose(sheet)).collect();
        Attempt { nested, sheets, loose }
    }

    /// Which members have a copy without an anchor.
    fn without_anchor(&self, members: usize) -> Vec<bool> {
        let mut found = vec![false; members];
        for ((_, whose), loose) in self.sheets.iter().zip(&self.loose) {
            for &i in loose {
                found[whose[i]] = true;
            }
        }
        found
    }

    /// Less is better: parts left over, sheets, parts without an anchor, stock used in mm².
    fn rank(&self) -> (usize, usize, usize, u64) {
        let loose = self.loose.iter().map(Vec::len).sum();
        let area: f64 = self.sheets.iter().map(|(s, _)| s.outline.area()).sum();
        (self.nested.unplaced.len(), self.sheets.len(), loose, area as u64)
    }

    /// Mends the tabs, puts the parts in the order of cut and plans the cut.
    fn finish(self, job: &Job, group: &Group, members: &[Member]) -> GroupMade {
        let (mut warnings, mut of_holds) = (vec![], warnings_of(members));
        let (mut sheets, mut cuts) = (vec![], vec![]);
        for (mut sheet, mut whose) in self.sheets {
            anchors::mend(&mut sheet, &whose, job, group, members, &mut of_holds);
            let mut cut = in_order_of_cut(&mut sheet, &mut whose);
            if soft::firm_up(&mut sheet, &cut, &whose, job, group, members, &mut of_holds) {
                cut = in_order_of_cut(&mut sheet, &mut whose);
            }
            sheets::common_last_pass(&mut sheet);
            let fault = |f: &CutFault| Warning { part: String::new(), message: f.describe(&sheet) };
            warnings.extend(cut.faults.iter().map(fault));
            warnings.extend(soft::warnings(&sheet, &cut, job.units));
            sheet.total();
            sheets.push(sheet);
            cuts.push(cut);
        }
        let unplaced = sheets::unplaced_of(job, group, members, &self.nested);
        warnings.extend(once_each(of_holds));
        GroupMade {
            sheets,
            cuts,
            unplaced,
            warnings,
            holds: members.iter().map(|m| m.hold.clone()).collect(),
            moves: self.nested.moves,
            ended: self.nested.ended,
        }
    }
}

/// Warnings without those that say the same of the same part with other figures: copies planned anew repeat them.
fn once_each(warnings: Vec<Warning>) -> Vec<Warning> {
    let kind =
        |w: &Warning| -> String { w.message.chars().filter(|c| !c.is_ascii_digit()).collect() };
    let mut seen = BTreeSet::new();
    warnings.into_iter().filter(|w| seen.insert((w.part.clone(), kind(w)))).collect()
}

/// Sorts the parts (and whose they are) in the order their outlines are cut and plans the cut.
fn in_order_of_cut(sheet: &mut Sheet, whose: &mut Vec<usize>) -> CutPlan {
    let order = part_order(sheet);
    let parts: Vec<(PlacedPart, usize)> = sheet.parts.drain(..).zip(whose.drain(..)).collect();
    let mut parts: Vec<Option<(PlacedPart, usize)>> = parts.into_iter().map(Some).collect();
    let mut sorted: Vec<_> = order.iter().filter_map(|&i| parts.get_mut(i)?.take()).collect();
    // Parts the plan could not use keep their place at the end.
    sorted.extend(parts.into_iter().flatten());
    (sheet.parts, *whose) = sorted.into_iter().unzip();
    plan_cut(sheet)
}
