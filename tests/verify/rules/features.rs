//! Each rule of `verify` about features, broken alone by a little and barely kept, on one sheet made by hand
//! (`verify_support/everything.rs`).

use crate::verify_support::everything::{feature, part};
use crate::verify_support::rule::{BY, Rule, hold_to};
use tabwright::geometry::{Ring, point};
use tabwright::layout::FeatureKind;
use tabwright::verify::{Rules, What};

#[test]
fn features_travel_with_their_part() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                name: "a pocket moved",
                change: |l, by| {
                    let pocket = &mut part(l, "frame", 2).features[0];
                    *pocket = pocket.map(|p| point(p.x + by, p.y));
                },
                good: 9e-6,
                what: What::Feature,
                part: "frame 2",
                place: Some([[168.0, 50.0], [168.0, 50.0]]),
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                name: "an end of a line moved",
                change: |l, by| part(l, "frame", 2).features[1].lines[0].0[1].y += by,
                good: 9e-6,
                what: What::Feature,
                part: "frame 2",
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                name: "a line cut short",
                change: |l, points| {
                    part(l, "frame", 2).features[1].lines[0].0.truncate(points as usize);
                },
                bad: 1.0,
                good: 2.0,
                what: What::Feature,
                part: "frame 2",
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                name: "a line given backwards",
                change: |l, back| {
                    let line = &mut part(l, "frame", 2).features[1].lines[0].0;
                    if back > 0.0 { line.reverse() } else { *line = vec![line[0]; 2] }
                },
                bad: 0.0,
                good: 1.0,
                what: What::Feature,
                part: "frame 2",
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                name: "a line more",
                change: |l, more| {
                    let feature = &mut part(l, "frame", 2).features[1];
                    let lines = feature.lines.clone();
                    feature.lines.extend(lines.into_iter().take(more as usize));
                },
                bad: 1.0,
                good: 0.0,
                what: What::Feature,
                part: "frame 2",
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                name: "a ring less",
                change: |l, rings| {
                    part(l, "frame", 2).features[0].rings.truncate(rings as usize);
                },
                bad: 0.0,
                good: 1.0,
                what: What::Feature,
                part: "frame 2",
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                name: "a feature less",
                change: |l, n| part(l, "frame", 2).features.truncate(n as usize),
                bad: 1.0,
                good: 2.0,
                what: What::Feature,
                part: "frame 2",
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                name: "of another kind",
                change: |l, by| {
                    let kind = if by > 0.0 { FeatureKind::Mark } else { FeatureKind::Pocket };
                    part(l, "frame", 2).features[0].kind = kind;
                },
                what: What::Feature,
                part: "frame 2",
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                name: "of another depth",
                change: |l, by| part(l, "frame", 2).features[0].depth = (by > 0.0).then_some(2.0),
                what: What::Feature,
                part: "frame 2",
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                name: "of another name",
                change: |l, by| {
                    let name = if by > 0.0 { "cut" } else { "drawn" };
                    part(l, "frame", 2).features[0].name = name.into();
                },
                what: What::Feature,
                part: "frame 2",
                says: "has different features from frame 1",
                ..BY
            },
            Rule {
                // The panel ends at x = 296.
                name: "off the part",
                change: |l, by| {
                    let line = Ring(vec![point(296.0 + by, 20.0), point(300.0, 20.0)]);
                    let mark = feature(FeatureKind::Mark, vec![], vec![line]);
                    part(l, "panel", 1).features.push(mark);
                },
                good: 9e-6,
                what: What::Feature,
                part: "panel 1",
                place: Some([[296.01, 20.0], [296.01, 20.0]]),
                says: "its mark (feature 1) lies off the part",
                ..BY
            },
            Rule {
                // Lines that keep an edge clear of tabs are drawn beside it, up to 3 mm.
                name: "too far beside an edge",
                change: |l, by| {
                    let x = 299.0 + by;
                    let line = Ring(vec![point(x, 20.0), point(x, 30.0)]);
                    let mark = feature(FeatureKind::TabFree, vec![], vec![line]);
                    part(l, "panel", 1).features.push(mark);
                },
                what: What::Feature,
                part: "panel 1",
                says: "its tab-free (feature 1) lies off the part",
                ..BY
            },
        ],
    );
}
