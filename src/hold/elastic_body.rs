//! The elastic part on its tabs, the last pass swept from its end backwards.
//!
//! Condensed to the places that matter: with the tabs as springs the free compliance becomes that of the held
//! part by one small solve (Woodbury, with the rigid motions as extra unknowns); then the floor of the last pass
//! comes back station by station, each spring a rank-one update (Sherman-Morrison).

use super::beam::{Beam, TabForces};
use super::chord::Chord;
use super::contour::Contour;
use super::dense;
use super::elastic::{Compliance, ElasticPart, Form};
use super::staged::{Body, Case, ChordForces, Pass, Station, TabSet, travel};
use crate::geometry::{Point, Vector, point};

/// An elastic part with the places of the bit on it.
pub struct ElasticBody<'a> {
    /// The part.
    pub part: &'a ElasticPart,
    /// Its outline.
    pub contour: &'a Contour,
    /// Places of the bit.
    pub stations: &'a [Station],
    /// The compliance between them, of the same positions.
    pub spots: &'a Spots,
    /// Sections watched, both ends on the outline.
    pub chords: &'a [Chord],
    /// Lift over in-plane force.
    pub lift: f64,
    /// Whether the bed under the part stops what the lift would press down elsewhere.
    pub bed: bool,
}

/// Compliance between places of the bit: it depends on their positions only, so it is kept for all tab sets.
pub struct Spots {
    plane: Places,
    out: Places,
    /// Length of edge over which the bit's force is spread, mm.
    patch: f64,
    /// Where each station's load acts in the mean: near a corner a little inside it.
    means: Vec<Point>,
}

impl Spots {
    /// The compliance between `stations`, each load spread over `patch` mm.
    pub fn new(part: &ElasticPart, stations: &[Station], patch: f64) -> Spots {
        let plane = stations
            .iter()
            .flat_map(|s| {
                let w = part.weights(s.s, patch);
                [s.out, s.out.perp()].map(|d| along(&w, d))
            })
            .collect();
        let rise =
            |s: &Station| part.weights(s.s, patch).iter().map(|&(i, a, _)| (3 * i, a)).collect();
        let plane = Places::new(&part.plane, plane, 2);
        let out = Places::new(&part.out, stations.iter().map(rise).collect(), 1);
        let frame = part.frame;
        let means = stations
            .iter()
            .enumerate()
            .map(|(i, s)| {
                let (a, b) = (plane.rigid[2 * i][2], plane.rigid[2 * i + 1][2]);
                frame.origin + (s.out * b - s.out.perp() * a) * frame.size
            })
            .collect();
        Spots { plane, out, patch, means }
    }
}

/// Forms of the stations' freedoms with the compliance between them and to all controls.
struct Places {
    /// Freedoms a station.
    each: usize,
    forms: Vec<Form>,
    /// Controls x freedoms: C times each form.
    spread: Vec<f64>,
    rigid: Vec<[f64; 3]>,
    /// Freedoms x freedoms.
    own: Vec<f64>,
}

impl Places {
    fn new(c: &Compliance, forms: Vec<Form>, each: usize) -> Places {
        let m = forms.len();
        let mut spread = vec![0.0; c.size * m];
        for i in 0..c.size {
            let row = c.row(i);
            for (j, form) in forms.iter().enumerate() {
                spread[i * m + j] = form.iter().map(|&(k, w)| w * row[k]).sum();
            }
        }
        let mut own = vec![0.0; m * m];
        for (i, form) in forms.iter().enumerate() {
            for &(k, w) in form {
                for j in 0..m {
                    own[i * m + j] += w * spread[k * m + j];
                }
            }
        }
        let rigid = forms.iter().map(|f| ElasticPart::rigid(c, f)).collect();
        Places { each, forms, spread, rigid, own }
    }

    /// Compliance from a form to every freedom of the stations.
    fn from(&self, form: &Form) -> Vec<f64> {
        let m = self.forms.len();
        let mut row = vec![0.0; m];
        for &(k, w) in form {
            row.iter_mut().zip(&self.spread[k * m..(k + 1) * m]).for_each(|(r, s)| *r += w * s);
        }
        row
    }
}

/// What acts on a section's side when a unit force acts at a place: resultants about the section's middle.
type Resultant = [f64; 3];

/// A spring at a tab: its form, stiffness, and what its force does to each section.
struct Spring {
    form: Form,
    k: f64,
    sections: Vec<Resultant>,
}

impl ElasticBody<'_> {
    /// Springs of a tab in the plane: along the span, along the edge, turn, all at mid kerf.
    fn tab_plane(&self, beam: &Beam, s: f64) -> [Spring; 3] {
        let w = self.part.weights(s, beam.width);
        let (out, edge) = (beam.out, beam.out.perp());
        let m = beam.middle();
        let mean = |f: &Form| ElasticPart::rigid(&self.part.plane, f);
        let frame = self.part.frame;
        // The turn by least squares, scaled so that a rigid turn reads as itself.
        let mut turn: Form = w
            .iter()
            .flat_map(|&(i, _, b)| [(2 * i, -b * out.x), (2 * i + 1, -b * out.y)])
            .collect();
        let unit = mean(&turn)[2] * frame.size;
        turn.iter_mut().for_each(|t| t.1 /= unit);
        // Where the mean displacement is read: the form's own rigid row says.
        let (x, y) = (along(&w, point(1.0, 0.0)), along(&w, point(0.0, 1.0)));
        let read = frame.origin + point(mean(&y)[2], -mean(&x)[2]) * frame.size;
        let lever = (m - read).perp();
        let with_turn = |d: Point| {
            let mut form = along(&w, d);
            form.extend(turn.iter().map(|&(i, v)| (i, v * lever.dot(d))));
            form
        };
        let k = &beam.stiffness;
        let on = |c: &Chord| c.side(self.contour, s);
        let force = |d: Point, form: &Form| {
            let beside = |c: &Chord| if on(c) { resultant(c, m, d) } else { [0.0; 3] };
            self.chords.iter().map(|c| self.wall(c, form).unwrap_or_else(|| beside(c))).collect()
        };
        let couple = |c: &Chord| [0.0, 0.0, if on(c) { 1.0 } else { 0.0 }];
        let moment =
            self.chords.iter().map(|c| self.wall(c, &turn).unwrap_or_else(|| couple(c))).collect();
        let (axial, shear) = (with_turn(out), with_turn(edge));
        [
            Spring { k: k.axial, sections: force(out, &axial), form: axial },
            Spring { k: k.shear, sections: force(edge, &shear), form: shear },
            Spring { k: k.bend, sections: moment, form: turn },
        ]
    }

    /// What the load of a form gives to a wall; `None` for a section that falls the part in two.
    fn wall(&self, c: &Chord, form: &Form) -> Option<Resultant> {
        let wall = self.part.walls.get(c.wall?)?;
        Some([0, 1, 2].map(|q| form.iter().map(|&(i, w)| w * wall.plane[q][i]).sum()))
    }

    /// The same out of the plane: its moment only.
    fn wall_out(&self, c: &Chord, form: &Form) -> Option<Resultant> {
        let wall = self.part.walls.get(c.wall?)?;
        Some([0.0, form.iter().map(|&(i, w)| w * wall.out[i]).sum(), 0.0])
    }

    /// Springs of a tab out of the plane: rise at mid kerf, bending, torsion.
    fn tab_out(&self, beam: &Beam, s: f64) -> [Spring; 3] {
        let w = self.part.weights(s, beam.width);
        let (out, edge) = (beam.out, beam.out.perp());
        let m = beam.middle();
        let c = &self.part.out;
        let frame = self.part.frame;
        let mut rise: Form = w.iter().map(|&(i, a, _)| (3 * i, a)).collect();
        let row = ElasticPart::rigid(c, &rise);
        let read = frame.origin + point(-row[2], row[1]) * frame.size;
        let lever = m - read;
        let tilt = |axis: Point| -> Form {
            w.iter()
                .flat_map(|&(i, a, _)| [(3 * i + 1, a * axis.x), (3 * i + 2, a * axis.y)])
                .collect()
        };
        // w at mid kerf = w + theta_x y - theta_y x.
        rise.extend(tilt(point(lever.y, -lever.x)));
        let k = &beam.stiffness;
        let on = |c: &Chord| if c.side(self.contour, s) { 1.0 } else { 0.0 };
        let beside = |c: &Chord| resultant_out(c, m).map(|v| v * on(c));
        let up = self
            .chords
            .iter()
            .map(|c| self.wall_out(c, &rise).unwrap_or_else(|| beside(c)))
            .collect();
        let about = |axis: Point, form: &Form| {
            let couple = |c: &Chord| [0.0, axis.dot(c.normal().perp()) * on(c), 0.0];
            self.chords
                .iter()
                .map(|c| self.wall_out(c, form).unwrap_or_else(|| couple(c)))
                .collect()
        };
        let (bend, twist) = (tilt(edge), tilt(out));
        [
            Spring { k: k.lift, sections: up, form: rise },
            Spring { k: k.bend_out, sections: about(edge, &bend), form: bend },
            Spring { k: k.twist, sections: about(out, &twist), form: twist },
        ]
    }

    /// The part held by springs, condensed to the stations in the order of travel: rows of the stations' freedoms,
    /// then the springs' forces on the part, then three resultants a section. `None` where it can drift.
    fn held(
        &self,
        c: &Compliance,
        places: &Places,
        springs: &[Spring],
        order: &[usize],
        load: &dyn Fn(usize, usize) -> Vec<Resultant>,
    ) -> Option<Condensed> {
        let (n, each) = (springs.len(), places.each);
        let columns: Vec<usize> =
            order.iter().flat_map(|&i| (0..each).map(move |d| i * each + d)).collect();
        let m = columns.len();
        let all = places.forms.len();
        let from: Vec<Vec<f64>> = springs.iter().map(|s| places.from(&s.form)).collect();
        let rigid: Vec<[f64; 3]> = springs.iter().map(|s| ElasticPart::rigid(c, &s.form)).collect();
        let size = n + 3;
        let mut matrix = vec![0.0; size * size];
        let mut rhs = vec![0.0; size * m];
        for i in 0..n {
            for j in 0..=i {
                let v = ElasticPart::between(c, &springs[i].form, &springs[j].form);
                matrix[i * size + j] = v;
                matrix[j * size + i] = v;
            }
            matrix[i * size + i] += 1.0 / springs[i].k;
            for (q, r) in rigid[i].iter().enumerate() {
                matrix[i * size + n + q] = *r;
                matrix[(n + q) * size + i] = *r;
            }
            for (j, &col) in columns.iter().enumerate() {
                rhs[i * m + j] = -from[i][col];
            }
        }
        for q in 0..3 {
            for (j, &col) in columns.iter().enumerate() {
                rhs[(n + q) * m + j] = -places.rigid[col][q];
            }
        }
        if !dense::solve(&mut matrix, &mut rhs, size, m) {
            return None;
        }
        let chords = self.chords.len();
        let mut rows = vec![0.0; (m + n + 3 * chords) * m];
        for (r, &row) in columns.iter().enumerate() {
            let target = &mut rows[r * m..(r + 1) * m];
            for (j, &col) in columns.iter().enumerate() {
                target[j] = places.own[row * all + col];
            }
            for (i, f) in from.iter().enumerate() {
                let w = f[row];
                target.iter_mut().zip(&rhs[i * m..(i + 1) * m]).for_each(|(t, g)| *t += w * g);
            }
            for q in 0..3 {
                let w = places.rigid[row][q];
                target
                    .iter_mut()
                    .zip(&rhs[(n + q) * m..(n + q + 1) * m])
                    .for_each(|(t, a)| *t += w * a);
            }
        }
        rows[m * m..(m + n) * m].copy_from_slice(&rhs[..n * m]);
        for (j, &col) in columns.iter().enumerate() {
            let direct = load(col / each, col % each);
            for (chord, own) in direct.iter().enumerate() {
                for q in 0..3 {
                    let from_tabs: f64 =
                        (0..n).map(|i| springs[i].sections[chord][q] * rhs[i * m + j]).sum();
                    rows[(m + n + 3 * chord + q) * m + j] = own[q] + from_tabs;
                }
            }
        }
        Some(Condensed { rows, stations: m, each })
    }
}

/// Rows by columns of the held part; shrinks as the floor comes back.
struct Condensed {
    rows: Vec<f64>,
    /// Columns: the stations' freedoms in the order of travel.
    stations: usize,
    each: usize,
}

impl Condensed {
    fn at(&self, row: usize, column: usize) -> f64 {
        self.rows[row * self.stations + column]
    }

    /// What the bed pushes where a unit lift at place `k` would press the first `severed` places into it: places and forces.
    ///
    /// The bed is stiff and pushes only: w = A e_k + A p >= 0, p >= 0, w p = 0, by over-relaxation with projection
    /// (Cryer, SIAM J. Control 9, 1971), which converges since A is positive definite. Where the floor is uncut it holds both ways.
    fn bed(&self, k: usize, severed: usize) -> Vec<(usize, f64)> {
        const ROUNDS: usize = 200;
        /// Over-relaxation: Cryer's choice between 1 and 2 matters little here.
        const OVER: f64 = 1.5;
        let lowest = (0..severed).map(|j| self.at(j, k)).fold(0.0, f64::min);
        if lowest >= 0.0 {
            return vec![];
        }
        let mut push = vec![0.0; severed];
        let mut rise: Vec<f64> = (0..severed).map(|j| self.at(j, k)).collect();
        for _ in 0..ROUNDS {
            let mut change = 0.0f64;
            for j in 0..severed {
                let own = self.at(j, j);
                let next = (push[j] - OVER * rise[j] / own).max(0.0);
                let step = next - push[j];
                if step != 0.0 {
                    push[j] = next;
                    (0..severed).for_each(|i| rise[i] += step * self.at(i, j));
                    change = change.max((step * own).abs());
                }
            }
            if change < -1e-5 * lowest {
                break;
            }
        }
        push.into_iter().enumerate().filter(|p| p.1 > 0.0).collect()
    }

    /// Adds the springs of the station at place `k` of the travel; only what comes before it is kept up to date.
    fn add_floor(&mut self, k: usize, springs: &[f64]) {
        let m = self.stations;
        let total = self.rows.len() / m;
        for d in (0..self.each).rev() {
            let p = k * self.each + d;
            let own = self.at(p, p);
            let share = springs[d] / (1.0 + springs[d] * own);
            let (head, tail) = self.rows.split_at_mut((p + 1) * m);
            let (above, pivot) = head.split_at_mut(p * m);
            let pivot = &pivot[..p];
            let update = |row: &mut [f64]| {
                let f = row[p] * share;
                row[..p].iter_mut().zip(pivot).for_each(|(x, y)| *x -= f * y);
            };
            above.chunks_exact_mut(m).for_each(update);
            // Rows of stations already passed are not read again; the springs' and sections' are.
            let skip = (m - p - 1) * m;
            tail[skip..].chunks_exact_mut(m).take(total - m).for_each(update);
        }
    }
}

impl Body for ElasticBody<'_> {
    fn sweep(&self, set: &TabSet, pass: Pass, visit: &mut dyn FnMut(&Case)) -> bool {
        let order = travel(self.contour, self.stations, set, pass);
        let pair = || set.beams.iter().zip(&set.s);
        let plane: Vec<Spring> = pair().flat_map(|(b, &s)| self.tab_plane(b, s)).collect();
        let share =
            |c: &Chord, i: usize| c.share(self.contour, self.stations[i].s, self.spots.patch);
        let in_plane = |i: usize, d: usize| -> Vec<Resultant> {
            let s = &self.stations[i];
            let dir = if d == 0 { s.out } else { s.out.perp() };
            let beside =
                |c: &Chord| resultant(c, self.spots.means[i], dir).map(|v| v * share(c, i));
            let form = &self.spots.plane.forms[2 * i + d];
            self.chords.iter().map(|c| self.wall(c, form).unwrap_or_else(|| beside(c))).collect()
        };
        let Some(mut plane) =
            self.held(&self.part.plane, &self.spots.plane, &plane, &order, &in_plane)
        else {
            return false;
        };
        let mut out = if self.lift > 0.0 {
            let springs: Vec<Spring> = pair().flat_map(|(b, &s)| self.tab_out(b, s)).collect();
            let up = |i: usize, _: usize| {
                let beside =
                    |c: &Chord| resultant_out(c, self.spots.means[i]).map(|v| v * share(c, i));
                let form = &self.spots.out.forms[i];
                self.chords
                    .iter()
                    .map(|c| self.wall_out(c, form).unwrap_or_else(|| beside(c)))
                    .collect()
            };
            let Some(out) = self.held(&self.part.out, &self.spots.out, &springs, &order, &up)
            else {
                return false;
            };
            Some(out)
        } else {
            None
        };
        let mut tabs = vec![TabForces::default(); set.beams.len()];
        let mut chords = vec![ChordForces::default(); self.chords.len()];
        for k in (0..order.len()).rev() {
            let both = |row: usize| point(plane.at(row, 2 * k), plane.at(row, 2 * k + 1));
            let bed = out
                .as_ref()
                .filter(|_| self.bed)
                .map_or(vec![], |o| o.bed(k, if pass == Pass::Free { order.len() } else { k + 1 }));
            let up = |row: usize| {
                let Some(o) = &out else { return 0.0 };
                let pushed: f64 = bed.iter().map(|&(j, p)| p * o.at(row, j)).sum();
                self.lift * (o.at(row, k) + pushed)
            };
            let (pm, om) = (plane.stations, order.len());
            for (i, t) in tabs.iter_mut().enumerate() {
                *t = TabForces {
                    axial: both(pm + 3 * i),
                    shear: both(pm + 3 * i + 1),
                    bend: both(pm + 3 * i + 2),
                    lift: up(om + 3 * i),
                    bend_out: up(om + 3 * i + 1),
                    twist: up(om + 3 * i + 2),
                };
            }
            let n = 3 * set.beams.len();
            for (i, c) in chords.iter_mut().enumerate() {
                *c = ChordForces {
                    normal: both(pm + n + 3 * i),
                    shear: both(pm + n + 3 * i + 1),
                    bend: both(pm + n + 3 * i + 2),
                    lift: up(om + n + 3 * i),
                    bend_out: up(om + n + 3 * i + 1),
                };
            }
            let move_of =
                |d: usize| point(plane.at(2 * k, 2 * k + d), plane.at(2 * k + 1, 2 * k + d));
            visit(&Case {
                station: order[k],
                move_x: move_of(0),
                move_y: move_of(1),
                rise: up(k),
                tabs: &tabs,
                chords: &chords,
            });
            if pass != Pass::Free {
                let floor = self.stations[order[k]].floor;
                plane.add_floor(k, &floor[..2]);
                if let Some(out) = &mut out {
                    out.add_floor(k, &floor[2..]);
                }
            }
        }
        true
    }
}

/// The mean displacement along `d` as a form.
fn along(weights: &[(usize, f64, f64)], d: Point) -> Form {
    weights.iter().flat_map(|&(i, a, _)| [(2 * i, a * d.x), (2 * i + 1, a * d.y)]).collect()
}

/// Along the neck, across it, and moment about the section's middle of a unit force along `d` at `p`.
fn resultant(c: &Chord, p: Point, d: Point) -> Resultant {
    let n = c.normal();
    [d.dot(n), d.dot(n.perp()), (p - c.middle()).cross(d)]
}

/// Force up and moment about the section's own line of a unit force up at `p`.
fn resultant_out(c: &Chord, p: Point) -> Resultant {
    let r = p - c.middle();
    [1.0, point(r.y, -r.x).dot(c.normal().perp()), 0.0]
}

#[cfg(test)]
mod tests;
