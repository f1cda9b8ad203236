//! Straight segments: the exact side test, crossing, and distance.

use super::{Point, Vector};

/// On which side of the line `a`→`b` the point `c` lies; the sign is exact.
///
/// Shewchuk's adaptive predicate (Discrete & Computational Geometry 18, 1997), crate `robust`.
/// Positive when `c` lies on the +y side of a segment along +x.
pub fn orient(a: Point, b: Point, c: Point) -> f64 {
    let coord = |p: Point| robust::Coord { x: p.x, y: p.y };
    robust::orient2d(coord(a), coord(b), coord(c))
}

/// Whether the two segments cross at a point inside both (exact; segments that touch or are collinear do not cross).
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

    /// The interval of this segment within `r` mm of `other`, as fractions of its length; `None` where all of it is farther.
    ///
    /// It is a single interval, since both sets are convex: the hull of the line's intersections with two discs and a rectangle.
    pub fn stretch_within(self, other: Segment, r: f64) -> Option<(f64, f64)> {
        let (s, e) = (self, other);
        let d = s.b - s.a;
        let mut hull: Option<(f64, f64)> = None;
        let mut add = |from: f64, to: f64| {
            let (from, to) = (from.max(0.0), to.min(1.0));
            if from <= to {
                hull = Some(hull.map_or((from, to), |(a, b)| (a.min(from), b.max(to))));
            }
        };
        let a = d.dot(d);
        if a == 0.0 {
            return (e.distance_to_point(s.a) <= r).then_some((0.0, 1.0));
        }
        for centre in [e.a, e.b] {
            // Disc about an end: |s.a + t d - centre|² <= r².
            let w = s.a - centre;
            let (b, c) = (w.dot(d), w.dot(w) - r * r);
            let root = b * b - a * c;
            if root >= 0.0 {
                add((-b - root.sqrt()) / a, (-b + root.sqrt()) / a);
            }
        }
        if let Some(along) = e.direction() {
            // The rectangle between the discs.
            let w = s.a - e.a;
            let clip = |start: f64, speed: f64, low: f64, high: f64| {
                if speed == 0.0 {
                    return (low <= start && start <= high)
                        .then_some((f64::NEG_INFINITY, f64::INFINITY));
                }
                let (t, u) = ((low - start) / speed, (high - start) / speed);
                Some((t.min(u), t.max(u)))
            };
            let length = clip(w.dot(along), d.dot(along), 0.0, e.length());
            let breadth = clip(along.cross(w), along.cross(d), -r, r);
            if let (Some(l), Some(b)) = (length, breadth) {
                add(l.0.max(b.0), l.1.min(b.1));
            }
        }
        hull
    }

    /// The intersection of the segments' lines, as fractions along each; `None` when parallel.
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

    /// Distance along a segment, sampled: the interval's ends must lie at r or at the segment's ends.
    #[test]
    fn interval_ends_lie_at_the_distance() {
        let e = Segment::new(point(0.0, 0.0), point(10.0, 2.0));
        for (i, s) in [
            Segment::new(point(-5.0, -3.0), point(12.0, 9.0)),
            Segment::new(point(-5.0, 1.0), point(20.0, 1.0)),
            Segment::new(point(3.0, 30.0), point(3.5, -30.0)),
            Segment::new(point(0.0, 0.5), point(10.0, 2.5)),
        ]
        .into_iter()
        .enumerate()
        {
            let (from, to) = s.stretch_within(e, 1.0).unwrap();
            for t in [from, to] {
                let d = e.distance_to_point(s.a.lerp(s.b, t));
                assert!(t == 0.0 || t == 1.0 || (d - 1.0).abs() < 1e-9, "case {i}: {d} at {t}");
            }
            let middle = e.distance_to_point(s.a.lerp(s.b, (from + to) / 2.0));
            assert!(middle < 1.0, "case {i}");
        }
        let far = Segment::new(point(0.0, 2.0), point(10.0, 4.0));
        assert!(far.stretch_within(e, 1.0).is_none());
    }
}
