//! Closed curves as a drawing program draws them: lines, arcs of circles and cubics.
//!
//! A curve can be written as SVG path data and sampled by formulas of its own, so that what a job means is known
//! without the program's reading.

use std::f64::consts::PI;
use std::fmt::Write;

pub type P = [f64; 2];

/// How far samples may leave the true curve, mm: a twentieth of the program's chord error.
const SAMPLED: f64 = 0.0005;

/// From the point before to `to`.
#[derive(Debug, Clone, Copy)]
pub enum Edge {
    Line(P),
    /// An arc of radius `r` of less than half a turn; `right`: turns from +x towards +y (SVG's sweep flag).
    Arc {
        r: f64,
        right: bool,
        to: P,
    },
    Cubic(P, P, P),
}

/// A closed curve; the last edge ends at `start`.
#[derive(Debug, Clone)]
pub struct Loop {
    pub start: P,
    pub edges: Vec<Edge>,
}

/// Scale, then flip x, then turn from +x towards +y, then move.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    pub scale: f64,
    pub flip: bool,
    pub turn: f64,
    pub at: P,
}

impl Place {
    pub const HERE: Place = Place { scale: 1.0, flip: false, turn: 0.0, at: [0.0, 0.0] };

    pub fn moved(x: f64, y: f64) -> Self {
        Place { at: [x, y], ..Self::HERE }
    }

    pub fn turned(turn: f64) -> Self {
        Place { turn, ..Self::HERE }
    }

    pub fn scaled(scale: f64) -> Self {
        Place { scale, ..Self::HERE }
    }

    pub fn apply(&self, p: P) -> P {
        let (x, y) = (p[0] * self.scale * if self.flip { -1.0 } else { 1.0 }, p[1] * self.scale);
        let (s, c) = self.turn.sin_cos();
        [c * x - s * y + self.at[0], s * x + c * y + self.at[1]]
    }
}

impl Loop {
    pub fn polygon(points: &[P]) -> Self {
        let edges = points[1..].iter().chain(&points[..1]).map(|&p| Edge::Line(p)).collect();
        Loop { start: points[0], edges }
    }

    /// A circle as two half turns, each written as two quarters.
    pub fn circle(c: P, r: f64) -> Self {
        let at = |x: f64, y: f64| [c[0] + x * r, c[1] + y * r];
        let arc = |to| Edge::Arc { r, right: true, to };
        let stops = [at(0.0, 1.0), at(-1.0, 0.0), at(0.0, -1.0), at(1.0, 0.0)];
        Loop { start: at(1.0, 0.0), edges: stops.map(arc).to_vec() }
    }

    /// A rectangle with corners of radius `r`; 0 for sharp ones.
    pub fn rectangle(x: f64, y: f64, w: f64, h: f64, r: f64) -> Self {
        let r = r.min(w / 2.0).min(h / 2.0);
        if r <= 0.0 {
            return Loop::polygon(&[[x, y], [x + w, y], [x + w, y + h], [x, y + h]]);
        }
        let (l, t, e, b) = (x, y, x + w, y + h);
        let corners = [
            ([e - r, t], [e, t + r]),
            ([e, b - r], [e - r, b]),
            ([l + r, b], [l, b - r]),
            ([l, t + r], [l + r, t]),
        ];
        let both = |(line, to)| [Edge::Line(line), Edge::Arc { r, right: true, to }];
        Loop { start: [l + r, t], edges: corners.into_iter().flat_map(both).collect() }
    }

    pub fn placed(&self, place: &Place) -> Self {
        let at = |p| place.apply(p);
        let edges = self.edges.iter().map(|e| match *e {
            Edge::Line(to) => Edge::Line(at(to)),
            Edge::Arc { r, right, to } => {
                Edge::Arc { r: r * place.scale, right: right != place.flip, to: at(to) }
            }
            Edge::Cubic(a, b, to) => Edge::Cubic(at(a), at(b), at(to)),
        });
        Loop { start: at(self.start), edges: edges.collect() }
    }

    /// Points on the curve, never farther from it than [`SAMPLED`] between two of them; the first is not repeated.
    pub fn samples(&self) -> Vec<P> {
        let mut points = vec![self.start];
        for edge in &self.edges {
            let from = points[points.len() - 1];
            match *edge {
                Edge::Line(to) => points.push(to),
                Edge::Arc { r, right, to } => arc(from, r, right, to, &mut points),
                Edge::Cubic(a, b, to) => cubic([from, a, b, to], &mut points),
            }
        }
        let last = points[points.len() - 1];
        if (last[0] - self.start[0]).hypot(last[1] - self.start[1]) < 1e-9 {
            points.pop();
        }
        points
    }

    /// The least radius of the samples' hollow bends, mm: of the circle through three neighbours.
    pub fn tightest_hollow(&self) -> f64 {
        let p = self.samples();
        let n = p.len();
        let cross =
            |a: P, b: P, c: P| (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        let area: f64 = (0..n).map(|i| cross([0.0, 0.0], p[i], p[(i + 1) % n])).sum();
        let bend = |i: usize| {
            let (a, b, c) = (p[i], p[(i + 1) % n], p[(i + 2) % n]);
            let turn = cross(a, b, c) * area.signum();
            let d = |p: P, q: P| (p[0] - q[0]).hypot(p[1] - q[1]);
            if turn < 0.0 { d(a, b) * d(b, c) * d(c, a) / (-2.0 * turn) } else { f64::INFINITY }
        };
        (0..n).map(bend).fold(f64::INFINITY, f64::min)
    }

    /// SVG path data with `decimals` after the point.
    pub fn data(&self, decimals: usize) -> String {
        let n = |p: P| format!("{:.*} {:.*}", decimals, p[0], decimals, p[1]);
        let mut d = format!("M{}", n(self.start));
        for edge in &self.edges {
            let _ = match *edge {
                Edge::Line(to) => write!(d, " L{}", n(to)),
                Edge::Arc { r, right, to } => {
                    write!(d, " A{0:.1$} {0:.1$} 0 0 {2} {3}", r, decimals, u8::from(right), n(to))
                }
                Edge::Cubic(a, b, to) => write!(d, " C{} {} {}", n(a), n(b), n(to)),
            };
        }
        d + " Z"
    }
}

/// Appends the arc's points after `from`.
fn arc(from: P, r: f64, right: bool, to: P, points: &mut Vec<P>) {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let half = dx.hypot(dy) / 2.0;
    // y runs down: an arc that turns right (clockwise as seen) has its centre on the right of the way.
    let side = if right { 1.0 } else { -1.0 } * (r * r - half * half).max(0.0).sqrt();
    let centre = [
        from[0] + dx / 2.0 - side * dy / (2.0 * half),
        from[1] + dy / 2.0 + side * dx / (2.0 * half),
    ];
    let angle = |p: P| (p[1] - centre[1]).atan2(p[0] - centre[0]);
    let mut turn = angle(to) - angle(from);
    while right && turn < 0.0 {
        turn += 2.0 * PI;
    }
    while !right && turn > 0.0 {
        turn -= 2.0 * PI;
    }
    // A chord that turns by a leaves its arc by r (1 - cos(a / 2)), about r a^2 / 8.
    let steps = (turn.abs() / (8.0 * SAMPLED / r).sqrt()).ceil().max(2.0);
    for i in 1..steps as usize {
        let a = angle(from) + turn * i as f64 / steps;
        points.push([centre[0] + r * a.cos(), centre[1] + r * a.sin()]);
    }
    points.push(to);
}

/// Appends the cubic's points after its first.
fn cubic(p: [P; 4], points: &mut Vec<P>) {
    // Chords of n equal steps leave the curve by at most max|B''| / (8 n^2); B'' is 6 times a second difference.
    let bend = |i: usize, k: usize| p[i][k] - 2.0 * p[i + 1][k] + p[i + 2][k];
    let most = (0..2).map(|i| 6.0 * bend(i, 0).hypot(bend(i, 1))).fold(0.0, f64::max);
    let steps = (most / (8.0 * SAMPLED)).sqrt().ceil().max(2.0);
    for i in 1..steps as usize {
        let t = i as f64 / steps;
        let s = 1.0 - t;
        let b = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
        let sum = |k: usize| (0..4).map(|j| b[j] * p[j][k]).sum();
        points.push([sum(0), sum(1)]);
    }
    points.push(p[3]);
}
