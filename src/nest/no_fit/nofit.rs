//! The no-fit region of a pair: the offsets at which two parts come too near each other.
//!
//! For convex A (fixed) and B (at offset d) that region is the Minkowski sum A ⊕ (-B), grown by the distance they must keep; for
//! parts in pieces it is the union of the pieces' sums (Bennell & Oliveira, *The geometry of nesting problems: a tutorial*, EJOR
//! 184, 2008, section 3.4). The union is never formed: a list of convex sums also gives overlap, its depth and the way out, and has
//! no seams.
//!
//! Each pair of sums keeps its own distance: part from part the gap, landing from part the kerf, part from the sheet's edge the
//! margin; two landings may share their stock. Openings need no code of their own: they contain no pieces.

use crate::geometry::{Bounds, Point, Vector, point};
use std::cell::RefCell;

/// Widest angle between neighbouring sides of a grown sum. The true boundary is a disc's arc; tangent sides at most this far apart
/// leave it by 1/cos(22.5°) - 1 = 8 % of the distance, at corners only.
const WIDEST_CORNER: f64 = std::f64::consts::FRAC_PI_4 * 1.001;

/// The half-plane n·d <= c, n of unit length pointing out.
#[derive(Debug, Clone, Copy)]
pub struct HalfPlane {
    pub n: Point,
    pub c: f64,
}

impl HalfPlane {
    /// Depth of `d` inside, mm.
    #[inline(always)]
    pub fn depth(&self, d: Point) -> f64 {
        self.c - self.n.x * d.x - self.n.y * d.y
    }
}

/// One convex sum: a run of sides.
#[derive(Debug, Clone, Copy)]
struct ConvexSum {
    bounds: Bounds,
    first: u32,
    end: u32,
}

/// A convex sum that a line crosses, with where it enters and leaves.
#[derive(Debug, Clone, Copy)]
pub struct Crossing {
    pub from: f64,
    pub to: f64,
    /// Index of its first side in the list.
    pub first: u32,
    pub end: u32,
}

/// A stretch of a line in the space of offsets: `d + t u` for `t` in the range.
#[derive(Debug, Clone, Copy)]
pub struct Stretch {
    pub d: Point,
    pub u: Point,
    pub range: (f64, f64),
}

/// The union of convex sums, in the space of offsets (position of B less that of A).
#[derive(Debug, Clone)]
pub struct NoFit {
    pub bounds: Bounds,
    sums: Vec<ConvexSum>,
    sides: Vec<HalfPlane>,
}

/// Two convex rings that must keep a distance.
pub struct RingPair<'a> {
    pub fixed: &'a [Point],
    pub moving: &'a [Point],
    pub distance: f64,
}

/// Bounds as their reach in each direction: thousands of sums are compared without branches.
struct Extent([f64; 4]);

impl Extent {
    fn new(b: Bounds) -> Extent {
        Extent([b.max.x, b.max.y, -b.min.x, -b.min.y])
    }

    #[inline(always)]
    fn holds(&self, other: &Extent, slack: f64) -> bool {
        let beyond = |i: usize| self.0[i] >= other.0[i] - slack;
        beyond(0) & beyond(1) & beyond(2) & beyond(3)
    }
}

impl NoFit {
    /// The union over all pairs; a sum that lies within another is left out.
    pub fn new<'a>(pairs: impl Iterator<Item = RingPair<'a>>) -> NoFit {
        // All sums in one list: they are short, and many. Its room is kept from pair to pair.
        MAKER.with_borrow_mut(|made| NoFit::by(made, pairs))
    }

    fn by<'a>(made: &mut Maker, pairs: impl Iterator<Item = RingPair<'a>>) -> NoFit {
        made.sides.clear();
        made.rim.clear();
        let mut sums = vec![];
        for pair in pairs {
            let first = made.sides.len();
            if made.add(&pair) {
                let bounds = Bounds::of(&made.rim[first..]);
                sums.push((bounds.width() * bounds.height(), bounds, first..made.sides.len()));
            }
        }
        // Largest first: later ones are the candidates to be contained. The sort is stable.
        sums.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut all = NoFit { bounds: Bounds::EMPTY, sums: vec![], sides: vec![] };
        let mut reach = vec![];
        for (_, bounds, range) in sums {
            if all.holds(&reach, bounds, &made.rim[range.clone()]) {
                continue;
            }
            reach.push(Extent::new(bounds));
            let first = all.sides.len() as u32;
            all.sides.extend_from_slice(&made.sides[range]);
            all.sums.push(ConvexSum { bounds, first, end: all.sides.len() as u32 });
            all.bounds = all.bounds.join(bounds);
        }
        // There are many, and they live long.
        all.sums.shrink_to_fit();
        all.sides.shrink_to_fit();
        all
    }

    /// Whether a sum lies within an earlier one; `reach` lists their bounds.
    fn holds(&self, reach: &[Extent], bounds: Bounds, corners: &[Point]) -> bool {
        let slack = 1e-12 * (bounds.width() + bounds.height());
        let step = (corners.len() / 4).max(1);
        let mine = Extent::new(bounds);
        reach.iter().zip(&self.sums).any(|(r, s)| {
            r.holds(&mine, slack) && {
                let sides = self.sides_of(*s);
                let holds = |p: &Point| sides.iter().all(|side| side.depth(*p) >= -slack);
                // A few corners far apart first: they tell most of those that stick out.
                corners.iter().step_by(step).all(holds) && corners.iter().all(holds)
            }
        })
    }

    #[inline(always)]
    fn sides_of(&self, s: ConvexSum) -> &[HalfPlane] {
        &self.sides[s.first as usize..s.end as usize]
    }

    /// Sum over the convex sums of the depth of `d` in each, mm; depths up to `eps` count as contact.
    #[inline]
    pub fn depth(&self, d: Point, eps: f64) -> f64 {
        if !inside(&self.bounds, d) {
            return 0.0;
        }
        let mut total = 0.0;
        for s in &self.sums {
            if inside(&s.bounds, d) {
                let least = self.least(*s, d, eps);
                if least > eps {
                    total += least;
                }
            }
        }
        total
    }

    #[inline(always)]
    fn least(&self, s: ConvexSum, d: Point, eps: f64) -> f64 {
        let mut least = f64::INFINITY;
        for side in self.sides_of(s) {
            let m = side.depth(d);
            if m <= eps {
                return 0.0;
            }
            least = if m < least { m } else { least };
        }
        least
    }

    /// The nearest side of every sum that contains `d`, with the depth; and the sides that pass within `eps` of `d` (depth 0).
    pub fn sides_at(&self, d: Point, eps: f64, mut found: impl FnMut(Point, f64)) {
        let reach = self.bounds.grown(eps);
        if !inside(&reach, d) {
            return;
        }
        for s in &self.sums {
            if !inside(&s.bounds.grown(eps), d) {
                continue;
            }
            let (mut least, mut normal) = (f64::INFINITY, point(0.0, 0.0));
            for side in self.sides_of(*s) {
                let m = side.depth(d);
                if m < least {
                    (least, normal) = (m, side.n);
                    if least < -eps {
                        break;
                    }
                }
            }
            if least > eps {
                found(normal, least);
            } else if least >= -eps {
                found(normal, 0.0);
            }
        }
    }

    /// Interval of the stretch inside each sum. The sides of the sums found are appended to `sides` as functions of t: depth, and
    /// its slope.
    pub fn crossings(
        &self,
        Stretch { d, u, range: (lo, hi) }: Stretch,
        eps: f64,
        sides: &mut Vec<(f64, f64)>,
        mut found: impl FnMut(Crossing),
    ) {
        let (p, q) = (d + u * lo, d + u * hi);
        let span = Bounds {
            min: point(p.x.min(q.x), p.y.min(q.y)),
            max: point(p.x.max(q.x), p.y.max(q.y)),
        };
        if !span.touches(self.bounds) {
            return;
        }
        for s in &self.sums {
            if !span.touches(s.bounds) {
                continue;
            }
            let first = sides.len();
            let both = |side: &HalfPlane| (side.depth(d), side.n.x * u.x + side.n.y * u.y);
            sides.extend(self.sides_of(*s).iter().map(both));
            // Without branches: which side bounds the line is as good as random.
            let (mut from, mut to) = (f64::NEG_INFINITY, f64::INFINITY);
            for &(m, den) in &sides[first..] {
                let at = m / den;
                let along = den > 1e-12;
                let leaves = if along { at } else { f64::INFINITY };
                let enters = if den < -1e-12 { at } else { f64::NEG_INFINITY };
                // Beside the line: nowhere in it unless the line runs inside.
                let beside =
                    if den.abs() <= 1e-12 && m <= eps { f64::NEG_INFINITY } else { leaves };
                to = if beside < to { beside } else { to };
                from = if enters > from { enters } else { from };
            }
            if to > from + eps && to > lo && from < hi {
                found(Crossing { from, to, first: first as u32, end: sides.len() as u32 });
            } else {
                sides.truncate(first);
            }
        }
    }

    /// Number of corners of all sums together.
    pub fn corners(&self) -> usize {
        self.sides.len()
    }

    /// A corner: an offset at which two contacts may meet.
    pub fn corner(&self, i: usize) -> Point {
        let sum = self.sums[self.sums.partition_point(|s| s.end as usize <= i)];
        let before = if i == sum.first as usize { sum.end as usize - 1 } else { i - 1 };
        let (a, b) = (self.sides[before], self.sides[i]);
        let cross = a.n.cross(b.n);
        point((a.c * b.n.y - b.c * a.n.y) / cross, (b.c * a.n.x - a.c * b.n.x) / cross)
    }
}

#[inline(always)]
fn inside(b: &Bounds, d: Point) -> bool {
    (d.x > b.min.x) & (d.x < b.max.x) & (d.y > b.min.y) & (d.y < b.max.y)
}

thread_local! {
    static MAKER: RefCell<Maker> = RefCell::default();
}

/// Makes convex sums one after the other, in reused lists.
#[derive(Default)]
struct Maker {
    sides: Vec<HalfPlane>,
    /// The corner before each side.
    rim: Vec<Point>,
    /// Corners of the present sum, not grown.
    corners: Vec<Point>,
    normals: Vec<Point>,
}

impl Maker {
    /// Adds `a ⊕ (-b)` grown by the distance; returns whether it has an area.
    fn add(&mut self, pair: &RingPair) -> bool {
        self.minkowski(pair.fixed, pair.moving);
        let n = self.corners.len();
        if n < 3 {
            return false;
        }
        self.normals.clear();
        for i in 0..n {
            let Some(d) = (self.corners[(i + 1) % n] - self.corners[i]).unit() else {
                return false;
            };
            self.normals.push(point(d.y, -d.x));
        }
        if pair.distance <= 0.0 {
            let side = |(&n, &v): (&Point, &Point)| HalfPlane { n, c: n.dot(v) };
            self.sides.extend(self.normals.iter().zip(&self.corners).map(side));
            self.rim.extend_from_slice(&self.corners);
        } else {
            (0..n).for_each(|i| self.grow_corner(i, pair.distance));
        }
        true
    }

    /// Adds the side after corner `i`, and the sides that round the corner.
    fn grow_corner(&mut self, i: usize, grow: f64) {
        let n = self.corners.len();
        // Corner i lies between side i-1 and side i.
        let (before, after, v) = (self.normals[(i + n - 1) % n], self.normals[i], self.corners[i]);
        let (cross, dot) = (before.cross(after), before.dot(after));
        let turn = if cross.abs() <= dot { 0.0 } else { cross.atan2(dot) };
        let steps = (turn / WIDEST_CORNER).ceil().max(1.0) as usize;
        let mut last = before;
        for k in 1..=steps {
            let next =
                if k == steps { after } else { before.turned(turn * k as f64 / steps as f64) };
            // Both sides pass through v before growing, so they meet at v + g (m + n) / (1 + m·n).
            self.rim.push(v + (last + next) * (grow / (1.0 + last.dot(next))));
            self.sides.push(HalfPlane { n: next, c: next.dot(v) + grow });
            last = next;
        }
    }

    /// Corners of `a ⊕ (-b)` of two positive convex rings, by merging their edges in order of direction.
    fn minkowski(&mut self, a: &[Point], b: &[Point]) {
        let corners = &mut self.corners;
        corners.clear();
        let (na, nb) = (a.len(), b.len());
        if na == 0 || nb == 0 {
            return;
        }
        // Both from their lowest corner, of -b: the highest of b.
        let lower = |p: Point, q: Point| p.y < q.y || (p.y == q.y && p.x < q.x);
        let mut i = (1..na).fold(0, |m, i| if lower(a[i], a[m]) { i } else { m });
        let mut j = (1..nb).fold(0, |m, j| if lower(b[m], b[j]) { j } else { m });
        let next = |i: usize, n: usize| if i + 1 == n { 0 } else { i + 1 };
        let (mut left, mut right) = (na, nb);
        while left > 0 || right > 0 {
            let (p, q) = (a[i], b[j]);
            corners.push(p - q);
            let (ea, eb) = (a[next(i, na)] - p, q - b[next(j, nb)]);
            let cross = ea.cross(eb);
            let (qa, qb) = (ea.dot(ea), eb.dot(eb));
            let parallel = cross * cross <= 1e-24 * qa * qb && ea.dot(eb) > 0.0;
            let both = left > 0 && right > 0 && parallel;
            let first = right == 0 || (left > 0 && cross > 0.0);
            if both || first {
                (i, left) = (next(i, na), left - 1);
            }
            if both || !first {
                (j, right) = (next(j, nb), right - 1);
            }
        }
        corners.dedup();
        while corners.len() > 1 && corners.first() == corners.last() {
            corners.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape, shape_distance};

    const EPS: f64 = 1e-9;

    fn no_fit(a: &Ring, b: &Ring, distance: f64) -> NoFit {
        NoFit::new(std::iter::once(RingPair { fixed: &a.0, moving: &b.0, distance }))
    }

    #[test]
    fn two_squares_sum_to_a_square_of_both_sides() {
        let (a, b) = (Ring::rectangle(10.0, 10.0), Ring::rectangle(4.0, 4.0));
        let sum = no_fit(&a, &b, 0.0);
        assert_eq!((sum.bounds.min, sum.bounds.max), (point(-4.0, -4.0), point(10.0, 10.0)));
        assert_eq!(sum.depth(point(10.0, 3.0), EPS), 0.0, "contact is no overlap");
        assert_eq!(sum.depth(point(9.0, 3.0), EPS), 1.0);
        assert_eq!(sum.depth(point(3.0, 3.0), EPS), 7.0, "the nearest way out");
        let corners: Vec<Point> = (0..sum.corners()).map(|i| sum.corner(i)).collect();
        let rim = [[-4., -4.], [10., -4.], [10., 10.], [-4., 10.]].map(Point::from);
        assert_eq!(corners, rim);
    }

    #[test]
    fn grown_sum_keeps_the_distance_and_wastes_little() {
        // A naive oracle: the true distance of the placed rings.
        let a = Ring::from(vec![[0., 0.], [7., 1.], [4., 6.]]);
        let b = Ring::from(vec![[0., 0.], [3., 0.], [3., 2.], [1., 4.]]);
        let (g, sum) = (1.5, no_fit(&a, &b, 1.5));
        for i in 0..60 {
            for j in 0..60 {
                let d = point(-8.0 + 0.3 * i as f64, -8.0 + 0.3 * j as f64);
                let (pa, pb) = (Shape::new(a.clone(), vec![]), Shape::new(b.moved(d), vec![]));
                let distance = shape_distance(&pa, &pb, 9.0);
                let free = sum.depth(d, 0.0) == 0.0;
                assert!(!free || distance >= g - 1e-12, "{d:?} {distance}");
                assert!(free || distance <= g * 1.083, "{d:?} {distance}");
            }
        }
    }

    #[test]
    fn a_line_enters_and_leaves() {
        let sum = no_fit(&Ring::rectangle(10.0, 10.0), &Ring::rectangle(4.0, 4.0), 0.0);
        let stretch =
            |y: f64| Stretch { d: point(-20.0, y), u: point(1.0, 0.0), range: (0.0, 100.0) };
        let mut found = vec![];
        sum.crossings(stretch(3.0), EPS, &mut vec![], |c| found.push((c.from, c.to)));
        assert_eq!(found, vec![(16.0, 30.0)]);
        found.clear();
        sum.crossings(stretch(10.0), EPS, &mut vec![], |c| found.push((c.from, c.to)));
        assert!(found.is_empty(), "sliding along a side is free");
    }
}
