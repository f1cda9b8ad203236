//! Sheets like those of makers, each layout checked by true distances.

use crate::nest_support::*;
use std::f64::consts::FRAC_PI_2;
use std::sync::atomic::AtomicBool;
use tabwright::geometry::{Pose, Ring, Shape, point};
use tabwright::job::Turns;
use tabwright::nest::{Control, Ended, Reason, nest};

const D: f64 = 3.175;

fn l_shape() -> Shape {
    plain(&[[0., 0.], [60., 0.], [60., 18.], [20., 18.], [20., 50.], [0., 50.]])
}

fn hook() -> Shape {
    plain(&[
        [0., 0.],
        [45., 0.],
        [45., 40.],
        [33., 40.],
        [33., 12.],
        [12., 12.],
        [12., 28.],
        [0., 28.],
    ])
}

#[test]
fn a_mixed_sheet_keeps_every_distance() {
    let mut sheet = stock(300.0, 200.0, 6.0);
    sheet.keep_clear = vec![Ring::rectangle(30.0, 30.0).moved(point(260.0, 10.0))];
    let parts =
        vec![part("l", l_shape(), 6), part("hook", hook(), 6), part("disc", disc(9.0, 64), 12)];
    let p = problem(parts, vec![sheet], D, 1500);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert!(nested.unplaced.is_empty());
    assert_eq!(nested.ended, Ended::Budget);
}

#[test]
fn identical_rectangles_come_out_as_a_grid() {
    // 5 x 4 rectangles of 40 x 25 with a kerf between and the margin round fill the sheet exactly.
    let (w, h) = (5.0 * 40.0 + 4.0 * D + 12.0, 4.0 * 25.0 + 3.0 * D + 12.0);
    let p = problem(vec![part("tile", rectangle(40.0, 25.0), 20)], vec![stock(w, h, 6.0)], D, 500);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert_eq!(nested.sheets.len(), 1, "twenty on one sheet");
    for q in &nested.sheets[0].placed {
        let corner = q.pose.apply_ring(&Ring::rectangle(40.0, 25.0)).bounds().min;
        let (i, j) = ((corner.x - 6.0) / (40.0 + D), (corner.y - 6.0) / (25.0 + D));
        assert!((i - i.round()).abs() < 1e-9 && (j - j.round()).abs() < 1e-9, "{i} {j}");
    }
}

#[test]
fn small_parts_go_into_openings_when_that_saves_stock() {
    let frame = Shape::new(
        Ring::rectangle(180.0, 120.0),
        vec![Ring::rectangle(150.0, 90.0).moved(point(15.0, 15.0))],
    );
    let sheet = stock(192.0 + 1.0, 132.0 + 1.0, 6.0);
    let parts = vec![part("frame", frame, 1), part("disc", disc(12.0, 48), 12)];
    let p = problem(parts, vec![sheet], D, 1000);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert_eq!(nested.sheets.len(), 1, "all inside the frame");
}

#[test]
fn landings_find_stock_and_may_share_it() {
    // Bars with a landing on each long side: kerf, then 2 mm of stock.
    let mut bar = part("bar", rectangle(80.0, 10.0), 8);
    let landing = |y: f64| Ring::rectangle(4.0, 2.0).moved(point(38.0, y));
    bar.holds = vec![vec![landing(-D - 2.0), landing(10.0 + D)]];
    let p = problem(vec![bar], vec![stock(100.0, 400.0, 6.0)], D, 400);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert!(nested.unplaced.is_empty());
    // Shared landings: bars stand two kerfs and one landing depth apart, not two landings.
    let mut tops: Vec<f64> = nested.sheets[0]
        .placed
        .iter()
        .map(|q| q.pose.apply_ring(&Ring::rectangle(80.0, 10.0)).bounds().min.y)
        .collect();
    tops.sort_by(f64::total_cmp);
    let pitch = (tops[7] - tops[0]) / 7.0;
    assert!(pitch <= 10.0 + 2.0 * D + 2.0 + 1e-6, "{pitch}");
}

#[test]
fn grain_across_the_sheet_turns_the_parts() {
    let mut sheet = stock(100.0, 300.0, 5.0);
    sheet.grain = FRAC_PI_2;
    let p = problem(vec![part("bar", rectangle(120.0, 20.0), 3)], vec![sheet], D, 200);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert!(nested.unplaced.is_empty());
    for q in &nested.sheets[0].placed {
        let deg = q.pose.rotation_deg();
        assert!(deg == 90.0 || deg == 270.0, "{deg}");
    }
}

/// By hand: angles run from +x towards +y, so a bar whose length follows a grain at 30 degrees rises by 1 mm in every
/// square root of 3, and lies at 30 or 210 degrees, not at 330 or 150.
#[test]
fn grain_at_30_degrees_turns_the_parts_by_30_and_not_by_330() {
    let mut sheet = stock(300.0, 300.0, 5.0);
    sheet.grain = 30f64.to_radians();
    let mut bar = part("bar", rectangle(120.0, 20.0), 3);
    bar.turns = Turns::along(0.0, 0.0, true);
    let p = problem(vec![bar], vec![sheet], D, 200);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert_eq!(nested.sheets[0].placed.len(), 3);
    for q in &nested.sheets[0].placed {
        let deg = q.pose.rotation_deg();
        assert!((deg - 30.0).abs() < 1e-9 || (deg - 210.0).abs() < 1e-9, "{deg}");
        let laid = q.pose.apply_ring(&Ring::rectangle(120.0, 20.0));
        let long = laid.segments().find(|s| s.length() > 100.0).expect("a long side");
        let rise = (long.b.y - long.a.y) / (long.b.x - long.a.x);
        assert!((rise - 1.0 / 3f64.sqrt()).abs() < 1e-9, "{rise}");
    }
}

/// A bar with a landing of 40 mm on its far side: the remnant begins beyond the landing, not at the bar's kerf.
#[test]
fn a_remnant_leaves_landings_alone() {
    let mut bar = part("bar", rectangle(190.0, 20.0), 1);
    bar.turns = Turns::steps_deg(&[0.0]);
    // Landings on both long sides, so that whichever way it lies one reaches into the sheet.
    let landing = |y: f64| Ring::rectangle(10.0, 40.0).moved(point(90.0, y));
    bar.holds = vec![vec![landing(-D - 40.0), landing(20.0 + D)]];
    let p = problem(vec![bar], vec![stock(200.0, 300.0, 5.0)], D, 50);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    let sheet = &nested.sheets[0];
    assert!(!sheet.remnants.is_empty());
    let pose = sheet.placed[0].pose;
    for remnant in &sheet.remnants {
        let r = remnant.bounds();
        for landing in &p.parts[0].holds[0] {
            let l = pose.apply_ring(landing).bounds();
            let shared = (r.max.x.min(l.max.x) - r.min.x.max(l.min.x))
                .min(r.max.y.min(l.max.y) - r.min.y.max(l.min.y));
            assert!(shared <= 1e-9, "{remnant:?} over {landing:?} by {shared}");
        }
    }
}

#[test]
fn an_offcut_of_any_outline_is_filled_inside_its_margin() {
    let mut sheet = stock(0.0, 0.0, 5.0);
    sheet.outline = Ring::from(vec![
        [0., 40.],
        [120., 0.],
        [260., 60.],
        [230., 180.],
        [90., 200.],
        [60., 120.],
    ]);
    let p =
        problem(vec![part("l", l_shape(), 3), part("disc", disc(9.0, 48), 8)], vec![sheet], D, 800);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert_eq!(nested.sheets.len(), 1);
}

#[test]
fn open_length_boards_report_the_length_used() {
    let mut board = stock(2000.0, 120.0, 5.0);
    board.open_length = true;
    let p = problem(vec![part("hook", hook(), 10)], vec![board], D, 1500);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    let length = nested.sheets[0].length.expect("open length");
    let area = 10.0 * hook().net_area();
    assert!(length * 120.0 > area && length < 400.0, "{length}");
}

#[test]
fn a_long_part_does_not_end_the_search() {
    // A row of squares beside a bar, up to 3 % longer than the bar, which nothing can be shorter than.
    let mut board = stock(2000.0, 60.0, 5.0);
    board.open_length = true;
    let side = (206.0 - 9.0 * D) / 10.0;
    let parts = vec![
        part("bar", rectangle(200.0, 10.0), 1),
        part("square", rectangle(side, side), 9),
        part("hook", plain(&[[0., 0.], [side, 0.], [side, side], [9., 9.], [0., side]]), 1),
    ];
    let p = problem(parts, vec![board], D, 1500);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    let length = nested.sheets[0].length.expect("open length");
    assert!((210.0 - 1e-9..=216.0 + 1e-9).contains(&length), "{length}");
    assert!(nested.moves >= 1500 || length < 210.0 + 1e-6, "{} moves", nested.moves);
}

#[test]
fn what_cannot_be_placed_is_listed_with_the_reason() {
    let mut sheet = stock(100.0, 100.0, 5.0);
    sheet.quantity = Some(1);
    let parts = vec![
        part("board", rectangle(300.0, 20.0), 1),
        part("tile", rectangle(40.0, 40.0), 6),
        part("line", rectangle(30.0, 0.0), 2),
        part("ghost", plain(&[[0.0, 0.0], [f64::NAN, 1.0], [1.0, 1.0]]), 1),
    ];
    let p = problem(parts, vec![sheet], D, 200);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    let reasons = |k: usize| {
        nested.unplaced.iter().filter(|u| u.part == k).map(|u| &u.reason).collect::<Vec<_>>()
    };
    assert!(matches!(reasons(0)[..], [Reason::TooBig { width, .. }] if *width == 300.0));
    assert_eq!(reasons(1), vec![&Reason::StockUsedUp; 2]);
    assert_eq!(reasons(2), vec![&Reason::NoArea; 2]);
    assert_eq!(reasons(3), vec![&Reason::NoArea]);
    let none = problem(vec![part("tile", rectangle(40.0, 40.0), 1)], vec![], D, 200);
    assert_eq!(run(&none).unplaced[0].reason, Reason::NoStock);
    let narrow =
        problem(vec![part("tile", rectangle(40.0, 40.0), 1)], vec![stock(30.0, 30.0, 20.0)], D, 9);
    assert!(matches!(run(&narrow).unplaced[0].reason, Reason::TooBig { .. }));
}

#[test]
fn pinned_parts_stay_and_bad_pins_are_named() {
    let mut hooks = part("hook", hook(), 5);
    let pose = Pose::new(point(100.0, 60.0), std::f64::consts::PI);
    hooks.pins = vec![
        (0, pose),
        (0, Pose::new(point(101.0, 60.0), 0.0)),
        (0, Pose::new(point(-5.0, 0.0), 0.0)),
    ];
    let p = problem(vec![hooks], vec![stock(200.0, 150.0, 5.0)], D, 500);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    let first = nested.sheets[0].placed.iter().find(|q| q.copy == 1).expect("pinned");
    assert_eq!(first.pose, pose);
    let bad: Vec<usize> = nested.unplaced.iter().map(|u| u.copy).collect();
    assert_eq!(bad.len(), 2, "{:?}", nested.unplaced);
    assert!(nested.unplaced.iter().all(|u| matches!(u.reason, Reason::PinInTheWay { .. })));
}

#[test]
fn one_thread_and_two_give_the_same_layout() {
    let mut parts =
        vec![part("l", l_shape(), 8), part("hook", hook(), 8), part("disc", disc(9.0, 64), 8)];
    parts[2].turns = Turns { tolerance: Turns::ANY, ..Turns::steps_deg(&[0.0]) };
    let mut p = problem(parts, vec![stock(200.0, 150.0, 6.0)], D, 1500);
    let two = run(&p);
    p.threads = 1;
    assert_eq!(run(&p), two);
    p.seed = 8;
    assert_eq!(faults(&p, &run(&p)), Vec::<String>::new());
}

#[test]
fn a_stopped_search_still_gives_a_whole_layout() {
    let p = problem(
        vec![part("l", l_shape(), 30), part("hook", hook(), 30)],
        vec![stock(300.0, 200.0, 6.0)],
        D,
        1 << 40,
    );
    let nested = nest(&p, &Control { stop: &AtomicBool::new(true), progress: None });
    assert_eq!(nested.ended, Ended::Interrupted);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert!(nested.unplaced.is_empty());
}

#[test]
fn a_sheet_is_saved_when_the_parts_fit_on_fewer() {
    // Two complementary triangles make a square; four squares fill the sheet but for the gaps.
    let triangle = plain(&[[0., 0.], [60., 0.], [0., 60.]]);
    let p = problem(vec![part("triangle", triangle, 8)], vec![stock(150.0, 150.0, 5.0)], 2.0, 6000);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert_eq!(nested.sheets.len(), 1);
}

#[test]
fn spares_fill_room_but_open_no_sheet() {
    let mut tiles = part("tile", rectangle(40.0, 40.0), 3);
    tiles.spares = 20;
    let p = problem(vec![tiles], vec![stock(150.0, 150.0, 5.0)], D, 200);
    let nested = run(&p);
    assert_eq!(nested.sheets.len(), 1);
    let spares = nested.sheets[0].placed.iter().filter(|q| q.spare).count();
    assert_eq!(spares, 6, "nine fit");
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
}
