//! The elastic body against the rigid one, against itself by other routes, and against another program.

use super::seat::SeatSpring;
use super::*;
use crate::geometry::{Ring, Shape, Vector};
use crate::hold::fem::compliance::{ElasticMesh, TRIANGLES};
use crate::hold::model::rigid::{Ground, RigidBody};
use crate::hold::model::staged::{Sides, stations};
use crate::hold::part::grained_sheet::GrainedSheet;
use crate::hold::part::sections::{Chord, chords, narrowest};
use crate::job::{Material, find_material};
use crate::layout::Tab;
use crate::mechanics::Beam;

struct Bench {
    shape: Shape,
    contour: Contour,
    material: Material,
    stations: Vec<Station>,
    chords: Vec<Chord>,
    set: TabSet,
}

/// A bar with three tabs in walnut, the grain oblique.
fn bench(shape: Shape, at: &[f64]) -> Bench {
    let contour = Contour::new(&shape.outline).unwrap();
    let material = find_material("walnut", 3.0).unwrap().clone();
    let sheet = GrainedSheet { thickness: 3.0, material: &material, grain: Some(0.4) };
    let stations = stations(&contour, &contour.spaced(2.0, 12, 40), 0.4, 1.5875, sheet);
    let mut chords = narrowest(&chords(&shape, std::slice::from_ref(&contour)));
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
                waste: false,
            };
            (s, Beam::new(&tab, &material, Some(0.4), 1.5875, 3.0))
        })
        .collect();
    Bench { shape, contour, material, stations, chords, set: TabSet::of(tabs) }
}

impl Bench {
    /// The part on its mesh, the grain at an angle, bending too.
    fn elastic(&self, thickness: f64, grain: Option<f64>) -> ElasticPart {
        let mesh = ElasticMesh::new(&self.shape, TRIANGLES).unwrap();
        let sheet = GrainedSheet { thickness, material: &self.material, grain };
        ElasticPart::new(&mesh, sheet, true, &[]).unwrap()
    }

    /// The part on the bench's places of the bit.
    fn held<'a>(
        &'a self,
        part: &'a ElasticPart,
        condensed: &'a CondensedCompliance,
        lift: f64,
        bed: Bed,
    ) -> ElasticBody<'a> {
        ElasticBody { part, contour: &self.contour, stations: &self.stations, condensed, lift, bed }
    }
}

type Seen = (usize, [f64; 5], Vec<TabForces>, Vec<ChordForces>);

fn seen(body: &dyn Body, set: &TabSet, pass: FloorTie) -> Vec<Seen> {
    let mut list = vec![];
    body.hold(set).unwrap().sweep(set.start, pass, &mut |c| {
        let u = [c.move_x.x, c.move_x.y, c.move_y.x, c.move_y.y, c.rise];
        list.push((c.station, u, c.tabs.to_vec(), c.chords.to_vec()));
        true
    });
    list
}

fn near(what: &str, a: f64, b: f64, scale: f64, tolerance: f64) {
    assert!((a - b).abs() <= tolerance * scale, "{what}: {a} against {b} of {scale}");
}

/// As E grows the elastic part becomes the rigid one: movement, every tab's forces and every section's.
#[test]
fn elastic_tends_to_rigid_as_e_grows() {
    let b = bench(Shape::new(Ring::rectangle(40.0, 12.0), vec![]), &[12.0, 46.0, 75.0]);
    let stiff = Material { e_along: 1e10, e_across: 1e9, shear_modulus: 1e9, ..b.material.clone() };
    let sheet = GrainedSheet { thickness: 3.0, material: &stiff, grain: Some(0.4) };
    let mesh = ElasticMesh::new(&b.shape, TRIANGLES).unwrap();
    let part = ElasticPart::new(&mesh, sheet, true, &[]).unwrap();
    let condensed = CondensedCompliance::new(&part, &b.contour, &b.stations, &b.chords, 0.8);
    let elastic = b.held(&part, &condensed, 0.5, Bed::Absent);
    // The elastic body's loads are spread: near a corner they act in the mean a little inside it. The rigid
    // one is loaded at the same places.
    let placed: Vec<Station> = b
        .stations
        .iter()
        .zip(&condensed.means)
        .map(|(s, &at)| Station { at, ..s.clone() })
        .collect();
    let sides = Sides::new(&b.contour, &placed, &b.chords, 0.8);
    let rigid = RigidBody {
        contour: &b.contour,
        ground: &Ground::new(placed),
        chords: &b.chords,
        sides: &sides,
        lift: 0.5,
    };
    for pass in [FloorTie::Forward, FloorTie::Backward, FloorTie::Free] {
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

/// Adding the floor back spring by spring equals solving with all of it at once.
#[test]
fn the_swept_floor_is_the_solved_floor() {
    let b = bench(Shape::new(Ring::rectangle(60.0, 4.0), vec![]), &[12.0, 46.0, 95.0]);
    let part = b.elastic(3.0, Some(0.0));
    let condensed = CondensedCompliance::new(&part, &b.contour, &b.stations, &b.chords, 0.8);
    let body = b.held(&part, &condensed, 0.5, Bed::Absent);
    let swept = seen(&body, &b.set, FloorTie::Forward);
    let order = travel(&b.contour, &b.stations, &b.set, b.set.start, FloorTie::Forward);
    for k in [0, 7, 20] {
        let (mut springs, mut stiffness) = (vec![], vec![]);
        for (t, &s) in b.set.beams.iter().zip(&b.set.s) {
            springs.extend(condensed.seat(&part, &b.contour, t, s).plane.clone());
            stiffness.extend([t.stiffness.axial, t.stiffness.shear, t.stiffness.bend]);
        }
        for &i in &order[k + 1..] {
            for d in 0..2 {
                let form = condensed.plane.forms[2 * i + d].clone();
                let sections = vec![[0.0; 3]; b.chords.len()];
                springs.push(SeatSpring::new(&part.plane, &condensed.plane, form, sections));
                stiffness.push(b.stations[i].floor[d]);
            }
        }
        let held = OnSprings::new(&condensed.plane, springs, &stiffness).unwrap();
        let solved = held.condensed(&order[k..=k]);
        let tab = |row: usize, column: usize| solved.carried(row, column);
        let s = swept.iter().find(|s| s.0 == order[k]).unwrap();
        near("u", s.1[0], solved.at(0, 0), solved.at(0, 0), 1e-9);
        near("v", s.1[3], solved.at(1, 1), solved.at(1, 1), 1e-9);
        for (i, t) in s.2.iter().enumerate() {
            near("axial", t.axial.x, tab(3 * i, 0), 1.0, 1e-9);
            near("bend", t.bend.y, tab(3 * i + 2, 1), 1.0, 1e-9);
        }
    }
}

/// A section's forces from the elements equal those of statics, where statics determines them.
#[test]
fn sections_of_the_elements_are_those_of_statics() {
    let mut b = bench(Shape::new(Ring::rectangle(60.0, 8.0), vec![]), &[12.0, 46.0, 95.0]);
    b.chords.retain(|c| c.middle().x > 10.0 && c.middle().x < 50.0);
    let statics = b.chords.clone();
    let ligaments: Vec<Chord> =
        statics.iter().enumerate().map(|(i, c)| Chord { ligament: Some(i), ..c.clone() }).collect();
    let sheet = GrainedSheet { thickness: 2.0, material: &b.material, grain: Some(0.2) };
    let mesh = ElasticMesh::new(&b.shape, TRIANGLES).unwrap();
    let part = ElasticPart::new(&mesh, sheet, true, &ligaments).unwrap();
    let condensed = |c: &[Chord]| CondensedCompliance::new(&part, &b.contour, &b.stations, c, 0.8);
    let body = |condensed| ElasticBody {
        part: &part,
        contour: &b.contour,
        stations: &b.stations,
        condensed,
        lift: 0.5,
        bed: Bed::Absent,
    };
    let (told, read) = (condensed(&statics), condensed(&ligaments));
    let (a, w) =
        (seen(&body(&told), &b.set, FloorTie::Free), seen(&body(&read), &b.set, FloorTie::Free));
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

/// On the bed a part rises less at the bit, nothing goes below the bed, and forces balance.
#[test]
fn the_bed_pushes_and_never_pulls() {
    let b = bench(Shape::new(Ring::rectangle(60.0, 30.0), vec![]), &[20.0, 75.0]);
    let part = b.elastic(1.5, Some(0.0));
    let condensed = CondensedCompliance::new(&part, &b.contour, &b.stations, &[], 0.8);
    let order = travel(&b.contour, &b.stations, &b.set, b.set.start, FloorTie::Free);
    let (mut springs, mut stiffness) = (vec![], vec![]);
    for (t, &s) in b.set.beams.iter().zip(&b.set.s) {
        springs.extend(condensed.seat(&part, &b.contour, t, s).out.clone());
        stiffness.extend([t.stiffness.lift, t.stiffness.bend_out, t.stiffness.twist]);
    }
    let held =
        OnSprings::new(&condensed.out, springs, &stiffness).unwrap().condensed(&order).whole();
    let (m, mut touched) = (order.len(), 0);
    for k in 0..m {
        let push = held.bed(m - 1, &mut vec![]);
        assert!(push.iter().all(|p| p.1 > 0.0));
        let rise = |i: usize| {
            held.at(i, m - 1) + push.iter().map(|&(j, p)| p * held.at(i, j)).sum::<f64>()
        };
        assert!(rise(k) > -1e-8 * held.at(m - 1, m - 1), "{k} sinks by {}", rise(k));
        assert!(rise(m - 1) <= held.at(m - 1, m - 1) + 1e-12);
        touched += push.len();
        // Forces up: the lift, the bed's pushes and the tabs' pulls (every third spring is a force).
        let pulls: f64 = (0..b.set.s.len())
            .map(|t| {
                held.carried(3 * t, m - 1)
                    + push.iter().map(|&(j, p)| p * held.carried(3 * t, j)).sum::<f64>()
            })
            .sum();
        let pushes: f64 = push.iter().map(|p| p.1).sum();
        assert!((1.0 + pushes + pulls).abs() < 1e-9, "{pushes} {pulls}");
    }
    assert!(touched > 0, "the far edge rests on the bed");
    // By another route: over-relaxation, which creeps, and stops where a step is 1e-5 of the deepest place.
    for k in 0..m {
        let rise: Vec<f64> = (0..m).map(|j| held.at(j, k)).collect();
        let at_bit =
            |push: &[(usize, f64)]| push.iter().map(|&(j, p)| p * held.at(k, j)).sum::<f64>();
        let (a, b) = (at_bit(&held.bed(k, &mut vec![])), at_bit(&held.relaxed(rise)));
        near("what the bed does at the bit", a, b, held.at(k, k), 1e-3);
    }
}

/// The floor ahead of the bit can only lessen the displacement of the load at its own place, on the bed too: the compliance is
/// twice the greatest of f u - E(u), and every spring or contact adds to E (Rayleigh's theorem on constraints).
#[test]
fn the_floor_never_makes_the_bit_lift_more() {
    let b = bench(Shape::new(Ring::rectangle(60.0, 30.0), vec![]), &[20.0, 75.0]);
    let part = b.elastic(1.5, Some(0.0));
    let condensed = CondensedCompliance::new(&part, &b.contour, &b.stations, &[], 0.8);
    let body = b.held(&part, &condensed, 1.0, Bed::Everywhere);
    let free = seen(&body, &b.set, FloorTie::Free);
    for pass in [FloorTie::Forward, FloorTie::Backward] {
        for staged in seen(&body, &b.set, pass) {
            let free = free.iter().find(|f| f.0 == staged.0).unwrap();
            let (rise, most) = (staged.1[4], free.1[4]);
            assert!(rise > 0.0 && rise <= most * (1.0 + 1e-9), "{}: {rise} {most}", staged.0);
        }
    }
}

/// One part of the independent check: results of scikit-fem 12.0.2 (numpy 2.4.6, scipy 1.17.1) with other elements, loads and
/// springs; the script stands beside its results in `tests/data/mechanics`.
struct Independent {
    name: &'static str,
    shape: Shape,
    wood: &'static str,
    grain: f64,
    kerf: f64,
    tab: (f64, f64),
    at: Vec<f64>,
    loads: Vec<f64>,
}

fn independent() -> [Independent; 2] {
    let (a, b) = (std::f64::consts::FRAC_PI_6, 11.0 * std::f64::consts::FRAC_PI_6);
    let arc = |r: f64, n: usize, back: bool| {
        (0..=n).map(move |i| {
            let f = i as f64 / n as f64;
            point(r, 0.0).turned(a + (b - a) * if back { 1.0 - f } else { f })
        })
    };
    let hook = Ring(arc(30.0, 300, false).chain(arc(20.0, 300, true)).collect());
    [
        Independent {
            name: "bar",
            shape: Shape::new(Ring::rectangle(60.0, 3.0), vec![]),
            wood: "walnut",
            grain: 0.0,
            kerf: 1.5875,
            tab: (6.0, 0.8),
            at: vec![12.0, 78.0],
            loads: vec![1.5, 30.0, 45.0, 93.0, 110.0],
        },
        Independent {
            name: "hook",
            shape: Shape::new(hook, vec![]),
            wood: "hard maple",
            grain: 0.5,
            kerf: 3.175,
            tab: (5.0, 1.5),
            at: vec![20.0, 75.0, 140.0],
            loads: vec![5.0, 45.0, 110.0, 152.0, 220.0],
        },
    ]
}

/// Movement at the bit and every tab's six forces, in the plane and out of it, on two slender parts: our greatest deviation, the
/// movement as a share of the part's largest, forces as shares of the load, moments as shares of the load times the tab's width.
/// The mesh has about `triangles` triangles and a boundary node every `pitch` mm of edge, or the mesh's default number.
fn off_an_independent_program(triangles: f64, pitch: Option<f64>) -> [f64; 3] {
    let text = include_str!("../../../../tests/data/mechanics/independent.csv");
    let mut rows = 0;
    let mut worst = [0.0f64; 3];
    for part in independent() {
        let contour = Contour::new(&part.shape.outline).unwrap();
        let material = find_material(part.wood, 3.0).unwrap();
        let sheet = GrainedSheet { thickness: 3.0, material, grain: Some(part.grain) };
        let stations = stations(&contour, &part.loads, 0.4, part.kerf, sheet);
        let tabs = part.at.iter().map(|&s| {
            let out = contour.out(s, part.tab.0 / 2.0);
            let tab = Tab {
                at: contour.point(s),
                out,
                width: part.tab.0,
                height: part.tab.1,
                ring: 0,
                waste: false,
            };
            (s, Beam::new(&tab, material, Some(part.grain), part.kerf, 3.0))
        });
        let set = TabSet::of(tabs.collect());
        let mesh = match pitch {
            None => ElasticMesh::new(&part.shape, triangles),
            Some(pitch) => {
                let places = (contour.length() / pitch) as usize;
                ElasticMesh::with_places(&part.shape, triangles, places)
            }
        };
        let elastic = ElasticPart::new(&mesh.unwrap(), sheet, true, &[]).unwrap();
        let condensed =
            CondensedCompliance::new(&elastic, &contour, &stations, &[], part.kerf / 2.0);
        let body = ElasticBody {
            part: &elastic,
            contour: &contour,
            stations: &stations,
            condensed: &condensed,
            lift: 1.0,
            bed: Bed::Absent,
        };
        let cases = seen(&body, &set, FloorTie::Free);
        let largest = |plane: &str| {
            let of = |l: &str| l.split(',').nth(4).unwrap().parse::<f64>().unwrap();
            let movements = text.lines().filter(|l| {
                l.starts_with(&format!("{},{plane},", part.name)) && l.contains(",-1,")
            });
            movements.map(of).fold(0.0, f64::max)
        };
        for line in text.lines().filter(|l| l.starts_with(part.name)) {
            let f: Vec<&str> = line.split(',').collect();
            let number = |i: usize| f[i].parse::<f64>().unwrap();
            let station = part.loads.iter().position(|&l| l == number(2)).unwrap();
            let case = cases.iter().find(|c| c.0 == station).unwrap();
            let u = case.1;
            let theirs = [number(4), number(5), number(6)];
            let (ours, scale) = match (f[1], f[3]) {
                ("plane", "-1") => {
                    let c = Case {
                        station,
                        move_x: point(u[0], u[1]),
                        move_y: point(u[2], u[3]),
                        rise: 0.0,
                        tabs: &[],
                        chords: &[],
                    };
                    ([c.movement(), 0.0, 0.0], [largest("plane"), 1.0, 1.0])
                }
                ("out", "-1") => ([u[4], 0.0, 0.0], [largest("out"), 1.0, 1.0]),
                (plane, tab) => {
                    let t = case.2[tab.parse::<usize>().unwrap()];
                    // Forces against the unit load, moments against it on the tab's width.
                    match plane {
                        "plane" => (
                            [t.axial.norm(), t.shear.norm(), t.bend.norm()],
                            [1.0, 1.0, part.tab.0],
                        ),
                        _ => (
                            [t.lift.abs(), t.bend_out.abs(), t.twist.abs()],
                            [1.0, part.tab.0, part.tab.0],
                        ),
                    }
                }
            };
            for i in 0..3 {
                let error = (ours[i] - theirs[i]).abs() / scale[i];
                // The movement, forces, moments.
                let kind = [usize::from(f[3] != "-1"), 1, 2][i];
                worst[kind] = worst[kind].max(error);
            }
            rows += 1;
        }
    }
    assert_eq!(rows, 70);
    worst
}

/// The other program's results change by 0.05 % at most on meshes twice as fine. Ours keep loads and tabs as hat functions between
/// boundary nodes, 1.5 mm apart on the bar and 2 mm on the hook, where that program spreads the load over half a bit's diameter
/// (0.8 and 1.6 mm): our dent under the bit (0.2 to 0.5 micrometres per newton here) is smaller. Found 3.95, 1.19 and 2.19 %. The
/// hats cause this and not the mesh: 3.1, 0.8 and 1.4 % on eight times the triangles at 1.5 mm, and half of that, 1.55, 0.56 and
/// 0.71 %, at 1 mm.
#[test]
fn figures_of_an_independent_program() {
    for (finer, pitch, most) in
        [(1.0, None, [0.04, 0.012, 0.022]), (8.0, Some(1.0), [0.016, 0.006, 0.0075])]
    {
        let off = off_an_independent_program(finer * TRIANGLES, pitch);
        assert!(
            off.iter().zip(most).all(|(o, m)| *o < m),
            "{finer} {pitch:?}: {off:?} of {most:?}"
        );
    }
}

/// The tabs' forces and the load balance to rounding: two forces and the moment, and the rise and both tilts.
#[test]
fn tab_forces_balance_the_load() {
    let b = bench(Shape::new(Ring::rectangle(60.0, 30.0), vec![]), &[20.0, 75.0, 130.0]);
    let part = b.elastic(3.0, Some(0.4));
    let condensed = CondensedCompliance::new(&part, &b.contour, &b.stations, &[], 0.8);
    let body = b.held(&part, &condensed, 1.0, Bed::Absent);
    for (station, _, tabs, _) in seen(&body, &b.set, FloorTie::Free) {
        let (load, at) = (b.stations[station].out, condensed.means[station]);
        let (mut force, mut moment) = (load, at.cross(load));
        let (mut up, mut tilt) = (1.0, point(at.y, -at.x));
        for (t, beam) in tabs.iter().zip(&b.set.beams) {
            let (m, edge) = (beam.middle(), beam.out.perp());
            let f = beam.out * t.axial.x + edge * t.shear.x;
            force = force + f;
            moment += m.cross(f) + t.bend.x;
            up += t.lift;
            tilt = tilt + point(m.y, -m.x) * t.lift + edge * t.bend_out + beam.out * t.twist;
        }
        assert!(force.norm() < 1e-9 && moment.abs() < 60.0 * 1e-9, "{force:?} {moment}");
        assert!(up.abs() < 1e-9 && tilt.norm() < 60.0 * 1e-9, "{up} {tilt:?}");
    }
}
