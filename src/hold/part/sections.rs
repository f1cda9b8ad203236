//! Sections of the part: straight cuts through its narrow places.

use super::left::NetSection;
use crate::geometry::{Bounds, Contour, EdgeIndex, Point, Segment, Shape, Vector, proper_crossing};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Sample points on all rings together; sections between them are found by trying all pairs.
const SAMPLES: usize = 240;

/// Least turn of a reflex vertex that is sampled too, radians: 20 degrees; and the most of them.
const HOLLOW: f64 = 0.35;
const MOST_CORNERS: usize = 120;

/// A section counts where the edge between its ends is at least this many times as long as the section: a shorter arc is a bump,
/// not a neck.
const ARC_OVER_CHORD: f64 = 2.0;

/// A straight cut through the part from edge to edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Chord {
    /// One end.
    pub a: Point,
    /// The other end.
    pub b: Point,
    /// Ring and arc length of each end.
    pub from: (usize, f64),
    /// Ring and arc length of the other end.
    pub to: (usize, f64),
    /// Its length: the part's width there, mm.
    pub width: f64,
    /// Distance from its middle to the farthest point of the smaller side, mm; 0 where it does not split the part.
    pub arm: f64,
    /// Its number among the ligaments of an elastic part, where it does not split the part.
    pub ligament: Option<usize>,
    /// The net section that pockets and holes leave; `None` where it is whole.
    pub left: Option<NetSection>,
}

impl Chord {
    /// Its middle.
    pub fn middle(&self) -> Point {
        (self.a + self.b) / 2.0
    }

    /// Unit vector along the neck, square to the cut.
    pub fn normal(&self) -> Point {
        (self.b - self.a).perp().unit().unwrap_or(Point { x: 1.0, y: 0.0 })
    }

    /// Direction of the neck's length, radians.
    pub fn direction(&self) -> f64 {
        let n = self.normal();
        n.y.atan2(n.x)
    }

    /// Whether the cut splits the part: both ends lie on the same ring.
    pub fn separates(&self) -> bool {
        self.from.0 == self.to.0
    }

    /// Whether position `s` of the ring lies on the side from `from` forward to `to`.
    pub fn side(&self, contour: &Contour, s: f64) -> bool {
        self.separates() && contour.ahead(self.from.1, s) < contour.ahead(self.from.1, self.to.1)
    }

    /// Whether the edge between its ends is long enough, either way, for it to be a neck and not a bump.
    pub fn is_neck(&self, contour: &Contour) -> bool {
        contour.apart(self.from.1, self.to.1) >= ARC_OVER_CHORD * self.width
    }

    /// Share of its strength that pockets and holes leave.
    pub fn share_left(&self) -> f64 {
        self.left.map_or(1.0, |l| l.share)
    }

    /// Whether position `s` lies on the side with the shorter edge.
    pub fn shorter_side(&self, contour: &Contour, s: f64) -> bool {
        let one = contour.ahead(self.from.1, self.to.1);
        self.separates() && self.side(contour, s) == (one <= contour.length() - one)
    }

    /// Share of a load spread over `patch` mm of edge about `s` that lies on the side from `from` to `to`.
    pub fn share(&self, contour: &Contour, s: f64, patch: f64) -> f64 {
        if !self.separates() {
            return 0.0;
        }
        let (from, to) =
            (contour.ahead(self.from.1, s - patch / 2.0), contour.ahead(self.from.1, self.to.1));
        let length = contour.length();
        let upto = |x: f64| x.min(to).max(0.0);
        // The patch runs from `from` on, and may pass the start again.
        let covered = upto(from + patch) - upto(from) + upto(from + patch - length);
        (covered / patch).clamp(0.0, 1.0)
    }
}

/// The narrow sections of a shape, narrowest first: from each sample of the edge to the nearest edge across the material.
///
/// Neighbours lie close together: `thinned` keeps those that matter by a given order. Cost: all pairs of about 240 samples.
/// Sections narrower than the sampling (1/240 of the edge) may be missed.
pub fn chords(shape: &Shape, contours: &[Contour]) -> Vec<Chord> {
    let index = EdgeIndex::new(shape);
    let total: f64 = contours.iter().map(Contour::length).sum();
    let mut samples: Vec<(usize, f64, Point)> = vec![];
    for (ring, c) in contours.iter().enumerate() {
        let n = ((SAMPLES as f64 * c.length() / total).ceil() as usize).max(8);
        let even = (0..n).map(|i| (i as f64 + 0.25) * c.length() / n as f64);
        let mut at: Vec<f64> = even.chain(hollow_corners(c)).collect();
        at.sort_by(f64::total_cmp);
        samples.extend(at.into_iter().map(|s| (ring, s, c.point(s))));
    }
    let mut found = vec![];
    for &(ring, s, p) in &samples {
        let mut across: Vec<(Reverse<u64>, Reverse<usize>)> = vec![];
        for (j, &(other, t, q)) in samples.iter().enumerate() {
            let d = p.distance(q);
            if d > 1e-9 && (other != ring || contours[ring].apart(s, t) >= ARC_OVER_CHORD * d) {
                // Lengths are positive: their bits are in their order.
                across.push((Reverse(d.to_bits()), Reverse(j)));
            }
        }
        // Nearest first, and no more of them than it takes.
        let mut nearest = BinaryHeap::from(across);
        let mut next = std::iter::from_fn(|| nearest.pop().map(|(_, j)| j.0));
        let through = next.find(|&j| inside(shape, &index, p, samples[j].2));
        if let Some(j) = through {
            found.push(slid(contours, (ring, s), (samples[j].0, samples[j].1)));
        }
    }
    found.retain(|c| inside(shape, &index, c.a, c.b));
    found.sort_by(|x, y| x.width.total_cmp(&y.width).then(x.from.1.total_cmp(&y.from.1)));
    found
}

/// The narrowest of each group of neighbours.
pub fn narrowest(sections: &[Chord]) -> Vec<Chord> {
    thinned(sections.to_vec(), 0.5)
}

/// Drops sections whose ends both lie within a `share` of a width of an earlier one's, unless pockets weaken them more: of
/// neighbours the first stays.
pub fn thinned(sections: Vec<Chord>, share: f64) -> Vec<Chord> {
    let mut kept: Vec<Chord> = vec![];
    for c in sections {
        let near = |k: &Chord| {
            let reach = share * c.width.min(k.width);
            let beside = (c.a.distance(k.a) < reach && c.b.distance(k.b) < reach)
                || (c.a.distance(k.b) < reach && c.b.distance(k.a) < reach);
            beside && c.share_left() >= k.share_left()
        };
        if !kept.iter().any(near) {
            kept.push(c);
        }
    }
    kept
}

/// Positions of sharp reflex vertices: limbs break at their roots.
fn hollow_corners(c: &Contour) -> Vec<f64> {
    let p = c.points();
    let n = p.len();
    // Material lies on one hand of the way, whichever ring it is.
    let hollow = |i: &usize| {
        let (a, b) = (p[*i] - p[(*i + n - 1) % n], p[(*i + 1) % n] - p[*i]);
        a.cross(b).atan2(a.dot(b)) < -HOLLOW
    };
    let corners: Vec<usize> = (0..n).filter(hollow).collect();
    let every = corners.len().div_ceil(MOST_CORNERS).max(1);
    corners.into_iter().step_by(every).map(|i| c.corner(i)).collect()
}

/// Moves the far end along its edge to the nearest place, by golden-section search over one sample's spacing.
fn slid(contours: &[Contour], from: (usize, f64), to: (usize, f64)) -> Chord {
    let p = contours[from.0].point(from.1);
    let far = &contours[to.0];
    let reach = far.length() / SAMPLES as f64 * 2.0;
    let (mut low, mut high) = (to.1 - reach, to.1 + reach);
    for _ in 0..24 {
        let (x, y) = (low + 0.382 * (high - low), high - 0.382 * (high - low));
        if far.point(x).distance(p) < far.point(y).distance(p) { high = y } else { low = x }
    }
    let t = (low + high) / 2.0;
    let b = far.point(t);
    let mut chord = Chord {
        a: p,
        b,
        from,
        to: (to.0, t.rem_euclid(far.length())),
        width: p.distance(b),
        arm: 0.0,
        ligament: None,
        left: None,
    };
    if from.0 == to.0 {
        chord.arm = arm(far, &chord);
    }
    chord
}

/// Farthest point of the side with the shorter edge.
pub fn arm(contour: &Contour, chord: &Chord) -> f64 {
    let one = contour.ahead(chord.from.1, chord.to.1);
    let shorter_first = one <= contour.length() - one;
    let m = chord.middle();
    let on_side = |s: f64| chord.side(contour, s) == shorter_first;
    let points = contour.points().iter().enumerate();
    points
        .filter(|(i, _)| on_side(contour.corner(*i)))
        .map(|(_, p)| p.distance(m))
        .fold(chord.width / 2.0, f64::max)
}

/// Whether the segment between two edge points lies in the material.
fn inside(shape: &Shape, index: &EdgeIndex, a: Point, b: Point) -> bool {
    // Ends pulled in, so that the edges they lie on do not count.
    let chord = Segment::new(a.lerp(b, 0.01), b.lerp(a, 0.01));
    !index.touching(Bounds::of(&[chord.a, chord.b])).any(|s| proper_crossing(s, chord))
        && [0.02, 0.25, 0.5, 0.75, 0.98].iter().all(|&t| shape.contains(a.lerp(b, t)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, point};

    fn of(shape: &Shape) -> Vec<Chord> {
        let contours: Vec<_> = shape.rings().filter_map(Contour::new).collect();
        chords(shape, &contours)
    }

    #[test]
    fn dumbbells_neck_is_found_with_its_direction() {
        // Two 20 mm squares joined by a bar 12 long and 4 wide.
        let p = |x: f64, y: f64| point(x, y);
        let ring = Ring(vec![
            p(0.0, 0.0),
            p(20.0, 0.0),
            p(20.0, 8.0),
            p(32.0, 8.0),
            p(32.0, 0.0),
            p(52.0, 0.0),
            p(52.0, 20.0),
            p(32.0, 20.0),
            p(32.0, 12.0),
            p(20.0, 12.0),
            p(20.0, 20.0),
            p(0.0, 20.0),
        ]);
        let found = of(&Shape::new(ring, vec![]));
        let neck = &found[0];
        assert!((neck.width - 4.0).abs() < 0.05, "{neck:?}");
        assert!(neck.normal().x.abs() > 0.99, "its length runs along x: {neck:?}");
        assert!(neck.arm > 20.0 && neck.separates());
    }

    #[test]
    fn a_spread_load_is_shared_between_the_sides() {
        let contour = Contour::new(&Ring::rectangle(30.0, 10.0)).unwrap();
        let chord = Chord {
            a: point(10.0, 0.0),
            b: point(10.0, 10.0),
            from: (0, 10.0),
            to: (0, 60.0),
            width: 10.0,
            arm: 20.0,
            ligament: None,
            left: None,
        };
        let share = |s: f64| chord.share(&contour, s, 4.0);
        assert_eq!([share(30.0), share(70.0), share(10.0)], [1.0, 0.0, 0.5]);
        assert_eq!([share(9.0), share(61.0), share(0.0), share(79.0)], [0.25, 0.25, 0.0, 0.0]);
        let wrapped = Chord { from: (0, 60.0), to: (0, 10.0), ..chord };
        assert_eq!(
            [60.0, 79.5, 0.5, 30.0].map(|s| wrapped.share(&contour, s, 4.0)),
            [0.5, 1.0, 1.0, 0.0]
        );
    }

    #[test]
    fn ligament_of_a_ring_does_not_separate() {
        let outer = Ring::circle_around(point(0.0, 0.0), 30.0, 0.01);
        let inner = Ring::circle_around(point(0.0, 0.0), 22.0, 0.01);
        let found = of(&Shape::new(outer, vec![inner]));
        assert!((found[0].width - 8.0).abs() < 0.1);
        assert!(!found[0].separates());
    }
}
