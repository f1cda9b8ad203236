//! Loose waste that is not small, as values with their place.

use serde::{Deserialize, Serialize};

/// A piece of waste at least as wide as the bit that nothing holds once its kerfs are cut: the bit can throw it or jam on it.
/// No part hangs on it, so it is not a fault.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DropOut {
    /// The sheet's id.
    pub sheet: String,
    /// A place on it, mm, sheet coordinates.
    pub at: [f64; 2],
    /// Sides of its bounds along the sheet's x and y, mm.
    pub size_mm: [f64; 2],
    /// The part in whose opening it lies; absent between parts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// Which copy of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub copy: Option<usize>,
    /// Which opening, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opening: Option<usize>,
}
