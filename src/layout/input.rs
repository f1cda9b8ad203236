//! How a hold's least margin changes when one of its inputs is off.

use serde::{Deserialize, Serialize};

/// An input of a hold, taken to be off by its likely error.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct InputOff {
    /// Which input, and how far off it is taken to be; absent in older files.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub kind: Option<Input>,
    /// The input in a word or two: `edge force`.
    pub input: String,
    /// How far off it is taken to be, as a sentence part: `K_e at its high end`.
    pub off: String,
    /// Relative change of the least margin, negative where it is for the worse.
    pub change: f64,
}

/// An input, and how far off it is taken to be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Input {
    /// K_c at the high end of its range.
    ChipForce,
    /// K_e at the high end of its range.
    EdgeForce,
    /// The material is weaker.
    Strength {
        /// By this fraction.
        weaker: f64,
    },
    /// The material is softer.
    Stiffness {
        /// By this fraction.
        softer: f64,
    },
    /// The last pass is deeper.
    LastPass {
        /// By this, mm.
        deeper_mm: f64,
    },
    /// The tabs are lower.
    TabHeight {
        /// By this, mm.
        lower_mm: f64,
    },
    /// The tabs are narrower.
    TabWidth {
        /// By this, mm.
        narrower_mm: f64,
    },
    /// The grain is oblique to the drawn direction.
    Grain {
        /// By this, degrees.
        off_deg: f64,
    },
}
