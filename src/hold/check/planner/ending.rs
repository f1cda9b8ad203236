//! Margins for a given tab at which the last pass ends.

use super::Planner;
use crate::hold::check::figures::Margins;
use crate::hold::check::judge::BOTH;
use crate::hold::check::piece::{Detail, Way};
use crate::hold::model::staged::TabSet;
use crate::hold::part::sites::SeatedTab;
use crate::hold::task::HoldTask;
use std::cell::RefCell;
use std::rc::Rc;

impl Planner<'_> {
    /// Margins of tabs, quickly but in both directions, the last pass ending at tab number `end` by arc length.
    pub fn margins_ending(
        &self,
        tabs: &[SeatedTab],
        end: usize,
        depth: f64,
        detail: Detail,
    ) -> Option<Margins> {
        let few = self.piece.grounds(depth, detail);
        let set = |_: usize, way: &Way| {
            let set = self.set(tabs, way.grain);
            TabSet { end, start: set.s.get(end).copied().unwrap_or(0.0), ..set }
        };
        self.quick(&few, depth, (detail, &BOTH), &|_| true, &set)
    }

    /// The margins of [`Planner::margins_ending`] for the same piece with its grain turned by `by` radians: the strengths of tabs
    /// and sections change, the piece's stiffness does not.
    pub fn margins_turned(
        &self,
        tabs: &[SeatedTab],
        end: usize,
        depth: f64,
        by: f64,
    ) -> Option<Margins> {
        let grain: Vec<f64> = self.grains.iter().flatten().map(|g| g + by).collect();
        let task = HoldTask { grain: &grain, ..*self.task };
        let turned = Planner {
            piece: Rc::new(self.piece.turned(&task, by)),
            sites: self.sites.clone(),
            widths: self.widths.clone(),
            overhang: self.overhang.clone(),
            effort: self.effort,
            beams: RefCell::default(),
        };
        turned.margins_ending(tabs, end, depth, Detail::Elastic)
    }
}
