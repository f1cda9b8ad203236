//! Findings about the layout as a whole.

use crate::layout::{Fault, Unplaced};
use serde::Serialize;

/// What is wrong with the layout as a whole.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum LayoutFinding {
    /// The file is of another format or version.
    Format {
        /// Its format.
        format: String,
        /// Its version.
        version: u32,
    },
    /// A copy that is not placed, where everything must be.
    NotPlaced {
        /// The copy and the reason.
        unplaced: Unplaced,
    },
    /// A fault of the cut that the layout itself lists.
    NamedFault {
        /// The fault.
        fault: Fault,
    },
    /// The maker has not decided yet what happens to the inside corners of a part's joints.
    JointUndecided {
        /// The part's name.
        part: String,
    },
    /// A recorded figure disagrees with the geometry; amount and limit are the recorded figure and the measured one.
    Recorded {
        /// The figure.
        figure: Record,
    },
    /// A copy is placed, yet listed as not placed.
    PlacedAndLeft {
        /// The part's name.
        name: String,
        /// Which copy.
        number: usize,
    },
    /// A copy is listed twice as not placed.
    LeftTwice {
        /// The part's name.
        name: String,
        /// Which copy.
        number: usize,
    },
    /// Copies are missing, or too many.
    WrongCount {
        /// The part's name.
        name: String,
        /// Copies that the job asks for.
        asked: usize,
        /// Copies that are placed.
        placed: usize,
        /// Copies listed as not placed.
        left: usize,
    },
    /// The job has no such part.
    NoSuchPart {
        /// The part's name.
        name: String,
    },
}

/// A figure that the layout records.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Record {
    /// The sheet's area, mm².
    SheetArea,
    /// The area of its parts, mm².
    PartArea,
    /// The waste, percent.
    WastePercent,
    /// How many parts are placed.
    PartsPlaced,
}
