//! One sheet fewer, the dearest first: its parts are placed at random on the others, and the overlap is removed.

use crate::geometry::point;
use crate::nest::budget::run::Run;
use crate::nest::placing::state::{NOWHERE, Placing, State};
use crate::nest::separate::search::{Outcome, Search};
use rand::RngExt;

/// Greatest share of the sheets that parts with half the gap round them can fill: that of the best published layouts.
pub const DENSEST: f64 = 0.92;
/// Share of the budget for placing everything on one sheet fewer (set by hand).
const SHARE: f64 = 0.4;

/// The layout with one sheet fewer, if the search finds one.
pub fn drop_sheet<'w>(
    state: &State<'w>,
    kinds: &[usize],
    pinned: &[bool],
    run: &mut Run<'_>,
) -> Option<State<'w>> {
    let count = state.fields.len();
    if count < 2 {
        return None;
    }
    let area_on = |f: usize| {
        state.on_field(f as u32).map(|i| state.table.area(state.items[i].form)).sum::<f64>()
    };
    let claims_on = |f: usize| -> f64 {
        state.on_field(f as u32).map(|i| state.table.claim(state.items[i].form)).sum()
    };
    let sheet_area = |f: usize| state.table.problem.sheets[state.fields[f].stock].outline.area();
    let free_to_go = |f: &usize| state.on_field(*f as u32).all(|i| !pinned[i]);
    // What is bought goes before what is free, as remnants are; stock without a price lies between.
    let price = |f: usize| {
        let stock = &state.table.problem.sheets[state.fields[f].stock];
        stock.price.unwrap_or(f64::MIN_POSITIVE)
    };
    let mut order: Vec<usize> = (0..count).filter(free_to_go).collect();
    order.sort_by(|&a, &b| {
        price(b).total_cmp(&price(a)).then(area_on(a).total_cmp(&area_on(b))).then(a.cmp(&b))
    });
    let claims: f64 = (0..count).map(claims_on).sum();
    let room =
        |without: usize| -> f64 { (0..count).filter(|&f| f != without).map(sheet_area).sum() };
    let dropped = order.into_iter().find(|&f| claims <= DENSEST * room(f))?;
    let fewer = without(state, dropped, kinds);
    let mut search = Search::new(fewer, kinds.to_vec(), pinned.to_vec(), run.seed ^ 0xD509);
    scatter(&mut search, state, dropped as u32)?;
    let most = run.left() / 3;
    let clock = run.clock.part(SHARE);
    let outcome = search.separate(200, most, &|| clock.is_over());
    run.moves += search.moves;
    run.evaluations += search.scratch.evaluations;
    if outcome != Outcome::Separated {
        return None;
    }
    Some(search.state)
}

/// The state with one field removed; its items are unplaced.
pub fn without<'w>(state: &State<'w>, dropped: usize, kinds: &[usize]) -> State<'w> {
    let mut fewer = State::new(state.table, kinds.len());
    for (f, field) in state.fields.iter().enumerate() {
        if f != dropped {
            fewer.open(field.stock, state.cell(f));
        }
    }
    for (i, p) in state.items.iter().enumerate() {
        if p.field != NOWHERE && p.field as usize != dropped {
            let field = if p.field as usize > dropped { p.field - 1 } else { p.field };
            fewer.put(i, Placing { field, ..*p });
        }
    }
    fewer
}

/// Places the items of a dropped field at random on the others; `None` when an item fits on none.
fn scatter(search: &mut Search<'_>, old: &State<'_>, dropped: u32) -> Option<()> {
    for i in old.on_field(dropped) {
        let to = any_place(search, i)?;
        search.state.put(i, to);
    }
    Some(())
}

/// A random place for an item at any form that fits a field; `None` when it fits on none.
pub fn any_place(search: &mut Search<'_>, item: usize) -> Option<Placing> {
    let mut choices = vec![];
    for field in 0..search.state.fields.len() as u32 {
        let stock = search.state.fields[field as usize].stock;
        for &form in &search.state.table.allowed[stock][search.kinds[item]] {
            if let Some(limits) = search.state.limits(field, form) {
                choices.push((field, form, limits));
            }
        }
    }
    if choices.is_empty() {
        return None;
    }
    let (field, form, l) = choices[search.rng.random_range(0..choices.len())];
    let (s, t): (f64, f64) = (search.rng.random(), search.rng.random());
    let at = point(l.min.x + s * (l.max.x - l.min.x), l.min.y + t * (l.max.y - l.min.y));
    Some(Placing { form, field, at })
}
