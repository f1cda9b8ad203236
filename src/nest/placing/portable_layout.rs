//! A layout independent of a table's forms: it can be carried to a table with other orientations.

use super::item::Item;
use super::state::{FieldId, Placing, State};
use crate::geometry::Point;
use crate::nest::nest_task::{NestedSheet, Placed};
use crate::nest::no_fit::no_fit_table::NoFitTable;
use crate::nest::shapes::form::{HeldOrientation, Known};

/// The stocks in use and where each item lies.
#[derive(Debug, Clone)]
pub struct PortableLayout {
    stocks: Vec<(usize, f64)>,
    lies: Vec<Option<(FieldId, HeldOrientation, Point)>>,
}

impl PortableLayout {
    /// The portable layout of a state.
    pub fn of(state: &State<'_>) -> PortableLayout {
        let stocks = state.field_ids().map(|f| (state.stock(f), state.cell(f))).collect();
        let lies = state
            .places
            .iter()
            .map(|place| place.map(|p| (p.field, state.table.form(p.form).orientation, p.at)));
        PortableLayout { stocks, lies: lies.collect() }
    }

    /// The portable layout of nested sheets, with cells of that size; their copies in that order are the items.
    pub fn of_sheets(sheets: &[NestedSheet], cell: f64) -> PortableLayout {
        let stocks = sheets.iter().map(|s| (s.stock, cell)).collect();
        let lies = sheets.iter().enumerate();
        let lies = lies.flat_map(|(f, s)| {
            let lie = move |p: &Placed| {
                (FieldId::new(f), HeldOrientation::of(p.pose, p.hold), p.pose.offset)
            };
            s.placed.iter().map(move |p| Some(lie(p)))
        });
        PortableLayout { stocks, lies: lies.collect() }
    }

    /// The orientations of each part in it.
    pub fn known(&self, parts: usize, items: &[Item], step: f64) -> Vec<Known> {
        let mut known = vec![Known { orientations: vec![], step }; parts];
        for (lie, kind) in self.lies.iter().zip(items.iter().map(|i| i.part)) {
            if let Some((_, orientation, _)) = lie
                && !known[kind].orientations.contains(orientation)
            {
                known[kind].orientations.push(*orientation);
            }
        }
        known
    }

    /// The same layout in another table, if that has the orientations it needs.
    pub fn state<'w>(&self, table: &'w NoFitTable<'w>, items: &'w [Item]) -> Option<State<'w>> {
        let mut state = State::new(table, items);
        for &(stock, cell) in &self.stocks {
            state.open(stock, cell);
        }
        for (i, lie) in self.lies.iter().enumerate() {
            if let Some((field, orientation, at)) = lie {
                let form = table.find_form(items[i].part, *orientation)?;
                state.put(i, Placing { form, field: *field, at: *at });
            }
        }
        Some(state)
    }
}
