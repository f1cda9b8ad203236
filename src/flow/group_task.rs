//! Takes one group through the flow: nests, mends the anchors, plans the cut.

use super::members::{Member, warnings_of};
use super::mend::{MOST_PARTS, Mended, mend};
use super::placed_sheet::{self, LaidSheet};
use super::rank::{Rank, stock_used};
use super::{settle::settle, soft};
use crate::cut::{CutPlan, main_clamped};
use crate::geometry::shape_distance;
use crate::hold::HoldPlan;
use crate::job::{Group, Hang, Holding, Job};
use crate::layout::{HoldDown, LANDING_DEPTH, Layout, PlacedPart, Sheet, Unplaced, Warning};
use crate::nest::{
    self, Budget, CopyOf, Ended, First, Nest, NestPart, NestTask, Nested, TabRoom, Webbed,
};
use crate::verify::{Rules, What, verify};
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

/// A finished group.
#[derive(Clone)]
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
            let tight = self.tightly(job, effort, watch).filter(sound);
            if let Some((made, _)) = tight.as_ref().filter(|t| t.1.keeps_all() && clamped(&t.0)) {
                return made.clone();
            }
            let roomy = self.searched(job, nest, nest.first(), (&left(), false), watch);
            let roomy = roomy.filter(sound);
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
        let (improved, start_from) = nest.improve_beside(first, effort.budget(SHARE), &control);
        let mut best = attempt(improved);
        let most = (self.copies() as f64 * LOST_SHARE).max(LOST_FEW) as usize;
        let skins: usize = best.mended.iter().map(|m| m.skin_cut.len()).sum();
        if tight && best.without_tabs().len() - skins > most {
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
        let may_win = || {
            let rows = placed_sheet::sheets_of(job, group, members, &start_from);
            let saves = stock_used(rows.iter().map(|s| &s.sheet))
                < stock_used(best.sheets.iter().map(|s| &s.sheet));
            rows.len() <= best.sheets.len() && (saves || !best.without_tabs().is_empty())
        };
        if in_rows && may_win() {
            let ended = best.nested.ended;
            let drawn = attempt(Nested { ended, ..start_from });
            if drawn.rank() < best.rank() {
                best = drawn;
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
        // What the simulated cut leaves nothing to hold by is laid elsewhere: with stock of its own all round it.
        let mut firm: Vec<CopyOf> = vec![];
        for _ in 0..ELSEWHERE {
            let left = effort.time.map(|t| t.saturating_sub(start.elapsed()));
            let (mut not_held, mut softly) = (made.not_held(members), made.softly_held(members));
            not_held.extend(lost.iter().copied());
            not_held.retain(|c| webs.get(c) != Some(&TabRoom::Web));
            softly.retain(|c| !firm.contains(c));
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
        let rank = made.rank().without(lost.len());
        Some((made, rank))
    }
}

/// Whether `verify` finds an anchor for all that a group hangs on, by its own measure.
fn sound((made, _): &(GroupMade, Rank)) -> bool {
    let mut alone = Layout::new("", 0);
    alone.sheets = made.sheets.clone();
    alone.total();
    let rules = Rules { complete: true, ..Rules::default() };
    verify(&alone, &rules).iter().all(|p| p.what != What::Anchor)
}

impl GroupMade {
    /// A group of which nothing was made.
    fn nothing(members: &[Member]) -> GroupMade {
        GroupMade {
            sheets: vec![],
            cuts: vec![],
            unplaced: vec![],
            warnings: vec![],
            holds: members.iter().map(|m| m.hold.clone()).collect(),
            moves: 0,
            ended: Ended::Budget,
        }
    }

    /// The copies that are not cut free because nothing holds them where they lie.
    fn not_held(&self, members: &[Member]) -> Vec<CopyOf> {
        let parts = self.sheets.iter().flat_map(|s| &s.parts).filter(|p| !p.hold.cuts_free());
        parts.filter_map(|p| copy_of(p, members)).collect()
    }

    /// The copies whose tabs all land on strips that bend away.
    fn softly_held(&self, members: &[Member]) -> Vec<CopyOf> {
        self.on_soft_stock().filter_map(|p| copy_of(p, members)).collect()
    }

    fn on_soft_stock(&self) -> impl Iterator<Item = &PlacedPart> {
        let sheets = self.sheets.iter().zip(&self.cuts);
        sheets.flat_map(|(sheet, cut)| {
            let soft = |i: &usize| soft::no_firm_landing(sheet, cut, *i).is_some();
            (0..sheet.parts.len()).filter(soft).map(|i| &sheet.parts[i])
        })
    }

    fn rank(&self) -> Rank {
        Rank::of_made(&self.sheets, self.unplaced.len(), self.on_soft_stock().count())
    }
}

fn copy_of(placed: &PlacedPart, members: &[Member]) -> Option<CopyOf> {
    Some((members.iter().position(|m| m.part.name == placed.part)?, placed.copy))
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
fn nest_part(member: &Member, kerf: f64) -> NestPart {
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

/// One nest of the group: its sheets, with tabs mended.
#[derive(Clone)]
struct Attempt {
    nested: Nested,
    sheets: Vec<LaidSheet>,
    /// The result of mending, sheet by sheet.
    mended: Vec<Mended>,
}

impl Attempt {
    fn new(job: &Job, group: &Group, members: &[Member], nested: Nested) -> Self {
        let mut sheets = placed_sheet::sheets_of(job, group, members, &nested);
        let mended = sheets.iter_mut().map(|laid| mend(laid, job, members)).collect();
        Attempt { nested, sheets, mended }
    }

    /// The copies that found no stock for their tabs.
    fn without_tabs(&self) -> Vec<CopyOf> {
        self.mended.iter().flat_map(|m| m.lost.iter().copied()).collect()
    }

    /// The copies that need more room than they have, and which: each copy that lost its tabs needs room for its planned tabs
    /// where the layout is `tight`; then a web; or, if a web of its own did not help because it is an island too, a web round the
    /// nearest part.
    fn webs_wanted(
        &self,
        job: &Job,
        webs: &BTreeMap<CopyOf, TabRoom>,
        tight: bool,
    ) -> BTreeMap<CopyOf, TabRoom> {
        let mut wanted = BTreeMap::new();
        // A job that asks for a web everywhere has said how much it wants.
        if job.web.is_some() {
            return wanted;
        }
        for copy in self.without_tabs() {
            let has = |c: &CopyOf| *webs.get(c).max(wanted.get(c)).unwrap_or(&TabRoom::None);
            let skin_cut = self.mended.iter().any(|m| m.skin_cut.contains(&copy));
            match has(&copy) {
                TabRoom::None | TabRoom::Landings if skin_cut => wanted.insert(copy, TabRoom::Kerf),
                TabRoom::None if tight => wanted.insert(copy, TabRoom::Landings),
                TabRoom::None | TabRoom::Landings | TabRoom::Kerf => {
                    wanted.insert(copy, TabRoom::Web)
                }
                TabRoom::Web => {
                    let near = self.nearest(copy, |c| has(c) == TabRoom::Web);
                    near.and_then(|near| wanted.insert(near, TabRoom::Web))
                }
            };
        }
        wanted
    }

    /// The part nearest to a copy on its sheet, other than those left out.
    fn nearest(&self, copy: CopyOf, leave_out: impl Fn(&CopyOf) -> bool) -> Option<CopyOf> {
        let laid = self.sheets.iter().find(|laid| laid.copies().any(|c| c == copy))?;
        let shape =
            |c: CopyOf| laid.copies().position(|o| o == c).map(|i| laid.sheet.parts[i].shape());
        let own = shape(copy)?;
        let distance = |c: &CopyOf| {
            shape(*c).map_or(f64::INFINITY, |s| shape_distance(&own, &s, f64::INFINITY))
        };
        let others = laid.copies().filter(|c| *c != copy && !leave_out(c));
        others.map(|c| (distance(&c), c)).min_by(|a, b| a.0.total_cmp(&b.0)).map(|found| found.1)
    }

    fn rank(&self) -> Rank {
        Rank::of(&self.sheets, self.nested.unplaced.len(), self.without_tabs().len())
    }

    /// Puts the parts in the order of cut, plans the cut, and mends the holds that it shows to be loose.
    fn finish(self, job: &Job, group: &Group, members: &[Member]) -> GroupMade {
        let (mut warnings, mut of_holds) = (vec![], warnings_of(members, &self.nested));
        let (mut sheets, mut cuts) = (vec![], vec![]);
        for (mut laid, mended) in self.sheets.into_iter().zip(self.mended) {
            of_holds.extend(mended.warnings);
            let cut = settle(&mut laid, job, members, &mut of_holds);
            let LaidSheet { mut sheet, .. } = laid;
            placed_sheet::common_last_pass(&mut sheet);
            placed_sheet::clear_remnants(&mut sheet);
            warnings.extend(soft::warnings(&sheet, &cut));
            sheet.total();
            sheets.push(sheet);
            cuts.push(cut);
        }
        let unplaced = placed_sheet::unplaced_of(group, members, &self.nested);
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

/// Drops warnings that repeat another about the same part with other figures, as copies planned again cause; the first
/// of them then lists the copies of all.
fn once_each(warnings: Vec<Warning>) -> Vec<Warning> {
    let mut once: Vec<Warning> = vec![];
    for warning in warnings {
        let repeats = |w: &Warning| match (&w.kind, &warning.kind) {
            (Some(a), Some(b)) => w.part == warning.part && a.repeats(b),
            _ => false,
        };
        match once.iter_mut().find(|w| repeats(w)) {
            Some(first) => {
                first.copies.extend(&warning.copies);
                first.copies.sort_unstable();
                first.copies.dedup();
            }
            None => once.push(warning),
        }
    }
    once
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::{Method, WarningKind};

    #[test]
    fn a_warning_of_several_copies_is_one_and_other_places_are_others() {
        let lost = |copy: usize, method: Method| Warning {
            copies: vec![copy],
            ..Warning::of("plate", WarningKind::NoLanding { method })
        };
        let loose =
            |ring: usize| Warning::of("plate", WarningKind::LooseDropOut { ring, at: [1.0, 1.0] });
        let moves = |part: &str, movement_mm: f64| {
            Warning::of(part, WarningKind::DoNotRepeat { movement_mm, safety: 1.0 })
        };
        let all = vec![
            moves("plate", 0.2),
            lost(3, Method::Skin),
            loose(1),
            lost(1, Method::Skin),
            loose(2),
            moves("plate", 0.3),
            lost(2, Method::Tape),
            loose(1),
            moves("slat", 0.2),
        ];
        let once = once_each(all);
        let told: Vec<(&str, &[usize])> =
            once.iter().map(|w| (w.part.as_str(), w.copies.as_slice())).collect();
        assert_eq!(
            told,
            [
                ("plate", &[][..]),
                ("plate", &[1, 3]),
                ("plate", &[]),
                ("plate", &[]),
                ("plate", &[2]),
                ("slat", &[])
            ],
            "{once:?}"
        );
        assert_eq!(once[0], moves("plate", 0.2), "the first of each stands");
    }
}
