//! What is wrong with a cut.

use super::landing::Landing;
use crate::geometry::Point;

/// What is wrong with the cut of a sheet. Parts and tabs are indices into the sheet; places are mm.
#[derive(Debug, Clone, PartialEq)]
pub enum CutFault {
    /// The sheet's numbers describe no shape; nothing was planned.
    BadSheet,
    /// A part's numbers describe no shape; it was left out.
    BadPart {
        /// Index of the part in its sheet's list.
        part: usize,
    },
    /// The bit does not enter an opening.
    TooNarrow {
        /// Index of the part in its sheet's list.
        part: usize,
        /// The opening, from 1.
        ring: usize,
        /// A place on its edge.
        at: Point,
    },
    /// The bit does not reach a place that is narrower than the bit by more than the allowance.
    NotReached {
        /// Index of the part in its sheet's list.
        part: usize,
        /// The edge: 0 the outline, openings from 1.
        ring: usize,
        /// The diameter of the largest bit that would reach it, mm.
        width: f64,
        /// The place, sheet coordinates, mm.
        at: Point,
    },
    /// The bit leaves stock on the part that a finer one would reach.
    LeftStanding {
        /// Index of the part in its sheet's list.
        part: usize,
        /// How much, mm².
        area: f64,
        /// Distance from the bit to the corner, mm, where the stock is the cleft of a sharp inside corner.
        cleft: Option<f64>,
        /// The place, sheet coordinates, mm.
        at: Point,
    },
    /// The upper pass leaves a stretch uncut where no holding bridge stands.
    LeftUncut {
        /// Index of the part in its sheet's list.
        part: usize,
        /// The edge: 0 the outline, openings from 1.
        ring: usize,
        /// The place, sheet coordinates, mm.
        at: Point,
    },
    /// A path cuts into a part.
    Gouge {
        /// The part that is cut into.
        part: usize,
        /// The part whose path it is.
        by: usize,
        /// Depth of the cut, mm.
        depth: f64,
        /// The place, sheet coordinates, mm.
        at: Point,
    },
    /// Nothing separates two parts.
    NotSeparated {
        /// Index of the part in its sheet's list.
        part: usize,
        /// Index of the other part in the sheet's list.
        other: usize,
    },
    /// A tab is left wider or narrower than planned.
    TabWidth {
        /// Index of the part in its sheet's list.
        part: usize,
        /// Index of the tab in the hold's list.
        tab: usize,
        /// Width that the cut leaves, mm; 0 when it is cut away.
        left: f64,
        /// Width planned, mm.
        planned: f64,
        /// The place, sheet coordinates, mm.
        at: Point,
    },
    /// A tab does not land on clamped stock or another anchor.
    NoAnchor {
        /// Index of the part in its sheet's list.
        part: usize,
        /// Index of the tab in the hold's list.
        tab: usize,
        /// What it lands on.
        on: Landing,
        /// The place, sheet coordinates, mm.
        at: Point,
    },
    /// A part hangs only on parts or waste that come loose too.
    Chain {
        /// Index of the part in its sheet's list.
        part: usize,
    },
    /// Nothing holds a part.
    Loose {
        /// Index of the part in its sheet's list.
        part: usize,
    },
    /// Neighbours' through passes cut a part's skin.
    SkinCut {
        /// Index of the part in its sheet's list.
        part: usize,
        /// Share of the skin that is left, 0 to 1.
        left: f64,
    },
}
