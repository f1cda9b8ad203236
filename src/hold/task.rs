//! What is asked for a part, and the plan that answers it.

use super::{Bodies, Chord, Figures, Influence};
use crate::geometry::{Ring, Shape};
use crate::job::{Bit, Holding, Material};
use crate::layout::{Feature, Hold, Tab};
use crate::mechanics::Load;

/// A part to hold.
pub struct HoldTask<'a> {
    /// The part in its own frame.
    pub shape: &'a Shape,
    /// Of the sheet, mm.
    pub thickness: f64,
    /// What it is of, with the cutting force to be used.
    pub material: &'a Material,
    /// Directions in the part's frame that the grain may take, radians; the plan holds at each. Empty where
    /// there is none (or it is not known: then both along and across are judged).
    pub grain: &'a [f64],
    /// The bit that cuts the outline.
    pub bit: &'a Bit,
    /// The job's wishes.
    pub holding: &'a Holding,
    /// What is drawn in the part, in its frame: pockets and holes weaken it.
    pub features: &'a [Feature],
    /// Lines that stay clear of tabs.
    pub tab_free: &'a [Ring],
    /// Its narrow sections by [`chords`], where they are known already.
    pub chords: Option<&'a [Chord]>,
    /// After the nest: whether a tab (in the part's frame) lands on stock that stays; `None` before.
    pub landing_ok: Option<&'a (dyn Fn(&Tab) -> bool + Sync)>,
    /// Where its elastic bodies are kept for the next plan of this part.
    pub bodies: Option<&'a Bodies>,
}

/// One count of tabs that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// How many tabs.
    pub count: usize,
    /// Their widths, mm.
    pub widths: Vec<f64>,
    /// Their height, mm.
    pub height: f64,
    /// Deepest last pass at which the best set holds; `None` where none does.
    pub deepest: Option<f64>,
    /// Figures of the best set, at that depth or at the shallowest.
    pub figures: Figures,
    /// The best set, in the order of its last pass.
    pub tabs: Vec<Tab>,
    /// Figures of as many tabs spaced evenly, of the same size and depth, where they fit; asked of [`plan_compared`].
    pub even: Option<Figures>,
    /// Those tabs; empty where they do not fit.
    pub even_tabs: Vec<Tab>,
}

/// How far the cutting force may leave its nominal before the plan fails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadRange {
    /// Cutting force at the high end of K_c and K_e over nominal.
    pub high: f64,
    /// The same at the low end.
    pub low: f64,
    /// Factor on the worst load at which the least margin is used up.
    pub bears: f64,
}

impl LoadRange {
    /// In words: `holds even at the high end of the cutting force`.
    pub fn words(&self) -> &'static str {
        if self.bears >= self.high {
            "holds even at the high end of the cutting force's range"
        } else if self.bears >= 1.0 {
            "holds at the nominal cutting force, not at the high end of its range"
        } else if self.bears >= self.low {
            "holds only at the low end of the cutting force's range"
        } else {
            "does not hold anywhere in the cutting force's range"
        }
    }
}

impl Tried {
    /// `2 tabs`, `1 holding bridge`.
    pub fn name(&self) -> String {
        let s = if self.count == 1 { "" } else { "s" };
        format!("{} {}{s}", self.count, if self.figures.bridged { "holding bridge" } else { "tab" })
    }
}

/// A plan with what led to it.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldPlan {
    /// What goes into the layout, in the part's frame.
    pub hold: Hold,
    /// Figures of the chosen tabs; `None` for the other methods.
    pub figures: Option<Figures>,
    /// One row for each count tried.
    pub tried: Vec<Tried>,
    /// The load a mm of depth.
    pub load: Load,
    /// What the uncertainty of the cutting force leaves.
    pub range: Option<LoadRange>,
    /// What each input may cost the least margin, the costliest first; empty for the other methods.
    pub influences: Vec<Influence>,
    /// The part's narrow sections, weakest first.
    pub necks: Vec<Chord>,
    /// What the maker must know.
    pub warnings: Vec<String>,
}
