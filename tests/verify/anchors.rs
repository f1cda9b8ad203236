//! The stock that each hold depends on, by `verify` alone: pieces of stock, which of them are clamped, what ties waste in openings.
//!
//! Every sheet is made by hand, bit 3 mm; its figures follow by addition from the rule of clamps (a clamp or screw that is
//! named; a disc of 20 mm, 10 to 15 mm from the sheet's edge; on tape 1000 mm²: common practice, no source) and from the
//! 0.25 mm that a piece of stock keeps from every kerf (webs under 0.5 mm are no stock). The rule is kept to 0.1 mm.

use crate::verify_support::everything::{everything, part};
use crate::verify_support::rule;
use crate::verify_support::{Kind, circle, hold, layout, place, sheet, tab_near};
use tabwright::geometry::{Pose, Ring, Shape, point};
use tabwright::layout::{Hold, HoldDown, Layout, Method, Sheet, Tab};
use tabwright::verify::{Rules, What, verify};

/// The problems about anchors.
fn said(layout: &Layout) -> Vec<String> {
    let rules = Rules { complete: true, ..Rules::default() };
    let found = verify(layout, &rules);
    found.iter().filter(|p| p.what == What::Anchor).map(rule::said).collect()
}

fn of(sheet: &Sheet) -> Vec<String> {
    said(&layout(vec![sheet.clone()]))
}

fn block(name: &'static str, width: f64, height: f64, tabs: &[(f64, f64)]) -> Kind {
    let shape = Shape::new(Ring::rectangle(width, height), vec![]);
    let tabs = tabs.iter().map(|&(x, y)| tab_near(&shape, 0, point(x, y), 4.0)).collect();
    Kind { name, shape, tabs, features: vec![] }
}

/// A sheet 40 mm high with a block of 100 x 28 mm in it: 3 mm of stock remain beside its kerf on three sides, and `left` mm
/// of firm stock beside its left side, where its tab lands.
fn beside(left: f64) -> Sheet {
    let x = left + 3.25;
    let mut s = sheet(x + 106.0, 40.0);
    s.bit.diameter = 3.0;
    s.parts =
        vec![place(&block("block", 100.0, 28.0, &[(0.0, 14.0)]), 1, Pose::new(point(x, 6.0), 0.0))];
    s
}

const UNCLAMPED: &str =
    "is to be clamped, but no piece of its skeleton has a clamp or room for one";

#[test]
fn a_disc_of_20_mm_has_room_on_clamped_stock() {
    assert_eq!(of(&beside(20.0)), Vec::<String>::new());
    let short = of(&beside(19.6));
    assert_eq!(short.len(), 3, "{short:?}");
    assert!(short[0].contains(UNCLAMPED), "{short:?}");
    assert!(short[1].contains("block 1 hangs only on stock that comes loose"), "{short:?}");
    assert!(short[2].contains("tab 1 of its outline lands on stock that comes loose"), "{short:?}");
}

/// A screw of 3 mm diameter in a strip of 12 mm; then a knot there; then the screw taken away.
#[test]
fn a_named_clamp_holds_what_it_stands_on() {
    let mut s = beside(12.0);
    let screw = circle(point(5.0, 20.0), 1.5, 24);
    (s.keep_clear, s.clamps) = (vec![screw.clone()], vec![screw]);
    assert_eq!(of(&s), Vec::<String>::new());
    s.clamps.clear();
    assert_eq!(of(&s).len(), 3, "a knot holds nothing");
    s.keep_clear.clear();
    assert_eq!(of(&s).len(), 3);
}

/// A strip of 20.2 mm has room for a disc if nothing is kept clear in it; a clamp there makes room for itself.
#[test]
fn no_disc_lies_on_what_is_kept_clear() {
    let mut s = beside(20.2);
    let bar = Ring::rectangle(1.0, 40.0).moved(point(9.0, 0.0));
    s.keep_clear = vec![bar.clone()];
    assert_eq!(of(&s).len(), 3);
    s.clamps = vec![bar];
    assert_eq!(of(&s), Vec::<String>::new());
}

/// A frame of bars round a field of 60 x 60 mm: the field has room for a disc, 35 mm from the sheet's edge and more.
#[test]
fn a_disc_far_from_the_edge_is_out_of_reach() {
    let mut s = sheet(130.0, 130.0);
    s.bit.diameter = 3.0;
    let bars = [
        ("top", 118.0, 26.0, 6.0, 6.0, (59.0, 26.0)),
        ("bottom", 118.0, 26.0, 6.0, 98.0, (59.0, 0.0)),
        ("left", 26.0, 60.0, 6.0, 35.0, (26.0, 30.0)),
        ("right", 26.0, 60.0, 98.0, 35.0, (0.0, 30.0)),
    ];
    for (name, w, h, x, y, tab) in bars {
        s.parts.push(place(&block(name, w, h, &[tab]), 1, Pose::new(point(x, y), 0.0)));
    }
    let found = of(&s);
    assert_eq!(found.iter().filter(|m| m.contains("only on stock that comes loose")).count(), 4);
    // A screw in the middle of the field.
    let screw = circle(point(65.0, 65.0), 2.0, 24);
    (s.keep_clear, s.clamps) = (vec![screw.clone()], vec![screw]);
    assert_eq!(of(&s), Vec::<String>::new());
}

/// The stock round the block: three strips of 2.75 mm, and one of `left` mm, with rounded corners at the block's kerf.
#[test]
fn tape_holds_1000_square_millimetres() {
    // By hand: the sheet less the block grown by 3.25 mm.
    let area = |left: f64| {
        let (w, h) = (left + 109.25, 40.0);
        w * h - (100.0 * 28.0 + 2.0 * 128.0 * 3.25 + std::f64::consts::PI * 3.25 * 3.25)
    };
    let left_of = |wanted: f64| (wanted - area(0.0)) / 40.0;
    for (wanted, held) in [(1005.0, true), (975.0, false)] {
        let mut s = beside(left_of(wanted));
        assert!((area(left_of(wanted)) - wanted).abs() < 1e-9);
        s.hold_down = HoldDown::Tape;
        assert_eq!(of(&s).is_empty(), held, "{wanted} mm²: {:?}", of(&s));
        s.hold_down = HoldDown::Clamps;
        assert_eq!(of(&s).len(), 3, "without tape");
    }
}

/// A block across the sheet, with only its kerfs and a web at the sheet's edge above and below it: the web is wider or narrower
/// than the 0.25 mm that stock keeps from a kerf. Behind the block a strip of 8 mm hangs on it.
#[test]
fn a_web_of_a_quarter_millimetre_at_the_edge_is_stock_and_one_of_a_tenth_is_not() {
    let with_web = |web: f64| {
        let mut s = sheet(300.0, 100.0);
        s.bit.diameter = 3.0;
        // Left of the block 60 mm are clamped.
        let tall = 100.0 - 2.0 * (3.0 + web);
        let at = |x: f64| Pose::new(point(x, 3.0 + web), 0.0);
        s.parts = vec![place(&block("block", 225.0, tall, &[(225.0, 40.0)]), 1, at(64.0))];
        s
    };
    assert_eq!(of(&with_web(0.27)), Vec::<String>::new());
    let found = of(&with_web(0.1));
    assert!(
        found.iter().any(|m| m.contains("tab 1 of its outline lands on stock that comes loose"))
    );
}

/// The same with two blocks one above the other, their kerfs' outer sides 0.2 mm beyond the sheet's edge, and a web between them.
#[test]
fn a_web_of_half_a_millimetre_between_kerfs_is_stock_and_one_of_a_third_is_not() {
    let with_web = |web: f64| {
        let mut s = sheet(300.0, 105.6 + web);
        s.bit.diameter = 3.0;
        let tall = 47.0;
        let tab = (225.0, 20.0);
        for (name, y) in [("upper", 2.8), ("lower", 55.8 + web)] {
            s.parts.push(place(
                &block(name, 225.0, tall, &[tab]),
                1,
                Pose::new(point(64.0, y), 0.0),
            ));
        }
        s
    };
    assert_eq!(of(&with_web(0.51)), Vec::<String>::new());
    let found = of(&with_web(0.33));
    assert!(found.iter().any(|m| m.contains("upper 1 hangs only on stock that comes loose")));
}

#[test]
fn what_hangs_in_an_opening_stays_with_the_waste_that_is_tied_there() {
    let good = everything();
    assert_eq!(said(&good), Vec::<String>::new());
    // The plug hangs on the waste in the first frame's opening, which hangs on one tab.
    let mut loose = good.clone();
    part(&mut loose, "frame", 1).hold.tabs.pop();
    let found = said(&loose);
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].contains("plug 1 hangs only on stock that comes loose"), "{found:?}");
    // On tape the frame keeps what lies in it.
    part(&mut loose, "frame", 1).hold = Hold { method: Method::Tape, ..hold(vec![]) };
    assert_eq!(said(&loose), Vec::<String>::new());
    // On a skin too; without stock that stays round it, it does not.
    let skin = Hold { method: Method::Skin, skin_mm: Some(0.4), ..hold(vec![]) };
    part(&mut loose, "frame", 1).hold = skin;
    assert_eq!(said(&loose), Vec::<String>::new());
    // The tab moved across the opening, onto the other frame's waste that nothing ties.
    let mut moved = good.clone();
    part(&mut moved, "frame", 2).hold.tabs.pop();
    assert_eq!(said(&moved), Vec::<String>::new(), "nothing hangs on it");
    let plug = part(&mut moved, "plug", 1);
    crate::verify_support::everything::shift(plug, 84.0, 0.0);
    assert_eq!(said(&moved).len(), 2, "{:?}", said(&moved));
}

/// A plug on a skin in an opening: in one piece with the waste there, and with nothing else once the opening is cut.
#[test]
fn a_skin_ties_to_what_lies_beside_it() {
    let mut on_skin = everything();
    let skin = Hold { method: Method::Skin, skin_mm: Some(0.4), ..hold(vec![]) };
    part(&mut on_skin, "plug", 1).hold = skin;
    assert_eq!(said(&on_skin), Vec::<String>::new());
    part(&mut on_skin, "frame", 1).hold.tabs.pop();
    let found = said(&on_skin);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("plug 1 hangs only on stock that comes loose"), "{found:?}");
}

/// A tab of an opening ties the waste in it; over a plug that fills the opening it ties nothing.
#[test]
fn a_tab_of_an_opening_lands_on_waste_of_that_opening() {
    let mut s = sheet(200.0, 140.0);
    s.bit.diameter = 3.0;
    let frame = Shape::new(
        Ring::rectangle(100.0, 80.0),
        vec![Ring::rectangle(60.0, 50.0).moved(point(20.0, 15.0))],
    );
    let tabs: Vec<Tab> = [(0, 50.0, 0.0), (1, 20.0, 40.0)]
        .map(|(ring, x, y)| tab_near(&frame, ring, point(x, y), 4.0))
        .into();
    let kind = Kind { name: "frame", shape: frame, tabs, features: vec![] };
    s.parts = vec![place(&kind, 1, Pose::new(point(40.0, 30.0), 0.0))];
    assert_eq!(of(&s), Vec::<String>::new());
    // 3 mm all round it: the kerfs of both coincide.
    let plug = place(&block("plug", 54.0, 44.0, &[]), 1, Pose::new(point(63.0, 48.0), 0.0));
    s.parts.push(plug);
    s.parts[1].hold.method = Method::Tape;
    let found = of(&s);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("frame 1: tab 2 of its opening 1 lands on no stock"), "{found:?}");
}
