//! Curves as segments in mm, with a proven bound on the chord error.
//!
//! Vertices lie on the curve. Cubic and quadratic Béziers are cut into equal parameter steps by Wang's
//! formula (G. Wang, J. Zhejiang University 1984; in Goldman, *Pyramid Algorithms*, 2003, section
//! 5.6.3): n = sqrt(d (d - 1) max |second differences| / (8 error)). Elliptical arcs are kept as ellipses under
//! the affine map and cut by the error of linear interpolation, |f''| h^2 / 8, where |f''| is at
//! most the greater semi-axis.

use super::affine::Affine;
use crate::geometry::{Point, Vector, point};
use std::f64::consts::{PI, TAU};

/// Greatest number of steps in one curve; the error bound holds for curves up to 5 km.
const MOST_STEPS: f64 = 20_000.0;

/// Least number of steps in a full circle: a peg hole stays round however small it is.
const LEAST_ROUND: f64 = 16.0;

/// A drawn line: one subpath.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Subpath {
    pub(super) points: Vec<Point>,
    /// Closed by the drawing (`Z`, circle, polygon ...); the first point is not repeated.
    pub(super) closed: bool,
}

/// Takes drawing commands in user units and keeps segments in mm.
#[derive(Debug)]
pub(super) struct Pen {
    map: Affine,
    error: f64,
    at: Point,
    start: Point,
    open: Subpath,
    done: Vec<Subpath>,
}

impl Pen {
    pub(super) fn new(map: Affine, chord_error: f64) -> Self {
        let zero = point(0.0, 0.0);
        Pen {
            map,
            error: chord_error,
            at: zero,
            start: zero,
            open: Subpath::default(),
            done: vec![],
        }
    }

    /// Where the pen is, user units.
    pub(super) fn at(&self) -> Point {
        self.at
    }

    /// The contours drawn.
    pub(super) fn finish(mut self) -> Vec<Subpath> {
        self.lift();
        self.done
    }

    fn lift(&mut self) {
        let contour = std::mem::take(&mut self.open);
        if contour.points.len() > 1 {
            self.done.push(contour);
        }
    }

    pub(super) fn move_to(&mut self, p: Point) {
        self.lift();
        (self.at, self.start) = (p, p);
        self.open.points.push(self.map.apply(p));
    }

    /// Starts a subpath where `Z` ended the last one, if the pen has none.
    fn touch_down(&mut self) {
        if self.open.points.is_empty() {
            self.move_to(self.at);
        }
    }

    pub(super) fn line_to(&mut self, p: Point) {
        self.touch_down();
        self.open.points.push(self.map.apply(p));
        self.at = p;
    }

    pub(super) fn close(&mut self) {
        self.open.closed = true;
        self.lift();
        self.at = self.start;
    }

    pub(super) fn cubic_to(&mut self, c1: Point, c2: Point, p: Point) {
        self.touch_down();
        let [a, b, c, d] = [self.at, c1, c2, p].map(|q| self.map.apply(q));
        let bend = (a - b * 2.0 + c).norm().max((b - c * 2.0 + d).norm());
        let n = steps((0.75 * bend / self.error).sqrt());
        for i in 1..n {
            let (t, s) = (i as f64 / n as f64, 1.0 - i as f64 / n as f64);
            let q =
                a * (s * s * s) + b * (3.0 * s * s * t) + c * (3.0 * s * t * t) + d * (t * t * t);
            self.open.points.push(q);
        }
        self.open.points.push(d);
        self.at = p;
    }

    pub(super) fn quadratic_to(&mut self, c: Point, p: Point) {
        self.touch_down();
        let [a, b, d] = [self.at, c, p].map(|q| self.map.apply(q));
        let n = steps((0.25 * (a - b * 2.0 + d).norm() / self.error).sqrt());
        for i in 1..n {
            let (t, s) = (i as f64 / n as f64, 1.0 - i as f64 / n as f64);
            self.open.points.push(a * (s * s) + b * (2.0 * s * t) + d * (t * t));
        }
        self.open.points.push(d);
        self.at = p;
    }

    /// SVG's elliptical arc (SVG 2, appendix B.2: out-of-range radii and the centre).
    pub(super) fn arc_to(
        &mut self,
        radii: Point,
        turn_deg: f64,
        large: bool,
        sweep: bool,
        p: Point,
    ) {
        self.touch_down();
        let from = self.at;
        let (mut rx, mut ry) = (radii.x.abs(), radii.y.abs());
        let turn = turn_deg.to_radians();
        let half = ((from - p) / 2.0).turned(-turn);
        if rx == 0.0 || ry == 0.0 || from == p {
            return self.line_to(p);
        }
        // B.2.5: radii too small for the chord are scaled up.
        let lambda = (half.x / rx).powi(2) + (half.y / ry).powi(2);
        if lambda > 1.0 {
            (rx, ry) = (rx * lambda.sqrt(), ry * lambda.sqrt());
        }
        let (x, y) = (half.x / rx, half.y / ry);
        let len2 = x * x + y * y;
        let root = ((1.0 - len2) / len2).max(0.0).sqrt() * if large == sweep { -1.0 } else { 1.0 };
        let centre_unit = point(root * y, -root * x);
        let centre = point(centre_unit.x * rx, centre_unit.y * ry).turned(turn) + (from + p) / 2.0;
        let start = (y - centre_unit.y).atan2(x - centre_unit.x);
        let end = (-y - centre_unit.y).atan2(-x - centre_unit.x);
        let mut angle = (end - start).rem_euclid(TAU);
        if !sweep {
            angle -= TAU;
        }
        let (u, v) = (point(rx, 0.0).turned(turn), point(0.0, ry).turned(turn));
        self.sweep_ellipse(centre, u, v, start, angle);
        self.open.points.push(self.map.apply(p));
        self.at = p;
    }

    /// A whole ellipse as a closed contour, starting on its +x axis.
    pub(super) fn ellipse(&mut self, centre: Point, rx: f64, ry: f64) {
        self.move_to(centre + point(rx, 0.0));
        self.sweep_ellipse(centre, point(rx, 0.0), point(0.0, ry), 0.0, TAU);
        self.close();
    }

    /// The points strictly between the ends of an elliptical arc `centre + u cos + v sin`.
    fn sweep_ellipse(&mut self, centre: Point, u: Point, v: Point, start: f64, angle: f64) {
        let (c, u, v) =
            (self.map.apply(centre), self.map.apply_vector(u), self.map.apply_vector(v));
        let step = (8.0 * self.error / greater_axis(u, v)).sqrt().min(TAU / LEAST_ROUND);
        let mut n = steps(angle.abs() / step);
        // Quarters of a full turn, so that its extent is exact.
        if (angle.abs() - TAU).abs() < 1e-9 {
            n = n.next_multiple_of(4);
        }
        for i in 1..n {
            let (s, k) = (start + angle * i as f64 / n as f64).sin_cos();
            self.open.points.push(c + u * k + v * s);
        }
    }
}

/// The greater semi-axis of the ellipse `u cos + v sin`: the greater singular value of `[u v]`.
fn greater_axis(u: Point, v: Point) -> f64 {
    let (p, q) = ((u.dot(u) + v.dot(v)) / 2.0, (u.dot(u) - v.dot(v)) / 2.0);
    (p + (q * q + u.dot(v).powi(2)).sqrt()).sqrt()
}

fn steps(n: f64) -> usize {
    // NaN (an overflowed coordinate) counts as one step; the point itself is refused later.
    n.ceil().clamp(1.0, MOST_STEPS) as usize
}

/// A rectangle with rounded corners (SVG 2, section 10.2).
pub(super) fn rounded_rectangle(pen: &mut Pen, at: Point, size: Point, radii: Point) {
    let (x, y, w, h) = (at.x, at.y, size.x, size.y);
    let (rx, ry) = (radii.x.min(w / 2.0), radii.y.min(h / 2.0));
    if rx <= 0.0 || ry <= 0.0 {
        pen.move_to(at);
        for p in [point(x + w, y), point(x + w, y + h), point(x, y + h)] {
            pen.line_to(p);
        }
        return pen.close();
    }
    let quarter = |pen: &mut Pen, centre: Point, start: f64| {
        let from = centre + point(rx * start.cos(), ry * start.sin());
        pen.line_to(from);
        pen.sweep_ellipse(centre, point(rx, 0.0), point(0.0, ry), start, PI / 2.0);
        let end = start + PI / 2.0;
        pen.line_to(centre + point(rx * end.cos(), ry * end.sin()));
    };
    pen.move_to(point(x + rx, y));
    quarter(pen, point(x + w - rx, y + ry), -PI / 2.0);
    quarter(pen, point(x + w - rx, y + h - ry), 0.0);
    quarter(pen, point(x + rx, y + h - ry), PI / 2.0);
    quarter(pen, point(x + rx, y + ry), PI);
    pen.close();
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pen() -> Pen {
        Pen::new(Affine::IDENTITY, 0.01)
    }

    #[test]
    fn chords_stay_within_the_error_of_circle_and_ellipse() {
        // Area of a polygon inscribed in an ellipse: n/2 a b sin(2 pi / n).
        for (rx, ry) in [(0.1, 0.1), (3.0, 3.0), (250.0, 250.0), (40.0, 5.0)] {
            let mut p = pen();
            p.ellipse(point(7.0, -3.0), rx, ry);
            let ring = &p.finish()[0].points;
            let n = ring.len();
            for i in 0..n {
                let m = (ring[i] + ring[(i + 1) % n]) / 2.0 - point(7.0, -3.0);
                // Nearest true point is no farther than along the ray through the middle.
                let k = 1.0 / ((m.x / rx).powi(2) + (m.y / ry).powi(2)).sqrt();
                assert!((k - 1.0) * m.norm() <= 0.0101, "{rx} {ry}: {}", (k - 1.0) * m.norm());
            }
        }
    }

    #[test]
    fn chords_of_a_cubic_stay_within_the_error() {
        // Against 4,000 points of the curve by de Casteljau's construction.
        let c = [point(0.0, 0.0), point(60.0, 90.0), point(-40.0, 80.0), point(30.0, -10.0)];
        let mut p = pen();
        p.move_to(c[0]);
        p.cubic_to(c[1], c[2], c[3]);
        let line = p.finish().remove(0).points;
        for i in 0..=4000 {
            let t = f64::from(i) / 4000.0;
            let l = |a: Point, b: Point| a.lerp(b, t);
            let (ab, bc, cd) = (l(c[0], c[1]), l(c[1], c[2]), l(c[2], c[3]));
            let q = l(l(ab, bc), l(bc, cd));
            let d = line
                .windows(2)
                .map(|w| crate::geometry::Segment::new(w[0], w[1]).distance_to_point(q))
                .fold(f64::INFINITY, f64::min);
            assert!(d <= 0.01, "{t}: {d}");
        }
    }

    /// SVG 2, section 9.3.8: a quarter of a circle of radius 150 about (300, 200), by `large` and `sweep`.
    #[test]
    fn arcs_follow_the_flags() {
        let mut p = pen();
        p.move_to(point(150.0, 200.0));
        p.arc_to(point(150.0, 150.0), 0.0, true, false, point(300.0, 50.0));
        let points = p.finish().remove(0).points;
        assert!(points.iter().all(|q| (q.distance(point(300.0, 200.0)) - 150.0).abs() < 1e-9));
        let lowest = points.iter().map(|q| q.y).fold(0.0, f64::max);
        assert!((lowest - 350.0).abs() < 0.02, "the large arc runs below: {lowest}");
    }
}
