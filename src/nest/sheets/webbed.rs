//! Nests a layout again with a web of stock all round some of its copies.
//!
//! Where kerfs coincide, the stock left between parts may be an island that no clamp reaches. Only the copies whose tabs land on
//! such islands need more room, and only they get it: the rest keep their places, and make way. On a sheet too full for that these
//! copies are put elsewhere, or all are placed anew, whichever takes less stock.

use super::group_nest::{MOST_SEARCHED, Nest, compact_last, nested_sheets};
use super::rooms::{CopyRoom, Rooms, TabRoom};
use crate::nest::budget::clock::Clock;
use crate::nest::budget::run::Run;
use crate::nest::construct::fill::{cell_size, fill, score};
use crate::nest::construct::first::{Filler, Pattern, orders};
use crate::nest::nest_task::{Budget, Control, Ended, NestTask, Nested, Placed};
use crate::nest::no_fit::no_fit_table::NoFitTable;
use crate::nest::placing::item::Item;
use crate::nest::placing::portable_layout::PortableLayout;
use crate::nest::placing::sheet_axis::Axis;
use crate::nest::placing::state::{Placing, State};
use crate::nest::separate::search::{Outcome, Search};
use crate::nest::shapes::form::PartKind;
use crate::nest::shapes::least_width::narrowest;
use std::cmp::Ordering;
use std::sync::Arc;

/// Passes without a fall of the overlap before the layout gets more length.
const PATIENCE: usize = 50;
/// How much longer than before the last sheet may become, tried in turn, as a share of the length that the webs would take if each
/// lay alone.
const LONGER: [f64; 4] = [0.0, 0.5, 1.0, 2.0];
/// Divisor of the moves for that; the rest shortens the layout again.
const PARTING: u64 = 3;

/// A layout with webs.
pub struct Webbed {
    /// The result of the search.
    pub searched: Nested,
    /// The layout before it was made shorter again: the others have made way; or, where they could not, they have their old places,
    /// and the copies that have a web are put elsewhere.
    pub aside: Option<Nested>,
}

impl Nest<'_> {
    /// The layout `from`, with `rooms` beside copies, improved within the budget; `None` where the stock
    /// has no room for them, or the copies are too many to search. Pinned copies get none.
    ///
    /// A web is `depth` mm wide beyond the kerf; landings are those of the same part in `held`.
    pub fn webbed(
        &self,
        from: &Nested,
        rooms: &Rooms,
        (depth, held): (f64, &NestTask),
        budget: Budget,
        control: &Control<'_>,
    ) -> Option<Webbed> {
        let clock = Clock::start(budget, control);
        // The parts with more room stand behind the plain ones.
        let kinds = rooms.kinds();
        let plain = self.table.problem.parts.len();
        let items = self.placed_items(from);
        if items.len() > MOST_SEARCHED {
            return None;
        }
        let with_web = |item: &Item| {
            let room = rooms.of((item.part, item.copy)).filter(|_| item.pin.is_none());
            let place = room.and_then(|room| kinds.binary_search(&room).ok());
            Item { part: place.map_or(item.part, |k| plain + k), ..*item }
        };
        let webbed_items: Vec<Item> = items.iter().map(with_web).collect();

        let problem = self.with_rooms(&kinds, rooms, (depth, held));
        let plan = PortableLayout::of_sheets(&from.sheets, cell_size(&self.table, &items));
        let table = self.roomy_table(&problem, &plan, &webbed_items);
        let start = plan.state(&table, &webbed_items)?;
        let axis = gathered_along(&start)?;
        let mut run = self.run(budget, clock);
        let webbed: Vec<usize> = (0..items.len()).filter(|&i| start.kind(i) >= plain).collect();
        let edge = |&i: &usize| rooms.length(&kinds[start.kind(i) - plain], &problem);
        let added = webbed.iter().map(edge).sum::<f64>() * (problem.kerf / 2.0 + depth);
        let nested = |state: &State<'_>, run: &Run<'_>| Nested {
            sheets: nested_sheets(state, &items),
            unplaced: from.unplaced.clone(),
            ended: run.clock.ended().unwrap_or(Ended::Budget),
            moves: run.moves,
            evaluations: run.evaluations,
        };
        let (apart, aside) = match parted(start.clone(), axis, added, &mut run) {
            Some(parted) => {
                let before = nested(&parted, &run);
                (parted, Some(before))
            }
            None => {
                let aside = moved_aside(start, axis, &webbed);
                let as_moved = aside.as_ref().map(|state| nested(state, &run));
                (least_stock(aside, filled(&table, &webbed_items, axis), axis)?, as_moved)
            }
        };
        let moves = run.left();
        let state = compact_last(apart, axis, moves, &mut run);
        Some(Webbed { searched: nested(&state, &run), aside })
    }

    /// The table of a problem whose first parts are this one's, of the orientations in `plan`.
    fn roomy_table<'q>(
        &self,
        problem: &'q NestTask,
        plan: &PortableLayout,
        items: &[Item],
    ) -> NoFitTable<'q> {
        let narrow = narrowest(problem);
        let more = problem.parts[self.table.problem.parts.len()..].iter();
        let mut kinds: Vec<Option<PartKind>> = self.table.kinds.to_vec();
        kinds.extend(more.map(|p| PartKind::new(p, problem.gap, narrow)));
        let turns = plan.known(problem.parts.len(), items, 0.0);
        let free = problem.parts.iter().any(|p| p.turns.tolerance > 0.0);
        let table = NoFitTable::new(problem, Arc::new(kinds), free.then_some(&turns[..]));
        table.take_pairs(&self.table);
        table
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

    /// The problem with second entries of parts, one for each kind of room: with a web round them, the landings that they have in
    /// `held`, or passages beside them.
    fn with_rooms(
        &self,
        kinds: &[CopyRoom],
        rooms: &Rooms,
        (depth, held): (f64, &NestTask),
    ) -> NestTask {
        let mut problem = self.table.problem.clone();
        for room in kinds {
            let plain = &problem.parts[room.part];
            let mut part = plain.clone();
            if room.tabs == TabRoom::Landings {
                part.holds = held.parts.get(room.part).map_or(vec![], |p| p.holds.clone());
            }
            let claim = rooms.claim(room, &plain.shape.outline, problem.kerf, depth);
            if !claim.is_empty() {
                part.holds.resize(part.holds.len().max(1), vec![]);
                part.holds.iter_mut().for_each(|landings| landings.extend(claim.iter().cloned()));
            }
            problem.parts.push(part);
        }
        problem
    }
}

/// Whichever of two layouts takes less stock; the first where they take as much.
fn least_stock<'w>(
    first: Option<State<'w>>,
    second: Option<State<'w>>,
    axis: Axis,
) -> Option<State<'w>> {
    let stock = |s: &State<'_>| score(s, 0, axis);
    let less = |a: &State<'_>, b: &State<'_>| stock(a).partial_cmp(&stock(b));
    first.into_iter().chain(second).min_by(|a, b| less(a, b).unwrap_or(Ordering::Equal))
}

/// The axis along which less of the last sheet is used; for stock of open length, its length.
fn gathered_along(state: &State<'_>) -> Option<Axis> {
    let last = state.last()?;
    let stock = state.stock(last);
    let bounds = state.table.sheet_bounds(stock);
    let (used, size) = (state.used(last) - bounds.min, bounds.max - bounds.min);
    let open = state.table.problem.sheets[stock].open_length;
    Some(if open || used.x * size.y <= used.y * size.x { Axis::X } else { Axis::Y })
}

/// The layout with the overlap of the webs, whose area is `added` mm², removed; as little longer as possible.
fn parted<'w>(start: State<'w>, axis: Axis, added: f64, run: &mut Run<'_>) -> Option<State<'w>> {
    let last = start.last()?;
    let whole = axis.of(start.field(last).reach);
    let used = axis.of(start.used(last));
    let bounds = start.table.sheet_bounds(start.stock(last));
    let length = added / axis.across().of(bounds.max - bounds.min);
    let places = start.places.clone();
    let end = run.left() / PARTING;
    let mut search = Search::new(start, run.seed ^ 0x3EB5);
    let mut outcome = Outcome::Stalled;
    for longer in LONGER {
        let longer = (used + longer * length).min(whole);
        let field = &mut search.state.fields[last.index()];
        field.reach = axis.point(longer, axis.across().of(field.reach));
        search.state.restore(&places);
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

/// The layout with each copy that has a web moved to where there is room for it, the largest first, the others unmoved; `None`
/// where the sheets have none.
fn moved_aside<'w>(mut state: State<'w>, axis: Axis, webbed: &[usize]) -> Option<State<'w>> {
    webbed.iter().for_each(|&i| state.take(i));
    let kind = |i: usize| state.kind(i);
    let area = |i: usize| state.table.kinds[kind(i)].as_ref().map_or(0.0, |k| k.area);
    let mut order = webbed.to_vec();
    order.sort_by(|&a, &b| area(b).total_cmp(&area(a)).then(kind(a).cmp(&kind(b))));
    let mut filler = Filler::new(axis, Pattern::Free);
    for i in order {
        state.field_ids().find(|&field| filler.place(&mut state, i, field))?;
    }
    // What lay alone on the last sheet may have left it.
    while let Some(last) = state.last().filter(|last| last.index() > 0)
        && state.on_field(last).next().is_none()
    {
        state.fields.pop();
    }
    Some(state)
}

/// A new first layout of all copies, where the webs are too many for the old one to make way.
fn filled<'w>(table: &'w NoFitTable<'w>, items: &'w [Item], axis: Axis) -> Option<State<'w>> {
    let order = orders(table, items).swap_remove(0);
    let trial = fill(State::new(table, items), &order, axis, Pattern::Free);
    trial.unplaced.is_empty().then_some(trial.state)
}

/// Spreads the items on the last sheet along the axis by a share of its length, and pushes those beyond its edge back in.
fn spread(search: &mut Search<'_>, axis: Axis, share: f64) {
    let Some(last) = search.state.last() else { return };
    let begin = axis.of(search.state.table.sheet_bounds(search.state.stock(last)).min);
    for i in 0..search.state.items.len() {
        let place = search.state.places[i].filter(|_| !search.state.is_pinned(i));
        let Some(p) = place else { continue };
        let along = if p.field == last { axis.of(search.state.bounds(i).min) - begin } else { 0.0 };
        if let Some(limits) = search.state.limits(p.field, p.form) {
            let at = limits.nearest(p.at + axis.unit() * (share * along));
            search.state.put(i, Placing { at, ..p });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Bounds;
    use crate::nest::by_hand::{panel, rectangle};
    use crate::nest::placing::state::FieldId;

    /// Five tiles of 40 mm with a kerf of 2, by hand: four fill a panel of 102 mm with a margin of 5, the fifth lies in the corner
    /// of another. The first gets a web of 3 mm all round: it goes beside the fifth, kerf, web and kerf from it, 5 + 40 + 7 = 52.
    #[test]
    fn a_copy_with_a_web_goes_where_there_is_room_and_the_others_stay() {
        let budget = Budget { moves: Some(0), time: None };
        let (parts, sheets) = (vec![rectangle(40.0, 40.0, 5)], vec![panel(102.0, 102.0, 5.0)]);
        let plain = NestTask { parts, sheets, kerf: 2.0, gap: 2.0, seed: 1, budget, threads: 1 };
        let nest = Nest::new(&plain);
        let web = [CopyRoom { part: 0, tabs: TabRoom::Web, copy: None }];
        let problem = nest.with_rooms(&web, &Rooms::default(), (3.0, &plain));
        let kinds =
            problem.parts.iter().map(|p| PartKind::new(p, 2.0, narrowest(&problem))).collect();
        let table = NoFitTable::new(&problem, Arc::new(kinds), None);
        let all =
            fill(State::new(&table, &nest.items), &[0, 1, 2, 3, 4], Axis::X, Pattern::Free).state;
        let lay = |state: &State<'_>, i: usize| -> (usize, Bounds) {
            let p = state.places[i].unwrap();
            let b = table.form(p.form).part_bounds;
            (p.field.index(), Bounds { min: b.min + p.at, max: b.max + p.at })
        };
        // The same layout, of copies of which one has a web.
        let with_web = |webbed: usize| -> Vec<Item> {
            let item = |(i, item): (usize, &Item)| Item { part: usize::from(i == webbed), ..*item };
            nest.items.iter().enumerate().map(item).collect()
        };
        let (first_webbed, last_webbed) = (with_web(0), with_web(3));
        fn of<'w>(state: &State<'w>, items: &'w [Item]) -> State<'w> {
            let mut state = state.clone();
            state.items = items;
            state
        }
        let moved = moved_aside(of(&all, &first_webbed), Axis::X, &[0]).unwrap();
        assert_eq!([1, 2, 3, 4].map(|i| lay(&moved, i)), [1, 2, 3, 4].map(|i| lay(&all, i)));
        let ((field, first), (last_field, fifth)) = (lay(&moved, 0), lay(&all, 4));
        assert_eq!((field, last_field), (1, 1));
        assert_eq!((fifth.min.x, fifth.min.y), (5.0, 5.0));
        let apart = (first.min.x - fifth.max.x).max(first.min.y - fifth.max.y);
        // Webs are simplified outwards by an eighth of their depth at most.
        assert!((7.0..7.375).contains(&apart), "{apart} mm");
        // On one panel alone there is no room for it.
        let one = State::new(&table, &nest.items[..4]);
        let four = fill(one, &[0, 1, 2, 3], Axis::X, Pattern::Free).state;
        assert!(moved_aside(of(&four, &first_webbed[..4]), Axis::X, &[0]).is_none());
        // Alone on a second panel it finds room beside three others, 7 mm from each, and leaves that panel.
        let mut alone = four;
        let field = alone.open(0, alone.cell(FieldId::new(0)));
        alone.put(3, Placing { field, ..alone.places[3].unwrap() });
        let together = moved_aside(of(&alone, &last_webbed[..4]), Axis::X, &[3]).unwrap();
        assert_eq!((together.fields.len(), lay(&together, 3).0), (1, 0));
    }
}
