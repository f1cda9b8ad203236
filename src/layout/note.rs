//! What a maker must know about a part under its bit, as values.

use serde::{Deserialize, Serialize};

/// What is true of a part, and so of each of its copies.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// The part's name.
    pub part: String,
    /// What it is, with its numbers.
    #[serde(flatten)]
    pub kind: NoteKind,
}

/// What is true of a part. Places of corners are mm from the top left of the part as it is drawn, x right, y down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum NoteKind {
    /// The part for which all parts of its material and thickness are cut with a finer bit than the others need.
    NeedsFinerBit {
        /// Its narrowest place.
        at: [f64; 2],
        /// The widest bit that passes there, mm.
        fits_mm: f64,
        /// The bit that cuts the group, mm.
        bit_mm: f64,
        /// The next wider bit on hand, mm.
        wider_mm: f64,
        /// How many other parts need the finer bit too.
        others: usize,
    },
    /// Slots, holes or gaps drawn narrower than the bit are cut at the bit's width.
    CutWider {
        /// Number of such places.
        places: usize,
        /// The sheet on which `at` lies: that of the part's first copy.
        sheet: String,
        /// The place that is cut wider by the most, mm in the sheet.
        at: [f64; 2],
        /// Its width as drawn, mm.
        drawn_mm: f64,
        /// How much wider it is cut, mm.
        wider_mm: f64,
    },
    /// Sharp inside corners keep the bit's radius.
    RoundedCorners {
        /// Number of such corners.
        corners: usize,
        /// The corner in which the most stock stands.
        at: [f64; 2],
        /// How far it is from the nearest place that the bit cuts, mm.
        stands_mm: f64,
        /// Whether the job accepts them by `corners = "rounded"`, however sharp they are.
        #[serde(default)]
        accepted: bool,
    },
    /// An opening or notch as wide as stock of the job is thick, or a row of fingers as long, has sharp inside corners that keep
    /// the bit's radius: the mating part stops at them.
    JointCorners {
        /// One place in each such opening or notch: the middle of its end.
        places: Vec<[f64; 2]>,
        /// The width of the first, or the length of its fingers, mm.
        width_mm: f64,
        /// Whether they lie between fingers.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        fingers: bool,
        /// The thickness of the mating stock, mm.
        stock_mm: f64,
        /// How far the deepest of their corners is from the nearest place that the bit cuts, mm.
        stands_mm: f64,
        /// Whether the job accepts it by `corners = "rounded"`.
        accepted: bool,
    },
}

impl Note {
    /// Whether the maker must decide before the part is cut.
    pub fn undecided(&self) -> bool {
        self.joints_to_decide() > 0
    }

    /// Whether it says that the job accepts corners by `corners = "rounded"`.
    pub fn accepts_corners(&self) -> bool {
        use NoteKind::{JointCorners, RoundedCorners};
        matches!(
            self.kind,
            JointCorners { accepted: true, .. } | RoundedCorners { accepted: true, .. }
        )
    }

    /// How many joints the maker must decide on before the part is cut.
    pub fn joints_to_decide(&self) -> usize {
        match &self.kind {
            NoteKind::JointCorners { accepted: false, places, .. } => places.len().max(1),
            _ => 0,
        }
    }
}
