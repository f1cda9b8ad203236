//! The copies to be placed, one by one.

use crate::geometry::Pose;
use crate::nest::nest_task::NestTask;
use crate::nest::no_fit::no_fit_table::NoFitTable;

/// One copy to place.
#[derive(Debug, Clone, Copy)]
pub struct Item {
    pub part: usize,
    pub copy: usize,
    pub spare: bool,
    pub pin: Option<(usize, Pose)>,
}

/// The copies of all parts that have an area.
pub fn items(problem: &NestTask, table: &NoFitTable<'_>) -> Vec<Item> {
    let mut items = vec![];
    for (part, p) in problem.parts.iter().enumerate() {
        if table.kinds[part].is_none() {
            continue;
        }
        for k in 0..p.copies + p.spares {
            let (spare, pin) = (k >= p.copies, p.pins.get(k).copied());
            items.push(Item { part, copy: k + 1, spare, pin });
        }
    }
    items
}
