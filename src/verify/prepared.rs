//! A placed part prepared for many distance queries, its numbers checked first.

use super::finding::{Edge, PartFinding};
use super::numbers::{GREATEST, usable};
use super::problem::{Problem, What};
use super::rules::Rules;
use crate::geometry::{Bounds, EdgeIndex, Ring, Segment, Shape, Vector};
use crate::layout::{Note, PlacedPart, Sheet};

/// A part whose numbers make valid geometry.
pub(super) struct Prepared<'a> {
    pub placed: &'a PlacedPart,
    pub shape: Shape,
    pub bounds: Bounds,
    pub segments: Vec<Segment>,
    pub edges: EdgeIndex,
    /// Whether its sharp inside corners are accepted as the bit leaves them.
    pub rounded: bool,
}

/// A sheet with its usable parts, and what it is checked against.
#[derive(Clone, Copy)]
pub(super) struct Examined<'a> {
    pub sheet: &'a Sheet,
    pub parts: &'a [Prepared<'a>],
    pub rules: &'a Rules<'a>,
}

/// The usable parts of a sheet, in its order, and the problems of the others.
pub(super) fn prepare<'a>(sheet: &'a Sheet, notes: &[Note]) -> (Vec<Prepared<'a>>, Vec<Problem>) {
    let rounded =
        |placed: &PlacedPart| notes.iter().any(|n| n.part == placed.part && n.accepts_corners());
    let mut problems = vec![];
    let parts = sheet
        .parts
        .iter()
        .filter_map(|placed| match fit(placed) {
            Ok(()) => Some(Prepared::new(placed, rounded(placed))),
            Err((what, found)) => {
                problems.push(Problem::part(what, sheet, placed, found));
                None
            }
        })
        .collect();
    (parts, problems)
}

impl<'a> Prepared<'a> {
    fn new(placed: &'a PlacedPart, rounded: bool) -> Self {
        let shape = placed.shape();
        let edges = EdgeIndex::new(&shape);
        let segments = shape.segments().collect();
        Prepared { placed, bounds: shape.bounds(), shape, segments, edges, rounded }
    }
}

/// Whether the part's numbers can be computed with.
fn fit(placed: &PlacedPart) -> Result<(), (What, PartFinding)> {
    let pose = [placed.x, placed.y, placed.rotation_deg];
    if !pose.iter().all(|v| v.is_finite() && v.abs() <= GREATEST) {
        return Err((What::Number, PartFinding::PoseNotFinite));
    }
    for (i, ring) in std::iter::once(&placed.outline).chain(&placed.openings).enumerate() {
        let edge = Edge::Part(i);
        usable(ring).map_err(|flaw| (What::Ring, PartFinding::BadRing { edge, flaw }))?;
    }
    let drawn = placed.features.iter().flat_map(|f| f.rings.iter().chain(&f.lines));
    if !drawn.flat_map(Ring::points).all(|p| p.finite() && p.x.abs().max(p.y.abs()) <= GREATEST) {
        return Err((What::Number, PartFinding::FeatureNotFinite));
    }
    Ok(())
}
