//! Holding bridges: tabs of the sheet's full thickness, for pieces that ordinary tabs cannot hold.
//!
//! Both passes are open at a bridge, so it stands from the bed to the top and is sawn off at the end. It is judged as any
//! tab (Timoshenko beam over the kerf, its section the width times the whole thickness) by the same demands, with two of
//! its own: it is sawn, never snapped, and sawing is demanded; and a single bridge must bear the cut with half of its
//! width gone, as a set of tabs does with one gone.
//!
//! The round bit tapers it: between the ends of a gap of w + D it is w wide half-way across the kerf and widens towards
//! the skeleton and the part, by up to D. It is judged, and measured in the simulated cut, at its narrowest. One of 10 mm and
//! more is a spur: a strip of extra stock to be trimmed.
//!
//! Bridges are asked for only where ordinary tabs fail, so parts that tabs hold pay nothing for them.

use super::beam::Beam;
use super::choose::{best_of_count, with_tabs};
use super::chord::Chord;
use super::judge::Judge;
use super::ladder::depths;
use super::planner::Planner;
use super::staged::TabSet;
use super::{HoldPlan, Tried, words};
use crate::job::Freeing;
use crate::layout::{Tab, is_full};

/// Widths tried, mm: a saw wants 2 mm to follow (common practice, no source), and what is wider than 20 mm is no bridge.
const WIDTHS: [f64; 11] = [2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0];
/// The share of the outline that one bridge may take at most: what it covers must be finished by hand (estimate).
const SHARE: f64 = 0.2;

/// The plan on two holding bridges or, where there is room for a single one, on that; `None` where they meet not every
/// demand. Each set that was judged is added to `tried`.
///
/// Clean sites first, then cramped ones, where the gap of the passes reaches round a corner.
pub fn on_bridges(
    planner: &mut Planner,
    reason: &str,
    tried: &mut Vec<Tried>,
    sections: &[Chord],
) -> Option<HoldPlan> {
    let (kerf, thickness) = (planner.task.bit.diameter, planner.task.thickness);
    let most = SHARE * planner.contour.length();
    let least = planner.task.holding.min_width;
    let widths: Vec<f64> = WIDTHS.into_iter().filter(|w| *w >= least && *w <= most).collect();
    let depths = depths(planner.task);
    for (beside, count) in [(kerf, 2), (kerf, 1), (0.0, 2), (0.0, 1)] {
        planner.bridging(&widths, beside);
        let found = best_of_count(planner, count, &[thickness], &depths, tried);
        let Some(found) = found.filter(|f| f.figures.holds()) else { continue };
        let mut plan = with_tabs(planner, found, std::mem::take(tried), sections);
        if let (Some(figures), Some(range)) = (&plan.figures, &plan.range) {
            plan.hold.why = words::why_bridges(figures, &plan.hold.tabs, reason, range);
        }
        return Some(plan);
    }
    None
}

impl Judge<'_> {
    /// Whether the set stands on holding bridges.
    pub(super) fn bridged(&self, set: &TabSet) -> bool {
        set.beams.iter().any(|b| is_full(b.height, self.thickness))
    }

    /// How a tab is freed: a holding bridge is sawn off whatever the job says.
    pub(super) fn freeing_of(&self, beam: &Beam) -> Freeing {
        if is_full(beam.height, self.thickness) { Freeing::Saw } else { self.freeing }
    }

    /// A single holding bridge with either half of its width gone; empty for other sets.
    pub(super) fn halves(&self, set: &TabSet) -> Vec<TabSet> {
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
            };
            let beams = vec![Beam::new(&tab, self.material, self.grain, beam.span, self.thickness)];
            TabSet { s: vec![s], beams, ..set.clone() }
        };
        vec![half(-1.0), half(1.0)]
    }

    /// `tab 2`, `bridge 1`: by its number in the layout's list.
    pub(super) fn named(&self, set: &TabSet, tab: usize) -> String {
        let full = set.beams.get(tab).is_some_and(|b| is_full(b.height, self.thickness));
        format!("{} {}", if full { "bridge" } else { "tab" }, Self::listed(set, tab))
    }

    /// What is left when one goes.
    pub(super) fn gone_words(&self, set: &TabSet, gone: usize) -> String {
        match set.s.len() {
            1 if self.bridged(set) => "the bridge with half of it gone".into(),
            _ => format!("the others if {} goes", self.named(set, gone)),
        }
    }
}
