//! The plan of a part.

use crate::hold::check::figures::Figures;
use crate::hold::part::sections::Chord;
use crate::hold::search::tried::Tried;
use crate::layout::{Hold, WarningKind};
use crate::mechanics::Load;

/// A plan with the evidence for it.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldPlan {
    /// The hold as written to the layout, in the part's frame.
    pub hold: Hold,
    /// Figures of the chosen tabs; `None` for the other methods.
    pub figures: Option<Figures>,
    /// One row for each count tried.
    pub tried: Vec<Tried>,
    /// The cutting force per mm of depth.
    pub load: Load,
    /// The part's narrow sections, weakest first.
    pub necks: Vec<Chord>,
    /// Warnings for the maker.
    pub warnings: Vec<WarningKind>,
}
