//! A layout repeated with a web of stock round some of its copies. Each layout is checked by true distances.

use crate::nest_support::*;
use std::collections::BTreeSet;
use std::sync::atomic::AtomicBool;
use tabwright::geometry::{Pose, Ring, Shape, point, shape_distance};
use tabwright::job::Stock;
use tabwright::nest::{Budget, Control, Nest, NestTask, Nested, Passage, Rooms, TabRoom};

const D: f64 = 3.175;
const WEB: f64 = 2.0;

/// The layout of a problem, and its layout with webs round these copies of its first part.
fn webbed(problem: &NestTask, copies: &[usize]) -> (Nested, Option<Nested>) {
    let control = Control { stop: &AtomicBool::new(false), progress: None };
    let budget = Budget { moves: Some(4000), time: None };
    let nest = Nest::new(problem);
    let plain = nest.improve(nest.first(), budget, &control);
    let tabs = copies.iter().map(|&c| ((0, c), TabRoom::Web)).collect();
    let rooms = Rooms { tabs, ..Rooms::default() };
    let again = nest.webbed(&plain, &rooms, (WEB, problem), budget, &control);
    (plain, again.map(|w| w.searched))
}

/// The copies placed, sorted.
fn copies(nested: &Nested) -> BTreeSet<(usize, usize)> {
    nested.sheets.iter().flat_map(|s| &s.placed).map(|p| (p.part, p.copy)).collect()
}

/// Least distance of a copy of the first part from any other on its sheet, mm.
fn room(problem: &NestTask, nested: &Nested, copy: usize) -> f64 {
    let shape = |k: usize, pose: &Pose| -> Shape { pose.apply_shape(&problem.parts[k].shape) };
    let sheet =
        nested.sheets.iter().find(|s| s.placed.iter().any(|p| (p.part, p.copy) == (0, copy)));
    let placed = &sheet.expect("the copy is placed").placed;
    let own = placed.iter().find(|p| (p.part, p.copy) == (0, copy)).unwrap();
    let others = placed.iter().filter(|p| (p.part, p.copy) != (0, copy));
    let distance = |p: &tabwright::nest::Placed| {
        shape_distance(&shape(0, &own.pose), &shape(p.part, &p.pose), 100.0)
    };
    others.map(distance).fold(f64::INFINITY, f64::min)
}

fn board(length: f64, breadth: f64) -> Stock {
    Stock { open_length: true, quantity: Some(1), ..stock(length, breadth, 6.0) }
}

#[test]
fn only_the_copies_asked_for_get_a_web_and_the_rest_makes_way() {
    let angle = plain(&[[0., 0.], [40., 0.], [40., 12.], [12., 12.], [12., 40.], [0., 40.]]);
    let parts = vec![part("angle", angle, 8), part("disc", disc(9.0, 48), 12)];
    let p = problem(parts, vec![board(900.0, 120.0)], D, 4000);
    let (before, after) = webbed(&p, &[2, 5]);
    let after = after.expect("the board is long enough");
    assert_eq!(faults(&p, &after), Vec::<String>::new());
    assert_eq!(copies(&after), copies(&before));
    // Kerf, web, kerf between the edges of a copy with a web and any other part.
    for copy in [2, 5] {
        let room = room(&p, &after, copy);
        assert!(room >= 2.0 * D + WEB - TOLERANCE, "copy {copy}: {room}");
    }
    let close = (1..=8).filter(|&c| room(&p, &after, c) < D + 0.1).count();
    assert!(close >= 4, "the others lie kerf to kerf: {close}");
    // Two angles of 40 x 40 mm with a web all round take 2 x (50.4^2 - 43.2^2) mm2 more, over 108 mm of breadth.
    let length = |n: &Nested| n.sheets[0].length.unwrap();
    assert!(length(&after) < length(&before) + 30.0, "{} {}", length(&before), length(&after));
}

#[test]
fn many_webs_are_laid_out_anew() {
    let p =
        problem(vec![part("tile", rectangle(20.0, 15.0), 30)], vec![board(900.0, 90.0)], D, 4000);
    let all: Vec<usize> = (1..=30).collect();
    let (before, after) = webbed(&p, &all);
    let after = after.expect("the board is long enough");
    assert_eq!(faults(&p, &after), Vec::<String>::new());
    assert_eq!(copies(&after), copies(&before));
    for copy in all {
        assert!(room(&p, &after, copy) >= 2.0 * D + WEB - TOLERANCE, "copy {copy}");
    }
}

/// Tiles of 40 x 20 mm lie kerf to kerf. A passage along the middle of the third one's right side, 10 mm long, keeps others two
/// kerfs and a web from that side there, and takes no more than a strip as wide as a kerf and the web off the board.
#[test]
fn a_passage_keeps_others_off_one_place_of_a_copy() {
    let p =
        problem(vec![part("tile", rectangle(40.0, 20.0), 12)], vec![board(900.0, 90.0)], D, 4000);
    let control = Control { stop: &AtomicBool::new(false), progress: None };
    let budget = Budget { moves: Some(4000), time: None };
    let nest = Nest::new(&p);
    let before = nest.improve(nest.first(), budget, &control);
    let passage = Passage { ends: [point(40.0 + D / 2.0, 5.0), point(40.0 + D / 2.0, 15.0)] };
    let rooms = Rooms { passages: [((0, 3), vec![passage])].into(), ..Rooms::default() };
    let after = nest.webbed(&before, &rooms, (WEB, &p), budget, &control);
    let after = after.expect("the board is long enough").searched;
    assert_eq!(faults(&p, &after), Vec::<String>::new());
    assert_eq!(copies(&after), copies(&before));
    let placed = || after.sheets[0].placed.iter();
    let shape = |q: &tabwright::nest::Placed| q.pose.apply_shape(&p.parts[0].shape);
    let own = placed().find(|q| q.copy == 3).expect("placed");
    // What the passage claims beyond the tile's kerf, from end to end: no other tile's kerf enters it.
    let web = [(40.0 + D, 5.0), (40.0 + D + WEB, 15.0)].map(|(x, y)| point(x, y));
    let web = rectangle_between(web).map(|q| own.pose.apply(q));
    let web = Shape::new(web, vec![]);
    for other in placed().filter(|q| q.copy != 3) {
        let apart = shape_distance(&web, &shape(other), 100.0);
        assert!(apart >= D - TOLERANCE, "copy {}: {apart}", other.copy);
    }
    let length = |n: &Nested| n.sheets[0].length.expect("a board");
    assert!(length(&after) < length(&before) + D + WEB + 0.5, "{}", length(&after));
}

/// The rectangle between two corners.
fn rectangle_between([a, b]: [tabwright::geometry::Point; 2]) -> Ring {
    Ring(vec![a, point(b.x, a.y), b, point(a.x, b.y)])
}

#[test]
fn a_pinned_copy_stays_and_gets_none() {
    let mut tile = part("tile", rectangle(30.0, 20.0), 9);
    let pose = Pose { offset: point(60.0, 30.0), rotation: 0.0, mirrored: false };
    tile.pins = vec![(0, pose)];
    let p = problem(vec![tile], vec![board(600.0, 100.0)], D, 4000);
    let (_, after) = webbed(&p, &[1, 4]);
    let after = after.expect("the board is long enough");
    assert_eq!(faults(&p, &after), Vec::<String>::new());
    let pinned = after.sheets[0].placed.iter().find(|q| q.copy == 1).unwrap();
    assert_eq!(pinned.pose, pose);
    assert!(room(&p, &after, 4) >= 2.0 * D + WEB - TOLERANCE);
}

#[test]
fn where_the_stock_has_no_room_the_layout_stays_as_it_was() {
    // Four tiles that fill the only sheet but for the kerfs.
    let side = 2.0 * 40.0 + D + 12.0;
    let sheet = Stock { quantity: Some(1), ..stock(side, side, 6.0) };
    let p = problem(vec![part("tile", rectangle(40.0, 40.0), 4)], vec![sheet], D, 1000);
    let (before, after) = webbed(&p, &[1]);
    assert_eq!(copies(&before).len(), 4);
    assert_eq!(after, None);
}
