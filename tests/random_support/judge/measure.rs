//! Distances between edges, by an R-tree of segments (rstar) and geo's own point-to-line distance.

use super::super::curve::P;
use geo::{BoundingRect, Coord, Distance, Euclidean, Line, LineString, Point, Polygon, Rect};
use rstar::RTree;

/// Edges ready to be asked how far they are.
pub struct Edges(RTree<Line>);

impl Edges {
    pub fn of<'a>(lines: impl Iterator<Item = &'a LineString>) -> Self {
        Edges(RTree::bulk_load(lines.flat_map(|l| l.lines()).collect()))
    }

    pub fn of_polygon(p: &Polygon) -> Self {
        Self::of(rings(p))
    }

    /// How far the nearest edge is from `p`; infinite where there is none.
    pub fn from(&self, p: Point) -> f64 {
        // Not `nearest_neighbor`: its pruning lost an upright segment by rounding (rstar 0.12).
        self.0.nearest_neighbor_iter(&p).next().map_or(f64::INFINITY, |l| Euclidean.distance(l, &p))
    }

    /// The greatest distance of the points from these edges.
    pub fn farthest(&self, points: impl Iterator<Item = Point>) -> f64 {
        points.map(|p| self.from(p)).fold(0.0, f64::max)
    }
}

/// The outline and the openings' edges.
pub fn rings(p: &Polygon) -> impl Iterator<Item = &LineString> {
    std::iter::once(p.exterior()).chain(p.interiors())
}

/// Least distance between the edges of two polygons, where it is under `reach`; inside and outside do not count.
pub fn edge_distance(a: &Polygon, b: &Polygon, reach: f64) -> f64 {
    let mut least = f64::INFINITY;
    for r in rings(a) {
        for s in rings(b) {
            if near(r.bounding_rect(), s.bounding_rect(), reach) {
                least = least.min(Euclidean.distance(r, s));
            }
        }
    }
    least
}

/// Whether two boxes come nearer than `reach`.
pub fn near(a: Option<Rect>, b: Option<Rect>, reach: f64) -> bool {
    let (Some(a), Some(b)) = (a, b) else { return false };
    let apart = |a0: f64, a1: f64, b0: f64, b1: f64| b0 - a1 > reach || a0 - b1 > reach;
    !apart(a.min().x, a.max().x, b.min().x, b.max().x)
        && !apart(a.min().y, a.max().y, b.min().y, b.max().y)
}

/// A closed line through the points.
pub fn closed(points: &[P]) -> LineString {
    points.iter().chain(points.first()).map(|p| Coord { x: p[0], y: p[1] }).collect()
}

/// How far two closed edges leave each other (Hausdorff distance, by their vertices against the other's segments).
pub fn hausdorff(a: &LineString, b: &LineString) -> f64 {
    let one = |a: &LineString, b: &LineString| Edges::of(std::iter::once(b)).farthest(a.points());
    one(a, b).max(one(b, a))
}
