//! Margins where the tab at which the last pass ends is given.

use super::super::figures::Margins;
use super::super::staged::TabSet;
use super::{Detail, Planner, Way};
use crate::layout::Tab;

impl Planner<'_> {
    /// Margins of tabs, quickly, the last pass ending at tab number `end` by arc length.
    pub fn margins_ending(
        &self,
        tabs: &[(f64, Tab)],
        end: usize,
        depth: f64,
        detail: Detail,
    ) -> Option<Margins> {
        let few = self.grounds(depth, detail);
        let set = |_: usize, way: &Way| {
            let set = self.set(tabs, way.grain);
            TabSet { end, start: set.s.get(end).copied().unwrap_or(0.0), ..set }
        };
        self.quick(&few, depth, detail, &|_| true, &set)
    }
}
