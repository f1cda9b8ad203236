//! The whole nest of a group: first layouts, fewer sheets, a compacted last sheet.

use super::fewer::drop_sheet;
use super::remnant::remnants;
use super::smaller::smaller_last;
use super::unload::unload_last;
use crate::geometry::Ring;
use crate::nest::budget::clock::Clock;
use crate::nest::budget::run::Run;
use crate::nest::construct::densest_lattices::{KnownLattices, Lattices, TRIED, lattices};
use crate::nest::construct::fill::{Trial, fill};
use crate::nest::construct::first::{Pattern, orders};
use crate::nest::construct::lattice::WIDTHS;
use crate::nest::construct::rows::Rows;
use crate::nest::construct::upright::upright;
use crate::nest::nest_task::{
    Budget, Control, Ended, NestTask, Nested, NestedSheet, NotPlaced, Placed, Progress, Reason,
};
use crate::nest::no_fit::no_fit_table::{FormId, NoFitTable};
use crate::nest::placing::item::{Item, items};
use crate::nest::placing::portable_layout::PortableLayout;
use crate::nest::placing::sheet_axis::Axis;
use crate::nest::placing::state::{FieldId, Placing, State};
use crate::nest::separate::goal::Goal;
use crate::nest::separate::team::compact;
use crate::nest::shapes::form::{OrientedPart, PartKind};
use crate::nest::shapes::least_width::narrowest;
use rayon::prelude::*;
use std::cmp::Ordering;
use std::sync::Arc;

/// Most items whose pair weights fit in memory; beyond it the first layout stands.
pub const MOST_SEARCHED: usize = 6000;

/// Items beyond which only one order is filled, and kinds up to which rows are still tried then.
const MANY: usize = 400;
const FEW_KINDS: usize = 8;

/// A group ready to nest: the forms of its parts, and the no-fit regions as they are needed.
pub struct Nest<'p> {
    pub(in crate::nest) table: NoFitTable<'p>,
    pub(super) items: Vec<Item>,
    lattices: Arc<KnownLattices>,
}

/// The best layout of a search, and those drawn before it.
pub struct Improved {
    /// The best layout found.
    pub searched: Nested,
    /// The best in other patterns, its rows as they were before the search.
    pub drawn: Nested,
    /// The best layouts with parts of many copies in lattices, one for each possible width of the strips between rows.
    pub regular: Vec<Nested>,
    /// Whether there was no search, since the best lattice has too many copies for it.
    pub unmoved: bool,
}

/// A first valid layout.
pub struct First<'n>(Trial<'n>);

impl First<'_> {
    /// Its number of sheets, and the length used of the last.
    pub fn progress(&self) -> Progress {
        let (state, axis) = (&self.0.state, self.0.axis);
        let sheets = state.fields.len();
        let length = state.last().map_or(0.0, |last| axis.of(state.used(last)));
        Progress { moves: 0, of: None, sheets, length }
    }
}

impl<'p> Nest<'p> {
    /// The nest of a problem.
    pub fn new(problem: &'p NestTask) -> Nest<'p> {
        let smallest = narrowest(problem);
        let known =
            problem.parts.par_iter().map(|p| PartKind::new(p, problem.gap, smallest)).collect();
        let table = NoFitTable::new(problem, Arc::new(known), None);
        let items = items(problem, &table);
        Nest { items, table, lattices: Arc::default() }
    }

    /// The nest of a problem that differs in the numbers of its copies and sheets alone; what either finds out about the parts
    /// serves both.
    pub fn recounted<'q>(&self, problem: &'q NestTask) -> Nest<'q> {
        let table = self.table.recounted(problem);
        let items = items(problem, &table);
        Nest { items, table, lattices: self.lattices.clone() }
    }

    /// A valid layout at once: one bottom-left filling, largest parts first.
    pub fn first(&self) -> First<'_> {
        let order = self.orders().swap_remove(0);
        First(fill(self.blank(), &order, Axis::X, Pattern::Free))
    }

    /// The best layout found within the budget, from a first one on.
    pub fn improve(&self, first: First<'_>, budget: Budget, control: &Control<'_>) -> Nested {
        let clock = Clock::start(budget, control);
        let filled = self.other_orders(first.0, &clock);
        let lattice = self.in_lattices(&clock).into_iter().next();
        self.best_searched(&filled, lattice, self.run(budget, clock)).0
    }

    /// The same, with the layouts as they were drawn before the search.
    pub fn improve_beside(
        &self,
        first: First<'_>,
        budget: Budget,
        control: &Control<'_>,
    ) -> Improved {
        let clock = Clock::start(budget, control);
        let run = || self.run(budget, clock);
        let answer = |t: &Trial<'_>| self.answer(&t.state, t.unplaced.clone(), run());
        let filled = self.other_orders(first.0, &clock);
        let lattices = self.in_lattices(&clock);
        let (drawn, regular) = (answer(&filled), lattices.iter().map(answer).collect());
        let (searched, unmoved) = self.best_searched(&filled, lattices.into_iter().next(), run());
        Improved { searched, drawn, regular, unmoved }
    }

    /// The better of a filling and the best lattice, searched; and whether there was no search.
    fn best_searched(
        &self,
        filled: &Trial<'_>,
        lattice: Option<Trial<'_>>,
        run: Run<'_>,
    ) -> (Nested, bool) {
        // Thousands of copies in a lattice are not moved one by one.
        let many = self.items.len() > MANY;
        let unmoved = lattice.as_ref().is_some_and(|l| many && l.needs() <= filled.needs());
        let searched = match lattice {
            Some(l) if unmoved => self.answer(&l.state, l.unplaced, run),
            Some(l) if l.score < filled.score => self.searched(l, run),
            _ => self.searched(filled.clone(), run),
        };
        (searched, unmoved)
    }

    fn searched(&self, mut trial: Trial<'_>, mut run: Run<'_>) -> Nested {
        let problem = self.table.problem;
        let (unplaced, mut axis, clock) = (trial.unplaced.clone(), trial.axis, run.clock);
        if !self.improvable(&trial) {
            return self.answer(&trial.state, unplaced, run);
        }
        if let Some(drawn) = upright(&trial, &mut run) {
            axis = drawn.axis;
            let first = First(drawn);
            if let Some(report) = clock.control.progress {
                report(Progress { moves: run.moves, of: run.most, ..first.progress() });
            }
            trial = first.0;
        }
        while run.left() > 0 && !clock.is_over() {
            let Some(fewer) = drop_sheet(&trial.state, &mut run) else { break };
            trial.state = fewer;
        }
        trial.state = unload_last(trial.state, &mut run);
        if let Some(smaller) = smaller_last(&trial.state) {
            (trial.state, axis) = smaller;
        }
        let free = problem.parts.iter().any(|p| p.turns.tolerance > 0.0);
        let share = if free { run.left() / 2 } else { run.left() };
        run.clock = clock.part(if free { 0.5 } else { 1.0 });
        let state;
        (state, axis) = compact_either_way(trial.state, axis, share, &mut run);
        run.clock = clock;
        if !free {
            return self.answer(&state, unplaced, run);
        }
        let plan = self.refine_turns(PortableLayout::of(&state), axis, &mut run);
        let last = self.table_of(&plan, 0.0);
        match plan.state(&last, &self.items) {
            Some(finer) => self.answer(&finer, unplaced, run),
            None => self.answer(&state, unplaced, run),
        }
    }

    pub(super) fn run<'a>(&self, budget: Budget, clock: Clock<'a>) -> Run<'a> {
        let problem = self.table.problem;
        let most = || default_moves(&self.table, &self.items);
        Run {
            clock,
            threads: problem.threads,
            seed: problem.seed,
            moves: 0,
            evaluations: 0,
            most: budget.moves.or(budget.time.is_none().then(most)),
        }
    }

    pub(in crate::nest) fn blank(&self) -> State<'_> {
        State::new(&self.table, &self.items)
    }

    fn orders(&self) -> Vec<Vec<usize>> {
        orders(&self.table, &self.items)
    }

    /// The best of the first layout and of fillings in other orders, along the other axis and in rows.
    fn other_orders<'n>(&'n self, first: Trial<'n>, clock: &Clock<'_>) -> Trial<'n> {
        let axes = self.axes();
        // Each costs one filling; with many items the first says most of it, and rows are for copies of few kinds.
        let many = self.items.len() > MANY;
        let orders: Vec<_> = self.orders().into_iter().take(if many { 1 } else { 4 }).collect();
        let parts = &self.table.problem.parts;
        let copies = parts.iter().any(|p| p.copies + p.spares > 1);
        let drawn = copies && (!many || parts.len() <= FEW_KINDS);
        let rows = Rows::ALL.into_iter().filter(|_| drawn);
        let rows = rows.map(|rows| (&orders[0], Pattern::Rows(rows)));
        let ways = orders.iter().map(|order| (order, Pattern::Free)).chain(rows);
        let ways = ways.flat_map(|(order, pattern)| axes.iter().map(move |&a| (order, a, pattern)));
        let ways: Vec<_> = ways.skip(1).collect();
        let filled = ways.into_par_iter().filter(|_| !clock.is_over());
        let filled: Vec<Trial<'_>> =
            filled.map(|(order, axis, pattern)| fill(self.blank(), order, axis, pattern)).collect();
        filled
            .into_iter()
            .fold(first, |best, trial| if trial.score < best.score { trial } else { best })
    }

    /// The directions along which sheets are filled.
    fn axes(&self) -> &'static [Axis] {
        let open = self.table.problem.sheets.iter().any(|s| s.open_length);
        if open { &[Axis::X] } else { &[Axis::X, Axis::Y] }
    }

    /// For each width of strips, the best layout with the parts of many copies in a lattice, best first; empty if there is no such
    /// part.
    fn in_lattices(&self, clock: &Clock<'_>) -> Vec<Trial<'_>> {
        let order = self.orders().swap_remove(0);
        // Of very many copies no other layout is worth cutting: the narrowest lattice is made, however late it is.
        let many = self.items.len() > MANY;
        let late = |width: usize| clock.is_over() && !(many && width == 0);
        let of = |&axis: &Axis| (axis, lattices(&self.table, axis, &self.lattices, &|| late(0)));
        let by_axis: Vec<(Axis, Lattices)> = self.axes().iter().map(of).collect();
        let best_of = |width: usize| {
            let some = |l: &Lattices, rank| l.values().any(|by_width| by_width[width].len() > rank);
            let ways = by_axis.iter().flat_map(|way| (0..TRIED).map(move |rank| (way, rank)));
            let ways: Vec<_> = ways.filter(|((_, l), rank)| some(l, *rank)).collect();
            let ways = ways.into_par_iter().filter(|_| !late(width));
            let trials: Vec<Trial<'_>> = ways
                .map(|((axis, l), rank)| {
                    fill(self.blank(), &order, *axis, Pattern::Lattice(l, width, rank))
                })
                .collect();
            trials.into_iter().min_by(|a, b| compare(&a.score, &b.score))
        };
        let mut best: Vec<Trial<'_>> = (0..WIDTHS).filter_map(best_of).collect();
        best.sort_by(|a, b| compare(&a.score, &b.score));
        best
    }

    fn improvable(&self, trial: &Trial<'_>) -> bool {
        let state = &trial.state;
        let moves = |i: usize| !state.is_pinned(i) && state.places[i].is_some();
        self.items.len() <= MOST_SEARCHED && (0..self.items.len()).any(moves)
    }

    /// The table of a layout's own orientations, and of those a step to either side.
    fn table_of(&self, layout: &PortableLayout, step: f64) -> NoFitTable<'p> {
        let problem = self.table.problem;
        let known = layout.known(problem.parts.len(), &self.items, step);
        NoFitTable::new(problem, self.table.kinds.clone(), Some(&known))
    }

    /// Refines the angles of parts that may take any, or vary theirs by a tolerance: in rounds, each item may keep its angle or
    /// take a step to either side, the steps getting finer.
    fn refine_turns(
        &self,
        mut plan: PortableLayout,
        axis: Axis,
        run: &mut Run<'_>,
    ) -> PortableLayout {
        for (round, step) in TURN_STEPS.into_iter().enumerate() {
            if run.clock.is_over() || run.left() == 0 {
                break;
            }
            let table = self.table_of(&plan, step);
            let Some(state) = plan.state(&table, &self.items) else { break };
            let rounds = TURN_STEPS.len() - round;
            let (share, whole) = (run.left() / rounds as u64, run.clock);
            run.clock = whole.part(1.0 / rounds as f64);
            plan = PortableLayout::of(&compact_last(state, axis, share, run));
            run.clock = whole;
        }
        plan
    }

    fn answer(&self, state: &State<'_>, unplaced: Vec<(usize, Reason)>, run: Run<'_>) -> Nested {
        let (problem, items, table) = (self.table.problem, &self.items, state.table);
        let sheets = nested_sheets(state, items);
        let mut unplaced: Vec<NotPlaced> = unplaced
            .into_iter()
            .map(|(i, reason)| NotPlaced { part: items[i].part, copy: items[i].copy, reason })
            .collect();
        for (part, p) in problem.parts.iter().enumerate().filter(|(k, _)| table.kinds[*k].is_none())
        {
            unplaced.extend((1..=p.copies).map(|copy| NotPlaced {
                part,
                copy,
                reason: Reason::NoArea,
            }));
        }
        let ended = run.clock.ended().unwrap_or(Ended::Budget);
        Nested { sheets, unplaced, ended, moves: run.moves, evaluations: run.evaluations }
    }
}

fn compare(a: &(usize, f64, f64), b: &(usize, f64, f64)) -> Ordering {
    a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
}

/// The sheets of a layout that have parts on them.
pub fn nested_sheets(state: &State<'_>, items: &[Item]) -> Vec<NestedSheet> {
    let table = state.table;
    let mut sheets = vec![];
    for f in state.field_ids() {
        let placed: Vec<Placed> = state
            .placed_on(f)
            .map(|(i, p)| {
                let (item, orientation) = (items[i], table.form(p.form).orientation);
                let (pose, hold) = (orientation.at(p.at), orientation.hold);
                Placed { part: item.part, copy: item.copy, spare: item.spare, pose, hold }
            })
            .collect();
        if placed.is_empty() {
            continue;
        }
        let stock = state.stock(f);
        let open = table.problem.sheets[stock].open_length;
        let length = open.then(|| state.used(f).x);
        sheets.push(NestedSheet { stock, length, remnants: remnants(state, f), placed });
    }
    sheets
}

/// Steps by which free angles are refined, radians: from about the spacing of the first angles down.
const TURN_STEPS: [f64; 3] = [0.12, 0.03, 0.008];

/// Default budget: moves that take about half a second of one core for twenty plain parts, and more, though less than in
/// proportion, for more parts.
///
/// A move's cost follows from the pair tests, sums per pair x sides per sum: 10 us and 0.04 us per side (measured on the tide
/// clock's groups, 20 to 90 us per move, and on plain polygons, 10 us; on a slower machine 15 and 0.06). A side counts twice that,
/// to cover making the no-fit regions: parts of many pieces get fewer moves. Several holds per part multiply the moves by the
/// square root of their mean number, since there is more to choose from (three kinds of plates with tabs on any side, 40 copies, 5
/// seeds: no gain over one hold with 15,000 moves, 1.2 points with 60,000).
fn default_moves(table: &NoFitTable<'_>, items: &[Item]) -> u64 {
    let mean = |f: &dyn Fn(&OrientedPart) -> usize| {
        table.forms.iter().map(|form| f(form) as f64).sum::<f64>() / table.forms.len().max(1) as f64
    };
    let (pieces, landings) = (mean(&|f| f.material.len()), mean(&|f| f.landings.len()));
    let corners = mean(&|f| f.material.iter().map(Vec::len).sum()) / pieces.max(1.0);
    let work = (pieces * pieces + 2.0 * pieces * landings) * 2.0 * corners;
    let share = (items.len() as f64 / 20.0).sqrt().clamp(0.5, 10.0);
    let holds = |i: &Item| table.problem.parts[i.part].holds.len().max(1) as f64;
    let holds = items.iter().map(holds).sum::<f64>() / items.len().max(1) as f64;
    (5e5 * share * holds.max(1.0).sqrt() / (15.0 + 0.12 * work)) as u64
}

/// Compacts the last sheet along the axis and along the other one, and keeps the layout with the larger remnant; a board of open
/// length along its length only.
fn compact_either_way<'w>(
    state: State<'w>,
    axis: Axis,
    moves: u64,
    run: &mut Run<'_>,
) -> (State<'w>, Axis) {
    let Some(last) = state.last() else { return (state, axis) };
    if state.table.problem.sheets[state.stock(last)].open_length {
        return (compact_last(state, axis, moves, run), axis);
    }
    let clock = run.clock;
    run.clock = clock.part(0.5);
    let along = compact_last(state.clone(), axis, moves / 2, run);
    run.clock = clock;
    let across = compact_last(state, axis.across(), moves / 2, run);
    let left = |state: &State<'_>| remnants(state, last).first().map_or(0.0, Ring::area);
    if left(&across) > left(&along) { (across, axis.across()) } else { (along, axis) }
}

/// Compacts the last sheet along the axis for a share of the moves.
pub fn compact_last<'w>(state: State<'w>, axis: Axis, moves: u64, run: &mut Run<'_>) -> State<'w> {
    let Some(last) = state.last() else { return state };
    let table = state.table;
    let goal = Goal { field: last, axis, bound: length_bound(&state, last, axis) };
    let mut state = compact(state, goal, moves, run);
    for field in &mut state.fields {
        field.reach = table.sheet_bounds(field.stock).max;
    }
    state
}

/// Least length used of the last sheet: that of the longest part that lies on no other sheet, and, where there is only one sheet,
/// by the parts' area.
fn length_bound(state: &State<'_>, last: FieldId, axis: Axis) -> f64 {
    let (table, stock) = (state.table, state.stock(last));
    let bounds = table.sheet_bounds(stock);
    // Where a form's least corner touches the margin, the sheet is used least.
    let reach = |stock: usize, form: FormId| {
        let l = table.limits(stock, form, table.sheet_bounds(stock).max)?;
        Some(axis.of(table.reach_of(stock, form, l.min)))
    };
    let least = |(item, p): (usize, Placing)| {
        if state.is_pinned(item) {
            return axis.of(table.reach_of(stock, p.form, p.at));
        }
        let forms = |stock: usize| &table.allowed[stock][state.kind(item)];
        let mut others = state.fields[..last.index()].iter().map(|f| f.stock);
        if others.any(|other| forms(other).iter().any(|&f| reach(other, f).is_some())) {
            return 0.0;
        }
        forms(stock).iter().filter_map(|&f| reach(stock, f)).fold(f64::INFINITY, f64::min)
    };
    let longest = state.placed_on(last).map(least).filter(|r| r.is_finite());
    let longest = longest.fold(0.0, f64::max);
    if state.fields.len() > 1 {
        return longest;
    }
    let margin = table.problem.sheets[stock].margin;
    let breadth = axis.across().of(bounds.max - bounds.min) - 2.0 * margin;
    let area: f64 = state.placed_on(last).map(|(_, p)| table.area(p.form)).sum();
    longest.max(axis.of(bounds.min) + 2.0 * margin + area / breadth.max(1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, point};
    use crate::job::Stock;
    use crate::nest::by_hand::{panel, rectangle};
    use std::sync::atomic::AtomicBool;

    /// Six plates of 100 x 60 mm on 300 x 200, by hand: compacted along x two columns of three leave 100 x 200 (20,000 mm²), along
    /// y two rows of three leave 300 x 80 (24,000).
    #[test]
    fn the_way_that_leaves_the_larger_remnant_is_kept() {
        let budget = Budget { moves: Some(4000), time: None };
        let (parts, sheets) = (vec![rectangle(100.0, 60.0, 6)], vec![panel(300.0, 200.0, 0.0)]);
        let problem = NestTask { parts, sheets, kerf: 0.0, gap: 0.0, seed: 1, budget, threads: 1 };
        let nest = Nest::new(&problem);
        let stop = AtomicBool::new(false);
        let control = Control { stop: &stop, progress: None };
        let mut run = nest.run(budget, Clock::start(budget, &control));
        let first = fill(nest.blank(), &[0, 1, 2, 3, 4, 5], Axis::X, Pattern::Free).state;
        assert_eq!(first.used(FieldId::new(0)), point(200.0, 180.0));
        let (state, axis) = compact_either_way(first, Axis::X, 4000, &mut run);
        assert_eq!(axis, Axis::Y);
        let remnant = remnants(&state, FieldId::new(0)).first().map_or(0.0, Ring::area);
        assert!((remnant - 24_000.0).abs() < 1e-3, "{remnant} mm²");
    }

    /// Of more copies than are moved one by one the lattice is there though the time is up before it is begun; of fewer it is not.
    #[test]
    fn very_many_copies_get_their_lattice_however_late_it_is() {
        let budget = Budget { moves: None, time: Some(std::time::Duration::ZERO) };
        let stop = AtomicBool::new(false);
        let control = Control { stop: &stop, progress: None };
        let lattices = |copies: usize| -> Vec<usize> {
            let (parts, sheets) =
                (vec![rectangle(12.0, 8.0, copies)], vec![panel(400.0, 300.0, 5.0)]);
            let task = NestTask { parts, sheets, kerf: 2.0, gap: 2.0, seed: 1, budget, threads: 1 };
            let nest = Nest::new(&task);
            let improved = nest.improve_beside(nest.first(), budget, &control);
            let placed = |n: &Nested| n.sheets.iter().map(|s| s.placed.len()).sum();
            improved.regular.iter().map(placed).collect()
        };
        assert_eq!(lattices(MANY), [0; 0]);
        assert_eq!(lattices(MANY + 1), [MANY + 1]);
    }

    /// What another nest of the same parts and stock has found out changes nothing: 30 of one part, in a lattice, on the second
    /// panel alone, after 40 of each of two on both.
    #[test]
    fn a_recounted_nest_lays_what_a_new_one_lays() {
        let budget = Budget { moves: Some(200), time: None };
        let task = |copies: [usize; 2], quantity: Option<usize>| NestTask {
            parts: vec![rectangle(30.0, 20.0, copies[0]), rectangle(25.0, 10.0, copies[1])],
            sheets: vec![Stock { quantity, ..panel(300.0, 200.0, 5.0) }, panel(200.0, 150.0, 5.0)],
            kerf: 2.0,
            gap: 2.0,
            seed: 1,
            budget,
            threads: 1,
        };
        let stop = AtomicBool::new(false);
        let control = Control { stop: &stop, progress: None };
        let lay = |nest: &Nest<'_>| nest.improve(nest.first(), budget, &control).sheets;
        let (all, few) = (task([40, 40], None), task([30, 0], Some(0)));
        let base = Nest::new(&all);
        assert_eq!(lay(&base)[0].stock, 0);
        let (recounted, new) = (lay(&base.recounted(&few)), lay(&Nest::new(&few)));
        assert_eq!(format!("{recounted:?}"), format!("{new:?}"));
        assert_eq!((new[0].stock, new.iter().map(|s| s.placed.len()).sum()), (1, 30_usize));
    }
}
