//! A layout again, with a web of stock left all round some of its copies.
//!
//! Where kerfs coincide, what is left between parts may be an island that no clamp reaches. Only the copies
//! whose tabs land on such islands need more room, and only they are given it: the rest lies as it did, and
//! makes way.

use super::around::clamp;
use super::clock::Clock;
use super::convex::pieces;
use super::fill::{Item, cell_size, fill};
use super::first::{Axis, orders};
use super::form::Kind;
use super::plan::Plan;
use super::problem::{Budget, Control, Ended, Nested, Placed, Problem};
use super::search::{Outcome, Search};
use super::sheets::{MOST_SEARCHED, Nest, gather_last, nested_sheets};
use super::simplify::outward;
use super::state::{Placing, State};
use super::team::Run;
use super::world::World;
use crate::geometry::{Ring, Shape, grow_ring};
use std::sync::Arc;

/// Passes without a fall of the overlap before the layout is given more length.
const PATIENCE: usize = 50;
/// How much longer than before the last sheet may become, tried in turn, as a share of what the webs would take if
/// each lay on its own.
const LONGER: [f64; 4] = [0.0, 0.5, 1.0, 2.0];
/// Share of the moves for that; the rest makes the layout short again.
const PARTING: u64 = 3;

/// A copy of a part: the part's index and the copy's number.
pub type CopyOf = (usize, usize);

impl Nest<'_> {
    /// The layout `from`, with a web of `depth` mm beyond the kerf all round the copies in `webs`, searched on
    /// within the budget; `None` where the stock has no room for them, or the copies are too many to search. Pinned
    /// copies get none.
    pub fn webbed(
        &self,
        from: &Nested,
        webs: &[CopyOf],
        depth: f64,
        budget: Budget,
        control: &Control<'_>,
    ) -> Option<Nested> {
        let clock = Clock::start(budget, control);
        // The parts with a web stand behind the plain ones.
        let mut parts: Vec<usize> = webs.iter().map(|w| w.0).collect();
        parts.sort_unstable();
        parts.dedup();
        let plain = self.world.problem.parts.len();
        let items = self.placed_items(from);
        if items.len() > MOST_SEARCHED {
            return None;
        }
        let kind_of = |item: &Item| match parts.binary_search(&item.part) {
            Ok(k) if item.pin.is_none() && webs.contains(&(item.part, item.copy)) => plain + k,
            _ => item.part,
        };
        let kinds: Vec<usize> = items.iter().map(kind_of).collect();
        let pinned: Vec<bool> = items.iter().map(|i| i.pin.is_some()).collect();

        let problem = self.with_webs(&parts, depth);
        let mut known_kinds: Vec<Option<Kind>> = self.world.kinds.to_vec();
        let narrow = problem.narrowest();
        known_kinds
            .extend(problem.parts[plain..].iter().map(|p| Kind::new(p, problem.gap, narrow)));
        let plan = Plan::of_sheets(&from.sheets, cell_size(&self.blank(), &items));
        let turns = plan.known(problem.parts.len(), &kinds, 0.0);
        let free = problem.parts.iter().any(|p| p.turns.tolerance > 0.0);
        let mut world = World::new(&problem, Arc::new(known_kinds), free.then_some(&turns[..]));
        world.take_pairs(&self.world);

        let start = plan.state(&world, &kinds)?;
        let axis = gathered_along(&start)?;
        let mut run = self.run(budget, clock);
        let webbed = kinds.iter().filter(|&&k| k >= plain);
        let edges: f64 = webbed.map(|&k| problem.parts[k].shape.outline.perimeter()).sum();
        let added = edges * (problem.kerf / 2.0 + depth);
        let apart = parted(start, axis, added, &kinds, &pinned, &mut run)
            .or_else(|| filled(&world, &items, &kinds, axis))?;
        let moves = run.left();
        let state = gather_last(apart, axis, &kinds, &pinned, moves, &mut run);
        Some(Nested {
            sheets: nested_sheets(&state, &items),
            unplaced: from.unplaced.clone(),
            ended: run.clock.ended().unwrap_or(Ended::Budget),
            moves: run.moves,
            evaluations: run.evaluations,
        })
    }

    /// The copies as they lie in `from`, sheet by sheet.
    fn placed_items(&self, from: &Nested) -> Vec<Item> {
        let placed = from.sheets.iter().flat_map(|s| &s.placed);
        let item = |p: &Placed| {
            let same = |i: &&Item| (i.part, i.copy) == (p.part, p.copy);
            let pin = self.items.iter().find(same).and_then(|i| i.pin);
            Item { part: p.part, copy: p.copy, spare: p.spare, pin }
        };
        placed.map(item).collect()
    }

    /// The problem with these parts once more, with a web round them.
    fn with_webs(&self, parts: &[usize], depth: f64) -> Problem {
        let mut problem = self.world.problem.clone();
        for &k in parts {
            let plain = &problem.parts[k];
            let web = grow_ring(&plain.shape.outline, problem.kerf + depth);
            let web = web
                .into_iter()
                .flat_map(|s| pieces(&outward(&Shape::new(s.outline, vec![]), depth / 8.0, 0.0)));
            let web: Vec<Ring> = web.map(Ring).collect();
            let mut webbed = plain.clone();
            webbed.holds.resize(plain.holds.len().max(1), vec![]);
            webbed.holds.iter_mut().for_each(|landings| landings.extend(web.iter().cloned()));
            problem.parts.push(webbed);
        }
        problem
    }
}

/// The axis along which less of the last sheet is used; of stock of open length, its length.
fn gathered_along(state: &State<'_>) -> Option<Axis> {
    let last = state.fields.len().checked_sub(1)?;
    let stock = state.fields[last].stock;
    let bounds = state.world.sheet_bounds(stock);
    let (used, size) = (state.used(last as u32) - bounds.min, bounds.max - bounds.min);
    let open = state.world.problem.sheets[stock].open_length;
    Some(if open || used.x * size.y <= used.y * size.x { Axis::X } else { Axis::Y })
}

/// The layout with the overlap of the webs, whose area is `added` mm², taken out; as little longer as may be.
fn parted<'w>(
    start: State<'w>,
    axis: Axis,
    added: f64,
    kinds: &[usize],
    pinned: &[bool],
    run: &mut Run<'_>,
) -> Option<State<'w>> {
    let last = start.fields.len() - 1;
    let whole = axis.of(start.fields[last].reach);
    let used = axis.of(start.used(last as u32));
    let bounds = start.world.sheet_bounds(start.fields[last].stock);
    let length = added / axis.across().of(bounds.max - bounds.min);
    let items = start.items.clone();
    let end = run.left() / PARTING;
    let mut search = Search::new(start, kinds.to_vec(), pinned.to_vec(), run.seed ^ 0x3EB5);
    let mut outcome = Outcome::Stalled;
    for longer in LONGER {
        let longer = (used + longer * length).min(whole);
        let field = &mut search.state.fields[last];
        field.reach = axis.point(longer, axis.across().of(field.reach));
        search.restore(&items);
        search.forget_weights();
        spread(&mut search, axis, longer / used - 1.0);
        let most = end.saturating_sub(search.moves);
        outcome = search.separate(PATIENCE, most, &|| run.clock.is_over());
        if outcome == Outcome::Separated || most == 0 || run.clock.is_over() {
            break;
        }
    }
    run.moves += search.moves;
    run.evaluations += search.scratch.evaluations;
    (outcome == Outcome::Separated).then_some(search.state)
}

/// A first layout of all of them anew, where the webs are too many for the old one to make way.
fn filled<'w>(
    world: &'w World<'w>,
    items: &[Item],
    kinds: &[usize],
    axis: Axis,
) -> Option<State<'w>> {
    let blank = State::new(world, items.len());
    let of_kind = |(item, &part): (&Item, &usize)| Item { part, ..*item };
    let items: Vec<Item> = items.iter().zip(kinds).map(of_kind).collect();
    let order = orders(&blank, kinds).swap_remove(0);
    let trial = fill(blank, &items, &order, axis, None);
    trial.unplaced.is_empty().then_some(trial.state)
}

/// Spreads what lies on the last sheet along the axis by a share of its length, and pushes back in what sticks out.
fn spread(search: &mut Search<'_>, axis: Axis, share: f64) {
    let last = search.state.fields.len() as u32 - 1;
    let begin =
        axis.of(search.state.world.sheet_bounds(search.state.fields[last as usize].stock).min);
    for i in (0..search.kinds.len()).filter(|&i| !search.pinned[i]).collect::<Vec<_>>() {
        let p = search.state.items[i];
        let along = if p.field == last { axis.of(search.state.bounds(i).min) - begin } else { 0.0 };
        if let Some(limits) = search.state.limits(p.field, p.form) {
            let at = clamp(&limits, p.at + axis.unit() * (share * along));
            search.state.put(i, Placing { at, ..p });
        }
    }
}
