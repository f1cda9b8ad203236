//! Paths drawn by hand round one plate, broken alone by a little and just kept.
//!
//! A plate of 40 x 20 mm at (10, 10), 6 mm thick, with an opening of 12 x 8 mm in its middle; a bit of 3 mm; a tab of 4 x 2 mm
//! at (30, 10). The expected values are plane geometry: the bit's centre is 1.5 mm from the edge, a tab's gap is 4 + 3 mm wide.

use super::super::prepared::prepare;
use super::super::rigid_part::tests::{sheet, tab};
use super::*;
use crate::geometry::point;
use crate::verify::Finding;

const BIT: f64 = 3.0;

fn plate() -> Sheet {
    let mut sheet = sheet(&[tab([30.0, 10.0], [0.0, -1.0], 4.0, 2.0)]);
    sheet.bit.diameter = BIT;
    sheet.bit.allowance = 0.05;
    sheet.outline = Ring::rectangle(60.0, 40.0);
    sheet.parts[0].outline = Ring::rectangle(40.0, 20.0).moved(point(10.0, 10.0));
    sheet.parts[0].openings =
        vec![Ring::rectangle(12.0, 8.0).moved(point(24.0, 16.0)).positive().reversed()];
    sheet
}

/// The way of the bit's centre round the plate at a distance of `r`, from (`from`, 10 - r) to the right and round to
/// (`to`, 10 - r).
fn round_plate(r: f64, from: f64, to: f64) -> Vec<Point> {
    let corners = [(50.0, 10.0, -90.0), (50.0, 30.0, 0.0), (10.0, 30.0, 90.0), (10.0, 10.0, 180.0)];
    let arc = |(x, y, start): (f64, f64, f64)| {
        (0..=60).map(move |k| {
            let turn = (start + 1.5 * f64::from(k)).to_radians();
            point(x + r * turn.cos(), y + r * turn.sin())
        })
    };
    let first = std::iter::once(point(from, 10.0 - r));
    first.chain(corners.into_iter().flat_map(arc)).chain([point(to, 10.0 - r)]).collect()
}

fn stroke(kind: DrawnKind, ring: usize, depth: f64, closed: bool, points: &[Point]) -> Stroke {
    let mut segments: Vec<Segment> = points.windows(2).map(|w| Segment::new(w[0], w[1])).collect();
    if closed {
        segments.push(Segment::new(points[points.len() - 1], points[0]));
    }
    Stroke { id: format!("{ring}-{depth}"), owner: Some((0, ring)), kind, depth, closed, segments }
}

fn through(ring: usize, closed: bool, points: &[(f64, f64)]) -> Stroke {
    let points: Vec<Point> = points.iter().map(|&(x, y)| point(x, y)).collect();
    stroke(DrawnKind::Through, ring, 6.0, closed, &points)
}

/// Round the opening, at a distance of `r` from its sides.
fn in_opening(r: f64) -> Stroke {
    let (a, b, c, d) = (24.0 + r, 36.0 - r, 16.0 + r, 24.0 - r);
    through(1, true, &[(a, c), (a, d), (b, d), (b, c)])
}

/// The upper pass, the through pass with a gap `gap` mm wide at the tab, and the opening's.
fn good(gap: f64) -> Vec<Stroke> {
    let (from, to) = (30.0 + gap / 2.0, 30.0 - gap / 2.0);
    vec![
        stroke(DrawnKind::Upper, 0, 4.0, true, &round_plate(1.5, 30.5, 29.0)),
        stroke(DrawnKind::Through, 0, 6.0, false, &round_plate(1.5, from, to)),
        in_opening(1.5),
    ]
}

type Found = Vec<(Finding, Option<[f64; 2]>)>;

fn found_in(sheet: &Sheet, strokes: &[Stroke]) -> Found {
    let (parts, mut problems) = prepare(sheet, &[]);
    check(sheet, &parts, strokes, &mut problems);
    problems.into_iter().map(|p| (p.found, p.at)).collect()
}

fn found(strokes: &[Stroke]) -> Found {
    found_in(&plate(), strokes)
}

/// How many of the findings are such.
macro_rules! count {
    ($found:expr, $like:pat $(if $guard:expr)?) => {
        $found.iter().filter(|f| matches!(&f.0, Finding::Path($like) $(if $guard)?)).count()
    };
}

/// Asserts that one of the findings is such.
macro_rules! says {
    ($found:expr, $($like:tt)+) => {{
        let found = $found;
        assert!(count!(found, $($like)+) > 0, "{found:?}");
    }};
}

const NONE: Found = vec![];

#[test]
fn the_paths_of_a_plate_with_a_tab_and_an_opening_are_good() {
    assert_eq!(found(&good(7.0)), NONE);
}

/// The bit's disc covers the edge beyond the end of a path by sqrt(1.5105² - 1.5²) = 0.178 mm: a gap of 0.34 mm leaves nothing.
#[test]
fn a_gap_in_a_pass_is_found_where_it_is() {
    for (gap, expected) in [(0.34, false), (0.38, true)] {
        let (end, start) = (20.0 - gap / 2.0, 20.0 + gap / 2.0);
        let mut strokes = good(7.0);
        let whole = round_plate(1.5, 33.5, 26.5);
        let after = whole.iter().position(|p| p.y > start).expect("a corner");
        let first = [&whole[..after], &[point(51.5, end)]].concat();
        let second = [&[point(51.5, start)], &whole[after..]].concat();
        strokes[1] = stroke(DrawnKind::Through, 0, 6.0, false, &first);
        strokes.push(stroke(DrawnKind::Through, 0, 6.0, false, &second));
        let found = found_in(&plate(), &strokes);
        assert_eq!(found.len(), usize::from(expected), "{gap}: {found:?}");
        if let Some((what, at)) = found.first() {
            let path = |f: &PathFinding| matches!(f, PathFinding::NotCut { ring: 0, depth_mm, .. } if *depth_mm == 6.0);
            assert!(matches!(what, Finding::Path(f) if path(f)), "{what:?}");
            let [x, y] = at.expect("a place");
            assert!((x - 50.0).abs() < 1e-9 && (y - 20.0).abs() < 0.2, "{x}, {y}");
        }
    }
}

/// Depths may be off by 0.003 mm; the top of the tab is 4 mm deep.
#[test]
fn each_pass_reaches_its_depth() {
    for (pass, depth, expected) in [
        (0, 3.998, None),
        (0, 3.996, Some((0, 4.0))),
        (1, 5.998, None),
        (1, 5.996, Some((0, 6.0))),
        (2, 5.998, None),
        (2, 5.996, Some((1, 6.0))),
    ] {
        let mut strokes = good(7.0);
        strokes[pass].depth = depth;
        match expected {
            None => assert_eq!(found(&strokes), NONE, "{pass} at {depth}"),
            Some((on, deep)) => {
                let found = found(&strokes);
                says!(&found, PathFinding::NotCut { ring, depth_mm, .. } if (*ring, *depth_mm) == (on, deep));
                let nowhere = count!(found, PathFinding::NotCut { ring: 1, anywhere: false, .. });
                assert_eq!(nowhere > 0, on == 1, "{found:?}");
            }
        }
    }
    let mut strokes = good(7.0);
    strokes.remove(2);
    assert_eq!(found(&strokes).len(), 1, "an opening without a path");
}

/// A path may cut in by 0.0102 mm and lie off by 0.0105 mm.
#[test]
fn paths_keep_the_bits_radius_from_their_edge() {
    assert_eq!(found(&[good(7.0).remove(0), good(7.0).remove(1), in_opening(1.491)]), NONE);
    assert_eq!(found(&[good(7.0).remove(0), good(7.0).remove(1), in_opening(1.509)]), NONE);
    let mut strokes = good(7.0);
    strokes[2] = in_opening(1.489);
    says!(found(&strokes), PathFinding::Gouged { path, .. } if path == "1-6");
    strokes[2] = in_opening(1.512);
    says!(found(&strokes), PathFinding::PathAstray { path, .. } if path == "1-6");
    // Straight through the plate, and round the outline of nothing of its own.
    let mut strokes = good(7.0);
    strokes.push(through(0, false, &[(5.0, 13.0), (55.0, 13.0)]));
    says!(found(&strokes), PathFinding::Gouged { .. });
}

/// A tab is left as wide as the gap less the bit's diameter, to 0.05 mm.
#[test]
fn a_tab_keeps_its_width() {
    for (gap, expected) in [(6.96, true), (7.04, true), (6.94, false), (7.06, false)] {
        let found = found(&good(gap));
        assert_eq!(found.is_empty(), expected, "{gap}: {found:?}");
        if !expected {
            says!(&found, PathFinding::TabWidth { tab: 1 });
        }
    }
    let mut strokes = good(7.0);
    strokes[1] = stroke(DrawnKind::Through, 0, 6.0, true, &round_plate(1.5, 30.5, 29.0));
    says!(found(&strokes), PathFinding::TabCutThrough { tab: 1 });
    strokes[1].depth = 4.0;
    says!(found(&strokes), PathFinding::TabNotFreed { tab: 1 });
    // A path across the tab below its top; above its top it may be cut.
    for (depth, expected) in [(4.001, false), (4.1, true)] {
        let mut strokes = good(7.0);
        strokes[0].depth = depth;
        let found = found(&strokes);
        assert_eq!(count!(found, PathFinding::TabCutThrough { .. }) > 0, expected, "{found:?}");
    }
}

/// Only a holding bridge interrupts an upper pass; an open path that is closed runs back along itself.
#[test]
fn an_upper_pass_is_closed() {
    let mut strokes = good(7.0);
    strokes[0] = stroke(DrawnKind::Upper, 0, 4.0, false, &round_plate(1.5, 30.0, 30.0));
    let open = found(&strokes);
    assert_eq!(open.len(), 1, "{open:?}");
    says!(open, PathFinding::PathOpen { path } if path == "0-4");
    let mut strokes = good(7.0);
    strokes[1].closed = true;
    let back = [point(26.5, 8.5), point(20.0, 8.5), point(15.0, 8.5)];
    strokes[1].segments.extend(back.windows(2).map(|w| Segment::new(w[0], w[1])));
    says!(found(&strokes), PathFinding::PathDoublesBack { path } if path == "0-6");
}

/// Both passes are open at a holding bridge, a tab as high as the sheet is thick; the upper one leaves the last pass of 0.5 mm.
#[test]
fn a_holding_bridge_interrupts_both_passes() {
    let mut sheet = plate();
    sheet.parts[0].hold.tabs[0].height = 6.0;
    let mut strokes = good(7.0);
    strokes[0] = stroke(DrawnKind::Upper, 0, 5.5, false, &round_plate(1.5, 33.5, 26.5));
    assert_eq!(found_in(&sheet, &strokes), []);
    strokes[0] = stroke(DrawnKind::Upper, 0, 5.5, true, &round_plate(1.5, 30.5, 29.0));
    let found = found_in(&sheet, &strokes);
    assert_eq!(found.len(), 1, "{found:?}");
    says!(found, PathFinding::TabCutThrough { tab: 1 });
}

/// A slot of 20 x 2.96 to 3 mm is cut along its middle, there and back; one of 2.94 mm is beyond the allowance of 0.05 mm.
#[test]
fn a_slot_as_wide_as_the_bit_is_cut_along_its_middle() {
    for (width, expected) in [(3.0, true), (2.96, true), (2.94, false)] {
        let mut sheet = plate();
        let slot = Ring::rectangle(20.0, width).moved(point(20.0, 20.0 - width / 2.0));
        sheet.parts[0].openings = vec![slot.positive().reversed()];
        for (closed, ends) in [(true, vec![21.5, 30.0, 38.5]), (false, vec![21.5, 38.5])] {
            let middle: Vec<(f64, f64)> = ends.into_iter().map(|x| (x, 20.0)).collect();
            let mut strokes = good(7.0);
            strokes[2] = through(1, closed, &middle);
            let found = found_in(&sheet, &strokes);
            assert_eq!(found.is_empty(), expected, "{width}: {found:?}");
        }
        if !expected {
            continue;
        }
        // Half of it.
        let mut strokes = good(7.0);
        strokes[2] = through(1, false, &[(21.5, 20.0), (30.0, 20.0)]);
        let found = found_in(&sheet, &strokes);
        says!(found, PathFinding::NotCut { ring: 1, .. });
    }
}

/// A corner of angle a keeps r² (cot(a/2) - (pi - a)/2) of stock: 1.139 r² at 47 degrees, 1.051 r² at 49; the limit is 1.1 r².
#[test]
fn a_sharp_corner_keeps_what_the_bits_radius_leaves() {
    for (angle, expected) in [(47.0f64, 1), (49.0, 0)] {
        let half = (angle / 2.0).to_radians();
        let (tip, reach) = (22.0, 15.0);
        let side = reach * half.tan();
        let mut sheet = plate();
        let corners = vec![
            point(tip, 20.0),
            point(tip + reach, 20.0 + side),
            point(tip + reach, 20.0 - side),
        ];
        sheet.parts[0].openings = vec![Ring(corners).positive().reversed()];
        // The bit's centre keeps 1.5 mm from all three sides: a smaller triangle of the same angles.
        let (first, last) = (tip + 1.5 / half.sin(), tip + reach - 1.5);
        let end = (last - first) * half.tan();
        let mut strokes = good(7.0);
        strokes[2] = through(1, true, &[(first, 20.0), (last, 20.0 + end), (last, 20.0 - end)]);
        let found = found_in(&sheet, &strokes);
        let left = count!(found, PathFinding::StockLeft { ring: 1 });
        assert_eq!((left, found.len()), (expected, expected), "{angle}: {found:?}");
    }
}

/// A skin is cut down to all round; deeper passes may take a quarter of its 120 mm of edge.
#[test]
fn deeper_passes_take_at_most_a_quarter_of_a_skin() {
    let mut sheet = plate();
    let hold = &mut sheet.parts[0].hold;
    (hold.method, hold.skin_mm) = (Method::Skin, Some(0.5));
    hold.tabs.clear();
    let floor = || {
        vec![
            stroke(DrawnKind::Upper, 0, 5.5, true, &round_plate(1.5, 30.0, 29.0)),
            stroke(
                DrawnKind::Upper,
                1,
                5.5,
                true,
                &in_opening(1.5).segments.iter().map(|s| s.a).collect::<Vec<_>>(),
            ),
        ]
    };
    assert_eq!(found_in(&sheet, &floor()), []);
    // Along the long side below the plate: its 40 mm less what is missed; then 20 mm of it.
    for (end, expected) in [(30.0, 0), (50.0, 1)] {
        let mut strokes = floor();
        strokes.push(Stroke { owner: None, ..through(0, false, &[(10.0, 31.4), (end, 31.4)]) });
        let found = found_in(&sheet, &strokes);
        // 40 mm, and 0.05 mm round each corner: 79.9 of 120 mm are left.
        let cut =
            count!(found, PathFinding::SkinCut { left } if (left - 79.9 / 120.0).abs() < 5e-5);
        assert_eq!(cut, expected, "{end}: {found:?}");
    }
}
