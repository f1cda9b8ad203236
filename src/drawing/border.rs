//! A region's border as seen by a disc that rolls inside it: corners, curves and the runs between them.
//!
//! The region is either the stock around a part (where the bit goes) or the part's material (where it can
//! be weak). Seen from inside it, a vertex is *hollow* when the region's angle there is under 180
//! degrees (a disc cannot reach into it) and *proud* when it is over (a disc can roll round it).

use super::grid::SegmentGrid;
use crate::geometry::{Bounds, Point, Segment, Shape, Vector};
use std::f64::consts::PI;

/// Turns up to this belong to a coarse curve, radians: 30 chords a circle (12 degrees).
const SMOOTH_TURN: f64 = PI / 15.0;

/// Turns up to this can belong to a curve of small radius, radians (60 degrees).
const SMALL_CURVE_TURN: f64 = PI / 3.0;

/// Greatest height of a curve's vertex over the chord of its neighbours, mm: four sagittas of 0.015 mm.
const SMALL_CURVE_HEIGHT: f64 = 0.06;

/// Which side of the edges the region lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RegionSide {
    Stock,
    Material,
}

/// A vertex with the two edges that meet at it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Vertex {
    pub(super) at: Point,
    /// Lengths of the edge before and after, mm.
    pub(super) before: f64,
    pub(super) after: f64,
    /// Unit normals of those edges, into the region.
    pub(super) normal_before: Point,
    pub(super) normal_after: Point,
    /// Turn towards the region, radians: positive hollow, negative proud.
    pub(super) turn: f64,
    /// Part of a curve or of a straight line, not a corner.
    pub(super) smooth: bool,
}

/// All rings of a region's border; edge `i` runs from vertex `i` to the next vertex of its ring.
pub(super) struct Border {
    pub(super) side: RegionSide,
    pub(super) vertices: Vec<Vertex>,
    /// Index of the next vertex in the ring.
    pub(super) next: Vec<usize>,
    pub(super) previous: Vec<usize>,
    pub(super) edges: Vec<Segment>,
    grid: SegmentGrid,
}

impl Border {
    pub(super) fn new(shape: &Shape, side: RegionSide) -> Self {
        let sign = if side == RegionSide::Stock { -1.0 } else { 1.0 };
        let (mut vertices, mut next, mut previous) = (vec![], vec![], vec![]);
        for ring in shape.rings() {
            // Repeated points have no direction; the rest is as drawn.
            let mut points = ring.0.clone();
            points.dedup();
            while points.len() > 1 && points[0] == points[points.len() - 1] {
                points.pop();
            }
            let (n, base) = (points.len(), vertices.len());
            if n < 3 {
                continue;
            }
            for i in 0..n {
                let (a, b, c) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
                vertices.push(vertex(a, b, c, sign));
                next.push(base + (i + 1) % n);
                previous.push(base + (i + n - 1) % n);
            }
        }
        let edges: Vec<Segment> = (0..vertices.len())
            .map(|i| Segment::new(vertices[i].at, vertices[next[i]].at))
            .collect();
        let grid = SegmentGrid::new(&edges);
        Border { side, vertices, next, previous, edges, grid }
    }

    /// The normal of edge `i` into the region.
    pub(super) fn normal(&self, i: usize) -> Point {
        self.vertices[i].normal_after
    }

    /// Calls `f` with the edges near `p`: all within `distance` and some beyond; an edge may come more than once.
    pub(super) fn edges_near(&self, p: Point, distance: f64, mut f: impl FnMut(usize)) {
        self.grid.near(Bounds { min: p, max: p }.grown(distance), |e| {
            f(e);
            true
        });
    }

    /// Calls `f` with the edges near the ray from `p` along the unit vector `n`: at least all within `slope` times the
    /// distance from `p`. The ray ends at the length that `f` last returned, at first `reach`.
    pub(super) fn edges_along(
        &self,
        p: Point,
        n: Point,
        slope: f64,
        mut reach: f64,
        mut f: impl FnMut(usize) -> f64,
    ) {
        let stride = 2.0 * self.grid.cell();
        let all = self.grid.bounds();
        let mut from = 0.0;
        while from < reach {
            let to = from + stride;
            let beam = Bounds::of(&[p + n * from, p + n * to]).grown(slope * to + 1e-9);
            if !beam.touches(all) {
                return;
            }
            self.grid.near(beam, |e| {
                reach = reach.min(f(e));
                true
            });
            from = to;
        }
    }

    /// Whether no edge comes nearer to `centre` than `radius` less a tolerance.
    pub(super) fn is_free(&self, centre: Point, radius: f64) -> bool {
        // Chords stand up to 0.01 mm inside the curves that they are for, on both sides of the disc.
        let reach = radius - (0.02 + 0.002 * radius);
        let mut free = true;
        if reach > 0.0 {
            self.grid.near(Bounds { min: centre, max: centre }.grown(reach), |e| {
                free = self.edges[e].distance_to_point(centre) >= reach;
                free
            });
        }
        free
    }

    /// Whether `direction` points into the region between the normals of a proud vertex's edges.
    pub(super) fn in_cone(&self, v: usize, direction: Point) -> bool {
        let vertex = &self.vertices[v];
        let (a, b) = (vertex.normal_before, vertex.normal_after);
        // Within a cone of under 180 degrees: on the inner side of both limits, to 1e-9.
        let sense = if a.cross(b) >= 0.0 { 1.0 } else { -1.0 };
        sense * a.cross(direction) >= -1e-9
            && sense * direction.cross(b) >= -1e-9
            && direction.dot(a + b) > 0.0
    }
}

fn vertex(a: Point, b: Point, c: Point, sign: f64) -> Vertex {
    let (before, after) = (a.distance(b), b.distance(c));
    let (d, e) = ((b - a) / before, (c - b) / after);
    let turn = sign * d.cross(e).atan2(d.dot(e));
    let height = before * after * turn.sin().abs() / a.distance(c).max(1e-300);
    let smooth = turn.abs() <= SMOOTH_TURN
        || (turn.abs() <= SMALL_CURVE_TURN && height <= SMALL_CURVE_HEIGHT);
    let (normal_before, normal_after) = (d.perp() * sign, e.perp() * sign);
    Vertex { at: b, before, after, normal_before, normal_after, turn, smooth }
}

/// Radius of the disc that touches the border at `b` with the normal `n` and passes through `q`; infinite
/// when `q` lies behind.
pub(super) fn disc_through(b: Point, n: Point, q: Point) -> f64 {
    let w = q - b;
    let ahead = n.dot(w);
    if ahead > 0.0 { w.dot(w) / (2.0 * ahead) } else { f64::INFINITY }
}

/// Radius of the disc that touches the border at `b` with the normal `n` and touches the edge `s` whose
/// normal into the region is `m`; infinite when it never does.
pub(super) fn disc_touching(b: Point, n: Point, s: Segment, m: Point) -> f64 {
    let (gain, height) = (1.0 - m.dot(n), m.dot(b - s.a));
    if gain > 1e-12 && height > 0.0 {
        let radius = height / gain;
        let t = (b + n * radius - s.a).dot(s.b - s.a);
        if t >= 0.0 && t <= (s.b - s.a).dot(s.b - s.a) {
            return radius;
        }
    }
    disc_through(b, n, s.a).min(disc_through(b, n, s.b))
}

/// Radius of the circle through three points; `None` when they lie on a line.
pub(super) fn circumradius(a: Point, b: Point, c: Point) -> Option<f64> {
    let twice_area = (b - a).cross(c - a).abs();
    (twice_area > 1e-12).then(|| a.distance(b) * b.distance(c) * c.distance(a) / (2.0 * twice_area))
}
