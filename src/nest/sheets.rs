//! The whole nest of a group: first layouts, fewer sheets, a gathered last sheet.

use super::around::clamp;
use super::clock::Clock;
use super::fewer::drop_sheet;
use super::first::{Axis, Filler, orders};
use super::form::{Form, Kind};
use super::plan::Plan;
use super::problem::{Control, Ended, Nested, NestedSheet, Placed, Problem, Reason, Unplaced};
use super::remnant::remnants;
use super::smaller::smaller_last;
use super::state::{NOWHERE, Placing, State};
use super::team::{Run, gather};
use super::worker::Goal;
use super::world::{World, least_width};
use crate::geometry::{Pose, Vector};
use std::sync::Arc;

/// One copy to place.
#[derive(Debug, Clone, Copy)]
struct Item {
    part: usize,
    copy: usize,
    spare: bool,
    pin: Option<(usize, Pose)>,
}

/// A valid layout with what is left over.
#[derive(Clone)]
struct Trial<'w> {
    state: State<'w>,
    unplaced: Vec<(usize, Reason)>,
    /// Unplaced copies, area of all sheets but the last, area used of the last.
    score: (usize, f64, f64),
    axis: Axis,
}

/// Solves the group.
pub(super) fn solve(problem: &Problem, control: &Control<'_>) -> Nested {
    let clock = Clock::start(problem, control);
    let widths = problem.parts.iter().map(|p| least_width(&p.shape.outline));
    let smallest = widths.fold(f64::INFINITY, f64::min);
    let kinds_known: Arc<Vec<Option<Kind>>> =
        Arc::new(problem.parts.iter().map(|p| Kind::new(p, problem.gap, smallest)).collect());
    let world = World::new(problem, kinds_known.clone(), None);
    let items = items(problem, &world);
    let kinds: Vec<usize> = items.iter().map(|i| i.part).collect();
    let pinned: Vec<bool> = items.iter().map(|i| i.pin.is_some()).collect();
    let mut run = Run {
        clock,
        threads: problem.threads,
        seed: problem.seed,
        moves: 0,
        evaluations: 0,
        most: problem.budget.moves.or(problem
            .budget
            .time
            .is_none()
            .then(|| default_moves(&world, &items))),
    };
    let mut trial = first_layout(problem, &world, &items, &kinds, &clock);
    let (unplaced, mut axis) = (trial.unplaced.clone(), trial.axis);
    if !improvable(&trial, &pinned) {
        return answer(problem, &items, &trial.state, unplaced, run);
    }
    while run.left() > 0 && !clock.is_over() {
        let Some(fewer) = drop_sheet(&trial.state, &kinds, &pinned, &mut run) else { break };
        trial.state = fewer;
    }
    if let Some(smaller) = smaller_last(&trial.state, &kinds, &pinned) {
        (trial.state, axis) = smaller;
    }
    let free = problem.parts.iter().any(|p| p.turns.tolerance > 0.0);
    let share = if free { run.left() / 2 } else { run.left() };
    run.clock = clock.part(if free { 0.5 } else { 1.0 });
    let state = gather_last(trial.state, axis, problem, &kinds, &pinned, share, &mut run);
    run.clock = clock;
    if !free {
        return answer(problem, &items, &state, unplaced, run);
    }
    let plan =
        refine_turns(Plan::of(&state), axis, problem, &kinds_known, &kinds, &pinned, &mut run);
    let last =
        World::new(problem, kinds_known, Some(&plan.known(problem.parts.len(), &kinds, 0.0)));
    match plan.state(&last, &kinds) {
        Some(finer) => answer(problem, &items, &finer, unplaced, run),
        None => answer(problem, &items, &state, unplaced, run),
    }
}

/// Steps by which free turns are refined, radians: from about the first turns' spacing down.
const TURN_STEPS: [f64; 3] = [0.12, 0.03, 0.008];

/// Refines the turns of parts that may take any, or leave theirs by a tolerance: in rounds, each item
/// may keep its turn or take a step to either side, the steps getting finer.
fn refine_turns(
    mut plan: Plan,
    axis: Axis,
    problem: &Problem,
    known_kinds: &Arc<Vec<Option<Kind>>>,
    kinds: &[usize],
    pinned: &[bool],
    run: &mut Run<'_>,
) -> Plan {
    for (round, step) in TURN_STEPS.into_iter().enumerate() {
        if run.clock.is_over() || run.left() == 0 {
            break;
        }
        let known = plan.known(problem.parts.len(), kinds, step);
        let world = World::new(problem, known_kinds.clone(), Some(&known));
        let Some(state) = plan.state(&world, kinds) else { break };
        let rounds = TURN_STEPS.len() - round;
        let (share, whole) = (run.left() / rounds as u64, run.clock);
        run.clock = whole.part(1.0 / rounds as f64);
        plan = Plan::of(&gather_last(state, axis, problem, kinds, pinned, share, run));
        run.clock = whole;
    }
    plan
}

/// Default work: moves that take about a second of one core for twenty parts, and more slowly more
/// with their number.
///
/// A move's cost follows from the pair tests: sums a pair x sides a sum, at about 0.7 us (measured on
/// gears with landings, 300 to 550 us a move, and on plain polygons, 15 to 25 us).
fn default_moves(world: &World<'_>, items: &[Item]) -> u64 {
    let mean = |f: &dyn Fn(&Form) -> usize| {
        world.forms.iter().map(|form| f(form) as f64).sum::<f64>() / world.forms.len().max(1) as f64
    };
    let (pieces, landings) = (mean(&|f| f.material.len()), mean(&|f| f.landings.len()));
    let corners = mean(&|f| f.material.iter().map(Vec::len).sum()) / pieces.max(1.0);
    let work = (pieces * pieces + 2.0 * pieces * landings) * 2.0 * corners;
    let share = (items.len() as f64 / 20.0).sqrt().clamp(0.5, 10.0);
    (1.2e6 * share / (5.0 + 0.7 * work)) as u64
}

/// Items beyond which the pair weights would not fit in memory: the first layout stands.
const MOST_SEARCHED: usize = 6000;

fn improvable(trial: &Trial<'_>, pinned: &[bool]) -> bool {
    pinned.len() <= MOST_SEARCHED
        && (0..pinned.len()).any(|i| !pinned[i] && trial.state.items[i].field != NOWHERE)
}

fn items(problem: &Problem, world: &World<'_>) -> Vec<Item> {
    let mut items = vec![];
    for (part, p) in problem.parts.iter().enumerate() {
        if world.kinds[part].is_none() {
            continue;
        }
        for k in 0..p.copies + p.spares {
            let (spare, pin) = (k >= p.copies, p.pins.get(k).copied());
            items.push(Item { part, copy: k + 1, spare, pin });
        }
    }
    items
}

/// The best of the first layouts in several orders and directions.
fn first_layout<'w>(
    problem: &Problem,
    world: &'w World<'_>,
    items: &[Item],
    kinds: &[usize],
    clock: &Clock<'_>,
) -> Trial<'w> {
    let blank = State::new(world, items.len());
    let open = problem.sheets.iter().any(|s| s.open_length);
    let axes: &[Axis] = if open { &[Axis::X] } else { &[Axis::X, Axis::Y] };
    // Each order costs one filling; with many items the first two say most of it.
    let tries = if items.len() <= 400 { 4 } else { 1 };
    let mut best: Option<Trial<'w>> = None;
    for order in orders(&blank, kinds).into_iter().take(tries) {
        for &axis in axes {
            if best.is_some() && clock.is_over() {
                break;
            }
            let trial = fill(problem, blank.clone(), items, &order, axis);
            if best.as_ref().is_none_or(|b| trial.score < b.score) {
                best = Some(trial);
            }
        }
    }
    best.unwrap_or(Trial { state: blank, unplaced: vec![], score: (0, 0.0, 0.0), axis: Axis::X })
}

/// Opens sheets in the order of preference.
struct Supply<'p> {
    problem: &'p Problem,
    left: Vec<Option<usize>>,
    cell: f64,
}

impl Supply<'_> {
    fn open(&mut self, state: &mut State<'_>, stock: usize) -> Option<u32> {
        match &mut self.left[stock] {
            Some(0) => return None,
            Some(n) => *n -= 1,
            None => {}
        }
        Some(state.open(stock, self.cell))
    }

    fn close_last(&mut self, state: &mut State<'_>) {
        if let Some(field) = state.fields.pop()
            && let Some(n) = &mut self.left[field.stock]
        {
            *n += 1;
        }
    }
}

fn fill<'w>(
    problem: &Problem,
    mut state: State<'w>,
    items: &[Item],
    order: &[usize],
    axis: Axis,
) -> Trial<'w> {
    let mut supply = Supply {
        problem,
        left: problem.sheets.iter().map(|s| s.quantity).collect(),
        cell: cell_size(&state, items),
    };
    let mut unplaced = place_pins(&mut state, &mut supply, items);
    let mut filler = Filler::new(axis);
    // A kind that has found no place on a sheet finds none there later either.
    let mut full = vec![vec![]; problem.parts.len()];
    let required = order.iter().filter(|&&i| !items[i].spare);
    let spares = order.iter().filter(|&&i| items[i].spare);
    for &i in required.chain(spares) {
        let item = items[i];
        if item.pin.is_some() {
            continue;
        }
        let full: &mut Vec<bool> = &mut full[item.part];
        full.resize(state.fields.len(), false);
        let mut placed = false;
        for (field, is_full) in full.iter_mut().enumerate().filter(|(_, f)| !**f) {
            placed = filler.place(&mut state, i, item.part, field as u32);
            if placed {
                break;
            }
            *is_full = true;
        }
        if !placed && !item.spare {
            match on_new_sheet(&mut state, &mut supply, &mut filler, i, item.part) {
                Ok(()) => {}
                Err(reason) => unplaced.push((i, reason)),
            }
        }
    }
    let score = score(&state, unplaced.len(), axis);
    Trial { state, unplaced, score, axis }
}

/// About the middle size of an item, so that a place touches a few cells only.
fn cell_size(state: &State<'_>, items: &[Item]) -> f64 {
    let world = state.world;
    let mean = |sum: f64| sum / items.len().max(1) as f64;
    let side = |i: &Item| {
        let b = world.kinds[i.part].as_ref().map(|k| k.shape.bounds());
        b.map_or(0.0, |b| (b.width() * b.height()).sqrt())
    };
    mean(items.iter().map(side).sum()) + world.problem.gap
}

fn place_pins(
    state: &mut State<'_>,
    supply: &mut Supply<'_>,
    items: &[Item],
) -> Vec<(usize, Reason)> {
    let mut unplaced = vec![];
    for (i, item) in items.iter().enumerate() {
        let Some((sheet, pose)) = item.pin else { continue };
        while state.fields.len() <= sheet {
            let next = (0..supply.problem.sheets.len()).find(|&s| supply.left[s] != Some(0));
            if next.and_then(|s| supply.open(state, s)).is_none() {
                break;
            }
        }
        let form = state.world.find_form(item.part, pose.rotation, pose.mirrored);
        let (Some(form), true) = (form, sheet < state.fields.len()) else {
            let what = format!("there is no sheet {}", sheet + 1);
            unplaced.push((i, Reason::PinInTheWay { what }));
            continue;
        };
        match pin_fault(state, items, i, sheet as u32, form, pose) {
            None => state.put(i, Placing { form, field: sheet as u32, at: pose.offset }),
            Some(what) => unplaced.push((i, Reason::PinInTheWay { what })),
        }
    }
    unplaced
}

fn pin_fault(
    state: &State<'_>,
    items: &[Item],
    i: usize,
    field: u32,
    form: u32,
    pose: Pose,
) -> Option<String> {
    let (at, eps) = (pose.offset, state.world.eps);
    if !at.finite() {
        return Some("its place is not finite".into());
    }
    let off = || format!("({:.2}, {:.2}) mm leaves the sheet or its margin", at.x, at.y);
    let Some(limits) = state.limits(field, form) else { return Some(off()) };
    if clamp(&limits, at).distance(at) > 1e-6 {
        return Some(off());
    }
    let mut fault = None;
    state.views(i, field, form, state.bounds_at(form, at), |other, v| {
        // A pin is typed by hand: what the checker's own tolerance accepts is good.
        if v.nofit.depth(v.offset(at), eps.max(1e-6)) > 0.0 {
            fault = Some(match other {
                None => "it comes too near a keep-clear area or the sheet's edge".into(),
                Some(j) => {
                    let name = &state.world.problem.parts[items[j].part].name;
                    format!("it comes too near {name} {}", items[j].copy)
                }
            });
        }
    });
    fault
}

/// Opens the first stock on which the item fits.
fn on_new_sheet(
    state: &mut State<'_>,
    supply: &mut Supply<'_>,
    filler: &mut Filler,
    item: usize,
    kind: usize,
) -> Result<(), Reason> {
    let problem = supply.problem;
    if problem.sheets.is_empty() {
        return Err(Reason::NoStock);
    }
    let mut used_up = false;
    for stock in 0..problem.sheets.len() {
        let world = state.world;
        let fits = world.allowed[stock][kind]
            .iter()
            .any(|&f| world.limits(stock, f, world.sheet_bounds(stock).max).is_some());
        if !fits {
            continue;
        }
        let Some(field) = supply.open(state, stock) else {
            used_up = true;
            continue;
        };
        filler.forget(field);
        if filler.place(state, item, kind, field) {
            return Ok(());
        }
        supply.close_last(state);
        filler.forget(field);
    }
    if used_up { Err(Reason::StockUsedUp) } else { Err(too_big(state.world, kind)) }
}

fn too_big(world: &World<'_>, kind: usize) -> Reason {
    let extents = world.allowed.iter().flat_map(|by_part| &by_part[kind]).map(|&f| {
        let b = world.forms[f as usize].part_bounds;
        (b.width(), b.height())
    });
    let (width, height) =
        extents.min_by(|a, b| (a.0 * a.1).total_cmp(&(b.0 * b.1))).unwrap_or((0.0, 0.0));
    Reason::TooBig { width, height }
}

fn score(state: &State<'_>, unplaced: usize, axis: Axis) -> (usize, f64, f64) {
    let area = |f: usize| {
        let b = state.world.sheet_bounds(state.fields[f].stock);
        b.width() * b.height()
    };
    let Some(last) = state.fields.len().checked_sub(1) else { return (unplaced, 0.0, 0.0) };
    let before: f64 = (0..last).map(area).sum();
    let b = state.world.sheet_bounds(state.fields[last].stock);
    let size = b.max - b.min;
    let used = axis.of(state.used(last as u32)) * axis.across().of(size);
    (unplaced, before, used)
}

/// Gathers the last sheet along the axis for a share of the moves.
fn gather_last<'w>(
    state: State<'w>,
    axis: Axis,
    problem: &Problem,
    kinds: &[usize],
    pinned: &[bool],
    moves: u64,
    run: &mut Run<'_>,
) -> State<'w> {
    let Some(last) = state.fields.len().checked_sub(1) else { return state };
    let world = state.world;
    let bound = length_bound(&state, last, axis, problem.sheets[state.fields[last].stock].margin);
    let goal = Goal { field: last as u32, axis, bound };
    let mut state = gather(state, kinds, pinned, goal, moves, run);
    for field in 0..state.fields.len() {
        state.fields[field].reach = world.sheet_bounds(state.fields[field].stock).max;
    }
    state
}

/// No layout of one sheet is shorter than its parts' area or its longest part.
fn length_bound(state: &State<'_>, last: usize, axis: Axis, margin: f64) -> f64 {
    if state.fields.len() > 1 {
        return 0.0;
    }
    let stock = state.fields[last].stock;
    let bounds = state.world.sheet_bounds(stock);
    let breadth = axis.across().of(bounds.max - bounds.min) - 2.0 * margin;
    let area: f64 =
        state.on_field(last as u32).map(|i| state.world.area(state.items[i].form)).sum();
    axis.of(bounds.min) + 2.0 * margin + area / breadth.max(1e-9)
}

fn answer(
    problem: &Problem,
    items: &[Item],
    state: &State<'_>,
    unplaced: Vec<(usize, Reason)>,
    run: Run<'_>,
) -> Nested {
    let world = state.world;
    let mut sheets = vec![];
    for (f, field) in state.fields.iter().enumerate() {
        let placed: Vec<Placed> = state
            .on_field(f as u32)
            .map(|i| {
                let (p, item) = (state.items[i], items[i]);
                let form = &world.forms[p.form as usize];
                let pose = Pose { offset: p.at, rotation: form.rotation, mirrored: form.mirrored };
                Placed { part: item.part, copy: item.copy, spare: item.spare, pose }
            })
            .collect();
        if placed.is_empty() {
            continue;
        }
        let stock = &problem.sheets[field.stock];
        let length = stock.open_length.then(|| state.used(f as u32).x);
        sheets.push(NestedSheet {
            stock: field.stock,
            length,
            remnants: remnants(state, f as u32),
            placed,
        });
    }
    let mut unplaced: Vec<Unplaced> = unplaced
        .into_iter()
        .map(|(i, reason)| Unplaced { part: items[i].part, copy: items[i].copy, reason })
        .collect();
    for (part, p) in problem.parts.iter().enumerate().filter(|(k, _)| world.kinds[*k].is_none()) {
        unplaced.extend((1..=p.copies).map(|copy| Unplaced { part, copy, reason: Reason::NoArea }));
    }
    let ended = run.clock.ended().unwrap_or(Ended::Budget);
    Nested { sheets, unplaced, ended, moves: run.moves, evaluations: run.evaluations }
}
