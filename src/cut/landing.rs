//! Where a tab lands.

use crate::geometry::Point;
use crate::layout::{LANDING_DEPTH, Tab};
use serde::Serialize;

/// What a tab lands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Landing {
    /// Skeleton that is clamped.
    Clamped,
    /// Waste in an opening, tied to the part round it: the tab's own part (for a tab of the opening) or another.
    Opening,
    /// Waste between parts that the part of this index keeps: it is cut after every other part round that waste.
    Kept(usize),
    /// Waste that comes loose, or hangs only on parts.
    Waste,
    /// A part, by index.
    Part(usize),
    /// A kerf, or beyond the sheet.
    Nothing,
}

/// A point of the stock that a tab lands on, a quarter into its landing.
pub(super) fn landing_place(tab: &Tab, bit: f64) -> Point {
    tab.at + tab.out * (bit + LANDING_DEPTH / 4.0)
}
