//! Parts of the clock that must fit each other, measured on the drawings.

use super::draw::case::{BOARD, BOX};
use super::draw::{gear, movement};
use super::reading::part;
use tabwright::geometry::{Pose, Ring, Segment, Vector, point, proper_crossing};

/// The gear `teeth`, its bore's centre at the origin.
fn wheel(teeth: usize) -> Ring {
    let name = if teeth < 20 { format!("pinion-{teeth}") } else { format!("wheel-{teeth}") };
    let shape = part("wheels.svg", &name).shape;
    let bore = shape.openings.iter().find(|o| {
        let b = o.bounds();
        (b.width() - movement::BORE).abs() < 0.01
            && shape.bounds().centre().distance(b.centre()) < 1.0
    });
    let centre = bore.expect("a gear has its bore in the middle").bounds().centre();
    shape.outline.moved(point(-centre.x, -centre.y))
}

/// Every pair of the train, rolled through a tooth at its centre distance m (z1 + z2) / 2: the driven
/// wheel is turned till the flanks touch on either side. Between the touches lies the play, which must
/// be the drawn backlash all the way (an involute keeps it constant, which is the law of gearing), and
/// the middle of the touches must follow the driver at z1 / z2.
#[test]
fn wheels_mesh_with_the_drawn_backlash() {
    for (z1, z2) in movement::PAIRS {
        let (a, b) = (wheel(z1), wheel(z2));
        let apart = gear::MODULE * (z1 + z2) as f64 / 2.0;
        assert_eq!(gear::centre_distance(z1, z2), apart);
        let radius = gear::MODULE * z2 as f64 / 2.0;
        let pitch_angle = std::f64::consts::TAU / z1 as f64;
        let steps = 12;
        let (mut plays, mut drift) = (vec![], vec![]);
        let mut last = 0.0;
        for i in 0..=steps {
            let turn = pitch_angle * f64::from(i) / f64::from(steps);
            let driver = a.map(|p| p.turned(turn));
            let follow = last
                - pitch_angle / f64::from(steps) * f64::from((i > 0) as i32) * z1 as f64
                    / z2 as f64;
            let (low, high) = touches(&driver, &b, apart, follow);
            last = (low + high) / 2.0;
            plays.push((high - low) * radius);
            drift.push(last + turn * z1 as f64 / z2 as f64);
        }
        let spread = |v: &[f64]| {
            let (least, most) =
                v.iter().fold((f64::MAX, f64::MIN), |(l, h), &x| (l.min(x), h.max(x)));
            (least, most)
        };
        let (least, most) = spread(&plays);
        // Chord errors of the drawn flanks and the files' rounding are together below 0.02 mm.
        assert!(
            (least - gear::BACKLASH).abs() < 0.02 && (most - gear::BACKLASH).abs() < 0.02,
            "{z1}:{z2} play {least:.3} to {most:.3} mm, drawn for {}",
            gear::BACKLASH
        );
        let (early, late) = spread(&drift);
        assert!(
            (late - early) * radius < 0.02,
            "{z1}:{z2} runs {:.3} mm uneven",
            (late - early) * radius
        );
    }
}

/// The two turns of `b` about `(apart, 0)` near `start` at which it first overlaps `a`.
fn touches(a: &Ring, b: &Ring, apart: f64, start: f64) -> (f64, f64) {
    // Only the zone of mesh matters: edges beside the line of centres.
    let reach = a.0.iter().map(|p| p.norm()).fold(0.0, f64::max);
    let zone = |s: &Segment| s.a.y.abs() < 9.0 && (s.a.x - reach).abs() < 4.0;
    let near: Vec<Segment> = a.segments().filter(zone).collect();
    let clash = |turn: f64| {
        let pose = Pose { offset: point(apart, 0.0), rotation: turn, mirrored: false };
        let placed = b.map(|p| pose.apply(p));
        let edges = placed.segments().filter(zone).collect::<Vec<_>>();
        near.iter().any(|&s| edges.iter().any(|&t| proper_crossing(s, t)))
    };
    let free = (0..900)
        .map(|i| start + f64::from((i + 1) / 2) * if i % 2 == 0 { 1e-3 } else { -1e-3 })
        .find(|&t| !clash(t))
        .expect("some turn is free of overlap");
    let edge = |way: f64| {
        let (mut clear, mut hit) = (0.0, 0.0005);
        while !clash(free + way * hit) {
            clear = hit;
            hit += 0.0005;
            assert!(hit < 0.2, "the wheels never touch");
        }
        for _ in 0..30 {
            let middle = (clear + hit) / 2.0;
            if clash(free + way * middle) { hit = middle } else { clear = middle }
        }
        free + way * clear
    };
    (edge(-1.0), edge(1.0))
}

/// Contact ratio of an involute pair from its tip and base circles (any text on gears, for example
/// Shigley's *Mechanical Engineering Design*, section 13-6; formula from memory): above 1, a new tooth
/// takes over before the last one leaves.
#[test]
fn a_next_tooth_takes_over_in_time() {
    for (z1, z2) in movement::PAIRS {
        let pitch = |z: usize| gear::MODULE * z as f64 / 2.0;
        let angle = gear::PRESSURE_ANGLE;
        let reach = |z: usize| {
            let tip = wheel(z).0.iter().map(|p| p.norm()).fold(0.0, f64::max);
            (tip * tip - (pitch(z) * angle.cos()).powi(2)).sqrt()
        };
        let base_pitch = std::f64::consts::PI * gear::MODULE * angle.cos();
        let length = reach(z1) + reach(z2) - (pitch(z1) + pitch(z2)) * angle.sin();
        let ratio = length / base_pitch;
        assert!(ratio > 1.1, "{z1}:{z2} contact ratio {ratio:.3}");
    }
}

/// Material of a board along a line of constant x, as intervals of y.
fn along(ring: &Ring, x: f64) -> Vec<(f64, f64)> {
    let mut ys: Vec<f64> = ring
        .segments()
        .filter(|s| (s.a.x > x) != (s.b.x > x))
        .map(|s| s.a.y + (s.b.y - s.a.y) * (x - s.a.x) / (s.b.x - s.a.x))
        .collect();
    ys.sort_by(f64::total_cmp);
    ys.chunks(2).map(|c| (c[0], c[1])).collect()
}

/// The fingers of top and bottom fill the notches of the sides with 0.05 to 0.2 mm of play each.
#[test]
fn the_box_corners_interlock() {
    let corner = |name: &str| {
        let shape = part("case.svg", name).shape;
        let b = shape.bounds();
        let ring = shape.outline.moved(point(-b.min.x, -b.min.y));
        (along(&ring, 3.0), along(&ring, b.width() - 3.0))
    };
    for other in ["case-top", "case-bottom"] {
        let (side, board) = (corner("case-side"), corner(other));
        for (mut all, what) in [
            ([side.0.clone(), board.0].concat(), "left"),
            ([side.1.clone(), board.1].concat(), "right"),
        ] {
            all.sort_by(|a, b| a.0.total_cmp(&b.0));
            assert_eq!(all.len(), 5, "{other} {what}");
            for pair in all.windows(2) {
                let play = pair[1].0 - pair[0].1;
                assert!((0.05..0.2).contains(&play), "{other} {what}: play {play:.3}");
            }
        }
    }
}

/// The back plate's tenons enter the mortises of the box all round, and its body fits inside.
#[test]
fn the_back_plate_enters_its_mortises() {
    let plate = part("plates.svg", "back-plate").shape;
    let board = part("case.svg", "case-top").shape;
    let b = plate.bounds();
    let ring = plate.outline.moved(point(-b.min.x, -b.min.y));
    // Half a tenon's length inside the box's outer face; x runs along the top board.
    let turned = ring.map(|p| point(p.y, p.x));
    let tenons = along(&turned, 3.0);
    let mut mortises: Vec<_> = board.openings.iter().map(Ring::bounds).collect();
    mortises.sort_by(|a, b| a.min.x.total_cmp(&b.min.x));
    // Between the reliefs a mortise is narrower than its bounds: measure the middle.
    for (tenon, mortise) in tenons.iter().zip(&mortises) {
        let ring = board.openings.iter().find(|o| o.bounds() == *mortise).unwrap();
        let middle = along(&ring.map(|p| point(p.y, p.x)), mortise.centre().y)[0];
        let play = (middle.1 - middle.0) - (tenon.1 - tenon.0);
        assert!((0.1..0.3).contains(&play), "play {play:.3}");
        let off = (middle.0 + middle.1) / 2.0
            - board.bounds().centre().x
            - ((tenon.0 + tenon.1) / 2.0 - b.width() / 2.0);
        assert!(off.abs() < 0.05, "off centre by {off:.3}");
    }
    assert_eq!((tenons.len(), mortises.len()), (2, 2));
}

/// Pane in its pocket, pocket around the opening, bezel over the pane, hands inside the ring.
#[test]
fn the_front_fits_together() {
    let width = |file: &str, name: &str| part(file, name).shape.bounds().width();
    let ring = part("dial.svg", "dial-ring").shape;
    let opening = ring.openings[0].bounds().width();
    let pane = width("glass.svg", "pane");
    assert!(opening + 8.0 < pane && pane < 220.6 - 0.3, "pane {pane:.2} over {opening:.2}");
    let minute = part("hands.svg", "minute-hand").shape;
    let bore = minute.openings[0].bounds().centre().x;
    assert!(minute.bounds().max.x - bore < opening / 2.0 - 3.0, "the minute hand clears the ring");
    // Slats sit in the rails' slots: 3 mm stock, slots 3.3 mm wide.
    let rail = part("plates.svg", "slat-rail").shape;
    let b = rail.bounds();
    let teeth = along(&rail.outline.map(|p| point(p.y, p.x)), b.min.y + 5.0);
    for pair in teeth.windows(2) {
        let slot = pair[1].0 - pair[0].1;
        assert!((3.2..3.5).contains(&slot), "slot {slot:.2}");
    }
    assert_eq!(teeth.len(), 5);
    let inside = BOX - 2.0 * BOARD;
    assert!(width("shore.svg", "wave-front") < inside, "a slat passes between the walls");
}
