//! Slots, holes and gaps as wide as the bit: the line along which its centre cuts them.
//!
//! Where a detail is as wide as the bit, or narrower by no more than the allowance, the centre-lines at half the bit's diameter
//! from its sides coincide or do not exist. The region that the bit's centre reaches only if it may come nearer to the sides by
//! half the allowance consists of slivers, as wide as the allowance at most. The bit follows their middle: its kerf is centred on
//! the detail and cuts the same from either side.
//!
//! The middle of a sliver is its chordal axis: the line through the midpoints of the inner edges of its constrained Delaunay
//! triangulation, with a branch at each triangle that has three of them (Prasad, *Morphological analysis of shapes*, CNLS
//! Newsletter 139, 1997). Each point is then moved across the line to where it is farthest from the sides, so the line is as exact
//! as the drawing. Slivers that belong to no detail (see [`Reach::passes`]) are the tips of sharp corners: those keep the bit's
//! radius.

use super::axis::{MedialAxis, axis};
use super::path::{CHORD, Path};
use crate::drawing::Reach;
use crate::geometry::{
    Bounds, EdgeIndex, Point, Ring, Segment, Shape, Vector, difference, grow_within, shrink_within,
};

/// Combined error of the offsets, mm: an erosion goes up to 2 (0.002 + 0.0003) mm beyond its distance, twice.
const SLACK: f64 = 0.01;

/// Least half width of a region for the bit's centre, mm: thinner ones are left out, since only rounding separates their sides.
const THIN: f64 = 0.002;

/// How near to a sliver the centre of a detail's widest disc must lie, mm: chords stand 0.01 mm inside their curves.
const NEAR: f64 = 0.03;

/// Step by which an end is extended, mm.
const LONGER: f64 = 0.01;

/// Points nearer than this to a line between others are left out of it, mm.
const STRAIGHT: f64 = 0.0005;

/// The stock beside one ring, and the bit whose centre moves in it.
pub(super) struct Room<'a> {
    /// 0 for the outline, openings from 1.
    pub ring: usize,
    /// The ring without the others.
    pub edge: &'a Ring,
    /// Radius, mm.
    pub radius: f64,
    /// How much narrower than the bit a detail may be, mm.
    pub allowance: f64,
}

impl Room<'_> {
    /// The stock beside the ring that is at least `distance` mm from it; outside an outline only as far as needed.
    fn eroded(&self, distance: f64) -> Vec<Shape> {
        let filled = [Shape::new(self.edge.clone(), vec![])];
        if self.ring > 0 {
            return shrink_within(&filled, distance, CHORD);
        }
        let bounds = self.edge.bounds().grown(3.0 * self.radius);
        let frame = Ring::rectangle(bounds.width(), bounds.height()).moved(bounds.min);
        difference(&[Shape::new(frame, vec![])], &grow_within(&filled, distance, CHORD))
    }

    /// The lines that cut the details, given the centres of their widest discs; a hole is a path of one point.
    ///
    /// Each line keeps half the bit's diameter less half the allowance from the edge, and is as far from it as it can be.
    pub fn centre_lines(&self, details: &[Reach]) -> Vec<Path> {
        let nearer = self.allowance / 2.0 + SLACK;
        let mut open = self.eroded(self.radius);
        open.retain(|s| !is_thin(s));
        // All that the usual lines reach, and what lies beside them.
        let beside = nearer + SLACK;
        let reached: Vec<Shape> =
            open.iter().flat_map(|s| grow_within(std::slice::from_ref(s), beside, CHORD)).collect();
        let near = self.eroded(self.radius - nearer);
        let slivers = if reached.is_empty() { near } else { difference(&near, &reached) };
        let of_detail = |s: &&Shape| details.iter().any(|d| distance_to(s, d.centre) <= NEAR);
        let lines = SliverLines {
            walls: EdgeIndex::of_rings(std::iter::once(self.edge)),
            open: EdgeIndex::of_rings(open.iter().flat_map(Shape::rings)),
            radius: self.radius,
            least: self.radius - self.allowance / 2.0,
            across: 2.0 * nearer + SLACK,
            link: 3.0 * beside,
            short: nearer,
        };
        slivers.iter().filter(of_detail).flat_map(|s| lines.along(s)).collect()
    }
}

/// Whether two lines round a region for the bit's centre would coincide.
pub(super) fn is_thin(region: &Shape) -> bool {
    shrink_within(std::slice::from_ref(region), THIN, THIN / 2.0).is_empty()
}

fn distance_to(shape: &Shape, p: Point) -> f64 {
    if shape.contains(p) {
        return 0.0;
    }
    shape.segments().map(|s| s.distance_to_point(p)).fold(f64::INFINITY, f64::min)
}

/// What centres and finishes lines in slivers.
struct SliverLines {
    walls: EdgeIndex,
    /// The edge of the region that the usual lines reach.
    open: EdgeIndex,
    /// Half the bit's diameter, mm.
    radius: f64,
    /// The least distance from the sides, mm.
    least: f64,
    /// Greatest width of a sliver, mm.
    across: f64,
    /// An end this near to the open region is continued into it, mm.
    link: f64,
    /// How much less than half a diameter a sliver keeps from the sides, mm.
    short: f64,
}

impl SliverLines {
    fn clearance(&self, p: Point) -> f64 {
        self.walls.nearest(p).map_or(f64::INFINITY, |n| n.distance)
    }

    /// The lines that cut one sliver.
    fn along(&self, sliver: &Shape) -> Vec<Path> {
        let Some(MedialAxis { trails }) = axis(sliver, 1.5 * self.across) else { return vec![] };
        trails.into_iter().filter_map(|t| self.finished(t.points, t.ends)).collect()
    }

    /// A trail with its ends corrected and its points centred; `free` says which ends are ends of the sliver.
    fn finished(&self, mut points: Vec<Point>, free: [bool; 2]) -> Option<Path> {
        let mut linked = [false; 2];
        for side in [0, 1] {
            let end = if side == 0 { points[0] } else { points[points.len() - 1] };
            let open = self.open.nearest(end).filter(|n| n.distance <= self.link);
            linked[side] = free[side] && open.is_some();
        }
        // A sliver ends before a wall nearer to it than half a diameter.
        let cut = [0, 1].map(|side| if free[side] && !linked[side] { self.short } else { 0.0 });
        let length: f64 = points.windows(2).map(|w| w[0].distance(w[1])).sum();
        // The axis of a blob runs to and fro in it: its extent counts.
        let extent = points.iter().map(|p| p.distance(points[0])).fold(0.0, f64::max);
        if extent <= cut[0] + cut[1] + 2.0 * SLACK {
            // Between two ends no room for a line: a hole. At the mouth of one the usual lines reach it.
            let hole = free == [true, true] && linked == [false, false];
            let middle = points[points.len() / 2];
            return hole.then(|| Path { points: vec![self.widest(middle)], closed: false });
        }
        // In the round end of a sliver its axis wanders: off with that, where enough is left to go on from.
        let wanders = if length - cut[0] - cut[1] > 4.0 * self.across { self.across } else { 0.0 };
        let ends: Vec<usize> = (0..2).filter(|&s| free[s] && !linked[s]).collect();
        let off = [0, 1].map(|s| cut[s] + if ends.contains(&s) { wanders } else { 0.0 });
        points = trimmed(points, off[0], off[1])?;
        points = self.centred(&divided(&points));
        points = simplified(points);
        for side in ends {
            self.lengthen(&mut points, side, wanders);
        }
        for side in [0, 1].into_iter().filter(|&s| linked[s]) {
            let at = if side == 0 { 0 } else { points.len() };
            let end = if side == 0 { points[0] } else { points[points.len() - 1] };
            if let Some(open) = self.open.nearest(end) {
                points.insert(at, open.at);
            }
        }
        // From the open region into the detail.
        if linked[1] && !linked[0] {
            points.reverse();
        }
        Some(Path { points, closed: false })
    }

    /// Extends an end along its line to half a diameter before the side ahead, since pruned branches may have shortened it; by
    /// `usual` mm where no side is near.
    fn lengthen(&self, points: &mut [Point], side: usize, usual: f64) {
        let n = points.len();
        let (end, before) = if side == 0 { (0, 1) } else { (n - 1, n.saturating_sub(2)) };
        let Some(on) = points.get(before).and_then(|b| (points[end] - *b).unit()) else { return };
        let from = points[end];
        let fits = |t: f64| {
            let p = from + on * t;
            self.ahead(p, on) >= self.radius && self.clearance(p) >= self.least
        };
        let most = usual + 4.0 * self.across;
        let mut far = 0.0;
        while far < most && fits(far + LONGER) {
            far += LONGER;
        }
        if far >= most {
            points[end] = from + on * usual;
            return;
        }
        let (mut low, mut high) = (far, far + LONGER);
        while high - low > 1e-6 {
            let middle = (low + high) / 2.0;
            if fits(middle) { low = middle } else { high = middle }
        }
        points[end] = from + on * low;
    }

    /// Distance to the sides ahead: those nearest within 60 degrees of the direction.
    fn ahead(&self, p: Point, on: Point) -> f64 {
        let walls = self.walls.touching(Bounds::of(&[p]).grown(self.radius));
        let to = walls.map(|w| w.nearest(p) - p).filter(|to| to.dot(on) > 0.5 * to.norm());
        to.map(|to| to.norm()).fold(f64::INFINITY, f64::min)
    }

    /// The points moved across their line to where the sides are farthest.
    fn centred(&self, points: &[Point]) -> Vec<Point> {
        let n = points.len();
        (0..n)
            .map(|i| {
                let (before, after) = (points[i.saturating_sub(1)], points[(i + 1).min(n - 1)]);
                let Some(along) = (after - before).unit() else { return points[i] };
                let place = |s: f64| points[i] + along.perp() * s;
                // Clearance across a sliver rises to its middle and falls beyond it.
                let (mut low, mut high) = (-self.across, self.across);
                while high - low > 1e-6 {
                    let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
                    if self.clearance(place(a)) < self.clearance(place(b)) {
                        low = a;
                    } else {
                        high = b;
                    }
                }
                place((low + high) / 2.0)
            })
            .collect()
    }

    /// The place near `p` that is farthest from the sides, by steps that halve.
    fn widest(&self, mut p: Point) -> Point {
        let (mut step, mut best) = (self.across, self.clearance(p));
        while step > 1e-6 {
            let round = (0..8).map(|k| p + Point { x: step, y: 0.0 }.turned(f64::from(k) * 0.785));
            let better = round.map(|q| (self.clearance(q), q)).max_by(|a, b| a.0.total_cmp(&b.0));
            match better.filter(|b| b.0 > best) {
                Some(b) => (best, p) = b,
                None => step /= 2.0,
            }
        }
        p
    }
}

/// A line shortened at both ends, by straight distances from the end points: where it wanders near them is cut off too.
fn trimmed(mut points: Vec<Point>, start: f64, end: f64) -> Option<Vec<Point>> {
    for cut in [end, start] {
        points.reverse();
        let from = *points.first()?;
        let within = points.iter().rposition(|p| p.distance(from) < cut);
        let Some(last) = within.filter(|&last| last + 1 < points.len()) else { continue };
        let (a, b) = (points[last], points[last + 1]);
        let (mut low, mut high) = (0.0, 1.0);
        while (high - low) * a.distance(b) > 1e-9 {
            let middle = (low + high) / 2.0;
            if a.lerp(b, middle).distance(from) < cut { low = middle } else { high = middle }
        }
        points[last] = a.lerp(b, high);
        points.drain(..last);
    }
    (!points.is_empty()).then_some(points)
}

/// The line with points at most 1 mm apart, so that the middle is found along all of it.
fn divided(points: &[Point]) -> Vec<Point> {
    let mut all = vec![points[0]];
    for w in points.windows(2) {
        let n = w[0].distance(w[1]).ceil().clamp(1.0, 1e4) as usize;
        all.extend((1..=n).map(|k| w[0].lerp(w[1], k as f64 / n as f64)));
    }
    all.dedup();
    all
}

/// The line without its redundant points (Douglas and Peucker 1973).
fn simplified(points: Vec<Point>) -> Vec<Point> {
    let last = points.len() - 1;
    let mut keep = vec![false; points.len()];
    (keep[0], keep[last]) = (true, true);
    let mut open = vec![(0, last)];
    while let Some((from, to)) = open.pop() {
        let chord = Segment::new(points[from], points[to]);
        let off = (from + 1..to).map(|i| (chord.distance_to_point(points[i]), i));
        if let Some((_, i)) =
            off.filter(|o| o.0 > STRAIGHT).max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))
        {
            keep[i] = true;
            open.extend([(from, i), (i, to)]);
        }
    }
    points.into_iter().zip(keep).filter_map(|(p, keep)| keep.then_some(p)).collect()
}
