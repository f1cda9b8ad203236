//! Holding: which tabs keep a part while its last edge is cut, and what holds where tabs cannot.

mod beam;
mod choose;
mod chord;
mod contour;
mod dense;
mod drop_out;
mod elastic;
mod elastic_body;
mod fallback;
pub mod fem;
mod grain;
mod judge;
mod load;
mod planner;
mod rigid;
mod search;
mod section;
mod site;
mod staged;
mod strength;
mod words;

pub use beam::{
    Beam, SAFETY_ACROSS, SAFETY_ALONG, SAFETY_SHEAR, Stiffness, TabForces, TabRatios, guided,
};
pub use choose::{evaluate, plan};
pub use chord::{Chord, chords};
pub use contour::Contour;
pub use fallback::{Skin, Tape};
pub use grain::strongest_grain;
pub use judge::{Figures, MOVEMENT_FREE, MOVEMENT_IN, MOVEMENT_LIFT, Margin, SAFETY_PART};
pub use load::{Load, load_factor};
pub use planner::{Detail, Planner};
pub use rigid::{Frame, Springs};
pub use strength::{TabStrength, hankinson, modulus_at, section_strength, tab_strength};

use crate::geometry::{Ring, Shape};
use crate::job::{Bit, Holding, Material};
use crate::layout::{Hold, Tab};

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
    /// Lines that stay clear of tabs.
    pub tab_free: &'a [Ring],
    /// After the nest: whether a tab (in the part's frame) lands on stock that stays; `None` before.
    pub landing_ok: Option<&'a (dyn Fn(&Tab) -> bool + Sync)>,
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
    /// Least margin of as many tabs spaced evenly, of the same size and depth, where they fit.
    pub even: Option<Figures>,
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
    /// The part's narrow sections, weakest first.
    pub necks: Vec<Chord>,
    /// What the maker must know.
    pub warnings: Vec<String>,
}
