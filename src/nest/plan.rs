//! A layout that does not hang on one world's forms: to carry it to a world with other turns.

use super::form::Known;
use super::problem::NestedSheet;
use super::state::{NOWHERE, Placing, State};
use super::world::World;
use crate::geometry::Pose;
use crate::job::Orientation;

/// Which stocks are in use and where each item lies.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    stocks: Vec<(usize, f64)>,
    lies: Vec<Option<(u32, Pose)>>,
}

impl Plan {
    /// The plan of a state.
    pub fn of(state: &State<'_>) -> Plan {
        let stocks =
            (0..state.fields.len()).map(|f| (state.fields[f].stock, state.cell(f))).collect();
        let lies = state.items.iter().map(|p| {
            let form = &state.world.forms[p.form as usize];
            let pose = Pose { offset: p.at, rotation: form.rotation, mirrored: form.mirrored };
            (p.field != NOWHERE).then_some((p.field, pose))
        });
        Plan { stocks, lies: lies.collect() }
    }

    /// The plan of sheets found, with cells of that size; their copies in that order are the items.
    pub fn of_sheets(sheets: &[NestedSheet], cell: f64) -> Plan {
        let stocks = sheets.iter().map(|s| (s.stock, cell)).collect();
        let lies = sheets.iter().enumerate();
        let lies = lies.flat_map(|(f, s)| s.placed.iter().map(move |p| Some((f as u32, p.pose))));
        Plan { stocks, lies: lies.collect() }
    }

    /// The turns that each part has in it.
    pub fn known(&self, parts: usize, kinds: &[usize], step: f64) -> Vec<Known> {
        let mut known = vec![Known { turns: vec![], step }; parts];
        for (lie, &kind) in self.lies.iter().zip(kinds) {
            if let Some((_, pose)) = lie {
                let turn = Orientation { rotation: pose.rotation, mirrored: pose.mirrored };
                if !known[kind].turns.contains(&turn) {
                    known[kind].turns.push(turn);
                }
            }
        }
        known
    }

    /// The same layout in another world, if that has the turns it needs.
    pub fn state<'w>(&self, world: &'w World<'w>, kinds: &[usize]) -> Option<State<'w>> {
        let mut state = State::new(world, kinds.len());
        for &(stock, cell) in &self.stocks {
            state.open(stock, cell);
        }
        for (i, lie) in self.lies.iter().enumerate() {
            if let Some((field, pose)) = lie {
                let form = world.find_form(kinds[i], pose.rotation, pose.mirrored)?;
                state.put(i, Placing { form, field: *field, at: pose.offset });
            }
        }
        Some(state)
    }
}
