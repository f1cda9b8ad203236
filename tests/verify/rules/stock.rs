//! Parts on stock that is not a rectangle with a margin: a part that lies in its bounds, touches it, or lies amid other parts.

use crate::verify_support::everything::{everything, part, shift};
use crate::verify_support::rule::said;
use tabwright::geometry::{Ring, point};
use tabwright::verify::{Rules, What, verify};

/// A sheet that stands on its corner, 400 mm across: a part in its bounds need not lie on it.
#[test]
fn a_sheet_on_its_corner_is_not_its_bounds() {
    let corners = [(200.0, 0.0), (400.0, 200.0), (200.0, 400.0), (0.0, 200.0)];
    let mut s = crate::verify_support::sheet(400.0, 400.0);
    s.outline = Ring(corners.iter().map(|&(x, y)| point(x, y)).collect());
    let with = |x: f64, y: f64| {
        let mut layout = everything();
        let mut strip = part(&mut layout, "strip", 1).clone();
        let (dx, dy) = (x - strip.x, y - strip.y);
        shift(&mut strip, dx, dy);
        let mut s = s.clone();
        s.parts = vec![strip];
        verify(&crate::verify_support::layout(vec![s]), &Rules::default())
    };
    assert_eq!(with(175.0, 194.0), vec![]);
    let off = with(30.0, 30.0);
    assert!(off.len() == 1 && off[0].what == What::OffSheet, "{off:?}");
}

/// Where no gap is required, a part may touch keep-clear areas; a part amid another's material, off its edges, overlaps it: a
/// strip of 50 x 12 mm in the panel's middle, x 236 to 296 and y 10 to 50, 14 mm below its upper edge.
#[test]
fn without_a_gap_parts_touch_and_never_overlap() {
    let mut layout = everything();
    layout.sheets[0].gap = 0.0;
    let mut touches = layout.clone();
    shift(part(&mut touches, "strip", 1), 8.0, 0.0);
    assert_eq!(verify(&touches, &Rules::default()), vec![]);
    shift(part(&mut layout, "strip", 1), 241.0 - 314.0, 14.0);
    for swapped in [false, true] {
        if swapped {
            layout.sheets[0].parts.swap(3, 4);
        }
        let found = verify(&layout, &Rules::default());
        assert!(found.len() == 1 && found[0].what == What::Overlap, "{found:?}");
        let depth = found[0].amount.expect("a depth");
        assert!((depth - 14.0).abs() < 0.02 && said(&found[0]).contains("600 mm²"), "{found:?}");
    }
}
