//! What limits the bit, and the single rule for which bits pass.

use crate::geometry::Point;
use crate::layout::LEAST_ALLOWANCE;
use serde::Serialize;

/// Smallest detail that can limit the bit, mm: how far the true edge stands from the edge with the detail
/// left out. Twice a desktop router's repeatability (common practice, no source).
pub const DETAIL: f64 = 0.1;

/// What limits the bit's diameter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// A hollow curve; the diameter is at most twice its radius.
    InsideRadius,
    /// A slot, an opening's width, a space between teeth.
    Gap,
    /// A run too short between its corners.
    Run,
}

/// The largest bit that reaches all of a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Its diameter, mm; infinite when nothing limits it.
    pub diameter: f64,
    /// Where the limit is, mm in the part's frame; for a gap its middle.
    pub at: Point,
    /// The centre of the widest disc that still touches the place, mm in the part's frame.
    pub centre: Point,
    /// What limits it; `None` when nothing does.
    pub limit: Option<Limit>,
}

/// Rounding of lengths that went through files and rotations, mm: a slot drawn exactly as narrow as allowed passes.
const ROUNDING: f64 = 1e-6;

impl Reach {
    /// Whether a bit of `diameter` mm cuts all of the part, with details narrower than the bit by up to `allowance` mm
    /// cut at the bit's own width. `inspect`, the choice of bit and the cut all use this rule.
    ///
    /// Chords of curves, each up to 0.01 mm inside its curve, make a round detail look up to 0.02 mm narrower than it
    /// was drawn, so no allowance is less than that.
    pub fn passes(&self, diameter: f64, allowance: f64) -> bool {
        diameter <= self.diameter + allowance.max(LEAST_ALLOWANCE) + ROUNDING
    }
}
