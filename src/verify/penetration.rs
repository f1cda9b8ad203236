//! How deep one region's edge enters another region.
//!
//! The places of a segment within a distance r of another segment form an interval, since both sets
//! are convex; the rest of the segment is farther than r from every edge, so each stretch of it
//! is wholly inside or wholly outside, and one point decides. Exact but for rounding: no sampling.

use crate::geometry::{Bounds, EdgeIndex, Point, Segment, Vector};

/// A place of `edges` that is more than `depth` mm inside the region with the edges `index`;
/// `inside` tells whether a point is in the region.
pub(super) fn deep_place<'a>(
    edges: impl Iterator<Item = &'a Segment>,
    index: &EdgeIndex,
    depth: f64,
    inside: impl Fn(Point) -> bool,
) -> Option<Point> {
    let mut covered: Vec<(f64, f64)> = vec![];
    for &s in edges {
        covered.clear();
        let near = index.touching(Bounds::of(&[s.a, s.b]).grown(depth));
        covered.extend(near.filter_map(|e| s.stretch_within(e, depth)));
        covered.sort_by(|a, b| a.0.total_cmp(&b.0));
        covered.push((1.0, 1.0));
        let mut reached = 0.0;
        for &(from, to) in &covered {
            if from > reached {
                let p = s.a.lerp(s.b, (reached + from) / 2.0);
                if inside(p) && index.nearest(p).is_some_and(|n| n.distance > depth) {
                    return Some(p);
                }
            }
            reached = reached.max(to);
        }
    }
    None
}

/// The greatest depth at which `place` still finds a place, to a thousandth, starting from a depth
/// where it does.
pub(super) fn greatest_depth(
    from: f64,
    at: Point,
    extent: f64,
    place: impl Fn(f64) -> Option<Point>,
) -> (f64, Point) {
    let (mut low, mut high, mut best) = (from, extent.max(from), at);
    while high - low > 1e-3 * high && high > 1e-9 {
        let middle = if low > 0.0 { (low * high).sqrt() } else { high / 2.0 };
        match place(middle) {
            Some(p) => (low, best) = (middle, p),
            None => high = middle,
        }
    }
    (low, best)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape, point};

    #[test]
    fn depth_of_a_corner_in_a_square() {
        let square = Shape::new(Ring::rectangle(10.0, 10.0), vec![]);
        let index = EdgeIndex::new(&square);
        // A corner that enters the bottom side by 0.3 mm.
        let corner = [
            Segment::new(point(4.0, 12.0), point(5.0, 9.7)),
            Segment::new(point(5.0, 9.7), point(6.0, 12.0)),
        ];
        let find = |depth| deep_place(corner.iter(), &index, depth, |p| square.contains(p));
        assert!(find(0.31).is_none());
        let (depth, at) = greatest_depth(1e-6, find(1e-6).unwrap(), 10.0, find);
        assert!(
            (depth - 0.3).abs() < 1e-3 && at.distance(point(5.0, 9.7)) < 0.01,
            "{depth} {at:?}"
        );
        // From no depth at all, as with a tolerance of 0.
        let (depth, _) = greatest_depth(0.0, find(0.0).unwrap(), 10.0, find);
        assert!((depth - 0.3).abs() < 1e-3, "{depth}");
    }
}
