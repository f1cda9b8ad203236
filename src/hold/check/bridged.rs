//! Demands on holding bridges in addition to those on tabs.

use super::judge::Judge;
use crate::hold::model::staged::TabSet;
use crate::layout::{Governs, Tab, TabNumber, is_full};
use crate::mechanics::Beam;

impl Judge<'_> {
    /// Whether the set stands on holding bridges.
    pub fn bridged(&self, set: &TabSet) -> bool {
        set.beams.iter().any(|b| is_full(b.height, self.thickness))
    }

    /// A single holding bridge with either half of its width lost; empty for other sets.
    pub fn halves(&self, set: &TabSet) -> Vec<TabSet> {
        let (&[s], [beam]) = (set.s.as_slice(), set.beams.as_slice()) else { return vec![] };
        if !is_full(beam.height, self.thickness) {
            return vec![];
        }
        let half = |side: f64| {
            let s = (s + side * beam.width / 4.0).rem_euclid(self.contour.length());
            let tab = Tab {
                at: self.contour.point(s),
                out: beam.out,
                width: beam.width / 2.0,
                height: beam.height,
                ring: 0,
                waste: false,
            };
            let beams = vec![Beam::new(&tab, self.material, self.grain, beam.span, self.thickness)];
            TabSet { s: vec![s], beams, ..set.clone() }
        };
        vec![half(-1.0), half(1.0)]
    }

    /// A tab by its number in the layout's list.
    pub fn numbered(&self, set: &TabSet, tab: usize) -> TabNumber {
        let bridge = set.beams.get(tab).is_some_and(|b| is_full(b.height, self.thickness));
        TabNumber { tab: Self::listed(set, tab), bridge }
    }

    /// What remains when one tab, or half of a single bridge, is lost.
    pub fn gone_governs(&self, set: &TabSet, gone: usize) -> Governs {
        match set.s.len() {
            1 if self.bridged(set) => Governs::HalfLost,
            _ => Governs::OneLost(self.numbered(set, gone)),
        }
    }
}
