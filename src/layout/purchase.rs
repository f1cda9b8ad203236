//! What a layout needs: stock by size and count, and bits.

use serde::{Deserialize, Serialize};

/// One line of the buying list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Purchase {
    /// The stock's or the bit's name in the job.
    pub name: String,
    /// What it is.
    #[serde(flatten)]
    pub what: PurchaseKind,
    /// How many.
    pub count: usize,
    /// Price of all of it; absent where the job gives none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
}

/// What is bought.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
pub enum PurchaseKind {
    /// Sheets of one size.
    Sheets {
        /// The material as the job calls it.
        material: String,
        /// Thickness, mm.
        thickness_mm: f64,
        /// Length and width, mm.
        size_mm: [f64; 2],
    },
    /// Pieces of a board sold by length.
    Board {
        /// The material as the job calls it.
        material: String,
        /// Thickness, mm.
        thickness_mm: f64,
        /// Width, mm.
        width_mm: f64,
        /// Length of all pieces together, mm.
        length_mm: f64,
    },
    /// A bit.
    Bit {
        /// Diameter, mm.
        diameter_mm: f64,
        /// What it cuts: materials, each with its thickness in mm.
        cuts: Vec<(String, f64)>,
    },
}
