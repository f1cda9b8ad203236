//! One sheet fewer, the dearest first: its parts are placed at random on the others, and the overlap is removed.

use crate::geometry::point;
use crate::nest::budget::run::Run;
use crate::nest::placing::state::{FieldId, Placing, State};
use crate::nest::separate::search::{Outcome, Search};
use rand::RngExt;

/// Greatest share of the sheets that parts with half the gap round them can fill: that of the best published layouts.
pub const DENSEST: f64 = 0.92;
/// Share of the budget for placing everything on one sheet fewer (set by hand).
const SHARE: f64 = 0.4;

/// The layout with one sheet fewer, if the search finds one.
pub fn drop_sheet<'w>(state: &State<'w>, run: &mut Run<'_>) -> Option<State<'w>> {
    if state.fields.len() < 2 {
        return None;
    }
    let (table, fields) = (state.table, || state.field_ids());
    let stock = |f| &table.problem.sheets[state.stock(f)];
    let area_on = |f| state.placed_on(f).map(|(_, p)| table.area(p.form)).sum::<f64>();
    let claims_on = |f| state.placed_on(f).map(|(_, p)| table.claim(p.form)).sum::<f64>();
    let free_to_go = |f: &FieldId| state.on_field(*f).all(|i| !state.is_pinned(i));
    // What is bought goes before what is free, as remnants are; stock without a price lies between.
    let price = |f| stock(f).price.unwrap_or(f64::MIN_POSITIVE);
    let mut order: Vec<FieldId> = fields().filter(free_to_go).collect();
    order.sort_by(|&a, &b| {
        price(b).total_cmp(&price(a)).then(area_on(a).total_cmp(&area_on(b))).then(a.cmp(&b))
    });
    let claims: f64 = fields().map(claims_on).sum();
    let room = |without: FieldId| -> f64 {
        fields().filter(|&f| f != without).map(|f| stock(f).outline.area()).sum()
    };
    let dropped = order.into_iter().find(|&f| claims <= DENSEST * room(f))?;
    let mut search = Search::new(state.without(dropped), run.seed ^ 0xD509);
    scatter(&mut search, state, dropped)?;
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

/// Places the items of a dropped field at random on the others; `None` when an item fits on none.
fn scatter(search: &mut Search<'_>, old: &State<'_>, dropped: FieldId) -> Option<()> {
    for i in old.on_field(dropped) {
        let to = any_place(search, i)?;
        search.state.put(i, to);
    }
    Some(())
}

/// A random place for an item at any form that fits a field; `None` when it fits on none.
pub fn any_place(search: &mut Search<'_>, item: usize) -> Option<Placing> {
    let (state, mut choices) = (&search.state, vec![]);
    for field in state.field_ids() {
        for &form in &state.table.allowed[state.stock(field)][state.kind(item)] {
            if let Some(limits) = state.limits(field, form) {
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
