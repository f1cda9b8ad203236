//! Moves the last sheet's items to a smaller piece of stock, where they fit there.

use crate::nest::construct::first::{Filler, Pattern, orders};
use crate::nest::placing::sheet_axis::Axis;
use crate::nest::placing::state::{FieldId, State};

/// The layout with the last sheet's items on the smallest other stock that holds them all and costs no
/// more, with the axis it was filled along; `None` when there is none.
///
/// Stock without a price counts as free: it is on hand. Boards of open length are left alone, since only the length used counts.
pub fn smaller_last<'w>(state: &State<'w>) -> Option<(State<'w>, Axis)> {
    let last = state.last()?;
    let (sheets, now) = (&state.table.problem.sheets, state.stock(last));
    let items: Vec<usize> = state.on_field(last).collect();
    if sheets[now].open_length || items.iter().any(|&i| state.is_pinned(i)) {
        return None;
    }
    let price = |s: usize| sheets[s].price.unwrap_or(0.0);
    let area = |s: usize| sheets[s].outline.area();
    let in_use = |s: usize| state.fields[..last.index()].iter().filter(|f| f.stock == s).count();
    let mut smaller: Vec<usize> = (0..sheets.len())
        .filter(|&s| !sheets[s].open_length && area(s) < area(now) && price(s) <= price(now))
        .filter(|&s| sheets[s].quantity.is_none_or(|most| in_use(s) < most))
        .collect();
    smaller.sort_by(|&a, &b| area(a).total_cmp(&area(b)).then(a.cmp(&b)));
    smaller.into_iter().find_map(|stock| refilled(state, last, stock, &items))
}

/// The layout with the items of field `last` on a new sheet of `stock`, if all of them find a place there.
fn refilled<'w>(
    state: &State<'w>,
    last: FieldId,
    stock: usize,
    items: &[usize],
) -> Option<(State<'w>, Axis)> {
    let mut open = state.without(last);
    let field = open.open(stock, state.cell(last));
    let orders = orders(state.table, state.items);
    for axis in [Axis::X, Axis::Y] {
        for order in &orders {
            let (mut trial, mut filler) = (open.clone(), Filler::new(axis, Pattern::Free));
            let mut mine = order.iter().filter(|i| items.contains(i));
            if mine.all(|&i| filler.place(&mut trial, i, field)) {
                return Some((trial, axis));
            }
        }
    }
    None
}
