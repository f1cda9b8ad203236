//! One search of a group: the nest, tabs mended on the real skeleton, webs where they were lost, rows and lattices as drawn, and
//! what nothing holds laid elsewhere. The best layout met on the way is kept (`rank`).

use super::attempt::Attempt;
use super::effort::Effort;
use super::group_made::GroupMade;
use super::members::Member;
use super::placed_sheet::{self, LaidSheet};
use super::rank::{Rank, stock_used};
use crate::job::{Group, Hang, Job};
use crate::layout::LANDING_DEPTH;
use crate::nest::{
    Control, CopyOf, First, Improved, Nest, NestTask, Nested, Rooms, TabRoom, Webbed,
};
use std::iter;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

/// Most times a group is nested again with room for the copies that found no clamped stock: the tide
/// clock's groups need one to four times (seeds 1 to 4).
const AGAIN: usize = 5;

/// The same once the time is up.
const AGAIN_LATE: usize = 2;

/// Most times it is nested again for copies that nothing, or nothing firm, holds in the simulated cut.
const ELSEWHERE: usize = 4;
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

/// One search of a group.
pub(super) struct GroupSearch<'a> {
    pub job: &'a Job,
    pub group: &'a Group,
    pub members: &'a [Member<'a>],
    pub nest: &'a Nest<'a>,
    /// A layout to start from, instead of a first one.
    pub known: Option<Nested>,
    /// The nest's task with room for the planned tabs.
    pub roomy: &'a NestTask,
    pub effort: &'a Effort,
    /// Whether parts are nested as if nothing had to be held; then it gives up where too many copies lose their tabs.
    pub tight: bool,
    pub control: &'a Control<'a>,
    pub start: Instant,
    /// The room given to copies, so far.
    pub rooms: Rooms,
}

/// A finished group, and the copies that lost their tabs.
#[derive(Clone)]
struct Finished {
    made: GroupMade,
    lost: Vec<CopyOf>,
}

impl Finished {
    fn rank(&self, group: &Group) -> Rank {
        self.made.rank(group, self.lost.len())
    }
}

impl GroupSearch<'_> {
    /// The best layout found, with its rank. `None` if the search is tight and too many copies find no stock for their tabs.
    ///
    /// Where kerfs coincide, the stock between parts may be islands that no clamp reaches. Parts whose tabs land there are planned
    /// again; if a part finds no other stock for its tabs, the group is nested again with a web left round that copy. The best of
    /// these layouts is kept, the starting one included: the fewest sheets, then the fewest parts that lost their tabs, the most
    /// spares, the least stock.
    pub fn run(mut self, first: First<'_>) -> Option<(GroupMade, Rank)> {
        let Improved { searched, drawn, regular, unmoved } = self.improved(first);
        let mut best = self.attempt(searched);
        let mut regular = regular.into_iter();
        while unmoved && !best.without_tabs().is_empty() {
            let Some(next) = regular.next() else { break };
            best = better(best, self.attempt(next));
        }
        if self.tight && self.loses_too_many(&best) {
            return None;
        }
        let mut last = best.nested.clone();
        let (mut best, moves) = self.with_webs(best, &mut last);
        let in_rows = self.members.iter().any(|m| m.plans().count() > 1);
        for (drawn, worth) in [(in_rows.then_some(drawn), 1.0), (regular.next(), REGULAR)] {
            best = drawn.and_then(|drawn| self.as_drawn(&best, drawn, worth)).unwrap_or(best);
        }
        best.nested.moves = moves;
        let mut finished = self.finished(best);
        // Strips of a lattice that give too much are taped, as a person would; where the job wants clamps they are made wider.
        let tapes = unmoved && self.job.holding.hold_down.is_none();
        if !tapes {
            finished = self.wider(finished, regular);
        }
        finished = self.elsewhere(finished, last, tapes);
        if self.job.holding.hold_down.is_none() {
            finished.made.tape_what_gives();
        }
        let rank = finished.rank(self.group);
        Some((finished.made, rank))
    }

    /// The best layout, from the start that was given on, else from the first one on.
    fn improved(&self, first: First<'_>) -> Improved {
        let started = self.known.as_ref().and_then(|start| {
            let Webbed { searched, .. } = self.again(start, LANDING_DEPTH)?;
            Some(Improved { searched, drawn: start.clone(), regular: vec![], unmoved: false })
        });
        let budget = self.effort.budget(SHARE);
        started.unwrap_or_else(|| self.nest.improve_beside(first, budget, self.control))
    }

    fn attempt(&self, nested: Nested) -> Attempt {
        Attempt::new(self.job, self.group, self.members, nested)
    }

    fn finished(&self, attempt: Attempt) -> Finished {
        let lost = attempt.without_tabs();
        Finished { made: attempt.finish(self.job, self.group, self.members), lost }
    }

    fn left(&self) -> Option<Duration> {
        self.effort.time.map(|t| t.saturating_sub(self.start.elapsed()))
    }

    fn stopped(&self) -> bool {
        self.control.stop.load(Ordering::Relaxed)
    }

    /// The nest again from a layout, with the webs wanted so far, those of whole webs so wide, mm.
    fn again(&self, from: &Nested, web: f64) -> Option<Webbed> {
        let budget = Effort { time: self.left(), ..*self.effort }.budget(SHARE);
        self.nest.webbed(from, &self.rooms, (web, self.roomy), budget, self.control)
    }

    fn loses_too_many(&self, best: &Attempt) -> bool {
        let copies: usize = self.roomy.parts.iter().map(|p| p.copies + p.spares).sum();
        let most = (copies as f64 * LOST_SHARE).max(LOST_FEW) as usize;
        let skins: usize = best.mended.iter().map(|m| m.skin_cut.len()).sum();
        best.without_tabs().len().saturating_sub(skins) > most
    }

    /// Nests again with room for the tabs of copies that lost them; the best, and the moves of all nests. `last` is the layout that
    /// the next nest starts from.
    fn with_webs(&mut self, mut best: Attempt, last: &mut Nested) -> (Attempt, u64) {
        let mut moves = best.nested.moves;
        let mut wanted = best.rooms_wanted(self.job, &self.rooms, self.tight);
        let mut late_rounds = 0;
        for _ in 0..AGAIN {
            let late = self.stopped() || self.left().is_some_and(|t| t < WORTHWHILE);
            if (wanted.is_empty() && (late || self.left().is_none())) || late_rounds == AGAIN_LATE {
                break;
            }
            late_rounds += usize::from(late);
            // Where nothing wants a web, what is left of the time goes on with the best.
            let from = if wanted.is_empty() { &best.nested } else { &*last };
            self.rooms.add(std::mem::take(&mut wanted));
            let Some(Webbed { searched, aside }) = self.again(from, LANDING_DEPTH) else { break };
            moves += searched.moves;
            *last = searched.clone();
            let tried = self.attempt(searched);
            wanted = tried.rooms_wanted(self.job, &self.rooms, self.tight);
            // What the search has moved may have lost tabs that were there before it.
            let aside = aside.filter(|_| !wanted.is_empty()).map(|nested| self.attempt(nested));
            best = iter::once(tried).chain(aside).fold(best, better);
        }
        (best, moves)
    }

    /// Rows as they were drawn, if they are better: they may hold what the search has left without tabs, or gave up for webs. They
    /// were there before it: the reason why the search ended is still reported.
    fn as_drawn(&self, best: &Attempt, drawn: Nested, worth: f64) -> Option<Attempt> {
        let rows = placed_sheet::sheets_of(self.job, self.group, self.members, &drawn);
        let stock = |sheets: &[LaidSheet]| stock_used(sheets.iter().map(|s| &s.sheet));
        let saves = stock(&rows) < worth * stock(&best.sheets);
        let may_win = rows.len() <= best.sheets.len() && (saves || !best.without_tabs().is_empty());
        let drawn = may_win.then(|| self.attempt(Nested { ended: best.nested.ended, ..drawn }))?;
        (drawn.rank().at_a_discount(worth) < best.rank()).then_some(drawn)
    }

    /// Lattices with wider strips, where parts have no firm landing.
    fn wider(&self, mut best: Finished, lattices: impl Iterator<Item = Nested>) -> Finished {
        for lattice in lattices {
            let late = self.stopped() || self.left().is_some_and(|t| t.is_zero());
            if late || best.made.softly_held(self.members).is_empty() {
                break;
            }
            best = self.better_made(best, &self.finished(self.attempt(lattice)));
        }
        best
    }

    /// Lays the copies elsewhere that nothing holds in the simulated cut: with stock of their own all round. `tapes` says that soft
    /// landings are not to be mended.
    fn elsewhere(&mut self, mut best: Finished, mut last: Nested, tapes: bool) -> Finished {
        let (mut firm, mut tried): (Vec<CopyOf>, Option<Finished>) = (vec![], None);
        for _ in 0..ELSEWHERE {
            // The webs so far may have taken from others what they hung on.
            let now = tried.as_ref().unwrap_or(&best);
            let mut not_held = now.made.not_held(self.members);
            let mut softly = now.made.softly_held(self.members);
            // Where parts hang on stock alone, what lost its tabs has had its webs.
            if self.job.holding.hang == Hang::Parts {
                not_held.extend(now.lost.iter().copied());
            }
            not_held.retain(|c| self.rooms.tabs.get(c) != Some(&TabRoom::Web));
            softly.retain(|c| !tapes && !firm.contains(c));
            // Out of time, only what would not be made at all is laid elsewhere.
            if self.stopped() || self.left().is_some_and(|t| t.is_zero()) {
                softly.clear();
            }
            if (not_held.is_empty() && softly.is_empty()) || self.job.web.is_some() {
                break;
            }
            let web = if softly.is_empty() { LANDING_DEPTH } else { FIRM_WEB };
            let more = not_held.into_iter().chain(softly.iter().copied());
            self.rooms.tabs.extend(more.map(|copy| (copy, TabRoom::Web)));
            firm.extend(softly);
            let Some(Webbed { searched, .. }) = self.again(&last, web) else { break };
            best.made.moves += searched.moves;
            last = searched.clone();
            let next = self.finished(self.attempt(searched));
            best = self.better_made(best, &next);
            tried = Some(next);
        }
        best
    }

    fn better_made(&self, best: Finished, tried: &Finished) -> Finished {
        let moves = best.made.moves;
        if tried.rank(self.group) < best.rank(self.group) {
            return Finished { made: GroupMade { moves, ..tried.made.clone() }, ..tried.clone() };
        }
        best
    }
}

fn better(best: Attempt, tried: Attempt) -> Attempt {
    if tried.rank() < best.rank() { tried } else { best }
}
