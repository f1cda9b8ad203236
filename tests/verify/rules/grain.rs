//! The rule of `verify` about grain, broken alone by a little and barely kept, and by hand on stock at 30 degrees, on one sheet
//! made by hand (`verify_support/everything.rs`).

use crate::verify_support::everything::{everything, part};
use crate::verify_support::rule::{BY, Rule, hold_to};
use std::f64::consts::PI;
use tabwright::geometry::{Ring, point};
use tabwright::layout::PartGrain;
use tabwright::verify::{Rules, What, verify};

#[test]
fn the_grain_runs_as_the_part_names_it() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                name: "off the grain",
                change: |l, by| {
                    part(l, "panel", 1).grain.as_mut().expect("a grain").deg = 20.0 + by
                },
                what: What::Grain,
                part: "panel 1",
                place: Some([[266.0, 30.0], [266.0, 30.0]]),
                amount: Some(20.01),
                limit: Some(20.0),
                says: "lies 20.01 degrees off the grain",
                ..BY
            },
            Rule {
                // Grain has no head and no tail: 160 degrees are 20 the other way.
                name: "off the grain the other way",
                change: |l, by| {
                    part(l, "panel", 1).grain.as_mut().expect("a grain").deg = 160.0 - by
                },
                what: What::Grain,
                part: "panel 1",
                amount: Some(20.01),
                limit: Some(20.0),
                ..BY
            },
            Rule {
                name: "the sheet's grain",
                change: |l, by| {
                    // Blades may be 5 degrees off; the panel's direction then has 15 left; frames none.
                    part(l, "panel", 1).grain = None;
                    part(l, "frame", 1).grain = None;
                    part(l, "frame", 2).grain = None;
                    part(l, "blade", 1).grain = None;
                    part(l, "blade", 2).grain = None;
                    l.sheets[0].grain_deg = 5.0 + by;
                },
                what: What::Grain,
                part: "blade spare 3",
                amount: Some(5.01),
                limit: Some(5.0),
                ..BY
            },
            Rule {
                // A turn read from a file may be off by its rounding, 0.0001 degrees.
                name: "by more than rounding",
                change: |l, by| part(l, "frame", 2).grain.as_mut().expect("a grain").deg = by,
                bad: 1.2e-4,
                good: 0.9e-4,
                what: What::Grain,
                part: "frame 2",
                amount: Some(1.2e-4),
                limit: Some(0.0),
                ..BY
            },
            Rule {
                name: "no tolerance",
                change: |l, by| {
                    part(l, "panel", 1).grain =
                        Some(PartGrain { deg: 20.0, tolerance_deg: 180.0 + by });
                },
                good: 0.0,
                what: What::Number,
                part: "panel 1",
                says: "its grain is 20 ± 180.01 degrees",
                ..BY
            },
        ],
    );
}

/// By hand, y down, angles from +x towards +y: a part rotated by r lays its direction g at g + r; flipped first (x becomes
/// -x), its direction g becomes 180 - g and lies at 180 - g + r.
#[test]
fn stock_with_grain_at_30_degrees_lays_plain_and_flipped_parts() {
    // Direction, flipped, turn, and how far off a grain at 30 degrees it lies.
    let cases: [(f64, bool, f64, f64); 12] = [
        (0.0, false, 30.0, 0.0),
        (0.0, false, 210.0, 0.0),
        (0.0, false, 330.0, 60.0),
        (0.0, true, 30.0, 0.0),
        (20.0, false, 10.0, 0.0),
        (20.0, false, 50.0, 40.0),
        (20.0, true, 50.0, 0.0),
        (20.0, true, 230.0, 0.0),
        (20.0, true, 10.0, 40.0),
        (90.0, false, 120.0, 0.0),
        (90.0, true, 120.0, 0.0),
        (90.0, false, 30.0, 90.0),
    ];
    for (deg, mirrored, turn, off) in cases {
        let mut layout = everything();
        layout.sheets[0].grain_deg = 30.0;
        layout.sheets[0].parts.retain(|p| p.part == "panel");
        layout.sheets[0].remnants.clear();
        let panel = part(&mut layout, "panel", 1);
        panel.grain = Some(PartGrain { deg, tolerance_deg: 0.0 });
        // A panel of 60 x 40 mm turned about (150, 150), the flip by hand.
        let (s, c) = (turn.to_radians().sin(), turn.to_radians().cos());
        let laid = |p: tabwright::geometry::Point| {
            let x = if mirrored { -p.x } else { p.x };
            point(150.0 + c * x - s * p.y, 150.0 + s * x + c * p.y)
        };
        panel.outline = Ring::rectangle(60.0, 40.0).map(laid);
        (panel.x, panel.y, panel.rotation_deg, panel.mirrored) = (150.0, 150.0, turn, mirrored);
        layout.total();
        // The same by vectors: the direction laid by hand against the grain's.
        let g = laid(point((deg * PI / 180.0).cos(), (deg * PI / 180.0).sin()));
        let (dx, dy) = (g.x - 150.0, g.y - 150.0);
        let cross = (dx * 0.5 - dy * 0.75f64.sqrt()).abs().min(1.0);
        assert!((cross.asin().to_degrees() - off).abs() < 1e-6, "the case itself: {cross}");
        let found = verify(&layout, &Rules::default());
        match found.as_slice() {
            [] => assert!(off == 0.0, "{deg} {mirrored} {turn}"),
            [p] => {
                assert_eq!(p.what, What::Grain);
                assert!((p.amount.expect("an angle") - off).abs() < 1e-6 && off > 0.0, "{p:?}");
            }
            more => panic!("{more:?}"),
        }
    }
}
