//! Slots, holes, gaps and teeth as wide as the bit: `inspect` accepts exactly those from which the cut leaves nothing standing.
//!
//! What the paths cut is computed outside the project: buffers of the centre-lines and of the parts, and their differences, by
//! crate `geo` (its own offset and boolean engine; ours is Clipper's). Expected areas are plane geometry, worked in place.

use crate::verify_support::{Kind, circle, place, sheet, tab_near};
use geo::algorithm::buffer::{Buffer, BufferStyle, LineCap, LineJoin};
use geo::{Area, BooleanOps, LineString, MultiPolygon};
use rand::{RngExt, SeedableRng, rngs::Xoshiro256PlusPlus};
use std::f64::consts::PI;
use tabwright::cut::{CutFault, CutPlan, Path, faults_of, plan_cut};
use tabwright::drawing::largest_bit;
use tabwright::geometry::{EdgeIndex, Point, Pose, Ring, Shape, Vector, point};
use tabwright::layout::Sheet;

const D: f64 = 3.175;
const R: f64 = D / 2.0;
/// The usual allowance, mm.
const ALLOWANCE: f64 = 0.05;

/// A part with a detail of known width, and that detail.
struct Case {
    what: &'static str,
    shape: Shape,
    detail: Vec<Ring>,
    /// Square inside corners of the detail: a disc leaves R² (1 - pi / 4) in each.
    corners: usize,
}

fn ring(points: &[(f64, f64)]) -> Ring {
    Ring(points.iter().map(|&(x, y)| point(x, y)).collect())
}

/// A plate of 50 x 30 with these openings.
fn plate(what: &'static str, openings: Vec<Ring>, corners: usize) -> Case {
    let shape = Shape::new(Ring::rectangle(50.0, 30.0), openings.clone());
    Case { what, shape, detail: openings, corners }
}

/// A slot of width `w` and length `l` about (25, 15), its ends round or square.
fn slot(w: f64, l: f64, round: bool) -> Ring {
    if !round {
        return Ring::rectangle(l, w).moved(point(25.0 - l / 2.0, 15.0 - w / 2.0));
    }
    let end = |x: f64, from: f64| {
        (0..=48).map(move |k| {
            point(x, 15.0) + point(w / 2.0, 0.0).turned(from + PI * f64::from(k) / 48.0)
        })
    };
    Ring(
        end(25.0 + l / 2.0 - w / 2.0, -PI / 2.0)
            .chain(end(25.0 - l / 2.0 + w / 2.0, PI / 2.0))
            .collect(),
    )
}

/// A plate with notches of width `w` and the given depth, open at its top edge, at these places.
fn notched(what: &'static str, w: f64, depth: f64, at: &[f64]) -> Case {
    let mut points = vec![(0.0, 0.0)];
    let mut detail = vec![];
    for &x in at {
        let (a, b) = (x - w / 2.0, x + w / 2.0);
        points.extend([(a, 0.0), (a, depth), (b, depth), (b, 0.0)]);
        detail.push(ring(&[(a, 0.0), (b, 0.0), (b, depth), (a, depth)]));
    }
    points.extend([(50.0, 0.0), (50.0, 30.0), (0.0, 30.0)]);
    let corners = 2 * at.len();
    Case { what, shape: Shape::new(ring(&points), vec![]), detail, corners }
}

/// The part on a sheet, rotated by `turn`, held by a tab at its lower edge.
fn laid(shape: &Shape, turn: f64) -> Sheet {
    let tabs =
        vec![tab_near(shape, 0, point(25.0, 30.0), 4.0), tab_near(shape, 0, point(0.0, 15.0), 4.0)];
    let kind = Kind { name: "part", shape: shape.clone(), tabs, features: vec![] };
    let mut s = sheet(160.0, 160.0);
    s.parts = vec![place(&kind, 1, Pose::new(point(80.0, 80.0), turn))];
    s
}

/// The area that the bit's disc covers along the through passes, by `geo`.
fn swept(plan: &CutPlan) -> MultiPolygon<f64> {
    let style = BufferStyle::new(R).line_join(LineJoin::Round(0.03)).line_cap(LineCap::Round(0.03));
    let paths = plan.paths.iter().flat_map(|p| p.through()).flat_map(|p| &p.paths);
    let one = |path: &Path| -> MultiPolygon<f64> {
        match path.points[..] {
            [only] => geo::Point::from(only).buffer_with_style(style.clone()),
            _ => {
                let mut points = path.points.clone();
                points.extend(path.closed.then(|| path.points[0]));
                LineString::new(points).buffer_with_style(style.clone())
            }
        }
    };
    paths.map(one).fold(MultiPolygon::new(vec![]), |all, one| all.union(&one))
}

/// mm² of the detail that the cut leaves, and mm² that it takes from the part deeper than `allowed`.
fn outside_opinion(case: &Case, s: &Sheet, plan: &CutPlan, allowed: f64) -> (f64, f64) {
    let swept = swept(plan);
    let pose = s.parts[0].pose();
    let left = |r: &Ring| {
        let detail = Shape::new(r.map(|p| pose.apply(p)), vec![]).to_geo();
        let left = MultiPolygon::new(vec![detail]).difference(&swept);
        // What drops out of the middle of a wide place stands on nothing.
        let edge = r.map(|p| pose.apply(p));
        let stands =
            |p: &&geo::Polygon<f64>| p.exterior().coords().any(|c| edge.edge_distance(*c) < 0.02);
        left.iter().filter(stands).map(|p| p.unsigned_area()).sum::<f64>()
    };
    let core = s.parts[0].shape().to_geo().buffer(-allowed);
    (case.detail.iter().map(left).sum(), core.intersection(&swept).unsigned_area())
}

/// Whether the project's own simulated cut finds anything standing or gouged.
fn good(plan: &CutPlan) -> bool {
    let of_cut = |f: &CutFault| {
        matches!(
            f,
            CutFault::TooNarrow { .. }
                | CutFault::NotReached { .. }
                | CutFault::LeftStanding { .. }
                | CutFault::LeftUncut { .. }
                | CutFault::Gouge { .. }
        )
    };
    !plan.faults.iter().any(of_cut)
}

/// Compares the rule, the simulated cut and the outside computation on one case.
#[track_caller]
fn agree(case: &Case, turn: f64, expected: bool, note: &str) {
    let what = format!("{} at {turn:.3} rad, {note}", case.what);
    assert_eq!(largest_bit(&case.shape).passes(D, ALLOWANCE), expected, "{what}");
    let s = laid(&case.shape, turn);
    let plan = plan_cut(&s);
    assert_eq!(good(&plan), expected, "{what}: {:?}", plan.faults);
    // Half the allowance on either side; 0.012: the offsets' slack and `geo`'s chords.
    let (standing, gouged) = outside_opinion(case, &s, &plan, ALLOWANCE / 2.0 + 0.012);
    let fillets = case.corners as f64 * R * R * (1.0 - PI / 4.0);
    let edge: f64 = case.detail.iter().map(Ring::perimeter).sum();
    // A film of 0.012 mm along all edges.
    let cut = standing <= fillets + 0.012 * edge;
    assert_eq!(cut, expected, "{what}: {standing:.3} mm² stands, {fillets:.3} is the corners'");
    assert!(gouged < 1e-3, "{what}: {gouged} mm² gouged");
}

#[test]
fn the_rule_says_yes_exactly_where_the_cut_leaves_nothing_standing() {
    let mut counts = [0, 0];
    for seed in 0..12 {
        let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
        for kind in 0..6 {
            let e: f64 = rng.random_range(-0.2..0.2);
            let turn = rng.random_range(-PI..PI);
            // Nearer to the limit than offsets are exact is not what this is about.
            if (e + ALLOWANCE).abs() < 0.002 {
                continue;
            }
            let w = D + e;
            let l = rng.random_range(6.0..30.0);
            let case = match kind {
                0 => plate("slot with square ends", vec![slot(w, l, false)], 4),
                1 => plate("slot with round ends", vec![slot(w, l, true)], 0),
                2 => plate("hole", vec![circle(point(25.0, 15.0), w / 2.0, 96)], 0),
                3 => notched("notch", w, rng.random_range(3.0..20.0), &[25.0]),
                4 => {
                    let pitch = w + rng.random_range(2.0..4.0);
                    notched("teeth", w, 8.0, &[25.0 - pitch, 25.0, 25.0 + pitch])
                }
                _ => {
                    // Two rooms of 8 x 8 with a gap of 4 mm between them: eight corners of the rooms.
                    let (a, b) = (15.0 - w / 2.0, 15.0 + w / 2.0);
                    let rooms = ring(&[
                        (15., 11.),
                        (23., 11.),
                        (23., a),
                        (27., a),
                        (27., 11.),
                        (35., 11.),
                        (35., 19.),
                        (27., 19.),
                        (27., b),
                        (23., b),
                        (23., 19.),
                        (15., 19.),
                    ]);
                    plate("gap between two rooms", vec![rooms], 8)
                }
            };
            let expected = e >= -ALLOWANCE;
            counts[usize::from(expected)] += 1;
            agree(&case, turn, expected, &format!("seed {seed}, width {e:+.4}"));
        }
    }
    assert!(counts.iter().all(|n| *n > 15), "{counts:?}");
}

/// A detail exactly as wide as the bit and one narrower by exactly the allowance are both cut.
#[test]
fn the_limit_itself_is_cut() {
    for e in [0.0, -ALLOWANCE] {
        for turn in [0.0, 0.3, PI / 2.0, 2.0] {
            agree(&plate("slot", vec![slot(D + e, 20.0, false)], 4), turn, true, &format!("{e}"));
            agree(
                &plate("hole", vec![circle(point(25.0, 15.0), (D + e) / 2.0, 96)], 0),
                turn,
                true,
                "",
            );
            agree(&notched("notch", D + e, 10.0, &[25.0]), turn, true, &format!("{e}"));
        }
    }
}

/// Details that branch, bend, open into wider ones or taper.
#[test]
fn slots_of_other_forms_are_cut_along_their_middle() {
    let w = D - 0.03;
    let (a, b) = (-w / 2.0, w / 2.0);
    let at = |points: &[(f64, f64)]| ring(points).moved(point(25.0, 15.0));
    // A cross of two slots of 20: its four ends have two square corners each.
    let cross = at(&[
        (a, -10.),
        (b, -10.),
        (b, a),
        (10., a),
        (10., b),
        (b, b),
        (b, 10.),
        (a, 10.),
        (a, b),
        (-10., b),
        (-10., a),
        (a, a),
    ]);
    let tee = at(&[(-10., a), (10., a), (10., b), (b, b), (b, 10.), (a, 10.), (a, b), (-10., b)]);
    // An angle: the outer corner is one more.
    let angle = at(&[(a, -8.), (b, -8.), (b, 8. - w), (9., 8. - w), (9., 8.), (a, 8.)]);
    // A keyhole: a round of 5 mm and a slot of 12 from it.
    let mouth = (b / 5.0f64).asin();
    let mut keyhole: Vec<Point> = (0..=80)
        .map(|k| point(5.0, 0.0).turned(mouth + (2.0 * PI - 2.0 * mouth) * f64::from(k) / 80.0))
        .collect();
    keyhole.extend([point(17.0, a), point(17.0, b)]);
    let keyhole = Ring(keyhole).moved(point(20.0, 15.0));
    // Three quarters of an annulus, its middle at 8 mm.
    let arc =
        |r: f64| (0..=120).map(move |k| point(r, 0.0).turned(1.5 * PI * f64::from(k) / 120.0));
    let outer: Vec<Point> = arc(8.0 + b).collect();
    let annular =
        Ring(outer.into_iter().chain(arc(8.0 + a).rev()).collect()).moved(point(25.0, 15.0));
    // Its ends are relieved by squares of 8 mm: four corners each.
    let bone = at(&[
        (-12., -4.0),
        (-4., -4.0),
        (-4., a),
        (4., a),
        (4., -4.0),
        (12., -4.0),
        (12., 4.0),
        (4., 4.0),
        (4., b),
        (-4., b),
        (-4., 4.0),
        (-12., 4.0),
    ]);
    // From 0.4 wider than the bit.
    let wide = (D + 0.4) / 2.0;
    // A disc of the bit's size before the end is 0.16 - 0.56 / 20 x 1.5875 = 0.12 too wide.
    let too_thin = (D - 0.16) / 2.0;
    let narrow = at(&[(-10., -wide), (10., -too_thin), (10., too_thin), (-10., wide)]);
    for (what, opening, corners, expected) in [
        ("cross", cross, 8, true),
        ("tee", tee, 6, true),
        ("angle", angle, 5, true),
        ("keyhole", keyhole, 2, true),
        ("annular slot", annular, 4, true),
        ("dog-bone", bone, 8, true),
        ("taper that gets too narrow", narrow, 4, false),
    ] {
        for turn in [0.0, 0.7, 1.9] {
            agree(&plate(what, vec![opening.clone()], corners), turn, expected, "");
        }
    }
}

/// Slots of 7 mm with round ends, wider than the bit by microns: their line stays on the axis from end to end.
#[test]
fn lines_do_not_wander_in_round_ends() {
    for e in [0.0, 0.001, 0.003, 0.006, 0.012, 0.019] {
        for turn in [0.0, 0.4, 0.96, 2.5] {
            let case = plate("slot", vec![slot(D + e, 7.0, true)], 0);
            let s = laid(&case.shape, turn);
            let pose = s.parts[0].pose();
            for path in plan_cut(&s).paths[0].passes.iter().filter(|p| p.ring == 1) {
                for p in path.paths.iter().flat_map(|p| &p.points).map(|p| pose.inverse(*p)) {
                    // Half of what a path may cut into a part.
                    let off = (p.y - 15.0).abs();
                    assert!(
                        off <= e / 2.0 + 0.005,
                        "{off} beside the axis, {e} wider, turned by {turn}"
                    );
                }
            }
        }
    }
}

/// By hand: a slot of 20 mm, 0.03 narrower than the bit, sweeps a stadium of 20 - D between the centres of its ends; a hole sweeps
/// a disc. The line lies on the slot's axis, the plunge in the hole's centre.
#[test]
fn what_is_swept_is_the_stadium_and_the_disc() {
    let hole = point(40.0, 8.0);
    let openings = vec![slot(D - 0.03, 20.0, false), circle(hole, (D - 0.02) / 2.0, 64)];
    let case = plate("plate", openings, 4);
    let s = laid(&case.shape, 0.4);
    let plan = plan_cut(&s);
    assert!(good(&plan), "{:?}", plan.faults);
    let pose = s.parts[0].pose();
    let of_ring = |ring: usize| -> Vec<&Path> {
        plan.paths[0].through().filter(|p| p.ring == ring).flat_map(|p| &p.paths).collect()
    };
    let [line] = of_ring(1)[..] else { panic!("{:?}", of_ring(1)) };
    assert_eq!((line.points.len(), line.closed), (2, false));
    // Offsets keep up to 0.0046 mm more from each end.
    assert!(
        line.length() <= 20.0 - D + 1e-6 && line.length() >= 20.0 - D - 0.01,
        "{}",
        line.length()
    );
    let axis = [point(15.0 + R, 15.0), point(35.0 - R, 15.0)].map(|p| pose.apply(p));
    let ends = [line.start(), line.end()];
    let near = |p: Point| ends.iter().map(|e| e.distance(p)).fold(f64::INFINITY, f64::min);
    assert!(near(axis[0]) < 0.006 && near(axis[1]) < 0.006, "{ends:?} {axis:?}");
    let [plunge] = of_ring(2)[..] else { panic!("{:?}", of_ring(2)) };
    assert_eq!(plunge.points.len(), 1);
    assert!(plunge.start().distance(pose.apply(hole)) < 0.002);
    let swept = swept(&plan);
    let about =
        |p: Point, r: f64| MultiPolygon::new(vec![Shape::new(circle(p, r, 720), vec![]).to_geo()]);
    let middle = pose.apply(point(25.0, 15.0));
    let (near_slot, near_hole) = (about(middle, 12.0), about(pose.apply(hole), 3.0));
    let area = |window: &MultiPolygon<f64>| window.intersection(&swept).unsigned_area();
    let stadium = D * line.length() + PI * R * R;
    assert!((area(&near_slot) - stadium).abs() < 0.05, "{} {stadium}", area(&near_slot));
    assert!((area(&near_hole) - PI * R * R).abs() < 0.02, "{}", area(&near_hole));
    // Said: both, with how much wider.
    let wider: Vec<(usize, f64)> = plan.widened.iter().map(|w| (w.ring, w.wider)).collect();
    assert_eq!(wider.len(), 2, "{wider:?}");
    assert!(wider[0].0 == 1 && (wider[0].1 - 0.03).abs() < 0.001, "{wider:?}");
    // The 64-gon stands for the circle through its corners.
    assert!(wider[1].0 == 2 && (wider[1].1 - 0.02).abs() < 0.001, "{wider:?}");
}

/// An overcut is accepted on the middle of a detail and nowhere else.
#[test]
fn beside_the_middle_an_overcut_is_a_gouge() {
    let case = plate("slot", vec![slot(D - 0.03, 20.0, false)], 4);
    let s = laid(&case.shape, 0.0);
    let paths = plan_cut(&s).paths;
    assert_eq!(faults_of(&s, &paths), plan_cut(&s).faults);
    let depth = |faults: &[CutFault]| {
        faults
            .iter()
            .find_map(|f| if let CutFault::Gouge { depth, .. } = f { Some(*depth) } else { None })
    };
    let moved = |ring: usize, by: Point| {
        let mut paths = paths.clone();
        let passes = paths[0].passes.iter_mut().filter(|p| p.ring == ring);
        passes.flat_map(|p| &mut p.paths).flat_map(|p| &mut p.points).for_each(|p| *p = *p + by);
        depth(&faults_of(&s, &paths))
    };
    // Across the slot: 0.015 on the one side and 0.02 more.
    let aside = moved(1, point(0.0, 0.02)).expect("a gouge");
    assert!((aside - 0.035).abs() < 0.002, "{aside}");
    // The outline's line, 0.02 into the part, where half the allowance would be 0.025: the line keeps up to 0.0046 more.
    let into = moved(0, point(0.0, 0.02)).expect("a gouge");
    assert!((0.015..=0.0201).contains(&into), "{into}");
}

/// Climb milling for a bit that turns clockwise seen from above (common practice, no source): the part lies on the right of the
/// direction of travel; on a page with y down that is the direction rotated by +90 degrees.
#[test]
fn the_part_lies_on_the_right_of_outlines_and_openings() {
    let case = plate("plate", vec![slot(8.0, 20.0, true)], 0);
    for turn in [0.0, 1.0, 4.0] {
        let s = laid(&case.shape, turn);
        let shape = s.parts[0].shape();
        let mut rings = vec![];
        for pass in plan_cut(&s).paths[0].passes.iter() {
            for path in &pass.paths {
                for w in path.points.windows(2).filter(|w| w[0].distance(w[1]) > 0.01) {
                    let right = (w[1] - w[0]).unit().expect("a way").perp();
                    let middle = w[0].lerp(w[1], 0.5);
                    assert!(shape.contains(middle + right * (R + 0.1)), "ring {}", pass.ring);
                    assert!(!shape.contains(middle - right * (R + 0.1)), "ring {}", pass.ring);
                    rings.push(pass.ring);
                }
            }
        }
        assert!(rings.contains(&0) && rings.contains(&1));
    }
}

/// A hole as drawing programs write it: 64 chords, or four cubic curves with the usual handle of 0.5523 of the radius, which are up
/// to 0.027 % off; both microns under the bit's size.
#[test]
fn holes_as_programs_draw_them_are_plunged() {
    let k = 0.5523 * R;
    let bezier = format!(
        "M {x1} 15 C {x1} {d} {e} {y1} 25 {y1} C {f} {y1} {x0} {d} {x0} 15 C {x0} {u} {f} {y0} 25 {y0} \
         C {e} {y0} {x1} {u} {x1} 15 Z",
        x0 = 25.0 - R,
        x1 = 25.0 + R,
        y0 = 15.0 - R,
        y1 = 15.0 + R,
        d = 15.0 + k,
        u = 15.0 - k,
        e = 25.0 + k,
        f = 25.0 - k,
    );
    let chords: Vec<String> = circle(point(25.0, 15.0), R - 0.002, 64)
        .0
        .iter()
        .map(|p| format!("{:.3} {:.3}", p.x, p.y))
        .collect();
    let polygon = format!("M {} Z", chords.join(" L "));
    for hole in [bezier, polygon] {
        let text = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='50mm' height='30mm' viewBox='0 0 50 30'>\
             <path fill='none' stroke='black' d='M 0 0 H 50 V 30 H 0 Z {hole}'/></svg>"
        );
        let options = tabwright::drawing::ReadOptions::default();
        let drawing = tabwright::drawing::read(&text, "plate.svg", &options).expect("a drawing");
        let shape = &drawing.parts[0].shape;
        assert!(largest_bit(shape).passes(D, ALLOWANCE), "{:?}", largest_bit(shape));
        let s = laid(shape, 0.2);
        let plan = plan_cut(&s);
        assert!(good(&plan), "{:?}", plan.faults);
        let paths: Vec<&Path> =
            plan.paths[0].through().filter(|p| p.ring == 1).flat_map(|p| &p.paths).collect();
        assert!(paths.len() == 1 && paths[0].points.len() == 1, "{paths:?}");
        let centre = s.parts[0].pose().apply(point(25.0, 15.0));
        assert!(paths[0].start().distance(centre) < 0.005);
    }
}

/// A line into a notch stays clear of a tab beside it, and a line beside an edge keeps its distance elsewhere.
#[test]
fn centre_lines_keep_half_the_allowance_at_most() {
    let case = notched("notch", D - 0.04, 12.0, &[20.0]);
    let s = laid(&case.shape, 0.9);
    let index = EdgeIndex::new(&s.parts[0].shape());
    let mut least = f64::INFINITY;
    for path in plan_cut(&s).paths[0].passes.iter().flat_map(|p| &p.paths) {
        for w in path.points.windows(2) {
            for t in [0.0, 0.5, 1.0] {
                least = least.min(index.nearest(w[0].lerp(w[1], t)).expect("an edge").distance);
            }
        }
    }
    assert!((least - (D - 0.04) / 2.0).abs() < 1e-4, "{least}");
}

/// A slot that tapers from 0.4 mm wider than the bit to 0.04 mm narrower.
#[test]
fn a_tapered_slot_is_cut_to_its_end() {
    let (wide, thin) = ((D + 0.4) / 2.0, (D - 0.04) / 2.0);
    let taper = ring(&[(-10., -wide), (10., -thin), (10., thin), (-10., wide)]);
    let case = plate("taper", vec![taper.moved(point(25.0, 15.0))], 4);
    agree(&case, 0.0, true, "");
}
