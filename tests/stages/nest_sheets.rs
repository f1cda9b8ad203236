//! Demands of makers' jobs beyond the published problem: free rotation, tiny parts beside large parts,
//! fine detail, remnants. Each layout is checked by true distances.

use crate::nest_support::*;
use tabwright::geometry::{Ring, Shape, Vector, point, shape_distance};
use tabwright::job::Turns;

const D: f64 = 3.175;

fn free() -> Turns {
    Turns { tolerance: Turns::ANY, ..Turns::steps_deg(&[0.0]) }
}

#[test]
fn free_turns_find_an_angle_that_no_list_has() {
    // A bar longer than both sides of the sheet fits across its diagonal only, within a few degrees.
    let mut bar = part("bar", rectangle(228.0, 10.0), 1);
    bar.turns = free();
    let p = problem(vec![bar], vec![stock(200.0, 140.0, 2.0)], D, 3000);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert!(nested.unplaced.is_empty(), "{:?}", nested.unplaced);
}

#[test]
fn a_tolerance_bounds_every_turn() {
    let mut leaf =
        part("leaf", plain(&[[0., 0.], [50., 4.], [62., 14.], [48., 22.], [6., 16.]]), 12);
    leaf.turns.tolerance = 10f64.to_radians();
    let p = problem(vec![leaf], vec![stock(220.0, 150.0, 5.0)], D, 4000);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    let mut leaving = 0;
    for q in nested.sheets.iter().flat_map(|s| &s.placed) {
        let off = (q.pose.rotation_deg() + 90.0).rem_euclid(180.0) - 90.0;
        assert!(off.abs() <= 10.0 + 1e-9, "{off}");
        leaving += usize::from(off.abs() > 1e-6);
    }
    assert!(leaving > 0, "the tolerance is used");
}

#[test]
fn tiny_parts_fill_the_hollows_of_large_ones() {
    // Ten U frames over 150 mm and 300 discs under 15 mm: hollows hold discs, sheets do not grow.
    let u = plain(&[
        [0., 0.],
        [160., 0.],
        [160., 120.],
        [130., 120.],
        [130., 30.],
        [30., 30.],
        [30., 120.],
        [0., 120.],
    ]);
    let p = problem(
        vec![part("u", u.clone(), 10), part("disc", disc(6.0, 32), 300)],
        vec![stock(600.0, 400.0, 6.0)],
        D,
        2000,
    );
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert!(nested.unplaced.is_empty());
    let mut within = 0;
    for sheet in &nested.sheets {
        let frames: Vec<_> = sheet
            .placed
            .iter()
            .filter(|q| q.part == 0)
            .map(|q| q.pose.apply_ring(&u.outline).bounds())
            .collect();
        for q in sheet.placed.iter().filter(|q| q.part == 1) {
            let c = q.pose.apply(point(6.0, 6.0));
            within += usize::from(
                frames
                    .iter()
                    .any(|b| c.x > b.min.x && c.x < b.max.x && c.y > b.min.y && c.y < b.max.y),
            );
        }
    }
    assert!(within >= 100, "{within} discs in hollows");
}

#[test]
fn detail_costs_little() {
    // The same wavy plate with 100 and with 2,000 vertices, the same moves: within twice the places
    // tried. Seconds are measured in benches/scale.rs.
    let plate = |n: usize| {
        let at = |i: usize| {
            let a = std::f64::consts::TAU * i as f64 / n as f64;
            point(30.0 + 3.0 * (5.0 * a).sin(), 0.0).turned(a)
        };
        Shape::new(Ring((0..n).map(at).collect()), vec![])
    };
    let work = |n: usize| {
        let mut p =
            problem(vec![part("plate", plate(n), 24)], vec![stock(400.0, 300.0, 6.0)], D, 4000);
        p.threads = 1;
        let nested = run(&p);
        assert_eq!(faults(&p, &nested), Vec::<String>::new());
        nested.evaluations
    };
    let (coarse, fine) = (work(100), work(2000));
    assert!(coarse > 0 && fine < 2 * coarse, "{fine} places against {coarse}");
}

#[test]
fn the_rest_of_the_last_sheet_is_one_piece() {
    let hook = plain(&[
        [0., 0.],
        [45., 0.],
        [45., 40.],
        [33., 40.],
        [33., 12.],
        [12., 12.],
        [12., 28.],
        [0., 28.],
    ]);
    let p = problem(vec![part("hook", hook.clone(), 12)], vec![stock(600.0, 300.0, 6.0)], D, 4000);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    let largest = nested.sheets[0].remnants.first().expect("a remnant").area();
    // What is not covered by parts with their kerf, as one rectangle: most of it.
    let claims = 12.0 * (hook.net_area() + hook.outline.perimeter() * D / 2.0);
    assert!(largest > 0.85 * (600.0 * 300.0 - claims), "{largest}");
}

#[test]
fn a_remnant_lies_in_the_hollow_of_a_part() {
    // An angle that fills its sheet within the margins; by hand, what its two arms and their kerf leave is a square.
    let angle = plain(&[[0., 0.], [190., 0.], [190., 40.], [40., 40.], [40., 190.], [0., 190.]]);
    let p = problem(vec![part("angle", angle, 1)], vec![stock(200.0, 200.0, 5.0)], D, 100);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    let remnant = nested.sheets[0].remnants.first().expect("a remnant").clone();
    let side: f64 = 200.0 - 5.0 - 40.0 - D;
    // Less by at most a band of 4 mm each way: the inner corner is simplified outwards. 1e-6: sums in f64.
    let (least, most) = ((side - 4.0).powi(2), side * side + 1e-6);
    assert!((least..=most).contains(&remnant.area()), "{}", remnant.area());
    let placed = nested.sheets[0].placed[0].pose.apply_shape(&p.parts[0].shape);
    let apart = shape_distance(&placed, &Shape::new(remnant, vec![]), 2.0 * D);
    assert!(apart > D - 1e-9, "{apart}");
}

#[test]
fn the_last_sheet_is_the_smallest_stock_that_holds_its_parts_and_costs_no_more() {
    // Nine of ten rectangles fill a sheet as a grid of three by three; the tenth needs no second one as large.
    let with_price = |price: Option<f64>| {
        let small = tabwright::job::Stock { price, ..stock(120.0, 80.0, 5.0) };
        let sheets = vec![stock(300.0, 200.0, 5.0), small];
        let p = problem(vec![part("card", rectangle(88.0, 55.0), 10)], sheets, D, 2000);
        let nested = run(&p);
        assert_eq!(faults(&p, &nested), Vec::<String>::new());
        assert!(nested.unplaced.is_empty(), "{:?}", nested.unplaced);
        nested.sheets.iter().map(|s| (s.stock, s.placed.len())).collect::<Vec<_>>()
    };
    assert_eq!(with_price(None), vec![(0, 9), (1, 1)]);
    assert_eq!(with_price(Some(5.0)), vec![(0, 9), (0, 1)], "what is on hand comes first");
}
