//! Figures of a tab set: each demand and its margin.

use crate::job::Freeing;
use crate::layout::{Governs, Shortfall};

/// Required ratio of mean strength to stress in the part's own sections at the worst load.
pub const SAFETY_PART: f64 = 2.0;

/// A demand and its margin: the value over what is required, at least 1 where it holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// Value over requirement.
    pub value: f64,
    /// What the value is of.
    pub what: Governs,
}

/// Everything computed for one tab set at one depth of the last pass.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Worst in-plane load, N.
    pub load: f64,
    /// Depth of the last pass, mm.
    pub depth: f64,
    /// Least ratio of mean strength to stress at the worst load, tabs and part, staged.
    pub safety: f64,
    /// The same, tabs alone.
    pub tab_safety: f64,
    /// The same, the part's sections alone; infinite where it has none.
    pub part_safety: f64,
    /// Greatest movement at the bit, worst load, staged, mm (including the rise where the bit lifts).
    pub movement: f64,
    /// The place of the bit then: arc length on the ring, mm.
    pub movement_at: f64,
    /// Least ratio at the worst load, tabs and part, everything severed and the pass repeated.
    pub free_safety: f64,
    /// Movement then, mm.
    pub free_movement: f64,
    /// Least ratio of the remaining tabs with any one tab lost, nominal load, staged.
    pub one_gone: f64,
    /// The tab (in the set's order) at which the last pass ends.
    pub end: usize,
    /// How many tabs.
    pub count: usize,
    /// Margins of tabs, part, movement and one tab gone, each with what decides it.
    pub tabs: Margin,
    /// The part's own sections.
    pub part: Margin,
    /// The movement.
    pub motion: Margin,
    /// One tab lost, nominal load.
    pub gone: Margin,
    /// Distance of the outline's farthest point from its nearest tab, mm, where that is demanded.
    pub overhang: Option<f64>,
    /// Margin of that distance; infinite where any is allowed.
    pub reach: Margin,
    /// How the part is freed: holding bridges are always sawn.
    pub freeing: Freeing,
    /// Whether it stands on holding bridges: then sawing is demanded too.
    pub bridged: bool,
    /// Freeing the part: the tab must break or be sawn before the part does.
    pub free_by_hand: Margin,
    /// All severed and the pass repeated: strength and movement at the nominal load.
    pub repeat: Margin,
}

impl Figures {
    /// The least margin, and its demand. Sawing is left to the maker's care: it is reported, and demanded only for holding bridges.
    pub fn least(&self) -> &Margin {
        self.of_choice()
            .chain([&self.part])
            .fold(&self.tabs, |m, x| if x.value < m.value { x } else { m })
    }

    /// Least margin that the choice of tabs can improve: all but the part's own strength.
    pub fn of_tabs(&self) -> f64 {
        self.of_choice().fold(self.tabs.value, |m, x| m.min(x.value))
    }

    /// The same without the overhang, which may fall only after several more tabs.
    pub(in crate::hold) fn of_tabs_but_reach(&self) -> f64 {
        let reach = Margin { value: f64::INFINITY, ..self.reach };
        Figures { reach, ..self.clone() }.of_tabs()
    }

    fn of_choice(&self) -> impl Iterator<Item = &Margin> {
        let demanded = self.bridged || self.freeing == Freeing::Snap;
        let by_hand = demanded.then_some(&self.free_by_hand);
        [&self.motion, &self.gone, &self.repeat, &self.reach].into_iter().chain(by_hand)
    }

    /// The factor on the load at which the first demand that grows with the load fails. The distance of an edge from its tabs does
    /// not grow with it, nor does freeing the part by hand: their margins are independent of the cutting force.
    pub fn bears(&self) -> f64 {
        let loaded = [&self.tabs, &self.part, &self.motion, &self.gone, &self.repeat];
        loaded.into_iter().map(|m| m.value).fold(f64::INFINITY, f64::min)
    }

    /// Whether every demand is met.
    pub fn holds(&self) -> bool {
        self.least().value >= 1.0
    }

    /// The demand that is missed by most.
    pub(in crate::hold) fn shortfall(&self) -> Shortfall {
        self.shortfall_of(self.least())
    }

    /// The same for one of its margins.
    pub(in crate::hold) fn shortfall_of(&self, margin: &Margin) -> Shortfall {
        Shortfall {
            governs: margin.what,
            margin: margin.value,
            movement_mm: self.movement,
            last_pass_mm: self.depth,
        }
    }
}

/// Movement at each place of the bit, and margins of each tab and section, staged, at the worst load.
#[derive(Debug, Clone, PartialEq)]
pub struct Map {
    /// Movement at the bit, mm, by station.
    pub movement: Vec<f64>,
    /// Margin of each tab's strength, in the order of arc length.
    pub tabs: Vec<f64>,
    /// Margin of each section's strength.
    pub sections: Vec<f64>,
}

/// The margins of [`Figures`] alone: the search compares these.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margins {
    /// Strength of the tabs.
    pub tabs: f64,
    /// The part's own sections.
    pub part: f64,
    /// Movement.
    pub motion: f64,
    /// One tab lost.
    pub gone: f64,
    /// The pass repeated.
    pub repeat: f64,
    /// Overhang.
    pub reach: f64,
    /// Freeing by hand.
    pub by_hand: f64,
    /// Whether freeing by hand is demanded.
    pub snapped: bool,
}

impl Margins {
    /// Margins with nothing against the set yet.
    pub fn unlimited(freeing: Freeing) -> Margins {
        let v = f64::INFINITY;
        let snapped = freeing == Freeing::Snap;
        Margins { tabs: v, part: v, motion: v, gone: v, repeat: v, reach: v, by_hand: v, snapped }
    }

    /// As [`Figures::of_tabs`].
    pub fn of_tabs(&self) -> f64 {
        let by_hand = if self.snapped { self.by_hand } else { f64::INFINITY };
        self.tabs.min(self.motion).min(self.gone).min(self.repeat).min(self.reach).min(by_hand)
    }

    /// As [`Figures::least`].
    pub fn least(&self) -> f64 {
        self.of_tabs().min(self.part)
    }

    /// Sets the margins of a part that can drift.
    pub fn drifting(&mut self) {
        (self.tabs, self.motion, self.gone, self.repeat) = (0.0, 0.0, 0.0, 0.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Margins of 3 and more in all that depend on the load, 1.1 in sawing and 0.9 in overhang: the set bears three times the load,
    /// no less.
    #[test]
    fn what_the_load_does_not_touch_says_nothing_of_the_load() {
        let margin = |value: f64| Margin { value, what: Governs::Movement };
        let figures = Figures {
            load: 5.0,
            depth: 0.4,
            safety: 4.0,
            tab_safety: 4.0,
            part_safety: f64::INFINITY,
            movement: 0.01,
            movement_at: 0.0,
            free_safety: 4.0,
            free_movement: 0.01,
            one_gone: 4.0,
            end: 0,
            count: 2,
            tabs: margin(3.0),
            part: margin(f64::INFINITY),
            motion: margin(5.0),
            gone: margin(4.0),
            overhang: Some(200.0),
            reach: margin(0.9),
            freeing: Freeing::Saw,
            bridged: true,
            free_by_hand: margin(1.1),
            repeat: margin(6.0),
        };
        assert_eq!((figures.least().value, figures.bears()), (0.9, 3.0));
    }
}
