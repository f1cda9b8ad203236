//! A ring by arc length: where the bit is, and where a tab may sit.

use super::{Point, Ring, Segment, Vector, point};

/// A ring measured along its length. Material lies on the `perp` side of its direction of travel.
#[derive(Debug, Clone)]
pub struct Contour {
    points: Vec<Point>,
    /// Arc length at each point, mm, and the whole length last.
    at: Vec<f64>,
}

impl Contour {
    /// The ring's contour; `None` where it has no length or a point is not finite. Coincident points are dropped.
    pub fn new(ring: &Ring) -> Option<Contour> {
        let mut points: Vec<Point> = Vec::with_capacity(ring.0.len());
        for &p in &ring.0 {
            if !p.finite() {
                return None;
            }
            if points.last().is_none_or(|q| q.distance(p) > 1e-9) {
                points.push(p);
            }
        }
        while points.len() > 1 && points[0].distance(points[points.len() - 1]) <= 1e-9 {
            points.pop();
        }
        if points.len() < 3 {
            return None;
        }
        let mut at = vec![0.0];
        for i in 0..points.len() {
            at.push(at[i] + points[i].distance(points[(i + 1) % points.len()]));
        }
        Some(Contour { points, at })
    }

    /// Length round the ring, mm.
    pub fn length(&self) -> f64 {
        self.at[self.points.len()]
    }

    /// The corners.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// Arc length at corner `i`, mm; the whole length at the corner after the last.
    pub fn corner(&self, i: usize) -> f64 {
        self.at[i.min(self.points.len())]
    }

    fn segment(&self, s: f64) -> (usize, f64) {
        let s = self.wrapped(s);
        let i = self.at.partition_point(|&a| a <= s).clamp(1, self.points.len()) - 1;
        (i, s - self.at[i])
    }

    /// The point at arc length `s` (any number; it wraps).
    pub fn point(&self, s: f64) -> Point {
        let (i, rest) = self.segment(s);
        let (a, b) = (self.points[i], self.points[(i + 1) % self.points.len()]);
        a + (b - a) * (rest / (self.at[i + 1] - self.at[i]))
    }

    /// Unit normal away from the material, of the chord from `s - half` to `s + half`.
    pub fn out(&self, s: f64, half: f64) -> Point {
        let half = half.min(self.length() / 8.0).max(1e-6);
        let chord = self.point(s + half) - self.point(s - half);
        chord.unit().map_or(point(0.0, -1.0), |d| -d.perp())
    }

    /// How far the contour can be followed both ways from `s` before its directions differ by more than
    /// `turn` radians, mm.
    pub fn run(&self, s: f64, turn: f64, limit: f64) -> f64 {
        let n = self.points.len();
        let dir = |i: usize| self.points[(i + 1) % n] - self.points[i % n];
        let angle = |a: Point, b: Point| a.cross(b).atan2(a.dot(b));
        let (i, rest) = self.segment(s);
        let (mut ahead, mut behind) = (i, i);
        let (mut to_next, mut to_last) = (self.at[i + 1] - self.at[i] - rest, rest);
        let (mut turn_ahead, mut turn_behind) = (0.0f64, 0.0f64);
        let (mut least, mut most) = (0.0f64, 0.0f64);
        // Each corner belongs to the way by which it is met first.
        loop {
            let reach = to_next.min(to_last);
            if reach >= limit {
                return limit;
            }
            if to_next <= to_last {
                turn_ahead += angle(dir(ahead), dir(ahead + 1));
                ahead = (ahead + 1) % n;
                to_next += self.at[ahead + 1] - self.at[ahead];
                (least, most) = (least.min(turn_ahead), most.max(turn_ahead));
            } else {
                let before = (behind + n - 1) % n;
                turn_behind -= angle(dir(before), dir(behind));
                behind = before;
                to_last += self.at[behind + 1] - self.at[behind];
                (least, most) = (least.min(turn_behind), most.max(turn_behind));
            }
            if most - least > turn {
                return reach;
            }
        }
    }

    /// Arc length of the place nearest to `p`, mm.
    pub fn nearest(&self, p: Point) -> f64 {
        let n = self.points.len();
        let mut best = (f64::INFINITY, 0.0);
        for i in 0..n {
            let segment = Segment::new(self.points[i], self.points[(i + 1) % n]);
            let d = segment.distance_to_point(p);
            if d < best.0 {
                best = (d, self.at[i] + segment.project(p) * segment.length());
            }
        }
        best.1
    }

    /// Positions spaced evenly, no farther apart than `step`, at least `least` and at most `most` of them.
    pub fn spaced(&self, step: f64, least: usize, most: usize) -> Vec<f64> {
        let n = (self.length() / step).ceil().clamp(least as f64, most as f64) as usize;
        (0..n).map(|i| (i as f64 + 0.5) * self.length() / n as f64).collect()
    }

    /// Distance along the ring from `a` forward to `b`, mm, in `0..length`.
    pub fn ahead(&self, a: f64, b: f64) -> f64 {
        self.wrapped(b - a)
    }

    /// `s` wrapped into `0..length`, without a division where one length more or less suffices.
    fn wrapped(&self, s: f64) -> f64 {
        let length = self.length();
        match s {
            s if (0.0..length).contains(&s) => s,
            s if (-length..0.0).contains(&s) => s + length,
            s => s.rem_euclid(length),
        }
    }

    /// Distance along the ring between two positions the shorter way, mm.
    pub fn apart(&self, a: f64, b: f64) -> f64 {
        let d = self.ahead(a, b);
        d.min(self.length() - d)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rectangle_by_arc_length() {
        let c = Contour::new(&Ring::rectangle(30.0, 10.0)).unwrap();
        assert_eq!(c.length(), 80.0);
        assert_eq!(c.point(35.0), point(30.0, 5.0));
        assert_eq!(c.point(-5.0), point(0.0, 5.0));
        assert_eq!(c.out(15.0, 1.0), point(0.0, -1.0), "top edge, y down: away is up");
        assert_eq!(c.out(35.0, 1.0), point(1.0, 0.0));
        assert_eq!(c.run(10.0, 0.4, 50.0), 10.0, "to the nearer corner");
        assert_eq!(c.apart(79.0, 2.0), 3.0);
    }

    #[test]
    fn run_on_a_circle_is_half_the_turn_times_radius() {
        let c = Contour::new(&Ring::circle_around(point(0.0, 0.0), 20.0, 0.001)).unwrap();
        let run = c.run(3.0, 0.4363, 100.0);
        assert!((run - 20.0 * 0.4363 / 2.0).abs() < 0.6, "{run}");
    }
}
