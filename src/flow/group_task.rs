//! Takes one group through the flow: nests, mends the anchors, plans the cut.

use super::attempt::Attempt;
use super::group_made::GroupMade;
use super::members::Member;
use super::mend::MOST_PARTS;
use super::placed_sheet::{self, LaidSheet};
use super::rank::{Rank, stock_used};
use crate::cut::main_clamped;
use crate::hold::HoldPlan;
use crate::job::{Group, Hang, Holding, Job};
use crate::layout::{HoldDown, LANDING_DEPTH};
use crate::nest::{
    self, Budget, CopyOf, First, Improved, Nest, NestPart, NestTask, Nested, TabRoom, Webbed,
};
use std::collections::BTreeMap;
use std::iter;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// How long to search: by moves or by time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Moves tried for each group; without moves or time, a number that grows with the number of parts.
    pub moves: Option<u64>,
    /// Or a time limit for the whole job; the answer may then differ from run to run.
    pub time: Option<Duration>,
    /// Worker threads for each group; the result is the same at any number.
    pub threads: usize,
}

impl Effort {
    fn budget(&self, share: f64) -> Budget {
        Budget { moves: self.moves, time: self.time.map(|t| t.mul_f64(share)) }
    }
}

/// Most times a group is nested again with webs round the copies that found no clamped stock: the tide
/// clock's groups need one to four times (seeds 1 to 4).
const AGAIN: usize = 5;

/// Most times it is nested again for copies that nothing, or nothing firm, holds in the simulated cut.
const ELSEWHERE: usize = 2;
/// The web round them where some have no firm landing, mm: a strip of walnut 6 mm thick, 8 mm wide and 150 mm long gives 0.03 mm
/// under 5 N with the grain along it, and 0.5 mm with the grain across it (a beam built in at both ends, the load at its middle).
const FIRM_WEB: f64 = 8.0;

/// Copies in a lattice, as a person would draw them, are worth this much more stock (set by hand).
const REGULAR: f64 = 1.03;

/// Less time than this does not pay for an optional nest: it is about what planning lost tabs again takes.
const WORTHWHILE: Duration = Duration::from_millis(300);

/// Fraction of a group's remaining time for each nest: it may need another nest, and planning tabs again takes
/// time too. With 0.6 a limit of 15 s on the tide clock left no time for the webs.
const SHARE: f64 = 0.35;

/// Most copies that may find no stock for their tabs in the first layout without room for them, as a share of all, and in any case:
/// with webs round more of them it is no tighter than with room for every tab (set by hand).
const LOST_SHARE: f64 = 0.2;
const LOST_FEW: f64 = 3.0;

/// Who watches the search, and may stop it.
pub struct Watch<'a> {
    /// Set to stop with the best valid layout so far.
    pub stop: &'a AtomicBool,
    /// Called now and then from the search's threads.
    pub progress: Option<&'a (dyn Fn(GroupProgress) + Sync)>,
}

/// The progress of a group's search.
#[derive(Debug, Clone)]
pub struct GroupProgress {
    /// The group's number in the job.
    pub group: usize,
    /// The progress of the nest.
    pub search: nest::Progress,
}

/// A group with its holds planned, ready to nest.
pub(super) struct GroupTask<'a> {
    number: usize,
    pub(super) group: &'a Group,
    pub(super) members: Vec<Member<'a>>,
    problem: NestTask,
    /// The same without landings: parts a gap apart, wherever their tabs then find stock.
    tight: NestTask,
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
        GroupTask { number, group, members, problem, tight }
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
    ///
    /// Where kerfs coincide, the stock between parts may be islands that no clamp reaches. Parts whose
    /// tabs land there are planned again; if a part finds no other stock for its tabs, the group is nested
    /// again with a web left round that copy. The best of these layouts is kept, the starting one included:
    /// the fewest sheets, then the fewest parts that lost their tabs, the most spares, the least stock.
    fn searched(
        &self,
        job: &Job,
        nest: &Nest<'_>,
        first: First<'_>,
        (effort, tight): (&Effort, bool),
        watch: &Watch,
    ) -> Option<(GroupMade, Rank)> {
        let start = Instant::now();
        let (group, members) = (self.group, &self.members);
        let report = |search| self.report(watch, search);
        let control = nest::Control { stop: watch.stop, progress: Some(&report) };
        let attempt = |nested| Attempt::new(job, group, members, nested);
        let Improved { searched, drawn, regular, unmoved } =
            nest.improve_beside(first, effort.budget(SHARE), &control);
        let mut best = attempt(searched);
        let mut regular = regular.into_iter();
        while unmoved && !best.without_tabs().is_empty() {
            let Some(tried) = regular.next().map(attempt) else { break };
            if tried.rank() < best.rank() {
                best = tried;
            }
        }
        let most = (self.copies() as f64 * LOST_SHARE).max(LOST_FEW) as usize;
        let skins: usize = best.mended.iter().map(|m| m.skin_cut.len()).sum();
        if tight && best.without_tabs().len().saturating_sub(skins) > most {
            return None;
        }
        let (mut last, mut moves) = (best.nested.clone(), best.nested.moves);
        let mut webs: BTreeMap<CopyOf, TabRoom> = BTreeMap::new();
        let mut wanted = best.webs_wanted(job, &webs, tight);
        for _ in 0..AGAIN {
            let left = effort.time.map(|t| t.saturating_sub(start.elapsed()));
            let stopped = watch.stop.load(Ordering::Relaxed);
            if wanted.is_empty() && (stopped || left.is_none_or(|t| t < WORTHWHILE)) {
                break;
            }
            // Where nothing wants a web, what is left of the time goes on with the best.
            let from = if wanted.is_empty() { &best.nested } else { &last };
            webs.extend(std::mem::take(&mut wanted));
            let budget = Effort { time: left, ..*effort }.budget(SHARE);
            let again = nest.webbed(from, &webs, (LANDING_DEPTH, &self.problem), budget, &control);
            let Some(Webbed { searched, aside }) = again else { break };
            moves += searched.moves;
            last = searched.clone();
            let tried = attempt(searched);
            wanted = tried.webs_wanted(job, &webs, tight);
            // What the search has moved may have lost tabs that were there before it.
            let aside = aside.filter(|_| !wanted.is_empty()).map(attempt);
            for tried in iter::once(tried).chain(aside) {
                if tried.rank() < best.rank() {
                    best = tried;
                }
            }
        }
        // Rows as they were drawn may hold what the search has left without tabs, or gave up for webs. They were there
        // before it: what ended the search is told all the same.
        let in_rows = members.iter().any(|m| m.plans().count() > 1);
        for (drawn, worth) in [(in_rows.then_some(drawn), 1.0), (regular.next(), REGULAR)] {
            let Some(drawn) = drawn else { continue };
            let rows = placed_sheet::sheets_of(job, group, members, &drawn);
            let stock = |sheets: &[LaidSheet]| stock_used(sheets.iter().map(|s| &s.sheet));
            let saves = stock(&rows) < worth * stock(&best.sheets);
            let may_win =
                rows.len() <= best.sheets.len() && (saves || !best.without_tabs().is_empty());
            if may_win {
                let drawn = attempt(Nested { ended: best.nested.ended, ..drawn });
                if drawn.rank().at_a_discount(worth) < best.rank() {
                    best = drawn;
                }
            }
        }
        best.nested.moves = moves;
        // Where parts hang on stock alone, what lost its tabs has had its webs.
        let counts = |attempt: &Attempt| match job.holding.hang {
            Hang::Stock => vec![],
            Hang::Parts => attempt.without_tabs(),
        };
        let mut lost = counts(&best);
        let mut made = best.finish(job, group, members);
        // Strips of a lattice that give too much are taped, as a person would; where the job wants clamps they are made wider.
        let tapes = unmoved && job.holding.hold_down.is_none();
        for wider in regular.filter(|_| !tapes) {
            let time = effort.time.is_some_and(|t| t <= start.elapsed());
            if time || made.softly_held(members).is_empty() || watch.stop.load(Ordering::Relaxed) {
                break;
            }
            let tried = attempt(wider);
            let lost_now = counts(&tried);
            let tried = tried.finish(job, group, members);
            if tried.rank().without(lost_now.len()) < made.rank().without(lost.len()) {
                made = GroupMade { moves: made.moves, ..tried };
                lost = lost_now;
            }
        }
        // What the simulated cut leaves nothing to hold by is laid elsewhere: with stock of its own all round it.
        let mut firm: Vec<CopyOf> = vec![];
        for _ in 0..ELSEWHERE {
            let left = effort.time.map(|t| t.saturating_sub(start.elapsed()));
            let (mut not_held, mut softly) = (made.not_held(members), made.softly_held(members));
            not_held.extend(lost.iter().copied());
            not_held.retain(|c| webs.get(c) != Some(&TabRoom::Web));
            softly.retain(|c| !tapes && !firm.contains(c));
            let stopped = watch.stop.load(Ordering::Relaxed) || left.is_some_and(|t| t.is_zero());
            if (not_held.is_empty() && softly.is_empty()) || stopped || job.web.is_some() {
                break;
            }
            let web = if softly.is_empty() { LANDING_DEPTH } else { FIRM_WEB };
            let more = not_held.into_iter().chain(softly.iter().copied());
            webs.extend(more.map(|copy| (copy, TabRoom::Web)));
            firm.extend(softly);
            let budget = Effort { time: left, ..*effort }.budget(SHARE);
            let again = nest.webbed(&last, &webs, (web, &self.problem), budget, &control);
            let Some(Webbed { searched, .. }) = again else { break };
            made.moves += searched.moves;
            last = searched.clone();
            let tried = attempt(searched);
            let lost_now = counts(&tried);
            let tried = tried.finish(job, group, members);
            if tried.rank().without(lost_now.len()) < made.rank().without(lost.len()) {
                made = GroupMade { moves: made.moves, ..tried };
                lost = lost_now;
            }
        }
        if job.holding.hold_down.is_none() {
            made.tape_what_gives();
        }
        let rank = made.rank().without(lost.len());
        Some((made, rank))
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
