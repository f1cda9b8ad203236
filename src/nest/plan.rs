//! A layout that does not hang on one world's forms: to carry it to a world with other turns.

use super::form::{Known, Stance};
use super::problem::{NestedSheet, Placed};
use super::state::{NOWHERE, Placing, State};
use super::world::World;
use crate::geometry::Point;

/// Which stocks are in use and where each item lies.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    stocks: Vec<(usize, f64)>,
    lies: Vec<Option<(u32, Stance, Point)>>,
}

impl Plan {
    /// The plan of a state.
    pub fn of(state: &State<'_>) -> Plan {
        let stocks =
            (0..state.fields.len()).map(|f| (state.fields[f].stock, state.cell(f))).collect();
        let lies = state.items.iter().map(|p| {
            let stance = state.world.forms[p.form as usize].stance;
            (p.field != NOWHERE).then_some((p.field, stance, p.at))
        });
        Plan { stocks, lies: lies.collect() }
    }

    /// The plan of sheets found, with cells of that size; their copies in that order are the items.
    pub fn of_sheets(sheets: &[NestedSheet], cell: f64) -> Plan {
        let stocks = sheets.iter().map(|s| (s.stock, cell)).collect();
        let lies = sheets.iter().enumerate();
        let lies = lies.flat_map(|(f, s)| {
            let lie = move |p: &Placed| (f as u32, Stance::of(p.pose, p.hold), p.pose.offset);
            s.placed.iter().map(move |p| Some(lie(p)))
        });
        Plan { stocks, lies: lies.collect() }
    }

    /// The stances that each part has in it.
    pub fn known(&self, parts: usize, kinds: &[usize], step: f64) -> Vec<Known> {
        let mut known = vec![Known { stances: vec![], step }; parts];
        for (lie, &kind) in self.lies.iter().zip(kinds) {
            if let Some((_, stance, _)) = lie
                && !known[kind].stances.contains(stance)
            {
                known[kind].stances.push(*stance);
            }
        }
        known
    }

    /// The same layout in another world, if that has the stances it needs.
    pub fn state<'w>(&self, world: &'w World<'w>, kinds: &[usize]) -> Option<State<'w>> {
        let mut state = State::new(world, kinds.len());
        for &(stock, cell) in &self.stocks {
            state.open(stock, cell);
        }
        for (i, lie) in self.lies.iter().enumerate() {
            if let Some((field, stance, at)) = lie {
                let form = world.find_form(kinds[i], *stance)?;
                state.put(i, Placing { form, field: *field, at: *at });
            }
        }
        Some(state)
    }
}
