//! Moves the last sheet's items to a smaller piece of stock, where they fit there.

use super::fewer::without;
use crate::nest::construct::first::{Filler, Pattern, orders};
use crate::nest::placing::sheet_axis::Axis;
use crate::nest::placing::state::State;

/// The layout with the last sheet's items on the smallest other stock that holds them all and costs no
/// more, with the axis it was filled along; `None` when there is none.
///
/// Stock without a price counts as free: it is on hand. Boards of open length are left alone, since only the length used counts.
pub fn smaller_last<'w>(
    state: &State<'w>,
    kinds: &[usize],
    pinned: &[bool],
) -> Option<(State<'w>, Axis)> {
    let last = state.fields.len().checked_sub(1)?;
    let (sheets, now) = (&state.table.problem.sheets, state.fields[last].stock);
    let items: Vec<usize> = state.on_field(last as u32).collect();
    if sheets[now].open_length || items.iter().any(|&i| pinned[i]) {
        return None;
    }
    let price = |s: usize| sheets[s].price.unwrap_or(0.0);
    let area = |s: usize| sheets[s].outline.area();
    let in_use = |s: usize| state.fields[..last].iter().filter(|f| f.stock == s).count();
    let mut smaller: Vec<usize> = (0..sheets.len())
        .filter(|&s| !sheets[s].open_length && area(s) < area(now) && price(s) <= price(now))
        .filter(|&s| sheets[s].quantity.is_none_or(|most| in_use(s) < most))
        .collect();
    smaller.sort_by(|&a, &b| area(a).total_cmp(&area(b)).then(a.cmp(&b)));
    smaller.into_iter().find_map(|stock| refilled(state, last, stock, &items, kinds))
}

/// The layout with the items of field `last` on a new sheet of `stock`, if all of them find a place there.
fn refilled<'w>(
    state: &State<'w>,
    last: usize,
    stock: usize,
    items: &[usize],
    kinds: &[usize],
) -> Option<(State<'w>, Axis)> {
    let mut open = without(state, last, kinds);
    let field = open.open(stock, state.cell(last));
    let orders = orders(&State::new(state.table, kinds.len()), kinds);
    for axis in [Axis::X, Axis::Y] {
        for order in &orders {
            let (mut trial, mut filler) = (open.clone(), Filler::new(axis, Pattern::Free));
            let mut mine = order.iter().filter(|i| items.contains(i));
            if mine.all(|&i| filler.place(&mut trial, i, kinds[i], field)) {
                return Some((trial, axis));
            }
        }
    }
    None
}
