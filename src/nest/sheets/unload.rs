//! Leaves as little as possible on the last sheet: its items are moved onto the others one by one, and the overlap is removed.
//!
//! The rest is compacted afterwards, or goes to a smaller piece of stock.

use super::fewer::{DENSEST, any_place};
use crate::nest::budget::run::Run;
use crate::nest::placing::state::{FieldId, Placing, State};
use crate::nest::separate::search::{Outcome, Search};

// Set by hand, for a third of the search at most; not measured against others.

/// Passes without a fall of the overlap before an item goes back.
const PATIENCE: usize = 100;
/// Tries with an item before items like it are left alone.
const TRIES: usize = 2;
/// Divisors: of the moves left, for the whole step, and of that, for one try.
const SHARE: (u64, u64) = (3, 4);

/// The layout with fewer items on its last sheet, the largest moved first; unchanged where none can move.
pub fn unload_last<'w>(state: State<'w>, run: &mut Run<'_>) -> State<'w> {
    let table = state.table;
    let Some(last) = state.last().filter(|last| last.index() > 0) else { return state };
    let claim = |i: usize| state.places[i].map_or(0.0, |p| table.claim(p.form));
    let others = || state.field_ids().filter(|&f| f != last);
    let room: f64 = others().map(|f| table.problem.sheets[state.stock(f)].outline.area()).sum();
    let claimed = others().flat_map(|f| state.on_field(f)).map(claim).sum::<f64>();
    let mut free = DENSEST * room - claimed;
    let mut staying: Vec<usize> = state.on_field(last).filter(|&i| !state.is_pinned(i)).collect();
    let kind = |i: usize| state.kind(i);
    staying.sort_by(|&a, &b| claim(b).total_cmp(&claim(a)).then(kind(a).cmp(&kind(b))));

    let mut search = Search::new(state.without(last), run.seed ^ 0x51AC);
    let (end, clock) = (run.left() / SHARE.0, run.clock.part(1.0 / SHARE.0 as f64));
    let (mut k, mut tries) = (0, 0);
    while k < staying.len() && search.moves < end && !clock.is_over() {
        let item = staying[k];
        let before = search.state.places.clone();
        let most = (end / SHARE.1).min(end - search.moves);
        let moved = claim(item) <= free
            && any_place(&mut search, item).is_some_and(|to| {
                search.state.put(item, to);
                search.forget_weights();
                search.separate(PATIENCE, most, &|| clock.is_over()) == Outcome::Separated
            });
        if moved {
            free -= claim(item);
            staying.remove(k);
            tries = 0;
            continue;
        }
        search.state.restore(&before);
        tries += 1;
        if tries >= TRIES || claim(item) > free {
            let like = |&i: &usize| kind(i) == kind(item);
            k += staying[k..].iter().take_while(|i| like(i)).count();
            tries = 0;
        }
        // A try without an overlap to take out makes no moves.
        search.moves += 1;
    }
    run.moves += search.moves;
    run.evaluations += search.scratch.evaluations;
    with_last(search.state, &state, last)
}

/// The layout of all fields but the last, with the items that still lie there.
fn with_last<'w>(mut others: State<'w>, before: &State<'w>, last: FieldId) -> State<'w> {
    let staying: Vec<(usize, Placing)> =
        before.placed_on(last).filter(|(i, _)| others.places[*i].is_none()).collect();
    if !staying.is_empty() {
        let field = others.open(before.stock(last), before.cell(last));
        staying.into_iter().for_each(|(i, p)| others.put(i, Placing { field, ..p }));
    }
    others
}
