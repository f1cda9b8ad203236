//! The plan of a part, and how far the cutting force may leave its nominal under it.

use crate::hold::check::figures::Figures;
use crate::hold::check::sensitivity::Influence;
use crate::hold::part::sections::Chord;
use crate::hold::search::tried::Tried;
use crate::layout::Hold;
use crate::mechanics::Load;

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
    /// What each input may cost the least margin, the costliest first; empty for the other methods.
    pub influences: Vec<Influence>,
    /// The part's narrow sections, weakest first.
    pub necks: Vec<Chord>,
    /// What the maker must know.
    pub warnings: Vec<String>,
}
