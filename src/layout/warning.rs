//! What the maker must know about a part or the job, as values.

use super::{Because, FeatureKind, Freed, Method, SectionAt};
use serde::{Deserialize, Serialize};

/// Something the maker must know.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Warning {
    /// The part's name; empty when it concerns the whole job.
    pub part: String,
    /// What it is, with its numbers; absent in older files.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub kind: Option<WarningKind>,
    /// The copies it concerns, in ascending order; empty where it concerns all of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub copies: Vec<usize>,
    /// The same in words, in the job's units.
    pub message: String,
}

/// What it is about. Places are mm in the part as it is drawn: from its left and top. Openings are numbered from 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum WarningKind {
    /// The last pass that the job asks for is too deep.
    LastPassTooDeep {
        /// What is asked for, mm.
        asked_mm: f64,
        /// What is planned, mm.
        planned_mm: f64,
    },
    /// The last pass must not be repeated: with everything severed the tabs do not hold the part.
    DoNotRepeat {
        /// How far the part moves then, mm.
        movement_mm: f64,
        /// Ratio of strength to stress then.
        safety: f64,
    },
    /// An edge is farther from its nearest tab than required, and no tabs that hold were found within that distance.
    FarEdge {
        /// How far, mm.
        far_mm: f64,
        /// How far it may be, mm.
        asked_mm: f64,
    },
    /// Freeing the part by hand may break it.
    FreeWithCare(Freed),
    /// An up-spiral lifts the free corners of thin sheet.
    LiftsCorners,
    /// The part's bending is computed on a coarser mesh than it should be: the mesh ran out of vertices.
    CoarseMesh,
    /// A pocket or a hole leaves a section weak.
    WeakSection {
        /// The section.
        section: SectionAt,
        /// Its margin: value over requirement.
        margin: f64,
    },
    /// A neck, or a wall beside an opening, is so thin that handling breaks it.
    Slender {
        /// Its width, mm.
        width_mm: f64,
        /// Its middle.
        at: [f64; 2],
    },
    /// A pocket or a hole to drill is narrower than every bit on hand.
    NoBitEnters {
        /// Pocket or hole.
        feature: FeatureKind,
        /// The narrowest place.
        at: [f64; 2],
        /// The widest bit that enters there, mm.
        fits_mm: f64,
        /// The finest bit on hand, mm.
        finest_mm: f64,
    },
    /// The waste inside an opening is loose once it is cut.
    LooseDropOut {
        /// The opening.
        ring: usize,
        /// The middle of the waste.
        at: [f64; 2],
    },
    /// A tongue that stands into an opening bends or breaks under its last pass.
    Tongue {
        /// The opening.
        ring: usize,
        /// The middle of its root.
        at: [f64; 2],
        /// Its width at the root, mm.
        width_mm: f64,
        /// Its length, mm.
        length_mm: f64,
        /// The last pass it is judged at, mm.
        last_pass_mm: f64,
        /// How far its tip deflects, mm.
        movement_mm: f64,
        /// Ratio of strength to stress.
        safety: f64,
        /// The last pass that it bears, mm.
        bears_mm: f64,
    },
    /// Nothing holds the part while it is cut.
    NothingHolds {
        /// Why tabs do not.
        #[serde(flatten)]
        because: Because,
        /// Width of a spur of the sheet's full thickness that holds the part alone, mm.
        spur_mm: f64,
        /// The last pass that the spur bears, mm.
        spur_pass_mm: f64,
    },
    /// The grain as the job lays it runs across the part's weakest neck.
    ShortGrain {
        /// The neck's width, mm, where there is one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        width_mm: Option<f64>,
        /// What holds the part as it is.
        method: Method,
        /// The change of grain that mends it.
        #[serde(flatten)]
        turn: GrainTurn,
        /// How many times as strong the neck is then.
        times: f64,
    },
    /// Where copies lie, their tabs have no stock to land on: another method holds them.
    NoLanding {
        /// The method.
        method: Method,
    },
    /// Where copies lie, the stock they would hang on comes loose: another method holds them.
    ComesLoose {
        /// The method.
        method: Method,
    },
    /// Tabs hang on slender strips of the sheet that bend away under the cut.
    SoftLanding {
        /// The softest landing of each copy.
        landings: Vec<SoftLanding>,
    },
    /// A set of tabs is not listed, since the part drifts on it.
    Drifts {
        /// How many tabs.
        count: usize,
        /// Whether they are spaced evenly; otherwise they are the best set found.
        even: bool,
    },
}

/// A direction of the part that the job should lay along the grain.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct GrainTurn {
    /// Degrees from +x towards +y in the part as it is drawn, from 0 up to 180.
    pub grain_deg: f64,
    /// Whether pins lay the part now.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub pinned: bool,
}

/// A tab on a slender strip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SoftLanding {
    /// The copies whose softest landing it is.
    pub copies: Vec<usize>,
    /// The tab, numbered from 1 in the order of the hold's list.
    pub tab: usize,
    /// Width of the strip, mm.
    pub width_mm: f64,
    /// How far it deflects under the cut, mm; absent where it holds nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gives_mm: Option<f64>,
}

impl Warning {
    /// A warning about all copies of a part, its words still to be made.
    pub fn of(part: &str, kind: WarningKind) -> Warning {
        Warning { part: part.into(), kind: Some(kind), copies: vec![], message: String::new() }
    }
}

impl WarningKind {
    /// Whether both say the same about the same place of a part, possibly with other figures.
    pub fn repeats(&self, other: &WarningKind) -> bool {
        use WarningKind as W;
        match (self, other) {
            (W::LooseDropOut { ring: a, .. }, W::LooseDropOut { ring: b, .. }) => a == b,
            (W::Tongue { ring: a, at: p, .. }, W::Tongue { ring: b, at: q, .. }) => {
                (a, p) == (b, q)
            }
            _ => self.is_like(other),
        }
    }

    /// Whether both ask the same of the maker, so that one sentence can cover several parts.
    pub fn is_like(&self, other: &WarningKind) -> bool {
        use WarningKind as W;
        match (self, other) {
            (W::FreeWithCare(a), W::FreeWithCare(b)) => a.how == b.how,
            (W::NoBitEnters { feature: a, .. }, W::NoBitEnters { feature: b, .. }) => a == b,
            (W::WeakSection { section: a, .. }, W::WeakSection { section: b, .. }) => {
                let drilled = |s: &SectionAt| s.weakened == Some(super::Weakened::Drilled);
                drilled(a) == drilled(b)
            }
            (
                W::ShortGrain { method: a, turn: t, .. },
                W::ShortGrain { method: b, turn: u, .. },
            ) => (a, t.pinned) == (b, u.pinned),
            (W::NoLanding { method: a }, W::NoLanding { method: b })
            | (W::ComesLoose { method: a }, W::ComesLoose { method: b }) => a == b,
            _ => std::mem::discriminant(self) == std::mem::discriminant(other),
        }
    }
}
