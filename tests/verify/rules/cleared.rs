//! Pockets that clear waste: each rule broken by a hundredth of a millimetre, and just kept.

use crate::verify_support::everything::{everything, part, shift};
use tabwright::geometry::{Ring, point};
use tabwright::layout::{DropOut, Layout};
use tabwright::verify::{Rules, What, verify};

/// A brace of 70 x 20 mm, with tabs right and below, alone on a panel of 400 x 400 mm, with a pocket.
fn with(pocket: Ring) -> Layout {
    let mut layout = everything();
    let mut brace = part(&mut layout, "brace", 1).clone();
    let (dx, dy) = (175.0 - brace.x, 194.0 - brace.y);
    shift(&mut brace, dx, dy);
    let mut sheet = crate::verify_support::sheet(400.0, 400.0);
    sheet.parts = vec![brace];
    sheet.cleared = vec![pocket];
    crate::verify_support::layout(vec![sheet])
}

fn found(pocket: Ring) -> Vec<What> {
    verify(&with(pocket), &Rules::default()).iter().map(|p| p.what).collect()
}

/// Half of the bit of 3.175 mm.
#[test]
fn a_pocket_keeps_half_a_bit_off_a_part() {
    let of = with(Ring::rectangle(1.0, 1.0));
    let edge = of.sheets[0].parts[0].outline.bounds().min.y;
    let at = |off: f64| Ring::rectangle(10.0, 4.0).moved(point(200.0, edge - off - 4.0));
    assert_eq!(found(at(3.175 / 2.0 + 0.01)), []);
    assert_eq!(found(at(3.175 / 2.0 - 0.01)), [What::Gouge]);
    // In the part, and round it.
    for pocket in [
        Ring::rectangle(1.0, 1.0).moved(point(200.0, edge + 8.0)),
        Ring::rectangle(200.0, 200.0).moved(point(100.0, 100.0)),
    ] {
        assert!(found(pocket).contains(&What::Gouge));
    }
}

#[test]
fn a_pocket_leaves_landings_alone() {
    let of = with(Ring::rectangle(1.0, 1.0));
    let tab = of.sheets[0].parts[0].hold.tabs[0].clone();
    let at = |by: f64| tab.landing(3.175).map(|p| p + tab.out * by);
    assert_eq!(found(at(2.01)), []);
    assert_eq!(found(at(1.99)), [What::Landing]);
}

#[test]
fn a_pocket_lies_on_the_sheet() {
    let at = |x: f64| Ring::rectangle(5.0, 5.0).moved(point(x, 20.0));
    assert_eq!(found(at(394.99)), []);
    assert_eq!(found(at(395.01)), [What::OffSheet]);
    assert_eq!(found(Ring(vec![point(1.0, 1.0)])), [What::Ring]);
}

/// A part of 60 x 60 mm with an opening of 40 x 40 mm that no tab ties: inside its kerf 33.65 x 33.65 mm come loose.
#[test]
fn loose_waste_is_cleared_or_listed() {
    let mut layout = with(Ring::rectangle(5.0, 5.0).moved(point(20.0, 20.0)));
    let sheet = &mut layout.sheets[0];
    sheet.cleared.clear();
    let opening = Ring::rectangle(40.0, 40.0).moved(point(30.0, 30.0));
    let part = &mut sheet.parts[0];
    part.outline = Ring::rectangle(60.0, 60.0).moved(point(20.0, 20.0));
    part.openings = vec![opening];
    part.hold.tabs[0].at = point(50.0, 80.0);
    part.hold.tabs[1].at = point(80.0, 50.0);
    (part.x, part.y) = (20.0, 20.0);
    let of = |layout: &Layout| {
        let rules = Rules { complete: true, ..Rules::default() };
        let found = verify(layout, &rules);
        found.iter().filter(|p| p.what == What::Waste).map(|p| p.amount).collect::<Vec<_>>()
    };
    let found = of(&layout);
    // Less a quarter of a millimetre all round that crumbles, eased by a fortieth.
    assert!(
        found.len() == 1 && (found[0].expect("mm²") - 33.2f64.powi(2)).abs() < 5.0,
        "{found:?}"
    );
    let listed = |at: [f64; 2]| {
        let mut layout = layout.clone();
        let (sheet, size_mm) = (layout.sheets[0].id.clone(), [33.65; 2]);
        let piece = DropOut { sheet, at, size_mm, part: None, copy: None, opening: None };
        layout.drop_outs.push(piece);
        of(&layout).is_empty()
    };
    assert_eq!([listed([50.0, 50.0]), listed([20.0, 50.0])], [true, false]);
    let mut cleared = layout.clone();
    cleared.sheets[0].cleared = vec![Ring::rectangle(36.0, 36.0).moved(point(32.0, 32.0))];
    assert_eq!(of(&cleared), []);
    // One in its middle leaves most of it.
    cleared.sheets[0].cleared = vec![Ring::rectangle(30.0, 30.0).moved(point(35.0, 35.0))];
    assert_eq!(of(&cleared).len(), 1);
}
