//! The last pass, stage by stage: what is not cut yet still holds.
//!
//! The through pass starts beyond one tab, goes round the outline and ends at the same tab. With the
//! bit at a station, everything behind it is severed; ahead a floor as high as the last pass still
//! ties the part. Both ways round are judged, since a program may cut either.

use super::beam::{Beam, Stiffness, TabForces, guided};
use super::chord::Chord;
use super::contour::Contour;
use super::rigid::{Frame, Row, Springs, dot};
use super::strength::{line_angle, modulus_at};
use crate::geometry::{Point, Vector, point};
use crate::job::Material;

/// A place of the bit on the ring being cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Arc length on the ring.
    pub s: f64,
    /// On the edge.
    pub at: Point,
    /// Unit normal away from the part.
    pub out: Point,
    /// Length of edge it stands for, mm.
    pub share: f64,
    /// Springs of the floor left by the last pass, at its edge (no turns: neighbours make them).
    pub floor: [f64; 3],
}

/// Stations of `contour` spaced at most `step`, with the floor's springs for a last pass of `depth` mm.
///
/// The floor is a long strip: in the plane it gives by shear alone, kappa G a/D a mm; along the span by
/// E a/D; up and down as a guided strip. The same give of roots as a tab's is counted.
pub fn stations(
    contour: &Contour,
    positions: &[f64],
    depth: f64,
    kerf: f64,
    material: &Material,
    grain: Option<f64>,
) -> Vec<Station> {
    let share = contour.length() / positions.len().max(1) as f64;
    positions
        .iter()
        .map(|&s| {
            let out = contour.out(s, kerf / 4.0);
            let e = modulus_at(material, grain.map_or(0.0, |g| line_angle(out.y.atan2(out.x), g)));
            let g = material.shear_modulus;
            let area = share * depth;
            let bare = Stiffness {
                axial: e * area / kerf,
                shear: 5.0 / 6.0 * g * area / kerf,
                bend: 0.0,
                lift: guided(e, g, share * depth.powi(3) / 12.0, area, kerf),
                bend_out: 0.0,
                twist: 0.0,
            };
            let soft = bare.softened();
            Station {
                s,
                at: contour.point(s),
                out,
                share,
                floor: [soft.axial, soft.shear, soft.lift],
            }
        })
        .collect()
}

/// Tabs on the ring being cut, in the order of its arc length.
#[derive(Debug, Clone)]
pub struct TabSet {
    /// Their positions, ascending.
    pub s: Vec<f64>,
    /// The beams, in the same order.
    pub beams: Vec<Beam>,
    /// The tab at which the last pass ends.
    pub end: usize,
    /// Where the last pass starts and ends: the end tab's place, though the tab itself may have gone.
    pub start: f64,
}

/// Forces of a section, like [`TabForces`]: a vector for the in-plane load, a number for the lift.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ChordForces {
    /// Along the neck.
    pub normal: Point,
    /// Across it, in the plane.
    pub shear: Point,
    /// Moment in the plane.
    pub bend: Point,
    /// Across it, out of the plane.
    pub lift: f64,
    /// Moment out of the plane.
    pub bend_out: f64,
}

/// One place of the bit, for a unit load in the plane and the lift that goes with it.
pub struct Case<'a> {
    /// Which station.
    pub station: usize,
    /// Displacement at the bit under a unit load along x.
    pub move_x: Point,
    /// The same along y.
    pub move_y: Point,
    /// Rise at the bit under the lift.
    pub rise: f64,
    /// What each tab carries.
    pub tabs: &'a [TabForces],
    /// What each section carries.
    pub chords: &'a [ChordForces],
}

impl Case<'_> {
    /// Greatest displacement at the bit under a unit load of any direction in the plane, with its rise.
    pub fn movement(&self) -> f64 {
        let (x, y) = (self.move_x, self.move_y);
        // Largest singular value of the 2 x 2 matrix [x y].
        let (a, b, c) = (x.dot(x), x.dot(y), y.dot(y));
        let largest = (a + c) / 2.0 + (((a - c) / 2.0).powi(2) + b * b).sqrt();
        (largest + self.rise * self.rise).sqrt()
    }
}

/// How much of the ring the floor still ties.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pass {
    /// The bit goes round with rising arc length, severing as it goes.
    Forward,
    /// The same the other way round.
    Backward,
    /// All is severed: the pass is repeated.
    Free,
}

/// What a body on tabs does at every station of a pass.
pub trait Body {
    /// Calls `visit` for each place of the bit. `false` where the tabs leave the part free to drift.
    fn sweep(&self, set: &TabSet, pass: Pass, visit: &mut dyn FnMut(&Case)) -> bool;
}

/// The order in which the bit meets the stations that no tab covers, starting beyond the end tab.
pub fn travel(contour: &Contour, stations: &[Station], set: &TabSet, pass: Pass) -> Vec<usize> {
    let start = set.start;
    let covered =
        |s: f64| set.s.iter().zip(&set.beams).any(|(&t, b)| contour.apart(s, t) < b.width / 2.0);
    let mut order: Vec<usize> = (0..stations.len()).filter(|&i| !covered(stations[i].s)).collect();
    order.sort_by(|&i, &j| {
        contour.ahead(start, stations[i].s).total_cmp(&contour.ahead(start, stations[j].s))
    });
    if pass == Pass::Backward {
        order.reverse();
    }
    order
}

/// A part that does not bend: only the tabs give.
pub struct RigidBody<'a> {
    /// The ring being cut.
    pub contour: &'a Contour,
    /// Places of the bit.
    pub stations: &'a [Station],
    /// Sections to watch: both ends on this ring.
    pub chords: &'a [Chord],
    /// Lift over in-plane force.
    pub lift: f64,
    /// Length of edge over which the bit's force is spread, mm.
    pub patch: f64,
}

/// Springs in the plane and out of it.
#[derive(Clone, Copy, Default)]
struct Pair {
    plane: Springs,
    out: Springs,
}

impl Pair {
    fn join(&mut self, other: &Pair) {
        self.plane.join(&other.plane);
        self.out.join(&other.out);
    }
}

/// Rows that read a tab's six forces off the part's motion, times their springs.
struct TabRows {
    axial: Row,
    shear: Row,
    bend: Row,
    lift: Row,
    bend_out: Row,
    twist: Row,
    sum: Pair,
}

impl RigidBody<'_> {
    fn frame(&self) -> Frame {
        let n = self.stations.len().max(1) as f64;
        let origin = self.stations.iter().fold(point(0.0, 0.0), |m, s| m + s.at) / n;
        let size = self.stations.iter().map(|s| s.at.distance(origin)).fold(1.0, f64::max);
        Frame { origin, size }
    }

    fn tab_rows(&self, frame: &Frame, beam: &Beam) -> TabRows {
        let (m, k) = (beam.middle(), &beam.stiffness);
        let along = beam.out.perp();
        let rows = [frame.along(m, beam.out), frame.along(m, along), frame.turn()];
        let outs = [frame.rise(m), frame.tilt(along), frame.tilt(beam.out)];
        let mut sum = Pair::default();
        for (row, k) in rows.iter().zip([k.axial, k.shear, k.bend]) {
            sum.plane.add(k, row);
        }
        for (row, k) in outs.iter().zip([k.lift, k.bend_out, k.twist]) {
            sum.out.add(k, row);
        }
        let times = |r: &Row, k: f64| r.map(|v| v * k);
        TabRows {
            axial: times(&rows[0], k.axial),
            shear: times(&rows[1], k.shear),
            bend: times(&rows[2], k.bend),
            lift: times(&outs[0], k.lift),
            bend_out: times(&outs[1], k.bend_out),
            twist: times(&outs[2], k.twist),
            sum,
        }
    }

    fn floor(&self, frame: &Frame, station: &Station) -> Pair {
        let mut sum = Pair::default();
        let [axial, shear, lift] = station.floor;
        sum.plane.add(axial, &frame.along(station.at, station.out));
        sum.plane.add(shear, &frame.along(station.at, station.out.perp()));
        sum.out.add(lift, &frame.rise(station.at));
        sum
    }

    /// Forces of the section on the side `from`..`to`, from what acts on that side.
    fn section(&self, frame: &Frame, chord: &Chord, plane: [Row; 2], out: Row) -> ChordForces {
        let (n, t, c) = (chord.normal(), chord.normal().perp(), chord.middle());
        let arm = c - frame.origin;
        let force = |r: &Row| point(r[0], r[1]);
        let moment = |r: &Row| r[2] * frame.size - arm.cross(force(r));
        let both = |f: &dyn Fn(&Row) -> f64| point(f(&plane[0]), f(&plane[1]));
        // Out of the plane: force up, and the moment about the section's own line (axis t).
        let about = point(out[1], out[2]) * frame.size;
        let own = about - point(arm.y, -arm.x) * out[0];
        ChordForces {
            normal: both(&|r| force(r).dot(n)),
            shear: both(&|r| force(r).dot(t)),
            bend: both(&moment),
            lift: out[0],
            bend_out: own.dot(t),
        }
    }
}

impl Body for RigidBody<'_> {
    fn sweep(&self, set: &TabSet, pass: Pass, visit: &mut dyn FnMut(&Case)) -> bool {
        let frame = self.frame();
        let tabs: Vec<TabRows> = set.beams.iter().map(|b| self.tab_rows(&frame, b)).collect();
        let mut held = Pair::default();
        tabs.iter().for_each(|t| held.join(&t.sum));
        // What acts on each section's side: the tabs there, and the floor as it comes back.
        let mut sides: Vec<Pair> = self
            .chords
            .iter()
            .map(|c| {
                let mut sum = Pair::default();
                for (t, &s) in tabs.iter().zip(&set.s) {
                    if c.side(self.contour, s) {
                        sum.join(&t.sum);
                    }
                }
                sum
            })
            .collect();
        let mut tab_forces = vec![TabForces::default(); tabs.len()];
        let mut chord_forces = vec![ChordForces::default(); self.chords.len()];
        let (x, y) = (point(1.0, 0.0), point(0.0, 1.0));
        // From the end of the pass backwards, so that the floor is only ever added.
        for &i in travel(self.contour, self.stations, set, pass).iter().rev() {
            let station = &self.stations[i];
            let (Some(plane), Some(out)) = (held.plane.inverse(), held.out.inverse()) else {
                return false;
            };
            let (rx, ry, rz) =
                (frame.along(station.at, x), frame.along(station.at, y), frame.rise(station.at));
            let (ux, uy) = (plane.times(&rx), plane.times(&ry));
            let uz = out.times(&rz).map(|v| v * self.lift);
            for (f, t) in tab_forces.iter_mut().zip(&tabs) {
                let both = |r: &Row| point(dot(r, &ux), dot(r, &uy));
                *f = TabForces {
                    axial: both(&t.axial),
                    shear: both(&t.shear),
                    bend: both(&t.bend),
                    lift: dot(&t.lift, &uz),
                    bend_out: dot(&t.bend_out, &uz),
                    twist: dot(&t.twist, &uz),
                };
            }
            for ((f, c), side) in chord_forces.iter_mut().zip(self.chords).zip(&sides) {
                let loaded = c.share(self.contour, station.s, self.patch);
                let acting = |springs: &Springs, u: &Row, r: &Row, load: f64| {
                    let back = springs.times(u);
                    [0, 1, 2].map(|j| load * loaded * r[j] - back[j])
                };
                let in_plane =
                    [acting(&side.plane, &ux, &rx, 1.0), acting(&side.plane, &uy, &ry, 1.0)];
                *f = self.section(&frame, c, in_plane, acting(&side.out, &uz, &rz, self.lift));
            }
            visit(&Case {
                station: i,
                move_x: point(dot(&rx, &ux), dot(&ry, &ux)),
                move_y: point(dot(&rx, &uy), dot(&ry, &uy)),
                rise: dot(&rz, &uz),
                tabs: &tab_forces,
                chords: &chord_forces,
            });
            if pass != Pass::Free {
                let floor = self.floor(&frame, station);
                held.join(&floor);
                for (side, c) in sides.iter_mut().zip(self.chords) {
                    if c.side(self.contour, station.s) {
                        side.join(&floor);
                    }
                }
            }
        }
        true
    }
}
