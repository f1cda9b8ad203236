//! Straight segments: the exact side test, crossing, and distance.

use super::{Point, Vector};

/// Which side of the line `a`→`b` the point `c` lies on: the sign is exact.
///
/// Shewchuk's adaptive predicate (Discrete & Computational Geometry 18, 1997), crate `robust`.
/// Positive when `c` lies on the +y side of a segment along +x.
pub fn orient(a: Point, b: Point, c: Point) -> f64 {
    let coord = |p: Point| robust::Coord { x: p.x, y: p.y };
    robust::orient2d(coord(a), coord(b), coord(c))
}

/// Whether the two segments cross at a point inside both (exact; touching and collinear are not crossing).
pub fn proper_crossing(p: Segment, q: Segment) -> bool {
    let straddles = |s: Segment, t: Segment| {
        let (d1, d2) = (orient(s.a, s.b, t.a), orient(s.a, s.b, t.b));
        (d1 > 0.0 && d2 < 0.0) || (d1 < 0.0 && d2 > 0.0)
    };
    straddles(p, q) && straddles(q, p)
}

/// A straight piece of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Start, mm.
    pub a: Point,
    /// End, mm.
    pub b: Point,
}

impl Segment {
    /// The segment from `a` to `b`.
    pub fn new(a: Point, b: Point) -> Self {
        Self { a, b }
    }

    /// Length in mm.
    pub fn length(self) -> f64 {
        self.a.distance(self.b)
    }

    /// Unit direction, `None` for a segment of no length.
    pub fn direction(self) -> Option<Point> {
        (self.b - self.a).unit()
    }

    /// The fraction along the segment, in `0..=1`, of its point nearest to `p`.
    pub fn project(self, p: Point) -> f64 {
        let d = self.b - self.a;
        let len2 = d.dot(d);
        if len2 > 0.0 { ((p - self.a).dot(d) / len2).clamp(0.0, 1.0) } else { 0.0 }
    }

    /// The point of the segment nearest to `p`.
    pub fn nearest(self, p: Point) -> Point {
        self.a.lerp(self.b, self.project(p))
    }

    /// Distance from `p` to the segment, mm.
    pub fn distance_to_point(self, p: Point) -> f64 {
        self.nearest(p).distance(p)
    }

    /// Distance between two segments, mm; 0 when they cross or touch.
    pub fn distance(self, other: Segment) -> f64 {
        if proper_crossing(self, other) {
            return 0.0;
        }
        [
            self.distance_to_point(other.a),
            self.distance_to_point(other.b),
            other.distance_to_point(self.a),
            other.distance_to_point(self.b),
        ]
        .into_iter()
        .fold(f64::INFINITY, f64::min)
    }

    /// Where the segments' lines meet, as fractions along each; `None` when parallel.
    pub fn line_meeting(self, other: Segment) -> Option<(f64, f64)> {
        let (d, e) = (self.b - self.a, other.b - other.a);
        let den = d.cross(e);
        if den == 0.0 {
            return None;
        }
        let w = other.a - self.a;
        Some((w.cross(e) / den, w.cross(d) / den))
    }
}

#[cfg(test)]
mod tests {
    use super::super::point;
    use super::*;

    #[test]
    fn distances_of_crossing_touching_and_parallel_segments() {
        let base = Segment::new(point(0.0, 0.0), point(10.0, 0.0));
        let crossing = Segment::new(point(5.0, -1.0), point(5.0, 1.0));
        let touching = Segment::new(point(5.0, 0.0), point(5.0, 4.0));
        let parallel = Segment::new(point(2.0, 3.0), point(30.0, 3.0));
        assert_eq!(base.distance(crossing), 0.0);
        assert!(proper_crossing(base, crossing));
        assert_eq!(base.distance(touching), 0.0);
        assert!(!proper_crossing(base, touching), "a touch is not a crossing");
        assert_eq!(base.distance(parallel), 3.0);
    }
}
