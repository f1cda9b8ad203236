//! The plan of a part.

use crate::hold::check::figures::Figures;
use crate::hold::part::sections::Chord;
use crate::hold::search::tried::Tried;
use crate::layout::{Hold, WarningKind};
use crate::mechanics::Load;

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
    /// The part's narrow sections, weakest first.
    pub necks: Vec<Chord>,
    /// What the maker must know.
    pub warnings: Vec<WarningKind>,
}
