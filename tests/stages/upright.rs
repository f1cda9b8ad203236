//! Upright rectangles of many sizes, compared with packings known to be perfect and with the area.
//!
//! C1P1 to C5P1: Hopper & Turton, *An empirical investigation of meta-heuristic and heuristic algorithms for a 2D packing
//! problem*, EJOR 128(1), 2001, 34-57 (`tests/data/nesting`, CC0): rectangles cut from a larger one, which they fill.

use crate::nest_support::*;
use serde_json::Value;
use tabwright::geometry::{Ring, point};
use tabwright::job::{Stock, Turns};
use tabwright::nest::{Budget, NestPart, NestTask};

/// The rectangles of an instance, on a strip that is long enough for all, and the length of the perfect packing.
fn instance(name: &str) -> (NestTask, f64) {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/nesting/rectangles_c.json");
    let json: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let list = json["instances"].as_array().unwrap();
    let found = list.iter().find(|i| i["name"] == name).unwrap();
    let number = |v: &Value| v.as_f64().unwrap();
    let rect = |(i, wh): (usize, &Value)| NestPart {
        turns: Turns::steps_deg(&[0.0, 90.0]),
        ..part(&format!("r{i}"), rectangle(number(&wh[0]), number(&wh[1])), 1)
    };
    let parts = found["rects_wh"].as_array().unwrap().iter().enumerate().map(rect).collect();
    let (width, best) = (number(&found["strip_width"]), number(&found["optimal_height"]));
    let strip = Stock { open_length: true, ..stock(10.0 * best, width, 0.0) };
    (problem(parts, vec![strip], 0.0, 400_000), best)
}

fn budget(moves: u64) -> Budget {
    Budget { moves: Some(moves), time: None }
}

#[test]
fn perfect_packings_are_found() {
    for name in ["C1P1", "C2P1", "C3P1"] {
        let (p, best) = instance(name);
        let nested = run(&p);
        assert_eq!(faults(&p, &nested), Vec::<String>::new(), "{name}");
        let length = nested.sheets[0].length.unwrap();
        assert!((length - best).abs() < 1e-9 * best, "{name}: {length}, perfect {best}");
    }
}

#[test]
fn one_thread_and_two_draw_the_same() {
    // Few enough moves that the perfect packing is not found.
    let of = |threads| {
        let p = NestTask { threads, budget: budget(600), ..instance("C5P1").0 };
        run(&p)
    };
    let (one, two) = (of(1), of(2));
    assert!(one.sheets[0].length > Some(90.0 + 1e-6));
    assert_eq!(one, two);
}

/// Boards of three sizes, of which twelve fill a panel except for the kerfs, by hand: four columns of 90, 60 and 40 across, a
/// kerf between any two.
#[test]
fn plates_of_several_sizes_fill_a_panel_that_they_were_cut_from() {
    const D: f64 = 3.175;
    let plates = [(120.0, 90.0), (120.0, 60.0), (120.0, 40.0)];
    let parts = plates.iter().map(|&(w, h)| part(&format!("{h}"), rectangle(w, h), 4)).collect();
    let (w, h) = (12.0 + 4.0 * 120.0 + 3.0 * D, 12.0 + 190.0 + 2.0 * D);
    let p = problem(parts, vec![stock(w, h, 6.0)], D, 2000);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert_eq!((nested.sheets.len(), nested.sheets[0].placed.len()), (1, 12));
}

/// Four rows of three plates each, of six widths, by hand: all tabs of a plate are on one side or the other. The outer rows' tabs
/// lie in the margins, the inner rows turn theirs to each other and share a strip: two kerfs and the landing's 2 mm. One more
/// strip would take 5.175 mm more.
#[test]
fn rows_of_several_widths_share_the_strip_between() {
    const D: f64 = 3.175;
    let landing = |w: f64, y: f64| vec![Ring::rectangle(4.0, 2.0).moved(point(w / 2.0 - 2.0, y))];
    let plate = |(i, w): (usize, f64), h: f64| NestPart {
        turns: Turns::steps_deg(&[0.0]),
        holds: vec![landing(w, -D - 2.0), landing(w, h + D)],
        ..part(&format!("{i}"), rectangle(w, h), 2)
    };
    let rows = [([70.0, 60.0, 50.0], 30.0), ([40.0, 55.0, 85.0], 24.0)];
    let of_row = |(widths, h): ([f64; 3], f64)| widths.map(|w| plate((w as usize, w), h));
    let parts: Vec<NestPart> = rows.into_iter().flat_map(of_row).collect();
    let height = 12.0 + 2.0 * (30.0 + 24.0) + 3.0 * D + (D + 2.0);
    let sheet = stock(12.0 + 180.0 + 2.0 * D + 1e-6, height + 1e-6, 6.0);
    let p = problem(parts, vec![sheet], D, 60_000);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert_eq!((nested.sheets.len(), nested.sheets[0].placed.len()), (1, 12));
}

/// Obstacles on the sheet are respected: the same plates round a keep-clear area, and in an offcut.
#[test]
fn plates_keep_off_what_is_not_plain() {
    let parts: Vec<NestPart> = [(50.0, 30.0), (40.0, 25.0), (30.0, 20.0)]
        .iter()
        .map(|&(w, h)| part(&format!("{w}"), rectangle(w, h), 5))
        .collect();
    let clamp = Ring::rectangle(30.0, 30.0).moved(point(100.0, 60.0));
    let clamped = Stock { keep_clear: vec![clamp], ..stock(250.0, 150.0, 6.0) };
    let cut_off = Ring::from(vec![[0.0, 0.0], [260.0, 0.0], [200.0, 170.0], [0.0, 170.0]]);
    let offcut = Stock { outline: cut_off, ..stock(260.0, 170.0, 6.0) };
    for sheet in [clamped, offcut] {
        let p = problem(parts.clone(), vec![sheet], 3.175, 2000);
        let nested = run(&p);
        assert_eq!(faults(&p, &nested), Vec::<String>::new());
        assert!(nested.unplaced.is_empty());
    }
}
