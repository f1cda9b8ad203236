//! A part that does not bend: only the tabs deform.

use super::staged::{Body, Case, ChordForces, FloorTie, Held, Sides, Station, TabSet, travel};
use crate::geometry::{Contour, Point, Vector, point};
use crate::hold::part::sections::Chord;
use crate::mechanics::{Beam, Frame, Springs, TabForces, Vector3, dot};

/// A rigid part with the places of the bit on it.
pub struct RigidBody<'a> {
    /// The ring being cut.
    pub contour: &'a Contour,
    /// Places of the bit.
    pub ground: &'a Ground,
    /// Sections to watch: both ends on this ring.
    pub chords: &'a [Chord],
    /// On which side of each section the stations lie (it may cover more sections).
    pub sides: &'a Sides,
    /// Ratio of lift to in-plane force.
    pub lift: f64,
}

/// Places of the bit, with their rows and springs on a rigid part.
pub struct Ground {
    /// The places.
    pub stations: Vec<Station>,
    frame: Frame,
    /// Rows of the displacement along x, along y, and up.
    rows: Vec<[Vector3; 3]>,
    /// Springs of the floor.
    floors: Vec<SpringPair>,
}

impl Ground {
    /// The ground of `stations`.
    pub fn new(stations: Vec<Station>) -> Ground {
        let n = stations.len().max(1) as f64;
        let origin = stations.iter().fold(point(0.0, 0.0), |m, s| m + s.at) / n;
        let far = stations.iter().map(|s| s.at.distance(origin));
        let frame = Frame { origin, size: far.fold(1.0, f64::max) };
        let (x, y) = (point(1.0, 0.0), point(0.0, 1.0));
        let row = |s: &Station| [frame.along(s.at, x), frame.along(s.at, y), frame.rise(s.at)];
        let rows = stations.iter().map(row).collect();
        let floors = stations.iter().map(|s| floor(&frame, s)).collect();
        Ground { stations, frame, rows, floors }
    }
}

fn floor(frame: &Frame, station: &Station) -> SpringPair {
    let mut sum = SpringPair::default();
    let [axial, shear, lift] = station.floor;
    sum.plane.add(axial, &frame.along(station.at, station.out));
    sum.plane.add(shear, &frame.along(station.at, station.out.perp()));
    sum.out.add(lift, &frame.rise(station.at));
    sum
}

/// Springs in the plane and out of it.
#[derive(Clone, Copy, Default)]
struct SpringPair {
    plane: Springs,
    out: Springs,
}

impl SpringPair {
    fn join(&mut self, other: &SpringPair) {
        self.plane.join(&other.plane);
        self.out.join(&other.out);
    }

    fn inverse(&self) -> Option<SpringPair> {
        Some(SpringPair { plane: self.plane.inverse()?, out: self.out.inverse()? })
    }
}

/// Rows from the part's motion to a tab's six forces: springs included.
struct TabRows {
    axial: Vector3,
    shear: Vector3,
    bend: Vector3,
    lift: Vector3,
    bend_out: Vector3,
    twist: Vector3,
    sum: SpringPair,
}

/// The rigid part on its tabs.
struct RigidOnTabs<'b> {
    body: &'b RigidBody<'b>,
    set: &'b TabSet,
    tabs: Vec<TabRows>,
    held: SpringPair,
    /// The inverse of `held`.
    inverse: SpringPair,
    /// Springs of the tabs on each section's side.
    sides: Vec<SpringPair>,
}

impl RigidBody<'_> {
    fn tab_rows(&self, frame: &Frame, beam: &Beam) -> TabRows {
        let (m, k) = (beam.middle(), &beam.stiffness);
        let along = beam.out.perp();
        let rows = [frame.along(m, beam.out), frame.along(m, along), frame.turn()];
        let outs = [frame.rise(m), frame.tilt(along), frame.tilt(beam.out)];
        let mut sum = SpringPair::default();
        for (row, k) in rows.iter().zip([k.axial, k.shear, k.bend]) {
            sum.plane.add(k, row);
        }
        for (row, k) in outs.iter().zip([k.lift, k.bend_out, k.twist]) {
            sum.out.add(k, row);
        }
        let times = |r: &Vector3, k: f64| r.map(|v| v * k);
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
}

impl Body for RigidBody<'_> {
    fn hold<'b>(&'b self, set: &'b TabSet) -> Option<Box<dyn Held + 'b>> {
        let tabs: Vec<TabRows> =
            set.beams.iter().map(|b| self.tab_rows(&self.ground.frame, b)).collect();
        let mut held = SpringPair::default();
        tabs.iter().for_each(|t| held.join(&t.sum));
        let inverse = held.inverse()?;
        let side = |c: &Chord| {
            let mut sum = SpringPair::default();
            for (t, _) in tabs.iter().zip(&set.s).filter(|(_, s)| c.side(self.contour, **s)) {
                sum.join(&t.sum);
            }
            sum
        };
        let sides = self.chords.iter().map(side).collect();
        Some(Box::new(RigidOnTabs { body: self, set, tabs, held, inverse, sides }))
    }
}

impl Held for RigidOnTabs<'_> {
    fn sweep(&self, start: f64, pass: FloorTie, visit: &mut dyn FnMut(&Case) -> bool) {
        let body = self.body;
        let (mut held, mut inverse, mut sides) = (self.held, self.inverse, self.sides.clone());
        let mut tab_forces = vec![TabForces::default(); self.tabs.len()];
        let mut chord_forces = vec![ChordForces::default(); body.chords.len()];
        let order = travel(body.contour, &body.ground.stations, self.set, start, pass);
        // From the end of the pass backwards, so that the floor is only ever added.
        for &i in order.iter().rev() {
            let case = self.case(i, &inverse, &sides, &mut tab_forces, &mut chord_forces);
            if !visit(&case) {
                return;
            }
            if pass == FloorTie::Free {
                continue;
            }
            let floor = &body.ground.floors[i];
            held.plane.join(&floor.plane);
            // Stiffer by magnitudes than the tabs: nothing moves any more.
            let Some(plane) = held.plane.inverse() else { return };
            inverse.plane = plane;
            if body.lift > 0.0 {
                held.out.join(&floor.out);
                let Some(out) = held.out.inverse() else { return };
                inverse.out = out;
            }
            for (k, side) in sides.iter_mut().enumerate() {
                if body.sides.side(i, k) {
                    side.join(floor);
                }
            }
        }
    }
}

impl RigidOnTabs<'_> {
    /// The part's motion, and the forces in tabs and sections, with the bit at station `i`.
    fn case<'a>(
        &self,
        i: usize,
        inverse: &SpringPair,
        sides: &[SpringPair],
        tab_forces: &'a mut [TabForces],
        chord_forces: &'a mut [ChordForces],
    ) -> Case<'a> {
        let (body, frame) = (self.body, &self.body.ground.frame);
        let [rx, ry, rz] = body.ground.rows[i];
        let (ux, uy) = (inverse.plane.times(&rx), inverse.plane.times(&ry));
        let uz = inverse.out.times(&rz).map(|v| v * body.lift);
        for (f, t) in tab_forces.iter_mut().zip(&self.tabs) {
            let both = |r: &Vector3| point(dot(r, &ux), dot(r, &uy));
            *f = TabForces {
                axial: both(&t.axial),
                shear: both(&t.shear),
                bend: both(&t.bend),
                lift: dot(&t.lift, &uz),
                bend_out: dot(&t.bend_out, &uz),
                twist: dot(&t.twist, &uz),
            };
        }
        for (k, (f, side)) in chord_forces.iter_mut().zip(sides).enumerate() {
            let loaded = body.sides.share(i, k);
            let acting = |springs: &Springs, u: &Vector3, r: &Vector3, load: f64| {
                let back = springs.times(u);
                [0, 1, 2].map(|j| load * loaded * r[j] - back[j])
            };
            let in_plane = [acting(&side.plane, &ux, &rx, 1.0), acting(&side.plane, &uy, &ry, 1.0)];
            let out = acting(&side.out, &uz, &rz, body.lift);
            *f = section(frame, &body.chords[k], in_plane, out);
        }
        Case {
            station: i,
            move_x: point(dot(&rx, &ux), dot(&ry, &ux)),
            move_y: point(dot(&rx, &uy), dot(&ry, &uy)),
            rise: dot(&rz, &uz),
            tabs: tab_forces,
            chords: chord_forces,
        }
    }
}

/// Forces of the section on the side `from`..`to`, from the forces on that side.
fn section(frame: &Frame, chord: &Chord, plane: [Vector3; 2], out: Vector3) -> ChordForces {
    let (n, t, c) = (chord.normal(), chord.normal().perp(), chord.middle());
    let arm = c - frame.origin;
    let force = |r: &Vector3| point(r[0], r[1]);
    let moment = |r: &Vector3| r[2] * frame.size - arm.cross(force(r));
    let both = |f: &dyn Fn(&Vector3) -> f64| point(f(&plane[0]), f(&plane[1]));
    // Out of the plane: force up, and the moment about the section's own line (axis t).
    let about: Point = point(out[1], out[2]) * frame.size;
    let own = about - point(arm.y, -arm.x) * out[0];
    ChordForces {
        normal: both(&|r| force(r).dot(n)),
        shear: both(&|r| force(r).dot(t)),
        bend: both(&moment),
        lift: out[0],
        bend_out: own.dot(t),
    }
}
