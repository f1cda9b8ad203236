//! The load that tabs and skins can bear, by verify's own model: a rigid part on the springs that the layout file states.
//!
//! Springs and strengths follow the recipe of every layout (design, "Holding"): Timoshenko beams one
//! bit's diameter long (Timoshenko, *Strength of Materials* I, shear in the deflection; Roark, table of torsion of
//! rectangles), the flexibility of the roots as lengths from `holding.roots`, off-axis modulus (Jones, *Mechanics of Composite
//! Materials*, ch. 2), Hankinson's formula between the strengths of `material_constants`. The last pass goes round the edge: the
//! stock ahead of the bit still holds, and both ways round are judged. Where the bit lifts one side, the bed stops the other from
//! going down. Not included: the part's own bending, and its sections.

mod kept_piece;

pub(super) use kept_piece::KeptPiece;

use crate::geometry::{Point, Ring, Vector, point};
use crate::layout::{HoldingRules, MaterialConstants, RootCompliance, Sheet, Tab};
use std::f64::consts::PI;

/// Number of the bit's places round an edge: one a diameter, within this range.
const PLACES: (f64, f64) = (12.0, 72.0);
/// The same for a skin, which holds all round.
const SKIN_PLACES: (f64, f64) = (12.0, 400.0);

/// Stiffness of the bed under one place, N/mm: far above any tab's.
const BED: f64 = 1e7;

/// A spring, and the row that turns the part's motion (two shifts and a rotation, or a rise and two tilts) into its stretch.
type SpringRow = (f64, [f64; 3]);

/// The sheet's numbers that the model needs.
pub(super) struct StockNumbers<'a> {
    pub c: &'a MaterialConstants,
    pub rules: &'a HoldingRules,
    roots: RootCompliance,
    thickness: f64,
    grain: f64,
    span: f64,
    /// Ratio of lift to in-plane force.
    pub lift: f64,
}

/// The worst over all places of the bit.
#[derive(Debug, Clone, Copy)]
pub(super) struct WorstMotion {
    /// Movement at the bit, mm.
    pub movement: f64,
    /// Least ratio of strength to stress.
    pub ratio: f64,
}

impl WorstMotion {
    const NONE: WorstMotion = WorstMotion { movement: 0.0, ratio: f64::INFINITY };

    fn join(self, o: WorstMotion) -> WorstMotion {
        WorstMotion { movement: self.movement.max(o.movement), ratio: self.ratio.min(o.ratio) }
    }
}

impl<'a> StockNumbers<'a> {
    pub fn new(sheet: &'a Sheet) -> Option<StockNumbers<'a>> {
        let (c, rules) = (sheet.material_constants.as_ref()?, sheet.holding.as_ref()?);
        let roots = rules.roots?;
        let grain = sheet.grain_deg.to_radians();
        let lift = sheet.cut.helix_deg.max(0.0).to_radians().tan();
        let (thickness, span) = (sheet.thickness, sheet.bit.diameter);
        Some(StockNumbers { c, rules, roots, thickness, grain, span, lift })
    }

    /// Angle between a direction and the grain, as undirected lines; 0 without a grain.
    pub fn to_grain(&self, d: Point) -> f64 {
        let a = (d.y.atan2(d.x) - self.grain).rem_euclid(PI);
        if self.c.has_grain { a.min(PI - a) } else { 0.0 }
    }

    pub fn modulus(&self, theta: f64) -> f64 {
        let (s, c) = (theta.sin().powi(2), theta.cos().powi(2));
        let m = self.c;
        let mixed = 1.0 / m.shear_modulus_mpa - 2.0 * m.poisson_lt / m.e_along_mpa;
        1.0 / (c * c / m.e_along_mpa + s * s / m.e_across_mpa + mixed * s * c)
    }

    fn strength(&self, theta: f64) -> f64 {
        let m = self.c;
        hankinson(m.tab_along_mpa, m.tab_across_mpa, m.hankinson_exponent, theta)
    }

    /// Stiffness of a beam whose ends stay parallel, with shear, on roots whose rotation and slip count as added length.
    fn guided(&self, e: f64, inertia: f64, area: f64, [turn, slip]: [f64; 2]) -> f64 {
        let l = self.span;
        let bending = l * l * (l + 3.0 * turn) / (12.0 * e * inertia);
        1.0 / (bending + (l + slip) / (5.0 / 6.0 * self.c.shear_modulus_mpa * area))
    }

    /// A tab's springs in the plane (along the span, along the edge, turn) and out of it (up, tilt, twist).
    pub fn tab(&self, tab: &Tab, about: Point) -> [[SpringRow; 3]; 2] {
        let (l, w, h, give) = (self.span, tab.width, tab.height, self.roots);
        let (e, g) = (self.modulus(self.to_grain(tab.out)), self.c.shear_modulus_mpa);
        let (area, flat, high) = (w * h, h * w.powi(3) / 12.0, w * h.powi(3) / 12.0);
        let (long, short) = (w.max(h), w.min(h));
        let r = short / long;
        let torsion = long * short.powi(3) * (1.0 / 3.0 - 0.21 * r * (1.0 - r.powi(4) / 12.0));
        let ease = (e / g).cbrt();
        let axial = l + give.axial * ease * (w * self.thickness).sqrt();
        let (turn, tilt) = (give.turn * ease * w, give.tilt * ease * h);
        let (aside, up) = (give.shear * ease * area.sqrt(), give.up * area.sqrt());
        let (m, edge) = (tab.at + tab.out * (l / 2.0) - about, tab.out.perp());
        [
            [
                (e * area / axial, shift(m, tab.out)),
                (self.guided(e, flat, area, [turn, aside]), shift(m, edge)),
                (e * flat / (l + turn), [0.0, 0.0, 1.0]),
            ],
            [
                (self.guided(e, high, area, [tilt, up]), rise(m)),
                (e * high / (l + tilt), [0.0, edge.x, edge.y]),
                (g * torsion / l, [0.0, tab.out.x, tab.out.y]),
            ],
        ]
    }

    /// A floor of `depth` mm under `share` mm of edge.
    fn floor(&self, at: Point, out: Point, share: f64, depth: f64) -> [Vec<SpringRow>; 2] {
        let (e, g) = (self.modulus(self.to_grain(out)), self.c.shear_modulus_mpa);
        let (l, area, give) = (self.span, share * depth, self.roots);
        let axial = l + give.floor_axial * (depth * self.thickness).sqrt();
        let aside = l + give.floor_shear * depth;
        let tilt = give.tilt * (e / g).cbrt() * depth;
        let inertia = share * depth.powi(3) / 12.0;
        let lift = self.guided(e, inertia, area, [tilt, give.floor_up * depth]);
        [
            vec![
                (e * area / axial, shift(at, out)),
                (5.0 / 6.0 * g * area / aside, shift(at, out.perp())),
            ],
            vec![(lift, rise(at))],
        ]
    }

    /// Strength over stress of one tab under unit load in the worst direction with its lift.
    fn tab_ratio(&self, tab: &Tab, [axial, shear, bend]: [Point; 3], out: [f64; 3]) -> f64 {
        let (w, h, l) = (tab.width, tab.height, self.span);
        let theta = self.to_grain(tab.out);
        let mut normal = 0.0f64;
        for (side, sign) in [(-0.5, -1.0), (-0.5, 1.0), (0.5, -1.0), (0.5, 1.0)] {
            let moment = bend + shear * (side * l);
            normal = normal.max((axial / (w * h) + moment * (sign * 6.0 / (h * w * w))).norm());
        }
        let [lift, tilt, twist] = out.map(f64::abs);
        let sigma = normal + 6.0 * (tilt + lift * l / 2.0) / (w * h * h);
        let (long, short) = (w.max(h), w.min(h));
        let flat = 1.5 * shear.norm() / (w * h) / self.c.tab_shear_mpa;
        let m = self.c;
        let (p, q, n) =
            (m.tab_shear_out_along_mpa, m.tab_shear_out_across_mpa, m.hankinson_exponent_shear_out);
        let twisted = twist * (3.0 + 1.8 * short / long) / (long * short * short);
        let high = (1.5 * lift / (w * h) + twisted) / hankinson(p, q, n, theta);
        let pull = m.tab_pull_mpa.map_or(f64::INFINITY, |p| p * w * l / lift);
        (self.strength(theta) / sigma).min(1.0 / flat.hypot(high)).min(pull)
    }

    /// The worst motion of the part on its outline's tabs under `load` N at the bit: the last pass staged, the worse way round; if
    /// `staged` is false everything is severed already.
    pub fn on_tabs(
        &self,
        edge: &MeasuredOutline,
        tabs: &[&Tab],
        depth: f64,
        load: f64,
        staged: bool,
    ) -> WorstMotion {
        let (places, share) = edge.places(self.span, PLACES, tabs);
        let about = edge.middle;
        let springs: Vec<_> = tabs.iter().map(|t| self.tab(t, about)).collect();
        let mut standing = [StiffnessSum::default(); 2];
        for s in &springs {
            standing[0].join(&s[0]);
            standing[1].join(&s[1]);
        }
        let bed: Vec<_> = places.iter().map(|s| rise(edge.place(*s) - about)).collect();
        let round = |order: &mut dyn Iterator<Item = f64>| {
            let (mut held, mut worst) = (standing, WorstMotion::NONE);
            for s in order {
                let at = edge.spread(s, self.rules.load_patch_mm) - about;
                let mut bit = MotionAtBit::at(&held, at, self.lift);
                bit.rest(&held[1], &bed);
                worst.movement = worst.movement.max(load * bit.moved);
                for (tab, [flat, up]) in tabs.iter().zip(&springs) {
                    let inside = flat.map(|s| bit.stretch(&s) * s.0);
                    let out = up.map(|(k, r)| k * dot(&r, &bit.up));
                    worst.ratio = worst.ratio.min(self.tab_ratio(tab, inside, out) / load);
                }
                if staged {
                    let at = edge.place(s) - about;
                    let floor = self.floor(at, edge.out(s, self.span / 4.0), share, depth);
                    held[0].join(&floor[0]);
                    held[1].join(&floor[1]);
                }
            }
            worst
        };
        // From the end of the pass backwards: what lies ahead of the bit holds.
        let one = round(&mut places.iter().rev().copied());
        if staged { one.join(round(&mut places.iter().copied())) } else { one }
    }

    /// The worst motion of the part on a skin of `depth` mm all round.
    ///
    /// The line force acts on the skin in tension and shear; the lift bends it over the kerf, built in at both sides.
    pub fn on_skin(&self, edge: &MeasuredOutline, depth: f64, load: f64) -> WorstMotion {
        let (places, share) = edge.places(self.span.max(0.5), SKIN_PLACES, &[]);
        let round: Vec<(Point, Point, [Vec<SpringRow>; 2])> = places
            .iter()
            .map(|&s| {
                let (at, out) = (edge.place(s) - edge.middle, edge.out(s, self.span / 4.0));
                (at, out, self.floor(at, out, share, depth))
            })
            .collect();
        let mut held = [StiffnessSum::default(); 2];
        for (_, _, floor) in &round {
            held[0].join(&floor[0]);
            held[1].join(&floor[1]);
        }
        let mut worst = WorstMotion::NONE;
        for (at, _, _) in &round {
            let bit = MotionAtBit::at(&held, *at, self.lift);
            worst.movement = worst.movement.max(load * bit.moved);
            for (_, out, [flat, up]) in &round {
                let line = |s: &SpringRow| (bit.stretch(s) * s.0).norm() / share;
                let lift = up.iter().map(|(k, r)| k * dot(r, &bit.up).abs()).sum::<f64>() / share;
                let sigma = line(&flat[0]) / depth + 3.0 * lift * self.span / (depth * depth);
                let tau = 1.5 * (line(&flat[1]) + lift) / depth;
                let theta = self.to_grain(*out);
                let ratio = (self.strength(theta) / sigma).min(self.c.tab_shear_mpa / tau);
                worst.ratio = worst.ratio.min(ratio / load);
            }
        }
        worst
    }
}

/// The part's motion under a unit load at one place of the bit.
struct MotionAtBit {
    /// Under a load along x, and along y.
    flat: [[f64; 3]; 2],
    /// Under the lift.
    up: [f64; 3],
    /// The greatest movement at the bit.
    moved: f64,
}

impl MotionAtBit {
    fn at(held: &[StiffnessSum; 2], at: Point, lift: f64) -> MotionAtBit {
        let (rx, ry) = (shift(at, point(1.0, 0.0)), shift(at, point(0.0, 1.0)));
        let flat = [held[0].under(rx), held[0].under(ry)];
        let up = if lift > 0.0 { held[1].under(rise(at)).map(|v| v * lift) } else { [0.0; 3] };
        // The greatest stretch of the unit circle under the matrix of the two answers.
        let (a, b) = (
            point(dot(&rx, &flat[0]), dot(&ry, &flat[0])),
            point(dot(&rx, &flat[1]), dot(&ry, &flat[1])),
        );
        let (p, q, r) = (a.dot(a), a.dot(b), b.dot(b));
        let moved = ((p + r) / 2.0 + (((p - r) / 2.0).powi(2) + q * q).sqrt()).sqrt();
        MotionAtBit { flat, up, moved }
    }

    /// Prevents any place of the part lifted by the bit from going below the bed, which pushes and never pulls.
    ///
    /// A rigid part rests on three places at most. The lowest place joins those it rests on, and one that would have to pull leaves
    /// them, until none is below (active set); it takes at most as many rounds as the part has places.
    fn rest(&mut self, held: &StiffnessSum, bed: &[[f64; 3]]) {
        let free = self.up;
        let below = |up: &[f64; 3], row: &[f64; 3]| -dot(row, up);
        let mut bearing: Vec<[f64; 3]> = vec![];
        for _ in 0..bed.len().min(60) {
            let lowest =
                bed.iter().max_by(|a, b| below(&self.up, a).total_cmp(&below(&self.up, b)));
            let Some(row) = lowest.filter(|r| below(&self.up, r) > 1e-12) else { break };
            bearing.push(*row);
            self.up = loop {
                let (up, pushes) = held.on(free, &bearing);
                let least = (0..pushes.len()).min_by(|a, b| pushes[*a].total_cmp(&pushes[*b]));
                match least.filter(|i| pushes[*i] < 0.0) {
                    Some(i) => bearing.remove(i),
                    None => break up,
                };
            };
        }
    }

    /// How far a spring stretches under a load along x, and along y.
    fn stretch(&self, (_, row): &SpringRow) -> Point {
        point(dot(row, &self.flat[0]), dot(row, &self.flat[1]))
    }
}

/// A sum of springs.
#[derive(Clone, Copy, Default)]
struct StiffnessSum([[f64; 3]; 3]);

impl StiffnessSum {
    fn join(&mut self, springs: &[SpringRow]) {
        for (k, r) in springs {
            for (row, a) in self.0.iter_mut().zip(r) {
                for (cell, b) in row.iter_mut().zip(r) {
                    *cell += k * a * b;
                }
            }
        }
    }

    /// A motion with some places kept from going down by `BED` N/mm each, and the push on each, N.
    fn on(&self, free: [f64; 3], bearing: &[[f64; 3]]) -> ([f64; 3], Vec<f64>) {
        let load: [f64; 3] = std::array::from_fn(|i| dot(&self.0[i], &free));
        let mut held = *self;
        held.join(&bearing.iter().map(|r| (BED, *r)).collect::<Vec<_>>());
        let up = held.under(load);
        (up, bearing.iter().map(|r| -BED * dot(r, &up)).collect())
    }

    /// The motion under a load, by Cramer's rule.
    fn under(&self, load: [f64; 3]) -> [f64; 3] {
        let det = |m: &[[f64; 3]; 3]| {
            m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
                - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
                + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
        };
        let whole = det(&self.0);
        [0, 1, 2].map(|c| {
            let mut m = self.0;
            for (row, v) in m.iter_mut().zip(load) {
                row[c] = v;
            }
            det(&m) / whole
        })
    }
}

/// An outline parametrised by its length.
pub(super) struct MeasuredOutline<'a> {
    ring: &'a Ring,
    marks: Vec<f64>,
    /// The mean of its points.
    pub middle: Point,
}

impl<'a> MeasuredOutline<'a> {
    pub fn new(ring: &'a Ring) -> MeasuredOutline<'a> {
        let mut marks = vec![0.0];
        for s in ring.segments() {
            marks.push(marks[marks.len() - 1] + s.length());
        }
        let sum = ring.0.iter().fold(point(0.0, 0.0), |m, p| m + *p);
        MeasuredOutline { ring, marks, middle: sum / ring.0.len() as f64 }
    }

    pub fn length(&self) -> f64 {
        self.marks[self.marks.len() - 1]
    }

    fn place(&self, s: f64) -> Point {
        let (s, n) = (s.rem_euclid(self.length()), self.ring.0.len());
        let i = self.marks.partition_point(|m| *m <= s).clamp(1, n) - 1;
        let l = self.marks[i + 1] - self.marks[i];
        let t = if l > 0.0 { (s - self.marks[i]) / l } else { 0.0 };
        self.ring.0[i].lerp(self.ring.0[(i + 1) % n], t)
    }

    fn nearest(&self, p: Point) -> f64 {
        let near = self.ring.segments().enumerate().map(|(i, s)| (s.distance_to_point(p), i, s));
        let best = near.min_by(|a, b| a.0.total_cmp(&b.0));
        best.map_or(0.0, |(_, i, s)| self.marks[i] + s.project(p) * s.length())
    }

    /// Unit normal away from the part; outlines have positive area, y down.
    fn out(&self, s: f64, half: f64) -> Point {
        let d = self.place(s + half) - self.place(s - half);
        d.unit().map_or(point(0.0, 0.0), |u| u.perp() * -1.0)
    }

    /// Mean place of `length` mm of edge about `s`.
    fn spread(&self, s: f64, length: f64) -> Point {
        const N: usize = 16;
        let at = |i: usize| self.place(s + length * ((i as f64 + 0.5) / N as f64 - 0.5));
        (0..N).fold(point(0.0, 0.0), |m, i| m + at(i) / N as f64)
    }

    /// Places of the bit in the order of the last pass, which starts beyond the first tab; places under a tab are left out.
    fn places(&self, step: f64, range: (f64, f64), tabs: &[&Tab]) -> (Vec<f64>, f64) {
        let start = tabs.first().map_or(0.0, |t| self.nearest(t.at));
        self.places_from(start, step, range, tabs)
    }

    /// The same where the pass starts beyond `start`.
    fn places_from(
        &self,
        start: f64,
        step: f64,
        (least, most): (f64, f64),
        tabs: &[&Tab],
    ) -> (Vec<f64>, f64) {
        let length = self.length();
        let n = (length / step.max(0.5)).ceil().clamp(least, most);
        let share = length / n;
        let at: Vec<f64> = tabs.iter().map(|t| self.nearest(t.at)).collect();
        let ahead = |a: f64, b: f64| (b - a).rem_euclid(length);
        let mut places: Vec<f64> = (0..n as usize).map(|i| (i as f64 + 0.5) * share).collect();
        places.retain(|&s| {
            let clear = |(t, a): (&&Tab, &f64)| ahead(*a, s).min(ahead(s, *a)) >= t.width / 2.0;
            tabs.iter().zip(&at).all(clear)
        });
        places.sort_by(|a, b| ahead(start, *a).total_cmp(&ahead(start, *b)));
        (places, share)
    }

    /// How far the outline's farthest point is from its nearest tab, mm.
    pub fn overhang(&self, tabs: &[&Tab]) -> f64 {
        let near = |p: &Point| tabs.iter().map(|t| t.at.distance(*p)).fold(f64::INFINITY, f64::min);
        self.ring.0.iter().map(near).fold(0.0, f64::max)
    }
}

/// Hankinson's formula: strength at an angle to the grain.
fn hankinson(along: f64, across: f64, n: f64, theta: f64) -> f64 {
    along * across / (along * theta.sin().abs().powf(n) + across * theta.cos().abs().powf(n))
}

/// Displacement along `d` at `q` of a motion (x, y, turn) about the origin.
fn shift(q: Point, d: Point) -> [f64; 3] {
    [d.x, d.y, q.cross(d)]
}

/// Rise at `q` of a motion (up, tilt about x, tilt about y).
fn rise(q: Point) -> [f64; 3] {
    [1.0, q.y, -q.x]
}

fn dot(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[cfg(test)]
pub(super) mod tests;
