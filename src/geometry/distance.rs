//! Distances between edges, by an R-tree of segments (crate `rstar`), exact for the given segments.

use super::{Bounds, Point, Ring, Segment, Shape, Vector};
use rstar::{AABB, PointDistance, RTree, RTreeObject};

/// The edges of a shape, ready for many distance questions.
pub struct EdgeIndex {
    tree: RTree<Edge>,
}

/// The nearest place on an indexed edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Ring number: 0 outline, openings from 1.
    pub ring: usize,
    /// Segment number within the ring.
    pub segment: usize,
    /// The nearest point.
    pub at: Point,
    /// Its distance, mm.
    pub distance: f64,
}

#[derive(Debug, Clone, Copy)]
struct Edge {
    segment: Segment,
    ring: usize,
    number: usize,
}

impl RTreeObject for Edge {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners(self.segment.a.into(), self.segment.b.into())
    }
}

impl PointDistance for Edge {
    fn distance_2(&self, p: &[f64; 2]) -> f64 {
        let d = self.segment.nearest((*p).into()) - (*p).into();
        d.dot(d)
    }
}

impl EdgeIndex {
    /// Index of every ring of `shape`.
    pub fn new(shape: &Shape) -> Self {
        Self::of_rings(shape.rings())
    }

    /// Index of some rings, numbered from 0 in their order.
    pub fn of_rings<'a>(rings: impl Iterator<Item = &'a Ring>) -> Self {
        let edges = rings
            .enumerate()
            .flat_map(|(ring, r)| {
                r.segments().enumerate().map(move |(number, segment)| Edge {
                    segment,
                    ring,
                    number,
                })
            })
            .collect();
        EdgeIndex { tree: RTree::bulk_load(edges) }
    }

    /// The place nearest to `p`, `None` without edges.
    pub fn nearest(&self, p: Point) -> Option<Nearest> {
        let edge = self.tree.nearest_neighbor(&[p.x, p.y])?;
        let at = edge.segment.nearest(p);
        Some(Nearest { ring: edge.ring, segment: edge.number, at, distance: at.distance(p) })
    }

    /// The segments whose bounds touch `bounds`.
    pub fn touching(&self, bounds: Bounds) -> impl Iterator<Item = Segment> + '_ {
        let envelope = AABB::from_corners(bounds.min.into(), bounds.max.into());
        self.tree.locate_in_envelope_intersecting(&envelope).map(|e| e.segment)
    }

    /// Least distance from `segment` to the indexed edges, mm, or `limit` when nothing is nearer.
    pub fn segment_distance(&self, segment: Segment, limit: f64) -> f64 {
        let reach = Bounds::of(&[segment.a, segment.b]).grown(limit);
        self.touching(reach).map(|s| s.distance(segment)).fold(limit, f64::min)
    }
}

/// Least distance between the edges of two rings, mm, or `limit` when they are farther apart.
pub fn ring_distance(a: &Ring, b: &Ring, limit: f64) -> f64 {
    if !a.bounds().grown(limit).touches(b.bounds()) {
        return limit;
    }
    let index = EdgeIndex::of_rings(std::iter::once(a));
    b.segments().fold(limit, |d, s| index.segment_distance(s, d))
}

/// Least distance between two shapes, mm: 0 when they overlap or one lies in the other's material;
/// `limit` when they are farther apart than that.
pub fn shape_distance(a: &Shape, b: &Shape, limit: f64) -> f64 {
    if !a.bounds().grown(limit).touches(b.bounds()) {
        return limit;
    }
    let index = EdgeIndex::new(a);
    let edges = b.segments().fold(limit, |d, s| index.segment_distance(s, d));
    if edges == 0.0 {
        return 0.0;
    }
    // No edges meet, so one point decides whether one lies in the other.
    let within =
        |outer: &Shape, inner: &Shape| inner.outline.0.first().is_some_and(|&p| outer.contains(p));
    if within(a, b) || within(b, a) { 0.0 } else { edges }
}

#[cfg(test)]
mod tests {
    use super::super::point;
    use super::*;

    fn square(x: f64, y: f64, side: f64) -> Shape {
        Shape::new(Ring::rectangle(side, side).moved(point(x, y)), vec![])
    }

    #[test]
    fn distance_of_apart_nested_and_overlapping_squares() {
        let a = square(0.0, 0.0, 10.0);
        assert_eq!(shape_distance(&a, &square(13.0, 14.0, 5.0), 50.0), 5.0);
        assert_eq!(shape_distance(&a, &square(2.0, 2.0, 3.0), 50.0), 0.0, "in the material");
        assert_eq!(shape_distance(&a, &square(90.0, 0.0, 1.0), 50.0), 50.0, "beyond the limit");
        let frame = Shape::new(
            Ring::rectangle(20.0, 20.0),
            vec![Ring::rectangle(16.0, 16.0).moved(point(2.0, 2.0))],
        );
        assert_eq!(shape_distance(&frame, &square(5.0, 5.0, 10.0), 50.0), 3.0, "in the opening");
    }
}
