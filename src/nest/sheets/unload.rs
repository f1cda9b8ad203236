//! Leaves as little as possible on the last sheet: its items are moved onto the others one by one, and the overlap is removed.
//!
//! The rest is compacted afterwards, or goes to a smaller piece of stock.

use super::fewer::{DENSEST, any_place, without};
use crate::nest::budget::run::Run;
use crate::nest::placing::state::{NOWHERE, Placing, State};
use crate::nest::separate::search::{Outcome, Search};

// Set by hand, for a third of the search at most; not measured against others.

/// Passes without a fall of the overlap before an item goes back.
const PATIENCE: usize = 100;
/// Tries with an item before items like it are left alone.
const TRIES: usize = 2;
/// Divisors: of the moves left, for the whole step, and of that, for one try.
const SHARE: (u64, u64) = (3, 4);

/// The layout with fewer items on its last sheet, the largest moved first; unchanged where none can move.
pub fn unload_last<'w>(
    state: State<'w>,
    kinds: &[usize],
    pinned: &[bool],
    run: &mut Run<'_>,
) -> State<'w> {
    let table = state.table;
    let Some(last) = state.fields.len().checked_sub(1).filter(|&last| last > 0) else {
        return state;
    };
    let claim = |i: usize| table.claim(state.items[i].form);
    let on = |f: usize| state.on_field(f as u32);
    let room: f64 =
        (0..last).map(|f| table.problem.sheets[state.fields[f].stock].outline.area()).sum();
    let mut free = DENSEST * room - (0..last).flat_map(on).map(claim).sum::<f64>();
    let mut staying: Vec<usize> = on(last).filter(|&i| !pinned[i]).collect();
    staying.sort_by(|&a, &b| claim(b).total_cmp(&claim(a)).then(kinds[a].cmp(&kinds[b])));

    let mut search = Search::new(
        without(&state, last, kinds),
        kinds.to_vec(),
        pinned.to_vec(),
        run.seed ^ 0x51AC,
    );
    let (end, clock) = (run.left() / SHARE.0, run.clock.part(1.0 / SHARE.0 as f64));
    let (mut k, mut tries) = (0, 0);
    while k < staying.len() && search.moves < end && !clock.is_over() {
        let item = staying[k];
        let before = search.state.items.clone();
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
        search.restore(&before);
        tries += 1;
        if tries >= TRIES || claim(item) > free {
            let like = |&i: &usize| kinds[i] == kinds[item];
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
fn with_last<'w>(mut others: State<'w>, before: &State<'w>, last: usize) -> State<'w> {
    let staying: Vec<usize> =
        before.on_field(last as u32).filter(|&i| others.items[i].field == NOWHERE).collect();
    if !staying.is_empty() {
        let field = others.open(before.fields[last].stock, before.cell(last));
        staying.iter().for_each(|&i| others.put(i, Placing { field, ..before.items[i] }));
    }
    others
}
