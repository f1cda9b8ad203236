//! A closed chain of segments, its first point not repeated, and axis-aligned bounds.

use super::{Point, Segment, Vector, point};
use serde::{Deserialize, Serialize};

/// A closed ring of points in mm; written to files as `[[x, y], ...]`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(from = "Vec<[f64; 2]>", into = "Vec<[f64; 2]>")]
pub struct Ring(pub Vec<Point>);

impl From<Vec<[f64; 2]>> for Ring {
    fn from(points: Vec<[f64; 2]>) -> Self {
        Ring(points.into_iter().map(Point::from).collect())
    }
}

impl From<Ring> for Vec<[f64; 2]> {
    fn from(ring: Ring) -> Self {
        ring.0.into_iter().map(|p| [p.x, p.y]).collect()
    }
}

impl Ring {
    /// The rectangle from `(0, 0)` to `(width, height)`.
    pub fn rectangle(width: f64, height: f64) -> Self {
        Ring(vec![point(0.0, 0.0), point(width, 0.0), point(width, height), point(0.0, height)])
    }

    /// A regular polygon standing in for a circle, each chord within `tolerance` mm **outside** it:
    /// vertices lie beyond the circle so that every chord is tangent to it.
    pub fn circle_around(centre: Point, radius: f64, tolerance: f64) -> Self {
        use std::f64::consts::PI;
        // Sagitta of a circumscribed polygon: r (1/cos(pi/n) - 1) <= tolerance.
        let n = (PI / (radius / (radius + tolerance)).acos()).ceil().clamp(8.0, 720.0);
        let outer = radius / (PI / n).cos();
        Ring(
            (0..n as usize)
                .map(|i| centre + point(outer, 0.0).turned(2.0 * PI * i as f64 / n))
                .collect(),
        )
    }

    /// The ring's points.
    pub fn points(&self) -> &[Point] {
        &self.0
    }

    /// The ring's segments, the closing one last.
    pub fn segments(&self) -> impl Iterator<Item = Segment> + '_ {
        let n = self.0.len();
        (0..n).map(move |i| Segment::new(self.0[i], self.0[(i + 1) % n]))
    }

    /// Area in mm², positive when the ring runs from +x towards +y (clockwise on screen).
    pub fn signed_area(&self) -> f64 {
        let Some(&origin) = self.0.first() else { return 0.0 };
        // About the first point, so that a far-off ring loses no digits.
        self.segments().map(|s| (s.a - origin).cross(s.b - origin)).sum::<f64>() / 2.0
    }

    /// Area in mm², never negative.
    pub fn area(&self) -> f64 {
        self.signed_area().abs()
    }

    /// Length round the ring, mm.
    pub fn perimeter(&self) -> f64 {
        self.segments().map(Segment::length).sum()
    }

    /// Centre of area; the mean of the points where the area is zero.
    pub fn centroid(&self) -> Point {
        let Some(&origin) = self.0.first() else { return point(0.0, 0.0) };
        let (mut sum, mut twice_area) = (point(0.0, 0.0), 0.0);
        for s in self.segments() {
            let (a, b) = (s.a - origin, s.b - origin);
            let c = a.cross(b);
            sum = sum + (a + b) * c;
            twice_area += c;
        }
        if twice_area == 0.0 {
            return self.0.iter().fold(point(0.0, 0.0), |m, &p| m + p) / self.0.len() as f64;
        }
        origin + sum / (3.0 * twice_area)
    }

    /// Whether the ring turns one way only and once round, turns the other way of at most `bends` radians aside; with 0 by exact
    /// tests.
    pub fn is_convex(&self, bends: f64) -> bool {
        let (n, sign) = (self.0.len(), self.signed_area().signum());
        let corner = |i: usize| (self.0[i], self.0[(i + 1) % n], self.0[(i + 2) % n]);
        let turn = |i: usize| {
            let (a, b, c) = corner(i);
            sign * (b - a).cross(c - b).atan2((b - a).dot(c - b))
        };
        let back = |i: usize| {
            let (a, b, c) = corner(i);
            sign * super::orient(a, b, c) < 0.0 && (bends == 0.0 || turn(i) < -bends)
        };
        // One full turn only: a star that winds twice turns left everywhere too.
        (0..n).map(turn).sum::<f64>() < 7.0 && !(0..n).any(back)
    }

    /// Whether `p` lies inside (even-odd rule, exact side tests); a point on the edge may go either way.
    pub fn contains(&self, p: Point) -> bool {
        let mut inside = false;
        for s in self.segments() {
            if (s.a.y > p.y) != (s.b.y > p.y) {
                let side = super::orient(s.a, s.b, p);
                if (side > 0.0) == (s.b.y > s.a.y) && side != 0.0 {
                    inside = !inside;
                }
            }
        }
        inside
    }

    /// The smallest upright rectangle that holds the ring.
    pub fn bounds(&self) -> Bounds {
        Bounds::of(&self.0)
    }

    /// The ring with its points in reverse order.
    pub fn reversed(&self) -> Self {
        Ring(self.0.iter().rev().copied().collect())
    }

    /// The ring with positive [`signed_area`](Self::signed_area).
    pub fn positive(self) -> Self {
        if self.signed_area() < 0.0 { self.reversed() } else { self }
    }

    /// Distance from `p` to the ring's edge, mm.
    pub fn edge_distance(&self, p: Point) -> f64 {
        self.segments().map(|s| s.distance_to_point(p)).fold(f64::INFINITY, f64::min)
    }

    /// The ring with each point passed through `f`.
    pub fn map(&self, f: impl FnMut(Point) -> Point) -> Self {
        Ring(self.0.iter().copied().map(f).collect())
    }

    /// The ring translated by `d`.
    pub fn moved(&self, d: Point) -> Self {
        self.map(|p| p + d)
    }

    /// `geo`'s closed form of the ring.
    pub fn to_geo(&self) -> geo::LineString<f64> {
        let mut line = geo::LineString::new(self.0.clone());
        line.close();
        line
    }

    /// The ring of a closed `geo` line, its repeated last point dropped.
    pub fn from_geo(line: &geo::LineString<f64>) -> Self {
        let mut points = line.0.clone();
        if points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        Ring(points)
    }
}

/// An upright rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least x and y, mm.
    pub min: Point,
    /// Greatest x and y, mm.
    pub max: Point,
}

impl Bounds {
    /// Bounds of the empty set; growing them to hold something gives its bounds.
    pub const EMPTY: Bounds = Bounds {
        min: point(f64::INFINITY, f64::INFINITY),
        max: point(f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    /// Bounds of some points.
    pub fn of(points: &[Point]) -> Self {
        points.iter().fold(Self::EMPTY, |b, &p| b.with(p))
    }

    /// These bounds, stretched to hold `p`.
    pub fn with(self, p: Point) -> Self {
        Bounds {
            min: point(self.min.x.min(p.x), self.min.y.min(p.y)),
            max: point(self.max.x.max(p.x), self.max.y.max(p.y)),
        }
    }

    /// These bounds, stretched to hold `other`.
    pub fn join(self, other: Bounds) -> Self {
        self.with(other.min).with(other.max)
    }

    /// These bounds grown by `d` mm on each side.
    pub fn grown(self, d: f64) -> Self {
        Bounds { min: self.min - point(d, d), max: self.max + point(d, d) }
    }

    /// Extent along x, mm.
    pub fn width(self) -> f64 {
        self.max.x - self.min.x
    }

    /// Extent along y, mm.
    pub fn height(self) -> f64 {
        self.max.y - self.min.y
    }

    /// The middle.
    pub fn centre(self) -> Point {
        (self.min + self.max) / 2.0
    }

    /// The point within the bounds that is nearest to `p`; of bounds that are not empty.
    pub(crate) fn nearest(self, p: Point) -> Point {
        point(p.x.clamp(self.min.x, self.max.x), p.y.clamp(self.min.y, self.max.y))
    }

    /// Distance from `p` to the box, 0 inside it.
    pub fn distance(self, p: Point) -> f64 {
        let beyond = |low: f64, at: f64, high: f64| (low - at).max(at - high).max(0.0);
        let x = beyond(self.min.x, p.x, self.max.x);
        x.hypot(beyond(self.min.y, p.y, self.max.y))
    }

    /// Whether the two share a point.
    pub fn touches(self, other: Bounds) -> bool {
        self.min.x <= other.max.x
            && other.min.x <= self.max.x
            && self.min.y <= other.max.y
            && other.min.y <= self.max.y
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The triangle of 3, 4 and 5 beyond a corner.
    #[test]
    fn the_distance_to_a_box_is_0_inside_it() {
        let bounds = Bounds { min: point(-1.0, 2.0), max: point(6.0, 8.0) };
        let far = [point(9.0, 12.0), point(-4.0, -2.0), point(2.0, -1.0), point(8.5, 5.0)];
        assert_eq!(far.map(|p| bounds.distance(p)), [5.0, 5.0, 3.0, 2.5]);
        assert_eq!([point(0.0, 3.0), point(6.0, 8.0)].map(|p| bounds.distance(p)), [0.0; 2]);
    }

    #[test]
    fn area_and_centroid_of_a_triangle_far_from_the_origin() {
        let far = point(1e6, -1e6);
        let ring = Ring(vec![far, far + point(30.0, 0.0), far + point(0.0, 30.0)]);
        assert_eq!(ring.signed_area(), 450.0);
        assert_eq!(ring.centroid(), far + point(10.0, 10.0));
        assert!(ring.contains(far + point(5.0, 5.0)));
        assert!(!ring.contains(far + point(20.0, 20.0)));
    }

    #[test]
    fn circle_around_never_cuts_into_the_circle() {
        let ring = Ring::circle_around(point(3.0, 4.0), 10.0, 0.01);
        let least = ring.edge_distance(point(3.0, 4.0));
        let most = ring.0.iter().map(|p| p.distance(point(3.0, 4.0))).fold(0.0, f64::max);
        assert!(least >= 10.0 - 1e-12 && most <= 10.01 + 1e-12, "{least} {most}");
    }
}
