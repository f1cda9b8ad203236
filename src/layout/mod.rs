//! The layout: plain data, written to `layout.json` and read back by `tabwright check`.
//!
//! Everything downstream of the nest reads this and nothing else. mm and sheet coordinates (origin
//! at the sheet's top left, x right, y down), angles in degrees as the file has them; rings do not
//! repeat their first point. Field by field the file is described in the design: these structs *are*
//! the format, version [`VERSION`]. What came later is optional when read: a sheet's
//! `material_constants` and `holding` and a hold's `figures` let a reader recompute every figure from
//! the file alone, by the recipe in the docs of [`hold`](crate::hold).

mod assumed;
mod constants;
mod drawn;
mod drop_out;
mod fault;
mod governs;
mod hold;
mod input;
mod note;
mod sheet;
mod unplaced;
mod warning;
mod why;

pub use assumed::{Assumed, AssumedValue, Subject, Unmet, Winding};
pub use constants::{HoldFigures, HoldingRules, MaterialConstants, RootGive};
pub use drawn::{Drawn, DrawnGroup, DrawnKind, DrawnLine, DrawnPass, DrawnSheet};
pub use drop_out::DropOut;
pub use fault::{Fault, FaultKind, LandsOn};
pub use governs::{Freed, FreedBy, Governs, SectionAt, TabNumber, TabStress, Weakened};
pub(crate) use hold::is_full;
pub use hold::{Hold, LANDING_DEPTH, Method, SPUR, Tab};
pub use input::{Input, InputOff};
pub use note::{Note, NoteKind};
pub use sheet::{
    ALLOWANCE, BitUsed, Cut, Feature, FeatureKind, HoldDown, LEAST_ALLOWANCE, MOST_ALLOWANCE,
    PartGrain, PlacedPart, Remnant, Sheet,
};
pub use unplaced::{Unplaced, UnplacedKind};
pub use warning::{GrainTurn, SoftLanding, Warning, WarningKind};
pub use why::{Bears, Because, ForceRange, Shortfall, Why};

use serde::{Deserialize, Serialize};

/// The `format` field of every layout file.
pub const FORMAT: &str = "tabwright-layout";
/// The version of the format that this program writes and reads.
pub const VERSION: u32 = 1;

/// A whole job, placed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Layout {
    /// Always [`FORMAT`].
    pub format: String,
    /// [`VERSION`].
    pub version: u32,
    /// The job's title.
    pub title: String,
    /// The seed of the search.
    pub seed: u64,
    /// The program's version.
    pub program: String,
    /// How the search ended: `budget`, `time-limit` or `interrupted`.
    #[serde(default)]
    pub ended: String,
    /// Waste over all sheets, percent.
    pub waste_percent: f64,
    /// Copies placed.
    pub parts_placed: usize,
    /// The sheets used.
    pub sheets: Vec<Sheet>,
    /// Copies that found no place.
    pub unplaced: Vec<Unplaced>,
    /// What the maker must know.
    pub warnings: Vec<Warning>,
    /// What keeps it from being cut as it is; empty when all is well, absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub faults: Vec<Fault>,
    /// Waste as wide as the bit or wider that comes loose, sheet by sheet; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drop_outs: Vec<DropOut>,
    /// What is true of parts under their bit; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Note>,
    /// What the job does not say and was taken as usual; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<Assumed>,
    /// What the job wished for in vain; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unmet: Vec<Unmet>,
}

impl Layout {
    /// An empty layout of this program's version.
    pub fn new(title: &str, seed: u64) -> Self {
        Layout {
            format: FORMAT.into(),
            version: VERSION,
            title: title.into(),
            seed,
            program: env!("CARGO_PKG_VERSION").into(),
            ended: "budget".into(),
            waste_percent: 0.0,
            parts_placed: 0,
            sheets: vec![],
            unplaced: vec![],
            warnings: vec![],
            faults: vec![],
            drop_outs: vec![],
            notes: vec![],
            assumed: vec![],
            unmet: vec![],
        }
    }

    /// Recomputes the areas, waste and counts from the placed parts.
    pub fn total(&mut self) {
        for sheet in &mut self.sheets {
            sheet.total();
        }
        let sheets: f64 = self.sheets.iter().map(|s| s.sheet_area).sum();
        let parts: f64 = self.sheets.iter().map(|s| s.part_area).sum();
        self.waste_percent = waste_percent(parts, sheets);
        self.parts_placed = self.sheets.iter().map(|s| s.parts.len()).sum();
    }
}

/// 100 (1 - parts / sheets); 0 for no sheets.
pub fn waste_percent(part_area: f64, sheet_area: f64) -> f64 {
    if sheet_area > 0.0 { 100.0 * (1.0 - part_area / sheet_area) } else { 0.0 }
}
