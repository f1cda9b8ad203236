//! Closed outlines of lines, arcs and curves, and the few ways of making them that the clock needs.

use std::f64::consts::{PI, TAU};

/// A point in mm, y down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct P(pub f64, pub f64);

impl P {
    /// The point `radius` from here at `angle` radians, from +x towards +y.
    pub fn polar(self, radius: f64, angle: f64) -> P {
        P(self.0 + radius * angle.cos(), self.1 + radius * angle.sin())
    }

    /// The sum of two vectors.
    pub fn plus(self, o: P) -> P {
        P(self.0 + o.0, self.1 + o.1)
    }

    /// From `o` to here.
    pub fn minus(self, o: P) -> P {
        P(self.0 - o.0, self.1 - o.1)
    }

    /// This vector times `k`.
    pub fn times(self, k: f64) -> P {
        P(self.0 * k, self.1 * k)
    }

    /// Length.
    pub fn norm(self) -> f64 {
        (self.0 * self.0 + self.1 * self.1).sqrt()
    }

    /// Turned by `a` radians about the origin.
    pub fn turned(self, a: f64) -> P {
        let (s, c) = a.sin_cos();
        P(c * self.0 - s * self.1, s * self.0 + c * self.1)
    }
}

/// One step along an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Straight to a point.
    Line(P),
    /// A circular arc of less than a turn.
    Arc { radius: f64, large: bool, sweep: bool, to: P },
    /// A cubic curve.
    Curve(P, P, P),
}

impl Step {
    /// Where the step ends.
    pub fn end(self) -> P {
        match self {
            Step::Line(to) | Step::Arc { to, .. } | Step::Curve(_, _, to) => to,
        }
    }

    /// The step moved by `d`.
    fn moved(self, d: P) -> Step {
        match self {
            Step::Line(to) => Step::Line(to.plus(d)),
            Step::Arc { radius, large, sweep, to } => {
                Step::Arc { radius, large, sweep, to: to.plus(d) }
            }
            Step::Curve(a, b, to) => Step::Curve(a.plus(d), b.plus(d), to.plus(d)),
        }
    }
}

/// A closed outline, or an open line when `closed` is false.
#[derive(Debug, Clone, PartialEq)]
pub struct Loop {
    pub start: P,
    pub steps: Vec<Step>,
    pub closed: bool,
}

impl Loop {
    /// A polygon.
    pub fn polygon(points: &[P]) -> Loop {
        Loop {
            start: points[0],
            steps: points[1..].iter().map(|&p| Step::Line(p)).collect(),
            closed: true,
        }
    }

    /// An open line.
    pub fn line(points: &[P]) -> Loop {
        Loop { closed: false, ..Loop::polygon(points) }
    }

    /// A circle of two half turns.
    pub fn circle(centre: P, radius: f64) -> Loop {
        let half = |to| Step::Arc { radius, large: false, sweep: true, to };
        let left = centre.plus(P(-radius, 0.0));
        let right = centre.plus(P(radius, 0.0));
        Loop { start: left, steps: vec![half(right), half(left)], closed: true }
    }

    /// An upright rectangle with rounded corners.
    pub fn rect(x: f64, y: f64, w: f64, h: f64, r: f64) -> Loop {
        let corners = [P(x, y), P(x + w, y), P(x + w, y + h), P(x, y + h)];
        Loop::rounded(&corners.map(|p| (p, r)))
    }

    /// A polygon whose corners are rounded by arcs, one radius a corner (0 leaves it sharp).
    pub fn rounded(corners: &[(P, f64)]) -> Loop {
        let n = corners.len();
        let tangents: Vec<f64> = (0..n).map(|i| tangent(corners, i)).collect();
        let mut steps = vec![];
        for i in 0..n {
            let (p, radius) = corners[i];
            let next = corners[(i + 1) % n].0;
            let room = next.minus(p).norm();
            assert!(
                tangents[i] + tangents[(i + 1) % n] <= room + 1e-6,
                "no room to round {p:?} to {next:?}"
            );
            if tangents[i] < 1e-9 {
                steps.push(Step::Line(p));
                continue;
            }
            let to_last = unit(corners[(i + n - 1) % n].0.minus(p));
            let to_next = unit(next.minus(p));
            // Right turn in y-down coordinates: +x towards +y is a positive sweep.
            let sweep = to_last.0 * to_next.1 - to_last.1 * to_next.0 < 0.0;
            steps.push(Step::Line(p.plus(to_last.times(tangents[i]))));
            let to = p.plus(to_next.times(tangents[i]));
            steps.push(Step::Arc { radius, large: false, sweep, to });
        }
        Loop::from_steps(steps)
    }

    /// A polygon with one radius for its outer corners and one for its inner corners.
    pub fn eased(points: &[P], outer: f64, inner: f64) -> Loop {
        let n = points.len();
        let twice_area: f64 = (0..n).map(|i| cross(points[i], points[(i + 1) % n])).sum();
        let corner = |i: usize| {
            let (a, b, c) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
            let bend = cross(b.minus(a), c.minus(b)) * twice_area.signum();
            (b, if bend > 0.0 { outer } else { inner })
        };
        Loop::rounded(&(0..n).map(corner).collect::<Vec<_>>())
    }

    /// A smooth closed curve through the points (a cardinal spline with tension 0, written as cubics).
    pub fn smooth(points: &[P]) -> Loop {
        let n = points.len();
        let at = |i: usize| points[i % n];
        let steps = (0..n)
            .map(|i| {
                let (before, a, b, after) = (at(i + n - 1), at(i), at(i + 1), at(i + 2));
                let first = a.plus(b.minus(before).times(1.0 / 6.0));
                let second = b.minus(after.minus(a).times(1.0 / 6.0));
                Step::Curve(first, second, b)
            })
            .collect();
        Loop { start: points[0], steps, closed: true }
    }

    /// A closed outline that starts where its last step ends.
    pub fn from_steps(steps: Vec<Step>) -> Loop {
        let start = steps.last().map_or(P(0.0, 0.0), |s| s.end());
        Loop { start, steps, closed: true }
    }

    /// An outline from its right half, top to bottom: the left half is its mirror image in x = 0.
    pub fn mirrored(right: &[Step]) -> Loop {
        let flip = |p: P| P(-p.0, p.1);
        let mut steps = right.to_vec();
        let ends: Vec<P> = right.iter().map(|s| s.end()).collect();
        steps.push(Step::Line(flip(ends[ends.len() - 1])));
        for i in (1..right.len()).rev() {
            let to = flip(ends[i - 1]);
            steps.push(match right[i] {
                Step::Line(_) => Step::Line(to),
                // Mirrored and run backwards, an arc keeps its sweep.
                Step::Arc { radius, large, sweep, .. } => Step::Arc { radius, large, sweep, to },
                Step::Curve(a, b, _) => Step::Curve(flip(b), flip(a), to),
            });
        }
        Loop::from_steps(steps)
    }

    /// The outline moved.
    pub fn moved(&self, dx: f64, dy: f64) -> Loop {
        let d = P(dx, dy);
        let steps = self.steps.iter().map(|s| s.moved(d)).collect();
        Loop { start: self.start.plus(d), steps, closed: self.closed }
    }
}

/// An arc band window: between two radii and two angles, its corners rounded by `r`.
pub fn sector(inner: f64, outer: f64, from: f64, to: f64, r: f64) -> Loop {
    // Corner circles touch both an arc and a side: their centres lie r inside each.
    let o = P(0.0, 0.0);
    let lean = |radius: f64| (r / radius).asin();
    let (a_in, a_out) = (lean(inner + r), lean(outer - r));
    let side = |radius: f64| (radius * radius - r * r).sqrt();
    let (s_in, s_out) = (side(inner + r), side(outer - r));
    let corner = |to| Step::Arc { radius: r, large: false, sweep: true, to };
    Loop::from_steps(vec![
        Step::Line(o.polar(s_out, from)),
        corner(o.polar(outer, from + a_out)),
        Step::Arc {
            radius: outer,
            large: to - from > PI,
            sweep: true,
            to: o.polar(outer, to - a_out),
        },
        corner(o.polar(s_out, to)),
        Step::Line(o.polar(s_in, to)),
        corner(o.polar(inner, to - a_in)),
        Step::Arc {
            radius: inner,
            large: to - from > PI,
            sweep: false,
            to: o.polar(inner, from + a_in),
        },
        corner(o.polar(s_in, from)),
    ])
}

/// A closed wavy rim: `lobes` waves of `depth` mm about `radius`.
pub fn scalloped(radius: f64, depth: f64, lobes: usize) -> Loop {
    let n = lobes * 12;
    let points: Vec<P> = (0..n)
        .map(|i| {
            let a = TAU * i as f64 / n as f64;
            P(0.0, 0.0).polar(radius + depth * (lobes as f64 * a).cos(), a)
        })
        .collect();
    Loop::smooth(&points)
}

/// How far from corner `i` its arc begins.
fn tangent(corners: &[(P, f64)], i: usize) -> f64 {
    let n = corners.len();
    let (p, radius) = corners[i];
    let (a, b) = (unit(corners[(i + n - 1) % n].0.minus(p)), unit(corners[(i + 1) % n].0.minus(p)));
    radius / ((a.0 * b.0 + a.1 * b.1).clamp(-1.0, 1.0).acos() / 2.0).tan()
}

fn unit(v: P) -> P {
    v.times(1.0 / v.norm())
}

fn cross(a: P, b: P) -> f64 {
    a.0 * b.1 - a.1 * b.0
}
