//! Circles and arcs in lines of many points, so that drawings have them as circles and arcs.
//!
//! Inside, curves are chords with their ends on the curve, at most [`CHORDS`] from it by default. A run of chords whose ends lie
//! on one circle within [`POINTS`], and that stay as near to it as such chords do, is an arc: the drawing has the curve back, at
//! most [`POINTS`] off at the points that the layout has. Chords farther off (a coarser `chord-error`, a hexagon) stay
//! lines. A centre-line round an arc of a part is an arc about the same centre, a bit's radius away: it follows the curve
//! itself, and so runs up to [`BESIDE`] beside the line that was planned along chords.

use super::markup::{line_data, number};
use crate::geometry::{EdgeIndex, Point, Ring, Vector, point};
use std::f64::consts::{FRAC_PI_2, TAU};
use std::fmt::Write;
use std::ops::{Range, RangeInclusive};

/// How far the points of a run may lie from their arc, mm: 0.0001 in. Drawing programs write circles as four cubics, which
/// leave the circle by 0.00027 of its radius (Goldapp, CAGD 8, 1991); so such circles are found up to a radius of 18 mm.
const POINTS: f64 = 0.0025;
/// How far chords may leave their arc, mm: the default chord error of drawings, and rounding.
const CHORDS: f64 = 0.0105;
/// Fewest chords of an arc. A small circle has 16, so a quarter of it has four.
const LEAST: usize = 4;
/// An arc rises over its chord by this at least, mm: flatter ones are as good as straight.
const RISE: f64 = 0.02;
/// How much nearer than its radius the bit's centre may come to an edge's chords on an arc, and how much farther from them it
/// may be, mm: `verify` allows 0.0102 and 0.0105, and rounding takes some of that.
const NEARER: f64 = -0.01;
const FARTHER: f64 = 0.0102;
/// How far an arc may rise over the chords between the places where it is checked, mm.
const STEP: f64 = 0.0005;
/// Most places that are looked at on an arc.
const MOST_STEPS: f64 = 20_000.0;
/// Where planned centre-lines run beside the true one of a round edge, mm: nearer to its centre by as much as chords leave
/// the edge, and 0.0046 farther from the edge.
const BESIDE: RangeInclusive<f64> = -0.0155..=0.005;
/// An end of such a stretch this near to the true line is moved onto it, mm; what comes next begins there.
const SNAP: f64 = 0.0052;
/// Points and chords of a centre-line round a sharp corner, mm: its points have four decimals, its chords 0.002 mm of error.
const CORNER: Fit = Fit { points: 0.0005, chords: 0.0045 };
const DRAWN: Fit = Fit { points: POINTS, chords: CHORDS };
/// Longest arc of one command, rad: about a third of a turn, where rounded ends move its centre least.
const LONGEST: f64 = TAU / 3.0 + 1e-6;
/// Least radius of a centre-line's arc, mm.
const SMALLEST: f64 = 0.05;

/// How far the points and chords of a run may lie from its arc, mm.
#[derive(Clone, Copy)]
struct Fit {
    points: f64,
    chords: f64,
}

/// An arc: centre, radius, direction of its start, signed turn (positive from +x towards +y), radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    centre: Point,
    radius: f64,
    start: f64,
    turn: f64,
}

impl Bend {
    /// The arc from `a` over `m` to `b`; `None` on a straight line.
    fn through(a: Point, m: Point, b: Point) -> Option<Bend> {
        let (u, v) = (m - a, b - a);
        let twice = 2.0 * u.cross(v);
        let centre = a + point(
            (v.y * u.dot(u) - u.y * v.dot(v)) / twice,
            (u.x * v.dot(v) - v.x * u.dot(u)) / twice,
        );
        let radius = centre.distance(a);
        let angle = |p: Point| (p.y - centre.y).atan2(p.x - centre.x);
        let start = angle(a);
        let mut turn = (angle(b) - start).rem_euclid(TAU);
        if (angle(m) - start).rem_euclid(TAU) > turn {
            turn -= TAU;
        }
        radius.is_finite().then_some(Bend { centre, radius, start, turn })
    }

    /// How far it rises over its chord, mm.
    fn rise(&self) -> f64 {
        self.radius * (1.0 - (self.turn / 2.0).cos())
    }

    fn at(&self, turn: f64) -> Point {
        let (sin, cos) = (self.start + turn).sin_cos();
        self.centre + point(cos, sin) * self.radius
    }

    /// How far from the circle a point lies, mm: positive outside.
    fn off(&self, p: Point) -> f64 {
        p.distance(self.centre) - self.radius
    }

    /// The point moved onto the circle.
    fn onto(&self, p: Point) -> Point {
        (p - self.centre).unit().map_or(p, |d| self.centre + d * self.radius)
    }

    /// Whether the arc passes in the direction of a point.
    fn faces(&self, p: Point) -> bool {
        let from = (p.y - self.centre.y).atan2(p.x - self.centre.x) - self.start;
        let on = (from * self.turn.signum()).rem_euclid(TAU);
        // Half a degree for an edge whose middle is just beyond the end.
        on <= self.turn.abs() + 0.01 || on >= TAU - 0.01
    }
}

/// Centre and radius of a ring that is a circle, by the linear least squares of Kåsa (IEEE Trans. Instrum. Meas. 25, 1976);
/// the radius is midway between the nearest point and the farthest.
pub fn circle_of(ring: &Ring) -> Option<(Point, f64)> {
    let p = ring.points();
    if p.len() < 3 * LEAST {
        return None;
    }
    let n = p.len() as f64;
    let mean = p.iter().fold(point(0.0, 0.0), |m, q| m + *q) / n;
    let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for d in p.iter().map(|q| *q - mean) {
        let z = d.dot(d);
        (xx, xy, yy) = (xx + d.x * d.x, xy + d.x * d.y, yy + d.y * d.y);
        (xz, yz) = (xz + d.x * z, yz + d.y * z);
    }
    let twice = 2.0 * (xx * yy - xy * xy);
    let centre = mean + point((xz * yy - yz * xy) / twice, (yz * xx - xz * xy) / twice);
    let (least, most) = p
        .iter()
        .map(|q| q.distance(centre))
        .fold((f64::MAX, 0.0), |(a, b), d| (f64::min(a, d), f64::max(b, d)));
    let radius = (least + most) / 2.0;
    if !(radius.is_finite() && most - least <= 2.0 * POINTS) {
        return None;
    }
    let closed: Vec<Point> = p.iter().chain(p.first()).copied().collect();
    let turn = turn_about(centre, &closed, sagitta_chord(radius, CHORDS))?;
    ((turn.abs() - TAU).abs() < 1e-6).then_some((centre, radius))
}

/// The length of a chord that leaves a circle by `sagitta`.
fn sagitta_chord(radius: f64, sagitta: f64) -> f64 {
    2.0 * (sagitta * (2.0 * radius - sagitta)).max(0.0).sqrt()
}

/// The signed turn about a centre along points that go round it one way by chords of at most `chord`.
fn turn_about(centre: Point, points: &[Point], chord: f64) -> Option<f64> {
    let mut whole = 0.0;
    for w in points.windows(2) {
        let (u, v) = (w[0] - centre, w[1] - centre);
        let turn = u.cross(v).atan2(u.dot(v));
        let sound = w[0].distance(w[1]) <= chord && turn * whole >= 0.0 && turn.abs() < FRAC_PI_2;
        if !sound {
            return None;
        }
        whole += turn;
    }
    Some(whole)
}

/// The arc that a run of points lies on.
fn arc_of(run: &[Point], fit: Fit) -> Option<Bend> {
    let (first, last) = (*run.first()?, *run.last()?);
    let bend = Bend::through(first, run[run.len() / 2], last)?;
    let turn = turn_about(bend.centre, run, sagitta_chord(bend.radius, fit.chords))?;
    let near = run.iter().all(|p| bend.off(*p).abs() <= fit.points);
    (near && (turn - bend.turn).abs() < 1e-6).then_some(bend)
}

/// The longest arc found from the first point on, and how many chords it has.
fn arc_from(points: &[Point], fit: Fit) -> Option<(usize, Bend)> {
    let arc = |chords: usize| points.get(..=chords).and_then(|run| arc_of(run, fit));
    let mut best = (LEAST, arc(LEAST)?);
    // Long runs grow by more than a chord, so that the work stays near the number of points.
    let mut more = 1;
    while more > 0 {
        match arc(best.0 + more) {
            Some(bend) => {
                best = (best.0 + more, bend);
                more = (best.0 / 8).max(1);
            }
            None => more /= 2,
        }
    }
    (best.1.rise() >= RISE).then_some(best)
}

/// A line as a drawing has it.
struct Traced {
    start: Point,
    /// The rest, arc by arc and line by line, each to its end.
    steps: Vec<(Option<Bend>, Point)>,
}

impl Traced {
    fn from(start: Point) -> Traced {
        Traced { start, steps: vec![] }
    }

    fn lines(&mut self, to: &[Point]) {
        self.steps.extend(to.iter().map(|p| (None, *p)));
    }

    /// Arcs and lines through points; the first is where the line has come to.
    fn fitted(&mut self, points: &[Point], fit: Fit) {
        let mut i = 0;
        while i + 1 < points.len() {
            match arc_from(&points[i..], fit) {
                Some((chords, bend)) => {
                    self.steps.push((Some(bend), points[i + chords]));
                    i += chords;
                }
                None => {
                    self.lines(&points[i + 1..=i + 1]);
                    i += 1;
                }
            }
        }
    }

    /// Path data; `closed` says that the last step returns to the start.
    fn data(&self, closed: bool) -> String {
        let mut d = line_data(&[self.start], false);
        let mut in_line = false;
        for (i, (bend, to)) in self.steps.iter().enumerate() {
            match bend {
                Some(bend) => arc_data(&mut d, bend, *to),
                None if closed && i + 1 == self.steps.len() => {}
                None => {
                    let command = if in_line { "" } else { "L" };
                    let _ = write!(d, " {command}{} {}", number(to.x), number(to.y));
                }
            }
            in_line = bend.is_none();
        }
        if closed {
            d.push_str(" Z");
        }
        d
    }
}

/// Arc commands to `to`, each of a third of a turn at most.
fn arc_data(d: &mut String, bend: &Bend, to: Point) {
    let n = (bend.turn.abs() / LONGEST).ceil().clamp(1.0, 3.0) as usize;
    for k in 1..=n {
        let p = if k == n { to } else { bend.at(bend.turn * k as f64 / n as f64) };
        let (r, sweep) = (number(bend.radius), u8::from(bend.turn > 0.0));
        let _ = write!(d, " A{r} {r} 0 0 {sweep} {} {}", number(p.x), number(p.y));
    }
}

/// Path data of a line through points, with its arcs as arcs; `closed` returns to the first.
pub fn drawn_data(points: &[Point], closed: bool) -> String {
    let all = if closed { from_corner(points) } else { points.to_vec() };
    let Some(&start) = all.first() else { return String::new() };
    let mut traced = Traced::from(start);
    traced.fitted(&all, DRAWN);
    match traced.steps.iter().any(|s| s.0.is_some()) {
        true => traced.data(closed),
        false => line_data(points, closed),
    }
}

/// The ring's points from the end of its longest side on, once round and back there: so that no arc begins in its middle.
fn from_corner(points: &[Point]) -> Vec<Point> {
    let n = points.len();
    let length = |i: &usize| points[*i].distance(points[(i + n - 1) % n]);
    let first = (0..n).max_by(|a, b| length(a).total_cmp(&length(b)).then(b.cmp(a)));
    let Some(first) = first else { return vec![] };
    (0..=n).map(|k| points[(first + k) % n]).collect()
}

/// A ring of a part, the bit's radius, and the true centre-lines round the ring's arcs.
pub struct Beside {
    edges: EdgeIndex,
    bit: f64,
    bends: Vec<Bend>,
}

impl Beside {
    /// The arcs beside a ring: outside an outline, inside an opening.
    pub fn of(ring: &Ring, outline: bool, bit_radius: f64) -> Beside {
        let positive = ring.signed_area() > 0.0;
        let all = from_corner(ring.points());
        let mut bends = vec![];
        if let Some((centre, radius)) = circle_of(ring) {
            let turn = if positive { TAU } else { -TAU };
            bends.push(Bend { centre, radius, start: 0.0, turn });
        } else if let Some(&first) = all.first() {
            let mut traced = Traced::from(first);
            traced.fitted(&all, DRAWN);
            bends.extend(traced.steps.iter().filter_map(|(bend, _)| *bend));
        }
        for bend in &mut bends {
            let outside = ((bend.turn > 0.0) == positive) == outline;
            bend.radius += if outside { bit_radius } else { -bit_radius };
        }
        bends.retain(|b| b.radius >= SMALLEST);
        Beside { edges: EdgeIndex::of_rings(std::iter::once(ring)), bit: bit_radius, bends }
    }

    /// Path data of a centre-line round the ring: arcs about the ring's own where it runs beside them, arcs round sharp corners,
    /// else as it is.
    pub fn data(&self, points: &[Point], closed: bool) -> String {
        let Some(&start) = points.first() else { return String::new() };
        let mut all: Vec<Point> = points.iter().copied().chain(closed.then_some(start)).collect();
        let stretches = stretches(&all, &self.bends);
        let last = all.len() - 1;
        let whole = closed && stretches.len() == 1;
        let round = stretches.first().map(|s| s.1) == stretches.last().map(|s| s.1);
        let mut arcs: Vec<Option<Bend>> = vec![];
        for (run, bend) in &stretches {
            let mut own = all[run.start..=run.end].to_vec();
            let before = arcs.last().is_some_and(Option::is_some);
            let arc = bend.and_then(|bend| {
                for (k, end) in [(0, run.start), (own.len() - 1, run.end)] {
                    // Where nothing else joins it, any distance will do.
                    let free = (end == 0 || end == last) && (!closed || round);
                    if free || (bend.off(own[k]).abs() <= SNAP && !(k == 0 && before)) {
                        own[k] = bend.onto(own[k]);
                    }
                }
                along(&bend, &own, whole).filter(|arc| self.true_beside(arc))
            });
            if arc.is_some() {
                (all[run.start], all[run.end]) = (own[0], own[own.len() - 1]);
            }
            arcs.push(arc);
        }
        match (closed, arcs.last()) {
            (true, Some(Some(_))) => all[0] = all[last],
            (true, _) => all[last] = all[0],
            _ => {}
        }
        let mut traced = Traced::from(all[0]);
        for ((run, _), arc) in stretches.iter().zip(arcs) {
            match arc {
                Some(bend) => traced.steps.push((Some(bend), all[run.end])),
                None => traced.fitted(&all[run.start..=run.end], CORNER),
            }
        }
        traced.data(closed)
    }

    /// Whether an arc keeps the bit's radius from the ring's chords, within [`NEARER`] and [`FARTHER`].
    fn true_beside(&self, arc: &Bend) -> bool {
        let step = (8.0 * STEP / arc.radius).sqrt();
        let n = (arc.turn.abs() / step).ceil().clamp(2.0, MOST_STEPS);
        (0..=n as usize).all(|k| {
            let near = self.edges.nearest(arc.at(arc.turn * k as f64 / n));
            near.is_some_and(|e| (NEARER..=FARTHER).contains(&(e.distance - self.bit)))
        })
    }
}

/// The stretches of a line, from point to point, each beside one bend or beside none.
fn stretches(points: &[Point], bends: &[Bend]) -> Vec<(Range<usize>, Option<Bend>)> {
    let mut all: Vec<(Range<usize>, Option<Bend>)> = vec![];
    for (i, w) in points.windows(2).enumerate() {
        let middle = w[0].lerp(w[1], 0.5);
        let follows = |b: &&Bend| {
            b.faces(middle) && [w[0], middle, w[1]].iter().all(|p| BESIDE.contains(&b.off(*p)))
        };
        let bend = bends.iter().find(follows).copied();
        match all.last_mut().filter(|s| s.1 == bend) {
            Some(stretch) => stretch.0.end = i + 1,
            None => all.push((i..i + 1, bend)),
        }
    }
    // A few chords are no arc.
    for stretch in all.iter_mut().filter(|s| s.0.len() < LEAST) {
        stretch.1 = None;
    }
    all
}

/// The arc beside a part's own arc from the run's first point to its last; of a `whole` run the circle.
fn along(bend: &Bend, run: &[Point], whole: bool) -> Option<Bend> {
    let turn = turn_about(bend.centre, run, f64::MAX)?;
    let (first, last) = (run[0], run[run.len() - 1]);
    let start = (first.y - bend.centre.y).atan2(first.x - bend.centre.x);
    if whole {
        return Some(Bend { start, turn, ..*bend });
    }
    let off = (bend.off(first) + bend.off(last)) / 2.0;
    let own = Bend { start, turn, radius: bend.radius + off, ..*bend };
    let fitted = Bend::through(first, own.at(turn / 2.0), last)?;
    let near = |p: &Point| BESIDE.contains(&fitted.off(*p));
    (run.iter().all(near) && fitted.turn * turn > 0.0 && fitted.rise() >= RISE).then_some(fitted)
}
