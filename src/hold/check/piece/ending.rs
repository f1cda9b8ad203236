//! Margins where the tab at which the last pass ends is given.

use super::{Detail, Planner, Way};
use crate::hold::check::figures::Margins;
use crate::hold::check::judge::BOTH;
use crate::hold::model::staged::TabSet;
use crate::hold::part::sections::Chord;
use crate::hold::task::HoldTask;
use crate::layout::Tab;
use crate::mechanics::{line_angle, section_strength};

impl Planner<'_> {
    /// Margins of tabs, quickly but both ways round, the last pass ending at tab number `end` by arc length.
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
        self.quick(&few, depth, (detail, &BOTH), &|_| true, &set)
    }

    /// Margins as [`Planner::margins_ending`] of the same piece with its grain turned by `by` radians: tabs and sections
    /// are stronger or weaker by it, the piece bends as this one does.
    pub fn margins_turned(
        &self,
        tabs: &[(f64, Tab)],
        end: usize,
        depth: f64,
        by: f64,
        sections: &[Chord],
    ) -> Option<Margins> {
        let grain: Vec<f64> = self.grains.iter().flatten().map(|g| g + by).collect();
        let task = HoldTask { grain: &grain, ..*self.task };
        let mut turned = Planner::new(&task, self.contour.clone(), self.ring, sections);
        // The sections in this piece's order, as the elastic part knows them.
        turned.chords = self.chords.clone();
        for way in &mut turned.ways {
            let strength = |c: &Chord| {
                let angle = way.grain.map_or(0.0, |g| line_angle(c.direction(), g));
                section_strength(self.task.material, angle)
            };
            way.strengths = self.chords.iter().map(strength).collect();
            let before = |w: &&Way| {
                way.grain.zip(w.grain).is_some_and(|(g, own)| (g - own - by).sin().abs() < 1e-6)
            };
            if let Some(own) = self.ways.iter().find(before)
                && let Some(flexible) = own.flexible.get()
            {
                way.flexible.get_or_init(|| flexible.clone());
            }
        }
        turned.margins_ending(tabs, end, depth, Detail::Elastic)
    }
}
