//! Takes one group through the flow: nests, mends the anchors, plans the cut.

use super::cheapest_start::cheapest_start;
use super::effort::{Effort, GroupProgress, Watch};
use super::group_made::GroupMade;
use super::group_search::GroupSearch;
use super::members::Member;
use super::mend::MOST_PARTS;
use super::rank::Rank;
use super::sheet_prices::sheet_prices;
use crate::cut::main_clamped;
use crate::hold::HoldPlan;
use crate::job::{Group, Hang, Holding, Job};
use crate::layout::HoldDown;
use crate::nest::{self, Budget, Control, First, Nest, NestPart, NestTask, Nested, Rooms};
use std::sync::OnceLock;
use std::time::Instant;

/// Share of a time limit for finding a layout on cheaper sheets to start from, and how many first layouts must fit in it: each
/// stock takes a few.
const START: f64 = 0.2;
const START_LAYOUTS: u32 = 8;

/// A group with its holds planned, ready to nest.
pub(super) struct GroupTask<'a> {
    number: usize,
    pub(super) group: &'a Group,
    pub(super) members: Vec<Member<'a>>,
    problem: NestTask,
    /// The same without landings: parts a gap apart, wherever their tabs then find stock.
    tight: NestTask,
    /// A layout of all copies to start from, once it is known whether there is one.
    start: OnceLock<Option<Nested>>,
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
        let problem = problem(job, group, &members, effort);
        let bare = |p: &NestPart| NestPart { holds: vec![], ..p.clone() };
        let tight = NestTask { parts: problem.parts.iter().map(bare).collect(), ..problem.clone() };
        GroupTask { number, group, members, problem, tight, start: OnceLock::new() }
    }

    /// The same with a layout of all copies to start from; not where spares are wanted, of which it has none.
    pub(super) fn starting_from(self, start: Nested) -> GroupTask<'a> {
        let start = Some(start).filter(|_| !self.wants_spares());
        GroupTask { start: start.into(), ..self }
    }

    fn wants_spares(&self) -> bool {
        self.problem.parts.iter().any(|p| p.spares > 0)
    }

    /// Finds a layout to start from where none was given: on cheaper sheets than the nest opens by itself.
    fn find_start(&self, nest: &Nest<'_>, effort: &Effort, watch: &Watch) {
        let cheapest = || {
            let filled = Budget { moves: Some(0), ..effort.budget(START) };
            let control = Control { stop: watch.stop, progress: None };
            sheet_prices(&self.problem.sheets).filter(|_| !self.wants_spares())?;
            let start = Instant::now();
            let first = nest.first();
            if filled.time.is_some_and(|t| start.elapsed() * START_LAYOUTS > t) {
                return None;
            }
            let first = nest.improve(first, filled, &control);
            let task = NestTask { budget: effort.budget(START), ..self.problem.clone() };
            cheapest_start(&task, nest, &first, &control)
        };
        self.start.get_or_init(cheapest);
    }

    /// The group's nest, with no layout yet.
    pub(super) fn nest(&self) -> Nest<'_> {
        Nest::new(&self.problem)
    }

    /// What is nested: the parts with room for their tabs, on the group's stock.
    pub(super) fn nest_task(&self) -> &NestTask {
        &self.problem
    }

    /// Reports the progress of the nest to whoever watches.
    pub(super) fn report(&self, watch: &Watch, search: nest::Progress) {
        if let Some(progress) = watch.progress {
            progress(GroupProgress { group: self.number, search });
        }
    }

    /// Makes the group, starting from its first layout; the effort's time is what this group may take.
    ///
    /// Where parts may hang on parts it is first nested as tight as if nothing had to be held: most parts then find stock for their
    /// tabs, if need be on islands that a part cut later keeps. Where too many do not, or some never do, or the skeleton has no
    /// room for clamps, the parts are nested with room for their tabs. What `verify` then finds without an anchor is not taken: in
    /// the end parts hang on stock alone.
    pub(super) fn make(
        &self,
        job: &Job,
        nest: &Nest<'_>,
        first: First<'_>,
        effort: &Effort,
        watch: &Watch,
    ) -> GroupMade {
        let start = Instant::now();
        self.find_start(nest, effort, watch);
        let left = || {
            let time = effort.time.map(|t| t.saturating_sub(start.elapsed()));
            Effort { time, ..*effort }
        };
        if job.holding.hang == Hang::Parts {
            let taped = job.holding.hold_down == Some(HoldDown::Tape);
            let clamped = |made: &GroupMade| taped || made.sheets.iter().all(main_clamped);
            let tight = self.tightly(job, effort, watch).filter(|t| t.0.is_anchored());
            if let Some((made, _)) = tight.as_ref().filter(|t| t.1.keeps_all() && clamped(&t.0)) {
                return made.clone();
            }
            let roomy = self.searched(job, nest, nest.first(), (&left(), false), watch);
            let roomy = roomy.filter(|t| t.0.is_anchored());
            // Clamps, where room for tabs leaves room for them, are worth more than stock.
            if let Some((made, _)) = roomy.as_ref().filter(|r| r.1.keeps_all() && clamped(&r.0)) {
                return made.clone();
            }
            let best = [tight, roomy].into_iter().flatten().min_by(|a, b| a.1.cmp(&b.1));
            if let Some((made, _)) = best {
                return made;
            }
        }
        let holding = Holding { hang: Hang::Stock, ..job.holding.clone() };
        let on_stock = Job { holding, ..job.clone() };
        let made = self.searched(&on_stock, nest, first, (&left(), false), watch);
        made.map_or_else(|| GroupMade::nothing(&self.members), |m| m.0)
    }

    /// The group nested as tight as if nothing had to be held; `None` where it has too many copies for that, or they find no
    /// stock for their tabs.
    fn tightly(&self, job: &Job, effort: &Effort, watch: &Watch) -> Option<(GroupMade, Rank)> {
        if self.copies() > MOST_PARTS {
            return None;
        }
        let bare = Nest::new(&self.tight);
        self.searched(job, &bare, bare.first(), (effort, true), watch)
    }

    /// The copies to place, spares included.
    fn copies(&self) -> usize {
        self.problem.parts.iter().map(|p| p.copies + p.spares).sum()
    }

    /// Searches one nest's layouts, and finishes the best; with its rank. `None` if it is `tight` and too many copies find no stock
    /// for their tabs.
    fn searched(
        &self,
        job: &Job,
        nest: &Nest<'_>,
        first: First<'_>,
        (effort, tight): (&Effort, bool),
        watch: &Watch,
    ) -> Option<(GroupMade, Rank)> {
        let report = |search| self.report(watch, search);
        // Without landings there is one way to hold a part.
        let bare = |start: &Nested| {
            let mut start = start.clone();
            start.sheets.iter_mut().flat_map(|s| &mut s.placed).for_each(|p| p.hold = 0);
            start
        };
        let known = self
            .start
            .get()
            .and_then(Option::as_ref)
            .map(|s| if tight { bare(s) } else { s.clone() });
        let search = GroupSearch {
            known,
            job,
            group: self.group,
            members: &self.members,
            nest,
            roomy: &self.problem,
            effort,
            tight,
            control: &Control { stop: watch.stop, progress: Some(&report) },
            start: Instant::now(),
            rooms: Rooms::default(),
        };
        search.run(first)
    }
}

fn problem(job: &Job, group: &Group, members: &[Member], effort: &Effort) -> NestTask {
    NestTask {
        parts: members.iter().map(|m| nest_part(m, group.bit.diameter)).collect(),
        sheets: group.stock.clone(),
        kerf: group.bit.diameter,
        gap: group.gap(job.web),
        seed: job.seed,
        budget: effort.budget(1.0),
        threads: effort.threads,
    }
}

/// A member as the nest sees it.
pub(super) fn nest_part(member: &Member, kerf: f64) -> NestPart {
    let part = member.part;
    let landings = |p: &HoldPlan| p.hold.tabs.iter().map(|t| t.landing(kerf)).collect();
    NestPart {
        name: part.name.clone(),
        shape: part.shape.clone(),
        copies: if member.refused.is_some() { 0 } else { part.quantity },
        spares: if member.refused.is_some() { 0 } else { part.spares },
        turns: member.turns.clone(),
        holds: member.plans().map(landings).collect(),
        pins: if member.refused.is_some() { vec![] } else { part.pins.clone() },
    }
}
