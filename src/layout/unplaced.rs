//! Copies that found no place, and why, as values.

use super::{GrainTurn, Method};
use serde::{Deserialize, Serialize};

/// A copy that found no place, and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Unplaced {
    /// The part's name.
    pub part: String,
    /// Which copy, from 1.
    pub copy: usize,
    /// The reason, with its numbers; absent in older files.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub kind: Option<UnplacedKind>,
    /// The same in words, in the job's units.
    pub reason: String,
}

/// Why a copy found no place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum UnplacedKind {
    /// It fits on no sheet, even alone.
    TooBig {
        /// Its smallest extent along x as it may lie, mm.
        width_mm: f64,
        /// Its smallest extent along y, mm.
        height_mm: f64,
    },
    /// The job has no stock of its material and thickness.
    NoStock {
        /// The material as the job calls it.
        material: String,
        /// Thickness, mm.
        thickness_mm: f64,
        /// Whether it has some, all larger than the machine's bed.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        off_bed: bool,
        /// The nearest thickness of that material that it has, mm, where it has none of this.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        nearest_mm: Option<f64>,
    },
    /// No bit that the job allows passes everywhere in it.
    NoBit {
        /// The narrowest place, in the part's frame, mm.
        at: [f64; 2],
        /// The widest bit that fits there, mm.
        fits_mm: f64,
        /// The finest bit there is, mm.
        bit_mm: f64,
    },
    /// A fault of its drawing leaves it out.
    DrawingFault {
        /// The drawing's file.
        file: String,
        /// Where the fault is, mm in the drawing.
        at: [f64; 2],
    },
    /// The stock is used up.
    StockUsedUp,
    /// Its outline encloses no area.
    NoArea,
    /// Its pin names a sheet that does not exist.
    PinWithoutSheet {
        /// The sheet, from 1.
        sheet: usize,
    },
    /// Its pin's place is not finite.
    PinNotFinite,
    /// Its pin lays it off the sheet or into the margin.
    PinOffSheet {
        /// The pin's place, mm.
        at: [f64; 2],
    },
    /// Its pin lays it too near to a keep-clear area or to the sheet's edge.
    PinNearEdge,
    /// Its pin lays it too near to another part.
    PinNearPart {
        /// The other part.
        other: String,
        /// Which copy of it.
        other_copy: usize,
    },
    /// With the grain as the job lays it, the cut breaks it and nothing holds it.
    ShortGrain {
        /// The change of grain that mends it.
        #[serde(flatten)]
        turn: GrainTurn,
        /// What holds it then.
        method: Method,
    },
    /// It did not pass the program's own check where it lay.
    Refused {
        /// The rule it broke, as `check` names it.
        rule: String,
        /// What was measured: mm for distances and depths.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        amount: Option<f64>,
        /// What the rule asks for, in the same unit.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        limit: Option<f64>,
    },
}

impl Unplaced {
    /// A copy without a place, its words still to be made.
    pub fn of(part: &str, copy: usize, kind: UnplacedKind) -> Unplaced {
        Unplaced { part: part.into(), copy, kind: Some(kind), reason: String::new() }
    }
}
