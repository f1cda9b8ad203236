//! Findings about parts where they lie, and about their sheets.

use super::super::copy_name::CopyName;
use crate::layout::FeatureKind;
use serde::Serialize;

/// What is wrong with a part where it lies, or with one of the edges of a sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum PartFinding {
    /// The part's pose is not finite.
    PoseNotFinite,
    /// A point of a feature is not finite.
    FeatureNotFinite,
    /// The part's grain is not finite, or its tolerance is not from 0 to 180.
    GrainNotFinite {
        /// Its direction.
        deg: f64,
        /// Its tolerance.
        tolerance_deg: f64,
    },
    /// A ring is not a simple closed edge.
    BadRing {
        /// Which ring.
        edge: Edge,
        /// What is wrong with it.
        flaw: RingFlaw,
    },
    /// An opening touches or crosses another edge of its part.
    OpeningMeetsEdge {
        /// The opening.
        opening: usize,
    },
    /// An opening lies outside its part's outline.
    OpeningOutside {
        /// The opening.
        opening: usize,
    },
    /// An opening lies inside another.
    OpeningNested {
        /// The opening.
        opening: usize,
        /// The opening around it.
        inside: usize,
    },
    /// Two parts overlap; the amount is the depth.
    Overlap {
        /// The common area, mm².
        area_mm2: f64,
    },
    /// Two parts are nearer than the gap.
    TooNear,
    /// The part lies off its sheet; the amount is the depth.
    OffSheet,
    /// The part is nearer to the sheet's edge than the margin.
    TooNearEdge,
    /// The part is nearer to a keep-clear area than the gap.
    TooNearKeepClear {
        /// The area.
        area: usize,
    },
    /// The copy is placed twice.
    PlacedTwice {
        /// The other sheet that has it.
        also_on: String,
    },
    /// The copy does not have the shape that it must have.
    OtherShape {
        /// Whose shape it must have.
        than: Reference,
        /// How they differ.
        differ: Difference,
    },
    /// The copy does not have the features that it must have.
    OtherFeatures {
        /// Whose features it must have.
        than: Reference,
    },
    /// A feature lies off its part.
    FeatureOffPart {
        /// The kind of the feature.
        feature: FeatureKind,
        /// Its number.
        number: usize,
    },
    /// The outline does not lie where the pose says; the amount is the distance.
    NotInFrame,
    /// The part's direction along the grain is off the sheet's grain; the amount is the angle, the limit the tolerance.
    OffGrain {
        /// The part's own direction.
        deg: f64,
        /// The sheet's.
        sheet_deg: f64,
        /// Whether the job requires it, rather than the layout itself.
        of_job: bool,
    },
}

/// What is wrong with a sheet or with the stock left of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum SheetFinding {
    /// A figure of the sheet is not finite or out of its range.
    SheetFigure {
        /// The figure.
        figure: Figure,
        /// Its value.
        value: f64,
    },
    /// The sheet's gap is narrower than its bit.
    GapUnderBit,
    /// A clamp is not among the keep-clear areas.
    ClampNotKeptClear {
        /// The clamp.
        clamp: usize,
    },
    /// A remnant lies off the sheet.
    RemnantOffSheet {
        /// The remnant.
        remnant: usize,
    },
    /// A remnant overlaps a keep-clear area or another remnant.
    RemnantOverlaps {
        /// The remnant.
        remnant: usize,
        /// What it overlaps.
        on: Edge,
    },
    /// The kerf of a part cuts into a remnant; the amount is the distance.
    KerfInRemnant {
        /// The remnant.
        remnant: usize,
    },
    /// A tab lands on a remnant.
    TabOnRemnant {
        /// Number of the tab, from 1.
        tab: usize,
        /// The remnant.
        remnant: usize,
    },
    /// A piece of waste comes loose, and the layout neither clears nor lists it; the amount is its area, mm².
    LooseWaste,
    /// A pocket that clears waste comes too near to a part; the amount is the distance.
    ClearsPart {
        /// Number of the pocket, from 1.
        pocket: usize,
    },
    /// It takes stock from under a tab or its landing.
    ClearsTab {
        /// Number of the pocket, from 1.
        pocket: usize,
        /// Number of the tab, from 1.
        tab: usize,
    },
    /// It reaches off the sheet.
    ClearsOffSheet {
        /// Number of the pocket, from 1.
        pocket: usize,
    },
}

/// A ring of a sheet or of a part on it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Edge {
    /// The sheet's outline.
    Sheet,
    /// A keep-clear area.
    KeepClear(usize),
    /// A remnant.
    Remnant(usize),
    /// A pocket that clears waste.
    Cleared(usize),
    /// A ring of the part.
    Part(usize),
}

/// What is wrong with a ring.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RingFlaw {
    /// It has fewer than three points; their number.
    Points(usize),
    /// A point is not finite or farther than a kilometre from the origin; its number, from 0.
    Beyond(usize),
    /// The last point repeats the first.
    Repeats,
    /// It has no area.
    NoArea,
    /// It crosses or touches itself.
    Crosses,
}

/// Whose shape or features a copy must have.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reference {
    /// Those of an earlier copy.
    Copy(CopyName),
    /// Those of the job's part.
    Job,
}

/// How two shapes differ.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Difference {
    /// In the number of openings.
    Openings(usize, usize),
    /// In the number of an edge's points.
    Points(usize, usize),
    /// In an opening.
    Opening,
    /// By the distance between their edges, mm.
    Distance(f64),
}

/// A figure of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Figure {
    /// Its thickness, mm.
    Thickness,
    /// The bit's diameter, mm.
    BitDiameter,
    /// The bit's allowance, mm.
    Allowance,
    /// The gap between parts, mm.
    Gap,
    /// The margin along its edge, mm.
    Margin,
    /// The direction of its grain, degrees.
    GrainDeg,
}
