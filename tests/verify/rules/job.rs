//! Each rule of `verify` that compares a layout with its job, broken alone by a little and barely kept, on one sheet made by
//! hand (`verify_support/everything.rs`).

use crate::verify_support::everything::{everything, everything_sheet, owns, part};
use crate::verify_support::rule::{BY, Rule, hold_to, said};
use tabwright::geometry::{Pose, Ring, point};
use tabwright::layout::{HoldDown, PartGrain, Unplaced, UnplacedKind};
use tabwright::verify::{Asked, AskedPart, AskedStock, Rules, What, verify};

/// The demands of a job that asks for the hand-made sheet; the plug is pinned where it lies.
fn asked() -> Asked {
    let sheet = everything_sheet();
    let parts = owns().into_iter().map(|own| AskedPart {
        name: own.name.into(),
        material: "walnut".into(),
        thickness: 6.0,
        copies: if matches!(own.name, "frame" | "blade") { 2 } else { 1 },
        spares: usize::from(own.name == "blade"),
        mirror: matches!(own.name, "frame" | "blade"),
        grain: own.grain,
        pins: match own.name {
            "plug" => vec![(0, Pose::new(point(52.0, 37.0), 0.0))],
            _ => vec![],
        },
        features: own.features,
        rounded: false,
    });
    let stock = AskedStock {
        name: "board".into(),
        material: "walnut".into(),
        thickness: 6.0,
        quantity: Some(1),
        outline: Ring::rectangle(400.0, 300.0),
        open_length: false,
        margin: 10.0,
        clamps: vec![sheet.keep_clear[0].clone()],
        keep_clear: sheet.keep_clear,
        grain_deg: 0.0,
        bit: 3.0,
        gap: 8.0,
    };
    Asked { parts: parts.collect(), stock: vec![stock], hold_down: Some(HoldDown::Clamps) }
}

#[test]
fn sheets_are_the_jobs_stock() {
    let asked = asked();
    hold_to(
        &Rules { asked: Some(&asked), ..Rules::default() },
        &[
            Rule {
                name: "held down by something else",
                change: |l, by| {
                    let taped = by > 0.0;
                    l.sheets[0].hold_down = if taped { HoldDown::Tape } else { HoldDown::Clamps };
                },
                what: What::Anchor,
                says: "is held down by tape; the job asks for clamps",
                ..BY
            },
            Rule {
                // The job's clamp is the rectangle; the circle about (320, 68) is a knot.
                name: "a clamp that the job does not have",
                change: |l, by| {
                    let area = usize::from(by > 0.0);
                    l.sheets[0].clamps = vec![l.sheets[0].keep_clear[area].clone()];
                },
                what: What::Stock,
                place: Some([[320.0, 68.0], [320.0, 68.0]]),
                says: "the sheet has a clamp that 'board' does not have",
                ..BY
            },
            Rule {
                name: "no such stock",
                change: |l, by| {
                    l.sheets[0].stock = if by > 0.0 { "shelf" } else { "board" }.into();
                },
                what: What::Stock,
                says: "is cut from 'shelf'; the job has no such stock",
                ..BY
            },
            Rule {
                name: "margin",
                change: |l, by| l.sheets[0].margin = 10.0 - by,
                good: 9e-6,
                what: What::Stock,
                amount: Some(9.99),
                limit: Some(10.0),
                says: "margin is 9.99 mm; the job gives 'board' 10 mm",
                ..BY
            },
            Rule {
                name: "gap",
                change: |l, by| l.sheets[0].gap = 8.0 - by,
                good: 9e-6,
                what: What::Stock,
                amount: Some(7.99),
                limit: Some(8.0),
                says: "gap is 7.99 mm",
                ..BY
            },
            Rule {
                // A thinner bit asks less of gaps, landings and remnants.
                name: "bit",
                change: |l, by| l.sheets[0].bit.diameter = 3.0 - by,
                good: 9e-6,
                what: What::Stock,
                amount: Some(2.99),
                limit: Some(3.0),
                says: "bit diameter is 2.99 mm",
                ..BY
            },
            Rule {
                name: "a keep-clear area gone",
                change: |l, n| l.sheets[0].keep_clear.truncate(n as usize),
                bad: 1.0,
                good: 2.0,
                what: What::Stock,
                place: Some([[320.0, 68.0], [320.0, 68.0]]),
                says: "the sheet lacks a keep-clear area that 'board' has",
                ..BY
            },
            Rule {
                name: "a keep-clear area moved",
                change: |l, by| {
                    let area = &mut l.sheets[0].keep_clear[0];
                    *area = area.moved(point(by, 0.0));
                },
                good: 9e-6,
                what: What::Stock,
                place: Some([[382.0, 20.0], [382.0, 20.0]]),
                says: "the sheet lacks a keep-clear area that 'board' has",
                ..BY
            },
            Rule {
                name: "its outline",
                change: |l, by| {
                    l.sheets[0].outline = Ring::rectangle(400.0, 300.0 + by);
                    l.total();
                },
                good: 9e-6,
                what: What::Stock,
                says: "outline is not that of 'board': they differ by 0.01 mm",
                ..BY
            },
            Rule {
                // No part asks for its grain here, so only the stock shows it; half a turn is the same grain.
                name: "its grain",
                change: |l, by| {
                    l.sheets[0]
                        .parts
                        .retain(|p| matches!(p.part.as_str(), "plug" | "strip" | "brace"));
                    l.total();
                    l.sheets[0].grain_deg = 180.0 + by;
                },
                good: 0.9e-4,
                what: What::Stock,
                amount: Some(180.01),
                limit: Some(0.0),
                says: "the sheet's grain lies at 180.01 degrees; the job gives 'board' a grain at 0",
                ..BY
            },
        ],
    );
}

#[test]
fn parts_are_laid_as_the_job_asks() {
    let asked = asked();
    hold_to(
        &Rules { asked: Some(&asked), ..Rules::default() },
        &[
            Rule {
                name: "a flip",
                change: |l, flip| {
                    let strip = part(l, "strip", 1);
                    // The same rectangle from its other side.
                    if flip > 0.0 {
                        (strip.mirrored, strip.x) = (true, 364.0);
                    }
                },
                what: What::Flip,
                part: "strip 1",
                says: "is flipped; the job does not allow it",
                ..BY
            },
            Rule {
                name: "off its pin",
                change: |l, by| part(l, "plug", 1).x += by,
                good: 9e-6,
                what: What::Pin,
                part: "plug 1",
                place: Some([[52.01, 37.0], [52.01, 37.0]]),
                amount: Some(0.01),
                limit: Some(0.0),
                says: "lies 0.01 mm from its pin",
                ..BY
            },
            Rule {
                name: "turned off its pin",
                change: |l, by| part(l, "plug", 1).rotation_deg = 360.0 - by,
                good: 0.9e-4,
                what: What::Pin,
                part: "plug 1",
                amount: Some(0.0),
                limit: Some(0.0),
                says: "is rotated by 0.01 degrees from its pin",
                ..BY
            },
            Rule {
                name: "flipped on its pin",
                change: |l, by| part(l, "plug", 1).mirrored = by > 0.0,
                what: What::Pin,
                part: "plug 1",
                amount: Some(0.0),
                limit: Some(0.0),
                says: "and its pin differ: one is flipped",
                ..BY
            },
            Rule {
                name: "a spare not marked",
                change: |l, by| part(l, "blade", 3).spare = by < 0.0,
                what: What::Count,
                part: "blade 3",
                amount: Some(3.0),
                limit: Some(3.0),
                says: "is not one of the job's 2 copies and 1 spares",
                ..BY
            },
            Rule {
                name: "a copy marked as a spare",
                change: |l, by| part(l, "blade", 2).spare = by > 0.0,
                what: What::Count,
                part: "blade spare 2",
                amount: Some(2.0),
                limit: Some(3.0),
                ..BY
            },
            Rule {
                name: "a spare too many",
                change: |l, copy| part(l, "blade", 3).copy = copy as usize,
                bad: 4.0,
                good: 3.0,
                what: What::Count,
                part: "blade spare 4",
                amount: Some(4.0),
                limit: Some(3.0),
                ..BY
            },
            Rule {
                name: "copy 0",
                change: |l, copy| part(l, "strip", 1).copy = copy as usize,
                bad: 0.0,
                good: 1.0,
                what: What::Count,
                part: "strip 0",
                amount: Some(0.0),
                limit: Some(1.0),
                ..BY
            },
        ],
    );
}

/// The problems reported against a job.
fn against(asked: &Asked, change: impl Fn(&mut tabwright::layout::Layout)) -> Vec<(What, String)> {
    let mut layout = everything();
    change(&mut layout);
    let rules = Rules { asked: Some(asked), ..Rules::default() };
    verify(&layout, &rules).iter().map(|p| (p.what, said(p))).collect()
}

#[test]
fn grain_and_features_that_the_layout_does_not_tell_come_from_the_job() {
    // Copies agree with each other, so only the job shows it.
    let mut job = asked();
    job.parts[0].features[0].depth = Some(2.0);
    let found = against(&job, |_| {});
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().all(|f| f.0 == What::Feature && f.1.contains("from the job's part")));
    // The panel's direction is 20 +-20 degrees in the layout; the job says 20.01 or 19.99 +-20.
    for (deg, good) in [(20.01, false), (19.99, true)] {
        let mut job = asked();
        job.parts[2].grain = Some(PartGrain { deg, tolerance_deg: 20.0 });
        let found = against(&job, |l| part(l, "panel", 1).grain = None);
        assert_eq!(found.is_empty(), good, "{found:?}");
        if !good {
            assert_eq!(found.len(), 1, "{found:?}");
            assert_eq!(found[0].0, What::Grain);
            assert!(found[0].1.contains("lies 20.01 degrees off the grain"), "{}", found[0].1);
            assert!(found[0].1.contains("; the job asks for that"), "{}", found[0].1);
        }
    }
    // A pinned copy lies as its pin has it, whatever the job's grain.
    let mut job = asked();
    job.parts[1].grain = Some(PartGrain { deg: 45.0, tolerance_deg: 0.0 });
    assert_eq!(against(&job, |_| {}), vec![]);
}

#[test]
fn stock_serves_its_own_material_and_thickness() {
    // Calliper and ruler read 0.05 mm: less is the same stock.
    for (own, good) in [(6.049, true), (6.051, false), (5.951, true), (5.949, false)] {
        let mut job = asked();
        job.stock[0].thickness = own;
        let found = against(&job, |_| {});
        assert_eq!(found.is_empty(), good, "{own}: {found:?}");
        if !good {
            assert_eq!(found.len(), 1, "{found:?}");
            assert_eq!(found[0].0, What::Stock);
            assert!(found[0].1.contains("thickness is 6 mm"), "{}", found[0].1);
        }
        // The part's own wish against its sheet.
        let mut job = asked();
        job.parts[3].thickness = own;
        let found = against(&job, |_| {});
        assert_eq!(found.is_empty(), good, "{own}: {found:?}");
        if !good {
            assert_eq!(found.len(), 1, "{found:?}");
            assert_eq!(found[0].0, What::Stock);
            assert!(found[0].1.contains("strip 1 lies on walnut of 6 mm"), "{}", found[0].1);
        }
    }
    let mut job = asked();
    job.parts[3].material = "maple".into();
    let found = against(&job, |_| {});
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].1.contains("the job asks for maple"), "{}", found[0].1);
    let mut job = asked();
    job.stock[0].material = "maple".into();
    let found = against(&job, |_| {});
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].1.contains("is of walnut; in the job 'board' is maple"), "{}", found[0].1);
}

/// A second sheet of the same stock with only the strip.
fn second_sheet(layout: &mut tabwright::layout::Layout) {
    let mut second = layout.sheets[0].clone();
    second.id = "walnut-6mm-2".into();
    second.parts.retain(|p| p.part == "strip");
    second.parts[0].copy = 2;
    layout.sheets.push(second);
    layout.total();
}

#[test]
fn no_more_sheets_are_cut_than_there_are() {
    let mut job = asked();
    job.parts[3].copies = 2;
    let found = against(&job, second_sheet);
    let message = "board: 2 sheets are cut from it; the job has 1";
    assert_eq!(found, vec![(What::Stock, message.to_string())]);
    for have in [Some(2), None] {
        job.stock[0].quantity = have;
        assert_eq!(against(&job, second_sheet), vec![], "{have:?}");
    }
    // Two entries of one name add up, and a sheet need be only one of them.
    job.stock[0].quantity = Some(1);
    let mut other = job.stock[0].clone();
    other.margin = 12.0;
    job.stock.insert(0, other);
    assert_eq!(against(&job, second_sheet), vec![]);
}

#[test]
fn a_pin_names_its_sheet() {
    let mut job = asked();
    (job.parts[3].copies, job.stock[0].quantity) = (2, None);
    let at = |sheet| (sheet, Pose::new(point(314.0, 10.0), 0.0));
    job.parts[3].pins = vec![at(0), at(1)];
    assert_eq!(against(&job, second_sheet), vec![]);
    // A sheet that stays empty is not cut: the third may be the second.
    job.parts[3].pins = vec![at(0), at(2)];
    assert_eq!(against(&job, second_sheet), vec![]);
    job.parts[3].pins = vec![at(0), at(0)];
    let found = against(&job, second_sheet);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].0, What::Pin);
    assert!(found[0].1.contains("strip 2 lies on sheet 2; its pin puts it on sheet 1"));
}

#[test]
fn a_board_of_open_length_may_be_cut_shorter_but_not_wider_or_longer() {
    let mut job = asked();
    job.stock[0].open_length = true;
    let sizes = [
        (400.0, 300.0, true),
        (350.0, 300.0, true),
        (400.01, 300.0, false),
        (400.0, 300.01, false),
    ];
    for (length, width, good) in sizes {
        let found = against(&job, |l| {
            l.sheets[0].outline = Ring::rectangle(length, width);
            l.sheets[0].remnants.clear();
            l.total();
        });
        let stock = found.iter().any(|f| f.0 == What::Stock);
        // At 350 mm the strip lies off the board, yet the board is the job's.
        assert_eq!(stock, !good, "{length} x {width}: {found:?}");
    }
    // Not of open length, it must be whole.
    job.stock[0].open_length = false;
    let found = against(&job, |l| {
        l.sheets[0].outline = Ring::rectangle(399.99, 300.0);
        l.sheets[0].remnants.clear();
        l.total();
    });
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].0, What::Stock);
}

#[test]
fn a_part_that_is_left_over_is_no_fault_of_its_pin() {
    let job = asked();
    let left = |l: &mut tabwright::layout::Layout| {
        l.sheets[0].parts.retain(|p| p.part != "plug");
        l.total();
        l.unplaced.push(Unplaced::of("plug", 1, UnplacedKind::PinNearEdge));
    };
    assert_eq!(against(&job, left), vec![]);
}

/// A pin counts the sheets of its own material and thickness: the frame's plug is pinned to the first sheet of walnut 6 mm,
/// and stays on it if a sheet of walnut 4 mm or of maple 6 mm comes before it; after another of walnut 6 mm it is on the second.
#[test]
fn a_pins_sheet_is_counted_among_its_own_material_and_thickness() {
    let moved = |material: &'static str, thickness: f64| {
        let found = against(&asked(), |l| {
            let mut before = l.sheets[0].clone();
            before.id = "before".into();
            (before.material, before.thickness) = (material.into(), thickness);
            before.parts.clear();
            l.sheets.insert(0, before);
        });
        found.into_iter().filter(|f| f.0 == What::Pin).map(|f| f.1).collect::<Vec<_>>()
    };
    assert_eq!(moved("walnut", 4.0), Vec::<String>::new());
    assert_eq!(moved("maple", 6.0), Vec::<String>::new());
    let second = moved("walnut", 6.0);
    assert!(
        second.len() == 1 && second[0].contains("lies on sheet 2; its pin puts it on sheet 1"),
        "{second:?}"
    );
}
