//! Each rule of `verify` about places and figures, broken alone by 0.01 mm and barely kept, on one sheet made by hand.
//!
//! Every figure follows from the round numbers of `verify_support/everything.rs` by addition.

mod cleared;
mod copies;
mod features;
mod grain;
mod job;
mod stock;
mod tabs;

use crate::verify_support::circle;
use crate::verify_support::everything::{everything, part, shift};
use crate::verify_support::rule::{BY, Rule, hold_to, said as words};
use tabwright::geometry::{Ring, point};
use tabwright::layout::{Layout, Remnant, Sheet, Unplaced, UnplacedKind};
use tabwright::verify::{Rules, What, verify};

fn sheet(layout: &mut Layout) -> &mut Sheet {
    &mut layout.sheets[0]
}

#[test]
fn parts_keep_gap_margin_and_keep_clear() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                name: "gap",
                change: |l, by| shift(part(l, "frame", 2), -by, 0.0),
                what: What::Gap,
                part: "frame 1",
                other: "frame 2",
                place: Some([[113.995, 10.0], [113.995, 90.0]]),
                amount: Some(7.99),
                limit: Some(8.0),
                says: "are 7.99 mm apart; the gap must be at least 8 mm",
                ..BY
            },
            Rule {
                name: "gap inside an opening",
                change: |l, by| shift(part(l, "plug", 1), 0.0, by),
                what: What::Gap,
                part: "frame 1",
                other: "plug 1",
                place: Some([[52.0, 71.005], [82.0, 71.005]]),
                amount: Some(7.99),
                limit: Some(8.0),
                ..BY
            },
            Rule {
                // 18 mm between panel and strip; the strip is 12 mm high: 0.01 x 12 mm² shared.
                name: "overlap",
                change: |l, by| {
                    sheet(l).gap = 0.0;
                    shift(part(l, "strip", 1), -18.0 - by, 0.0);
                },
                what: What::Overlap,
                part: "panel 1",
                other: "strip 1",
                place: Some([[296.0, 10.0], [296.0, 22.0]]),
                amount: Some(0.01),
                limit: Some(0.0),
                says: "0.12 mm²",
                ..BY
            },
            Rule {
                name: "margin",
                change: |l, by| shift(part(l, "frame", 2), 0.0, -by),
                what: What::Margin,
                part: "frame 2",
                place: Some([[118.0, 4.995], [218.0, 4.995]]),
                amount: Some(9.99),
                limit: Some(10.0),
                ..BY
            },
            Rule {
                // From x 364 to the margin at 390.
                name: "margin on the right",
                change: |l, by| {
                    sheet(l).keep_clear.clear();
                    shift(part(l, "strip", 1), 26.0 + by, 0.0);
                },
                what: What::Margin,
                part: "strip 1",
                place: Some([[395.005, 10.0], [395.005, 22.0]]),
                amount: Some(9.99),
                limit: Some(10.0),
                ..BY
            },
            Rule {
                // The blade's lower corner from (20, 128) to the margin at 290.
                name: "margin below",
                change: |l, by| {
                    sheet(l).remnants.clear();
                    shift(part(l, "blade", 1), 0.0, 162.0 + by);
                },
                what: What::Margin,
                part: "blade 1",
                place: Some([[20.0, 295.005], [20.0, 295.005]]),
                amount: Some(9.99),
                limit: Some(10.0),
                ..BY
            },
            Rule {
                name: "off the sheet",
                change: |l, by| {
                    sheet(l).margin = 0.0;
                    shift(part(l, "strip", 1), 0.0, -10.0 - by);
                },
                what: What::OffSheet,
                part: "strip 1",
                place: Some([[314.0, 0.0], [364.0, 0.0]]),
                amount: Some(0.01),
                limit: Some(0.0),
                ..BY
            },
            Rule {
                name: "keep-clear rectangle",
                change: |l, by| shift(part(l, "strip", 1), by, 0.0),
                what: What::KeepClear,
                part: "strip 1",
                place: Some([[368.005, 10.0], [368.005, 22.0]]),
                amount: Some(7.99),
                limit: Some(8.0),
                says: "keep-clear area 1",
                ..BY
            },
            Rule {
                name: "keep-clear circle",
                change: |l, by| sheet(l).keep_clear[1] = circle(point(320.0 - by, 68.0), 6.0, 64),
                what: What::KeepClear,
                part: "brace 1",
                place: Some([[309.995, 68.0], [309.995, 68.0]]),
                amount: Some(7.99),
                limit: Some(8.0),
                says: "keep-clear area 2",
                ..BY
            },
            Rule {
                // Without a common edge: in the panel's middle, or in the second frame's opening (x 138 to 198).
                name: "keep-clear inside a part",
                change: |l, x| {
                    let knot = Ring::rectangle(4.0, 4.0).moved(point(x, 28.0));
                    sheet(l)
                        .keep_clear
                        .push(knot.moved(point(0.0, if x < 200.0 { 20.0 } else { 0.0 })));
                },
                bad: 264.0,
                good: 166.0,
                what: What::KeepClear,
                part: "panel 1",
                place: Some([[264.0, 28.0], [268.0, 28.0]]),
                amount: Some(0.0),
                limit: Some(8.0),
                ..BY
            },
            Rule {
                // With no gap asked for, a bar of 4 x 24 mm across the strip, no corner of one in the other; or beside it.
                name: "keep-clear across a part",
                change: |l, x| {
                    sheet(l).gap = 0.0;
                    sheet(l).keep_clear.push(Ring::rectangle(4.0, 24.0).moved(point(x, 4.0)));
                },
                bad: 330.0,
                good: 364.0,
                what: What::KeepClear,
                part: "strip 1",
                place: Some([[334.0, 10.0], [334.0, 22.0]]),
                amount: Some(0.0),
                limit: Some(0.0),
                ..BY
            },
            Rule {
                // The strip's own outline, or the same beyond its end.
                name: "keep-clear that is the part",
                change: |l, by| {
                    sheet(l).gap = 0.0;
                    sheet(l)
                        .keep_clear
                        .push(Ring::rectangle(50.0, 12.0).moved(point(314.0 + by, 10.0)));
                },
                bad: 0.0,
                good: 50.0,
                what: What::KeepClear,
                part: "strip 1",
                amount: Some(0.0),
                limit: Some(0.0),
                ..BY
            },
        ],
    );
}

#[test]
fn a_part_inside_a_keep_clear_area_or_far_off_its_sheet_is_found() {
    // No edges meet: the area holds the strip whole (and 8 mm round it, so nothing else), or the strip lies a metre off.
    let mut layout = everything();
    let round = Ring::rectangle(66.0, 28.0).moved(point(306.0, 2.0));
    sheet(&mut layout).keep_clear = vec![round];
    let found = verify(&layout, &Rules::default());
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].what, found[0].amount), (What::KeepClear, Some(0.0)));
    let mut layout = everything();
    shift(part(&mut layout, "strip", 1), 1000.0, 0.0);
    let found = verify(&layout, &Rules::default());
    assert_eq!(found.len(), 1, "{found:?}");
    // Its left edge lies at x = 1314, the sheet ends at 400; its far edge at 1364 is 964 off.
    assert_eq!(found[0].what, What::OffSheet);
    let depth = found[0].amount.expect("a depth");
    assert!((963.0..=965.0).contains(&depth), "{depth}");
}

#[test]
fn parts_on_the_very_same_place_overlap_wholly() {
    // The same edges: none lies inside the other. The strip is 12 mm high, so 6 mm deep.
    let mut layout = everything();
    let mut twin = part(&mut layout, "strip", 1).clone();
    twin.copy = 2;
    sheet(&mut layout).parts.push(twin);
    layout.total();
    let found = verify(&layout, &Rules::default());
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].what, What::Overlap);
    assert!(words(&found[0]).contains("600 mm²"), "{}", words(&found[0]));
    let depth = found[0].amount.expect("a depth");
    assert!(depth > 3.0 && depth <= 6.01, "{depth}");
}

#[test]
fn remnants_are_whole_stock() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                name: "kerf in a remnant",
                change: |l, by| {
                    let outline = &mut sheet(l).remnants[0].outline;
                    *outline = outline.moved(point(0.0, -by));
                },
                what: What::Remnant,
                part: "blade 2",
                place: Some([[170.0, 141.495], [170.0, 141.495]]),
                amount: Some(2.99),
                limit: Some(3.0),
                says: "remnant 1",
                ..BY
            },
            Rule {
                name: "remnant off the sheet",
                change: |l, by| {
                    let outline = &mut sheet(l).remnants[0].outline;
                    *outline = outline.moved(point(by, 0.0));
                },
                what: What::Remnant,
                place: Some([[400.005, 143.0], [400.005, 243.0]]),
                says: "remnant 1 lies off the sheet",
                ..BY
            },
            Rule {
                name: "remnant on a keep-clear area",
                change: |l, by| {
                    let screw = Ring::rectangle(10.0, 10.0).moved(point(300.0, 133.0 + by));
                    sheet(l).keep_clear.push(screw);
                },
                what: What::Remnant,
                place: Some([[300.0, 143.0], [310.0, 143.0]]),
                says: "remnant 1 overlaps keep-clear area 3",
                ..BY
            },
            Rule {
                // The second blade's landing ends at x = 175.
                name: "remnant on a landing",
                change: |l, by| {
                    let outline = Ring::rectangle(19.0 + by, 20.0).moved(point(175.0 - by, 115.0));
                    sheet(l).remnants.push(Remnant { outline });
                },
                what: What::Remnant,
                part: "blade 2",
                place: Some([[175.0, 129.0], [175.0, 133.0]]),
                says: "tab 1 lands on remnant 2",
                ..BY
            },
            Rule {
                name: "remnants on each other",
                change: |l, by| {
                    let outline = Ring::rectangle(50.0, 50.0).moved(point(50.0 + by, 180.0));
                    sheet(l).remnants.push(Remnant { outline });
                },
                what: What::Remnant,
                place: Some([[100.0, 180.0], [100.0, 230.0]]),
                says: "remnant 2 overlaps remnant 1",
                ..BY
            },
            Rule {
                // No edges meet: in the panel, or in the second frame's opening 3 off its edge and more.
                name: "remnant inside a part",
                change: |l, x| {
                    let outline = Ring::rectangle(6.0, 6.0).moved(point(x, 28.0));
                    sheet(l).remnants.push(Remnant { outline });
                },
                bad: 264.0,
                good: 141.0,
                what: What::Remnant,
                part: "panel 1",
                place: Some([[264.0, 28.0], [270.0, 28.0]]),
                amount: Some(0.0),
                limit: Some(3.0),
                says: "remnant 2",
                ..BY
            },
            Rule {
                // A ring whose notch crosses its far side by 0.01 mm.
                name: "crossing remnant",
                change: |l, by| sheet(l).remnants.push(Remnant { outline: notched(by) }),
                what: What::Remnant,
                place: Some([[25.0, 190.0], [25.0, 190.0]]),
                says: "remnant 2 crosses or touches itself",
                ..BY
            },
            Rule {
                name: "remnant of two points",
                change: |l, points| {
                    let outline = Ring(notched(-5.0).0.into_iter().take(points as usize).collect());
                    sheet(l).remnants.push(Remnant { outline });
                },
                bad: 2.0,
                good: 3.0,
                what: What::Remnant,
                says: "remnant 2 has 2 points",
                ..BY
            },
        ],
    );
}

/// A square of 10 mm at (20, 180) with a notch from its top that ends `by` beyond its bottom.
fn notched(by: f64) -> Ring {
    let points = [[0.0, 0.0], [4.0, 0.0], [5.0, 10.0 + by], [6.0, 0.0], [10.0, 0.0], [10.0, 10.0]];
    let mut points = points.to_vec();
    points.push([0.0, 10.0]);
    Ring::from(points).moved(point(20.0, 180.0))
}

#[test]
fn recorded_figures_agree() {
    // The sheet measures 120,000 mm², the parts 2 x 5000 + 900 + 2400 + 600 + 1400 + 3 x 840 = 17,820 mm²: 85.15 % waste.
    let waste = Some(85.15 + 0.0151);
    hold_to(
        &Rules::default(),
        &[
            Rule {
                // A millionth of itself may be off: 0.12 mm².
                name: "sheet area",
                change: |l, by| sheet(l).sheet_area += 0.12 + by,
                amount: Some(120_000.13),
                limit: Some(120_000.0),
                says: "sheet_area",
                ..BY
            },
            Rule {
                name: "part area",
                change: |l, by| sheet(l).part_area -= 0.01782 + by,
                bad: 1e-4,
                good: -1e-4,
                amount: Some(17_819.982_08),
                limit: Some(17_820.0),
                says: "part_area",
                ..BY
            },
            Rule {
                name: "a sheet's waste",
                change: |l, by| sheet(l).waste_percent += 0.0051 + by,
                bad: 0.01,
                good: -1e-4,
                amount: waste,
                limit: Some(85.15),
                says: "waste_percent",
                ..BY
            },
            Rule {
                name: "the whole waste",
                change: |l, by| l.waste_percent += 0.0051 + by,
                bad: 0.01,
                good: -1e-4,
                amount: waste,
                limit: Some(85.15),
                says: "waste_percent",
                ..BY
            },
            Rule {
                name: "parts placed",
                change: |l, by| l.parts_placed += by as usize,
                bad: 1.0,
                good: 0.0,
                amount: Some(10.0),
                limit: Some(9.0),
                says: "parts_placed is recorded as 10; it is 9",
                ..BY
            },
        ],
    );
}

#[test]
fn a_small_sheets_area_may_be_off_by_a_hundredth() {
    // 60 x 40 mm: a millionth would be 0.0024 mm².
    for (by, good) in [(0.0099, true), (0.0101, false)] {
        let mut layout = everything();
        let small = sheet(&mut layout);
        (small.keep_clear, small.remnants) = (vec![], vec![]);
        small.parts.retain(|p| p.part == "strip");
        small.outline = Ring::rectangle(80.0, 40.0).moved(point(300.0, 0.0));
        layout.total();
        sheet(&mut layout).part_area += by;
        assert_eq!(verify(&layout, &Rules::default()).is_empty(), good, "{by}");
    }
}

#[test]
fn numbers_and_the_format_are_in_range() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                name: "format",
                change: |l, by| l.version += by as u32,
                bad: 1.0,
                good: 0.0,
                what: What::Format,
                says: "version 2",
                ..BY
            },
            Rule {
                name: "thickness of nothing",
                change: |l, by| sheet(l).thickness = by,
                bad: 0.0,
                good: 6.0,
                what: What::Number,
                says: "thickness is 0",
                ..BY
            },
            Rule {
                name: "thickness of a kilometre",
                change: |l, by| sheet(l).thickness = 1e6 + by,
                good: 0.0,
                what: What::Number,
                says: "thickness",
                ..BY
            },
            Rule {
                name: "bit of nothing",
                change: |l, by| sheet(l).bit.diameter = by,
                bad: 0.0,
                good: 3.0,
                what: What::Number,
                says: "bit diameter is 0",
                ..BY
            },
            Rule {
                name: "no bit",
                change: |l, by| sheet(l).bit.diameter = by,
                bad: f64::NAN,
                good: 3.0,
                what: What::Number,
                says: "bit diameter is NaN",
                ..BY
            },
            Rule {
                name: "allowance as wide as the bit",
                change: |l, by| sheet(l).bit.allowance = 3.0 + by,
                bad: 0.0,
                good: -0.01,
                what: What::Number,
                says: "the bit's allowance is 3",
                ..BY
            },
            Rule {
                name: "allowance below 0",
                change: |l, by| sheet(l).bit.allowance = -by,
                good: 0.0,
                what: What::Number,
                says: "the bit's allowance is -0.01",
                ..BY
            },
            Rule {
                name: "gap below 0",
                change: |l, by| sheet(l).gap = -by,
                good: 0.0,
                what: What::Number,
                says: "gap is -0.01",
                ..BY
            },
            Rule {
                name: "margin below 0",
                change: |l, by| sheet(l).margin = -by,
                good: 0.0,
                what: What::Number,
                says: "margin is -0.01",
                ..BY
            },
            Rule {
                name: "grain of the sheet",
                change: |l, by| sheet(l).grain_deg = by,
                bad: f64::INFINITY,
                good: 180.0,
                what: What::Number,
                says: "the direction of the grain is inf degrees; it must be a finite number",
                ..BY
            },
            Rule {
                name: "a part beyond a kilometre",
                change: |l, by| part(l, "strip", 1).x = 1e6 + by,
                good: 0.0,
                what: What::Number,
                part: "strip 1",
                says: "x, y or rotation_deg is not a finite number",
                ..BY
            },
            Rule {
                name: "a feature's point",
                change: |l, by| {
                    let frame = part(l, "panel", 1);
                    let mark = Ring(vec![point(250.0, 20.0), point(250.0, by)]);
                    frame.features = vec![crate::verify_support::everything::feature(
                        tabwright::layout::FeatureKind::Mark,
                        vec![],
                        vec![mark],
                    )];
                },
                bad: f64::NAN,
                good: 30.0,
                what: What::Number,
                part: "panel 1",
                says: "a point of a feature is not finite",
                ..BY
            },
        ],
    );
}

#[test]
fn copies_are_counted_against_the_job() {
    let counts = |plug: usize, blade: usize| -> Vec<(String, usize)> {
        let all = [
            ("frame", 2),
            ("plug", plug),
            ("panel", 1),
            ("strip", 1),
            ("brace", 1),
            ("blade", blade),
        ];
        all.iter().map(|(name, n)| (name.to_string(), *n)).collect()
    };
    let said = |layout: &Layout, counts: &[(String, usize)]| -> Vec<(What, String)> {
        let rules = Rules { counts: Some(counts), ..Rules::default() };
        verify(layout, &rules).into_iter().map(|p| (p.what, words(&p))).collect()
    };
    let one = |message: &str| vec![(What::Count, message.to_string())];
    let layout = everything();
    // Two blades are owed, the third is a spare.
    assert_eq!(said(&layout, &counts(1, 2)), vec![]);
    assert_eq!(
        said(&layout, &counts(1, 3)),
        one("blade: the job asks for 3; 2 are placed and 0 listed as not placed")
    );
    assert_eq!(
        said(&layout, &counts(0, 2)),
        one("plug: the job asks for 0; 1 are placed and 0 listed as not placed")
    );
    assert_eq!(said(&layout, &counts(1, 2)[1..]), one("frame: the job has no such part"));
    // One more is owed and named as left over: good. The same copy both placed and left over is not.
    let mut left = everything();
    left.unplaced = vec![Unplaced::of("plug", 2, UnplacedKind::StockUsedUp)];
    assert_eq!(said(&left, &counts(2, 2)), vec![]);
    left.unplaced[0].copy = 1;
    assert_eq!(said(&left, &counts(2, 2)), one("plug 1 is placed, but also listed as not placed"));
    left.unplaced = vec![left.unplaced[0].clone(); 2];
    left.unplaced.iter_mut().for_each(|u| u.copy = 2);
    assert_eq!(said(&left, &counts(3, 2)), one("plug 2 is listed twice as not placed"));
}
