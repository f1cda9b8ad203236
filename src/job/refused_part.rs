//! A part that cannot be made, and why.

use crate::drawing::Reach;
use crate::geometry::Point;

/// A part that cannot be made.
#[derive(Debug, Clone, PartialEq)]
pub struct RefusedPart {
    /// Its name; for an outline that never became a part, the element that spoils it.
    pub name: String,
    /// Copies asked for; one where that is not known.
    pub quantity: usize,
    /// What keeps it from being made.
    pub why: Refusal,
}

/// What keeps a part from being made.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// No bit that the job allows passes everywhere in it.
    Bit {
        /// What does.
        reach: Reach,
        /// Diameter of the finest bit there is, mm.
        finest: f64,
    },
    /// A fault of its drawing.
    Drawing {
        /// The drawing's file.
        file: String,
        /// Where the fault is, mm in the drawing.
        at: Point,
    },
}
