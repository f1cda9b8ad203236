//! What is wrong with a layout as it stands, as values with their place, so that no code has to read sentences.

use serde::{Deserialize, Serialize};

/// One thing that keeps a sheet from being cut as it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fault {
    /// What it is, with its numbers.
    #[serde(flatten)]
    pub kind: FaultKind,
    /// The sheet's id.
    pub sheet: String,
    /// The part's name, where it concerns one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// Which copy of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub copy: Option<usize>,
    /// Where, mm, sheet coordinates, as `[x, y]`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<[f64; 2]>,
    /// The same in words, in the job's units.
    pub message: String,
}

/// What is wrong. Tabs are numbered from 1 in the order of the hold's list; rings are 0 for the outline, openings from 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum FaultKind {
    /// The sheet's numbers describe no usable shape.
    BadSheet,
    /// The part's numbers describe no usable shape.
    BadPart,
    /// The bit does not enter an opening: it is not cut.
    NotCut {
        /// The opening.
        ring: usize,
    },
    /// The bit does not reach all of an edge: a detail of it is too narrow.
    NotReached {
        /// The ring of the edge: 0 for the outline, openings from 1.
        ring: usize,
        /// How wide the detail is, mm.
        width_mm: f64,
    },
    /// The bit leaves more stock on the part than its own radius explains.
    LeftStanding {
        /// How much, mm².
        area_mm2: f64,
        /// How far the bit stands off a sharp inside corner, mm, where that is the reason: `corners = "rounded"` accepts it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cleft_mm: Option<f64>,
    },
    /// The upper pass has a gap where no holding bridge stands.
    LeftUncut {
        /// The ring of the edge: 0 for the outline, openings from 1.
        ring: usize,
    },
    /// The path of another part cuts into this part.
    Gouge {
        /// The part whose path it is.
        by: String,
        /// Which copy of it.
        by_copy: usize,
        /// How deep, mm.
        depth_mm: f64,
    },
    /// Nothing is cut between this part and another.
    NotSeparated {
        /// The other part.
        other: String,
        /// Which copy of it.
        other_copy: usize,
    },
    /// The cut leaves a tab with another width than planned.
    TabWidth {
        /// Number of the tab, from 1.
        tab: usize,
        /// What is left, mm; 0 when it is cut away.
        left_mm: f64,
        /// What was planned, mm.
        planned_mm: f64,
    },
    /// A tab lands on something that does not stay in place.
    NoAnchor {
        /// Number of the tab, from 1.
        tab: usize,
        /// What it lands on.
        on: LandsOn,
    },
    /// The part hangs only on stock that comes loose itself.
    Chain,
    /// The part is cut free with nothing to hold it.
    Loose,
    /// Neighbours' passes cut the part's skin.
    SkinCut {
        /// How much of it is left, 0 to 1.
        left: f64,
    },
    /// The tabs bear less than is required where the part lies.
    TooWeak {
        /// Least margin: what they bear over what is asked, under 1.
        margin: f64,
    },
    /// Each tab of the part's outline lands on a strip of stock that bends away under the cut: nothing firm holds it.
    NoFirmLanding {
        /// How far the firmest of these strips gives under the part's load, mm.
        gives_mm: f64,
    },
    /// No plan holds the part: its outline is not cut.
    NotHeld,
    /// Clamps must hold the sheet, but no piece of it has room for one.
    NoClamp,
}

/// Something that a tab lands on and that is not an anchor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
pub enum LandsOn {
    /// Waste that comes loose.
    Waste,
    /// Another part.
    Part {
        /// The name it has in the job.
        part: String,
        /// Which copy.
        copy: usize,
    },
    /// A kerf, or a place off the sheet.
    Nothing,
}
