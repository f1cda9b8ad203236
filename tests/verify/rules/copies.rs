//! Each rule of `verify` about shapes and copies, broken alone by a little and barely kept, on one sheet made by
//! hand (`verify_support/everything.rs`).

use crate::verify_support::everything::{everything, owns, part};
use crate::verify_support::rule::{BY, Rule, hold_to, said};
use tabwright::geometry::{Point, Ring, Shape, point};
use tabwright::layout::Layout;
use tabwright::verify::{Rules, What, verify};

/// The strip, 50 x 12 mm at (314, 10), with another outline in its own frame.
fn strip(layout: &mut Layout, points: &[[f64; 2]]) {
    part(layout, "strip", 1).outline = Ring::from(points.to_vec()).moved(point(314.0, 10.0));
    layout.total();
}

/// Squares of 10 mm in the panel, 60 x 40 mm at (236, 10).
fn openings(layout: &mut Layout, corners: &[[f64; 2]]) {
    let square = |c: &[f64; 2]| Ring::rectangle(10.0, 10.0).moved(point(236.0 + c[0], 10.0 + c[1]));
    part(layout, "panel", 1).openings = corners.iter().map(square).collect();
    layout.total();
}

#[test]
fn copies_are_one_shape_under_their_poses() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                // Up its own left side, so that its tab stays on the edge; ten times the tolerance may be.
                name: "a corner of a copy",
                change: |l, by| {
                    let blade = part(l, "blade", 2);
                    blade.outline.0[0].y -= by;
                    l.total();
                },
                good: 9e-6,
                what: What::Copies,
                part: "blade 2",
                place: Some([[140.0, 131.0], [140.0, 131.0]]),
                says: "has a different shape from blade 1: they differ by 0.01 mm",
                ..BY
            },
            Rule {
                name: "a corner of a copy by little",
                change: |l, by| {
                    let blade = part(l, "blade", 2);
                    blade.outline.0[0].y -= by;
                    l.total();
                },
                bad: 1.1e-5,
                good: 9e-6,
                what: What::Copies,
                part: "blade 2",
                says: "has a different shape from blade 1",
                ..BY
            },
            Rule {
                name: "a point more",
                change: |l, more| {
                    let outline = &mut part(l, "blade", 2).outline;
                    let middle = outline.0[0].lerp_half(outline.0[1]);
                    if more > 0.0 {
                        outline.0.insert(1, middle);
                    } else {
                        outline.0.rotate_left(1);
                    }
                },
                bad: 1.0,
                good: 0.0,
                what: What::Copies,
                part: "blade 2",
                says: "an edge has 4 and 5 points",
                ..BY
            },
            Rule {
                name: "an opening less",
                change: |l, fewer| {
                    let frame = part(l, "frame", 2);
                    if fewer > 0.0 {
                        frame.openings.clear();
                        frame.hold.tabs.pop();
                    }
                    l.total();
                },
                bad: 1.0,
                good: 0.0,
                what: What::Copies,
                part: "frame 2",
                says: "they have 1 and 0 openings",
                ..BY
            },
            Rule {
                // The opening of the second frame ends lower than that of the first; no tab stands there.
                name: "an opening's edge",
                change: |l, by| {
                    for p in &mut part(l, "frame", 2).openings[0].0 {
                        p.y += if p.y > 70.0 { by } else { 0.0 };
                    }
                    l.total();
                },
                good: 9e-6,
                what: What::Copies,
                part: "frame 2",
                says: "an opening differs",
                ..BY
            },
            Rule {
                name: "its place",
                change: |l, by| part(l, "blade", 2).x += by,
                good: 9e-6,
                what: What::Copies,
                part: "blade 2",
                says: "they differ by 0.01 mm",
                ..BY
            },
            Rule {
                // A thousandth of a degree at 62 mm is 0.001 mm.
                name: "its turn",
                change: |l, by| part(l, "blade", 2).rotation_deg += by,
                bad: 1e-3,
                good: 1e-6,
                what: What::Copies,
                part: "blade 2",
                says: "they differ by 0.001 mm",
                ..BY
            },
            Rule {
                name: "its flip",
                change: |l, by| part(l, "blade", 2).mirrored = by > 0.0,
                what: What::Copies,
                part: "blade 2",
                says: "has a different shape from blade 1",
                ..BY
            },
            Rule {
                name: "placed twice",
                change: |l, copy| part(l, "blade", 2).copy = copy as usize,
                bad: 1.0,
                good: 2.0,
                what: What::Count,
                part: "blade 1",
                says: "is placed twice, also on walnut-6mm-1",
                ..BY
            },
        ],
    );
}

/// The point half-way.
trait Half {
    fn lerp_half(self, other: Self) -> Self;
}

impl Half for Point {
    fn lerp_half(self, other: Self) -> Self {
        point((self.x + other.x) / 2.0, (self.y + other.y) / 2.0)
    }
}

#[test]
fn rings_are_simple_and_openings_inside() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                // A notch from the top whose tip passes the bottom edge.
                name: "an outline crosses itself",
                change: |l, by| {
                    let tip = [25.0, 12.0 + by];
                    let top = [[0.0, 0.0], [24.0, 0.0], tip, [26.0, 0.0], [50.0, 0.0]];
                    let mut points = top.to_vec();
                    points.extend([[50.0, 12.0], [0.0, 12.0]]);
                    strip(l, &points);
                },
                what: What::Ring,
                part: "strip 1",
                place: Some([[339.0, 22.0], [339.0, 22.0]]),
                says: "outline crosses or touches itself",
                ..BY
            },
            Rule {
                name: "an outline touches itself",
                change: |l, by| {
                    let tip = [25.0, 12.0 - by];
                    let top = [[0.0, 0.0], [24.0, 0.0], tip, [26.0, 0.0], [50.0, 0.0]];
                    let mut points = top.to_vec();
                    points.extend([[50.0, 12.0], [0.0, 12.0]]);
                    strip(l, &points);
                },
                bad: 0.0,
                good: 0.01,
                what: What::Ring,
                part: "strip 1",
                says: "outline crosses or touches itself",
                ..BY
            },
            Rule {
                // Out and back along one line, from the first corner too.
                name: "an outline folds back",
                change: |l, by| {
                    strip(
                        l,
                        &[
                            [0.0, 0.0],
                            [50.0, 0.0],
                            [50.0, 12.0],
                            [0.0, 12.0],
                            [0.0, 16.0],
                            [by, 12.0],
                        ],
                    );
                },
                bad: 0.0,
                good: -4.0,
                what: What::Ring,
                part: "strip 1",
                says: "outline crosses or touches itself",
                ..BY
            },
            Rule {
                name: "an opening meets the outline",
                change: |l, by| openings(l, &[[50.0 + by, 20.0]]),
                what: What::Ring,
                part: "panel 1",
                says: "opening 1 meets another edge",
                ..BY
            },
            Rule {
                name: "openings meet",
                change: |l, by| openings(l, &[[10.0, 10.0], [20.0 - by, 12.0]]),
                what: What::Ring,
                part: "panel 1",
                says: "opening 2 meets another edge",
                ..BY
            },
            Rule {
                name: "an opening outside",
                change: |l, y| {
                    openings(l, &[[20.0, y]]);
                    // The brace below would be too near.
                    l.sheets[0].parts.retain(|p| p.part != "brace");
                    l.total();
                },
                bad: 41.0,
                good: 29.0,
                what: What::Ring,
                part: "panel 1",
                place: Some([[256.0, 51.0], [256.0, 61.0]]),
                says: "opening 1 lies outside the outline",
                ..BY
            },
            Rule {
                name: "an opening in an opening",
                change: |l, x| {
                    openings(l, &[[10.0, 10.0]]);
                    let small = Ring::rectangle(2.0, 2.0).moved(point(x, 24.0));
                    part(l, "panel", 1).openings.push(small);
                    l.total();
                },
                bad: 250.0,
                good: 260.0,
                what: What::Ring,
                part: "panel 1",
                place: Some([[250.0, 24.0], [250.0, 26.0]]),
                says: "opening 2 lies inside opening 1",
                ..BY
            },
            Rule {
                name: "two points",
                change: |l, points| {
                    strip(l, &[[0.0, 0.0], [50.0, 0.0], [50.0, 12.0]][..points as usize]);
                },
                bad: 2.0,
                good: 3.0,
                what: What::Ring,
                part: "strip 1",
                says: "outline has 2 points; it needs at least 3",
                ..BY
            },
            Rule {
                name: "the first point again",
                change: |l, y| {
                    strip(l, &[[0.0, 0.0], [50.0, 0.0], [50.0, 12.0], [0.0, 12.0], [0.0, y]]);
                },
                bad: 0.0,
                good: 6.0,
                what: What::Ring,
                part: "strip 1",
                says: "outline repeats its first point at the end",
                ..BY
            },
            Rule {
                name: "no area",
                change: |l, y| strip(l, &[[0.0, 0.0], [50.0, 0.0], [25.0, y]]),
                bad: 0.0,
                good: 1.0,
                what: What::Ring,
                part: "strip 1",
                says: "outline has no area",
                ..BY
            },
            Rule {
                // A slit from the right that ends beyond the left edge; the sheet below y = 260 is empty.
                name: "the sheet's outline",
                change: |l, by| {
                    let points = [[0.0, 0.0], [400.0, 0.0], [400.0, 260.0], [-by, 261.0]];
                    let mut points = points.to_vec();
                    points.extend([[400.0, 262.0], [400.0, 300.0], [0.0, 300.0]]);
                    l.sheets[0].outline = Ring::from(points);
                    l.total();
                },
                what: What::Ring,
                place: Some([[0.0, 261.0], [0.0, 261.0]]),
                says: "the sheet's outline crosses or touches itself",
                ..BY
            },
            Rule {
                name: "a keep-clear area",
                change: |l, by| {
                    let points =
                        [[0.0, 0.0], [4.0, 0.0], [5.0, 10.0 + by], [6.0, 0.0], [10.0, 0.0]];
                    let mut points = points.to_vec();
                    points.extend([[10.0, 10.0], [0.0, 10.0]]);
                    l.sheets[0].keep_clear.push(Ring::from(points).moved(point(20.0, 180.0)));
                },
                what: What::Ring,
                place: Some([[25.0, 190.0], [25.0, 190.0]]),
                says: "keep-clear area 3 crosses or touches itself",
                ..BY
            },
            Rule {
                name: "a keep-clear area of two points",
                change: |l, points| {
                    let all = [[20.0, 180.0], [30.0, 180.0], [30.0, 190.0]];
                    let area = Ring::from(all[..points as usize].to_vec());
                    l.sheets[0].keep_clear.push(area);
                },
                bad: 2.0,
                good: 3.0,
                what: What::Ring,
                says: "keep-clear area 3 has 2 points",
                ..BY
            },
            Rule {
                name: "a clamp that is not kept clear",
                change: |l, by| {
                    let clamp = l.sheets[0].keep_clear[0].moved(point(by, 0.0));
                    l.sheets[0].clamps = vec![clamp];
                },
                good: 9e-6,
                what: What::KeepClear,
                says: "clamp 1 is not among the keep-clear areas",
                ..BY
            },
        ],
    );
}

#[test]
fn a_sheet_without_a_usable_outline_is_named() {
    let mut layout = everything();
    layout.sheets[0].outline = Ring(vec![point(0.0, 0.0), point(400.0, 0.0)]);
    layout.sheets[0].remnants.clear();
    layout.total();
    let found = verify(&layout, &Rules::default());
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].what, What::Ring);
    assert_eq!(
        said(&found[0]),
        "walnut-6mm-1: the sheet's outline has 2 points; it needs at least 3"
    );
}

#[test]
fn shapes_are_the_jobs() {
    // The plug of the job is wider by 0.01 mm: one copy cannot show it. Wider by 9 nm it is the same.
    for (wider, good) in [(0.01, false), (9e-6, true), (-0.01, false)] {
        let job = |o: crate::verify_support::everything::Own| {
            let wide = |p: Point| point(if p.x > 15.0 { p.x + wider } else { p.x }, p.y);
            let shape = if o.name == "plug" { o.shape.map(wide) } else { o.shape };
            (o.name.to_string(), shape)
        };
        let shapes: Vec<(String, Shape)> = owns().into_iter().map(job).collect();
        let rules = Rules { shapes: Some(&shapes), ..Rules::default() };
        let found = verify(&everything(), &rules);
        if good {
            assert_eq!(found, vec![], "{wider}");
            continue;
        }
        assert_eq!(found.len(), 1, "{wider}: {found:?}");
        assert_eq!(found[0].what, What::Copies);
        let message = "walnut-6mm-1: plug 1 has a different shape from the job's part: they differ by 0.01 mm";
        assert!(said(&found[0]).starts_with(message), "{}", said(&found[0]));
        assert_eq!(found[0].part.as_ref().map(|p| p.part.as_str()), Some("plug"));
    }
}

/// A pose 30 mm off everything drawn of a part: all other figures agree with each other, so only the part's own frame, whose
/// origin is the top left of its bounds, reveals it.
#[test]
fn a_pose_that_is_not_the_outlines_is_found() {
    let complete = Rules { complete: true, ..Rules::default() };
    let off = |by: f64| {
        let mut layout = everything();
        part(&mut layout, "strip", 1).x += by;
        let mut found = verify(&layout, &complete);
        found.retain(|p| p.what == What::Copies);
        found
    };
    assert_eq!(off(0.0), vec![]);
    let found = off(0.01);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].amount.is_some_and(|a| (a - 0.01).abs() < 1e-9), "{found:?}");
    assert!(
        said(&found[0]).contains("from the place that its x, y, rotation_deg and mirrored give it")
    );
}
