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

    /// What the bed pushes where a unit lift at place `k` would press severed edges into it: places and forces.
    ///
    /// The bed is stiff and pushes only: w = A e_k + A p >= 0, p >= 0, w p = 0, by over-relaxation with projection
    /// (Cryer, SIAM J. Control 9, 1971), which converges since A is positive definite. Where the floor is uncut it holds both ways.
    fn bed(&self, k: usize) -> Vec<(usize, f64)> {
        const ROUNDS: usize = 200;
        /// Over-relaxation: Cryer's choice between 1 and 2 matters little here.
        const OVER: f64 = 1.5;
        let lowest = (0..=k).map(|j| self.at(j, k)).fold(0.0, f64::min);
        if lowest >= 0.0 {
            return vec![];
        }
        let mut push = vec![0.0; k + 1];
        let mut rise: Vec<f64> = (0..=k).map(|j| self.at(j, k)).collect();
        for _ in 0..ROUNDS {
            let mut change = 0.0f64;
            for j in 0..=k {
                let own = self.at(j, j);
                let next = (push[j] - OVER * rise[j] / own).max(0.0);
                let step = next - push[j];
                if step != 0.0 {
                    push[j] = next;
                    (0..=k).for_each(|i| rise[i] += step * self.at(i, j));
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
            let bed = out.as_ref().filter(|_| self.bed).map_or(vec![], |o| o.bed(k));
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
mod tests {
    use super::super::chord::chords;
    use super::super::search::tab_set;
    use super::super::staged::{RigidBody, stations};
    use super::*;
    use crate::geometry::{Ring, Shape};
    use crate::job::{Material, find_material};
    use crate::layout::Tab;

    struct Bench {
        shape: Shape,
        contour: Contour,
        material: Material,
        stations: Vec<Station>,
        chords: Vec<Chord>,
        set: TabSet,
    }

    /// A bar with three tabs in walnut, grain aslant.
    fn bench(shape: Shape, at: &[f64]) -> Bench {
        let contour = Contour::new(&shape.outline).unwrap();
        let material = find_material("walnut", 3.0).unwrap().clone();
        let stations =
            stations(&contour, &contour.spaced(2.0, 12, 40), 0.4, 1.5875, &material, Some(0.4));
        let mut chords = chords(&shape, std::slice::from_ref(&contour));
        chords.truncate(6);
        let tabs = at
            .iter()
            .map(|&s| {
                let tab = Tab {
                    at: contour.point(s),
                    out: contour.out(s, 1.5),
                    width: 3.0,
                    height: 1.0,
                    ring: 0,
                };
                (s, Beam::new(&tab, &material, Some(0.4), 1.5875))
            })
            .collect();
        Bench { shape, contour, material, stations, chords, set: tab_set(tabs) }
    }

    type Seen = (usize, [f64; 5], Vec<TabForces>, Vec<ChordForces>);

    fn seen(body: &dyn Body, set: &TabSet, pass: Pass) -> Vec<Seen> {
        let mut list = vec![];
        let held = body.sweep(set, pass, &mut |c| {
            let u = [c.move_x.x, c.move_x.y, c.move_y.x, c.move_y.y, c.rise];
            list.push((c.station, u, c.tabs.to_vec(), c.chords.to_vec()));
        });
        assert!(held);
        list
    }

    fn near(what: &str, a: f64, b: f64, scale: f64, tolerance: f64) {
        assert!((a - b).abs() <= tolerance * scale, "{what}: {a} against {b} of {scale}");
    }

    /// As E grows the elastic part becomes the rigid one: movement, every tab's forces and every section's.
    #[test]
    fn elastic_tends_to_rigid_as_e_grows() {
        let b = bench(Shape::new(Ring::rectangle(40.0, 12.0), vec![]), &[12.0, 46.0, 75.0]);
        let stiff =
            Material { e_along: 1e10, e_across: 1e9, shear_modulus: 1e9, ..b.material.clone() };
        let part = ElasticPart::new(&b.shape, 3.0, &stiff, Some(0.4), true, &[]).unwrap();
        let spots = Spots::new(&part, &b.stations, 0.8);
        let elastic = ElasticBody {
            part: &part,
            contour: &b.contour,
            stations: &b.stations,
            spots: &spots,
            chords: &b.chords,
            lift: 0.5,
            bed: false,
        };
        // The elastic body's loads are spread: near a corner they act in the mean a little inside it. The rigid
        // one is loaded at the same places.
        let placed: Vec<Station> = b
            .stations
            .iter()
            .zip(&spots.means)
            .map(|(s, &at)| Station { at, ..s.clone() })
            .collect();
        let rigid = RigidBody {
            contour: &b.contour,
            stations: &placed,
            chords: &b.chords,
            lift: 0.5,
            patch: 0.8,
        };
        for pass in [Pass::Forward, Pass::Backward, Pass::Free] {
            let (e, r) = (seen(&elastic, &b.set, pass), seen(&rigid, &b.set, pass));
            assert_eq!(e.len(), r.len());
            for (e, r) in e.iter().zip(&r) {
                assert_eq!(e.0, r.0);
                // The rigid body's load directions are x and y, the elastic one's the station's own: compare norms.
                let norm = |u: &[f64; 5]| u[..4].iter().map(|v| v * v).sum::<f64>().sqrt();
                near("movement", norm(&e.1), norm(&r.1), norm(&r.1), 0.005);
                near("rise", e.1[4], r.1[4], r.1[4].abs().max(1e-6), 0.005);
                for (a, b) in e.2.iter().zip(&r.2) {
                    near("axial", a.axial.norm(), b.axial.norm(), 1.0, 0.01);
                    near("shear", a.shear.norm(), b.shear.norm(), 1.0, 0.01);
                    near("bend", a.bend.norm(), b.bend.norm(), 5.0, 0.01);
                    near("lift", a.lift.abs(), b.lift.abs(), 0.5, 0.01);
                    near("tilt", a.bend_out.abs(), b.bend_out.abs(), 2.5, 0.01);
                    near("twist", a.twist.abs(), b.twist.abs(), 2.5, 0.01);
                }
                for (a, b) in e.3.iter().zip(&r.3) {
                    near("section force", a.normal.norm(), b.normal.norm(), 1.0, 0.01);
                    near("section shear", a.shear.norm(), b.shear.norm(), 1.0, 0.01);
                    near("section moment", a.bend.norm(), b.bend.norm(), 10.0, 0.01);
                    near("section lift", a.lift.abs(), b.lift.abs(), 0.5, 0.01);
                    near("section tilt", a.bend_out.abs(), b.bend_out.abs(), 5.0, 0.01);
                }
            }
        }
    }

    /// The floor put back spring by spring is the same as solving with all of it at once.
    #[test]
    fn the_swept_floor_is_the_solved_floor() {
        let b = bench(Shape::new(Ring::rectangle(60.0, 4.0), vec![]), &[12.0, 46.0, 95.0]);
        let part = ElasticPart::new(&b.shape, 3.0, &b.material, Some(0.0), true, &[]).unwrap();
        let spots = Spots::new(&part, &b.stations, 0.8);
        let body = ElasticBody {
            part: &part,
            contour: &b.contour,
            stations: &b.stations,
            spots: &spots,
            chords: &b.chords,
            lift: 0.5,
            bed: false,
        };
        let swept = seen(&body, &b.set, Pass::Forward);
        let order = travel(&b.contour, &b.stations, &b.set, Pass::Forward);
        for k in [0, 7, 20] {
            let mut springs: Vec<Spring> =
                b.set.beams.iter().zip(&b.set.s).flat_map(|(t, &s)| body.tab_plane(t, s)).collect();
            for &i in &order[k + 1..] {
                for d in 0..2 {
                    springs.push(Spring {
                        form: spots.plane.forms[2 * i + d].clone(),
                        k: b.stations[i].floor[d],
                        sections: vec![[0.0; 3]; b.chords.len()],
                    });
                }
            }
            let none = |_: usize, _: usize| vec![[0.0; 3]; b.chords.len()];
            let solved =
                body.held(&part.plane, &spots.plane, &springs, &order[k..=k], &none).unwrap();
            let s = swept.iter().find(|s| s.0 == order[k]).unwrap();
            near("u", s.1[0], solved.at(0, 0), solved.at(0, 0), 1e-9);
            near("v", s.1[3], solved.at(1, 1), solved.at(1, 1), 1e-9);
            for (i, t) in s.2.iter().enumerate() {
                near("axial", t.axial.x, solved.at(2 + 3 * i, 0), 1.0, 1e-9);
                near("bend", t.bend.y, solved.at(2 + 3 * i + 2, 1), 1.0, 1e-9);
            }
        }
    }

    /// A section's forces read off the elements are those of statics, where statics tells them.
    #[test]
    fn sections_of_the_elements_are_those_of_statics() {
        let mut b = bench(Shape::new(Ring::rectangle(60.0, 8.0), vec![]), &[12.0, 46.0, 95.0]);
        b.chords.retain(|c| c.middle().x > 10.0 && c.middle().x < 50.0);
        let statics = b.chords.clone();
        let walls: Vec<Chord> =
            statics.iter().enumerate().map(|(i, c)| Chord { wall: Some(i), ..c.clone() }).collect();
        let part = ElasticPart::new(&b.shape, 2.0, &b.material, Some(0.2), true, &walls).unwrap();
        let spots = Spots::new(&part, &b.stations, 0.8);
        let body = |chords| ElasticBody {
            part: &part,
            contour: &b.contour,
            stations: &b.stations,
            spots: &spots,
            chords,
            lift: 0.5,
            bed: false,
        };
        let (a, w) =
            (seen(&body(&statics), &b.set, Pass::Free), seen(&body(&walls), &b.set, Pass::Free));
        assert!(!statics.is_empty());
        for (a, w) in a.iter().zip(&w) {
            let station = a.0;
            // Near the load the section is not in beam state and the load's spread matters.
            for ((a, w), c) in a.3.iter().zip(&w.3).zip(&statics) {
                let near_tab = b.set.beams.iter().any(|t| t.root.distance(c.middle()) < 10.0);
                if near_tab || b.stations[station].at.distance(c.middle()) < 12.0 {
                    continue;
                }
                near("normal", w.normal.norm(), a.normal.norm(), 1.0, 0.06);
                near("shear", w.shear.norm(), a.shear.norm(), 1.0, 0.06);
                near("moment", w.bend.norm(), a.bend.norm(), 10.0, 0.05);
                near("moment out", w.bend_out.abs(), a.bend_out.abs(), 5.0, 0.1);
            }
        }
    }

    /// With the bed under it a part rises less at the bit, nothing goes below the bed, and forces balance.
    #[test]
    fn the_bed_pushes_and_never_pulls() {
        let b = bench(Shape::new(Ring::rectangle(60.0, 30.0), vec![]), &[20.0, 75.0]);
        let part = ElasticPart::new(&b.shape, 1.5, &b.material, Some(0.0), true, &[]).unwrap();
        let spots = Spots::new(&part, &b.stations, 0.8);
        let body = ElasticBody {
            part: &part,
            contour: &b.contour,
            stations: &b.stations,
            spots: &spots,
            chords: &[],
            lift: 1.0,
            bed: true,
        };
        let order = travel(&b.contour, &b.stations, &b.set, Pass::Free);
        let springs: Vec<Spring> =
            b.set.beams.iter().zip(&b.set.s).flat_map(|(t, &s)| body.tab_out(t, s)).collect();
        let none = |_: usize, _: usize| vec![];
        let held = body.held(&part.out, &spots.out, &springs, &order, &none).unwrap();
        let (m, mut touched) = (order.len(), 0);
        for k in 0..m {
            let push = held.bed(m - 1);
            assert!(push.iter().all(|p| p.1 > 0.0));
            let rise = |i: usize| {
                held.at(i, m - 1) + push.iter().map(|&(j, p)| p * held.at(i, j)).sum::<f64>()
            };
            assert!(rise(k) > -1e-3 * held.at(m - 1, m - 1), "{k} sinks by {}", rise(k));
            assert!(rise(m - 1) <= held.at(m - 1, m - 1) + 1e-12);
            touched += push.len();
            // Forces up: the lift, the bed's pushes and the tabs' pulls (every third spring is a force).
            let pulls: f64 = (0..b.set.s.len())
                .map(|t| {
                    held.at(m + 3 * t, m - 1)
                        + push.iter().map(|&(j, p)| p * held.at(m + 3 * t, j)).sum::<f64>()
                })
                .sum();
            let pushes: f64 = push.iter().map(|p| p.1).sum();
            assert!((1.0 + pushes + pulls).abs() < 1e-9, "{pushes} {pulls}");
        }
        assert!(touched > 0, "the far edge rests on the bed");
    }
}
