//! Centre-lines of the bit, pass by pass.

use crate::geometry::{Point, Segment, Vector};

/// How far chords of a centre-line may leave the true offset, mm: with rounding a centre-line keeps D/2 from its part and at most
/// 0.0046 mm more. Coarser chords would show where kerfs coincide: the extra distance from one part is taken from its neighbour.
pub(super) const CHORD: f64 = 0.002;

/// The centre-lines of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartPaths {
    /// Index into [`Sheet::parts`](crate::layout::Sheet::parts).
    pub part: usize,
    /// Passes ring by ring, openings first; of a ring the upper pass comes before its through pass.
    pub passes: Vec<Pass>,
}

/// One pass round one ring.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// What the pass does.
    pub kind: PassKind,
    /// 0 for the outline, openings from 1.
    pub ring: usize,
    /// How deep it cuts, mm from the top.
    pub depth: f64,
    /// Its paths in the order of cut, the last one ending at the edge's first tab. There are several where tabs open it, or where
    /// the bit does not fit through a neck of the edge.
    pub paths: Vec<Path>,
}

/// What a pass does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PassKind {
    /// Down to the top of the tabs. Where a ring's tabs differ in height there is one pass for each height, the later ones open at
    /// the higher tabs. Holding bridges have no top: a ring that has only bridges gets one pass, open at them, that leaves the
    /// depth of the last pass.
    Upper,
    /// Through the sheet, open at the tabs.
    Through,
    /// Down to the skin, closed.
    Skin,
}

/// A line that the bit's centre follows.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// Its points; a closed path does not repeat the first. A single point is a plunge.
    pub points: Vec<Point>,
    /// Whether the bit returns to the first point.
    pub closed: bool,
}

impl Path {
    /// Where the bit enters.
    pub fn start(&self) -> Point {
        self.points[0]
    }

    /// Where the bit leaves.
    pub fn end(&self) -> Point {
        if self.closed { self.points[0] } else { self.points[self.points.len() - 1] }
    }

    /// Length of the path, mm.
    pub fn length(&self) -> f64 {
        let open: f64 = self.points.windows(2).map(|w| w[0].distance(w[1])).sum();
        if self.closed {
            open + self.points[self.points.len() - 1].distance(self.points[0])
        } else {
            open
        }
    }

    /// Its segments; a plunge has one segment of no length.
    pub(super) fn segments(&self) -> Vec<Segment> {
        if let [only] = self.points[..] {
            return vec![Segment::new(only, only)];
        }
        let open = self.points.windows(2).map(|w| Segment::new(w[0], w[1]));
        let closing =
            self.closed.then(|| Segment::new(self.points[self.points.len() - 1], self.points[0]));
        open.chain(closing).collect()
    }
}

impl PartPaths {
    /// No paths, for a part that is not usable.
    pub(super) fn none(part: usize) -> Self {
        PartPaths { part, passes: vec![] }
    }

    /// The first pass round each ring, which only holding bridges open.
    pub(super) fn first(&self) -> impl Iterator<Item = &Pass> {
        let first = |i: usize| i == 0 || self.passes[i - 1].ring != self.passes[i].ring;
        self.passes.iter().enumerate().filter(move |(i, _)| first(*i)).map(|(_, p)| p)
    }

    /// The passes that go through the sheet.
    pub fn through(&self) -> impl Iterator<Item = &Pass> {
        self.passes.iter().filter(|p| p.kind == PassKind::Through)
    }
}
