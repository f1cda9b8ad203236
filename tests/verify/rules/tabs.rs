//! Each rule of `verify` about tabs, landings and skins, broken alone by a little and barely kept, on one sheet made
//! by hand.
//!
//! Every figure follows from the round numbers of `verify_support/everything.rs` by addition, angles by plane geometry.

use crate::verify_support::circle;
use crate::verify_support::everything::{feature, part, shift, tab};
use crate::verify_support::rule::{BY, Rule, hold_to};
use tabwright::geometry::{Ring, Vector, point};
use tabwright::layout::{FeatureKind, Layout, Method, Tab};
use tabwright::verify::{Rules, What};

/// The second frame's tab on its upper edge, in the middle at (168, 10).
fn upper(layout: &mut Layout) -> &mut Tab {
    &mut part(layout, "frame", 2).hold.tabs[0]
}

#[test]
fn landings_are_stock_that_no_kerf_takes() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                // The plug's landing ends 5 mm off its edge, 3 mm from the frame.
                name: "in the next part's kerf",
                change: |l, by| {
                    l.sheets[0].gap = 7.0;
                    shift(part(l, "plug", 1), by, 0.0);
                },
                what: What::Landing,
                part: "plug 1",
                other: "frame 1",
                place: Some([[88.505, 50.5], [88.505, 53.5]]),
                amount: Some(2.99),
                limit: Some(3.0),
                says: "tab 1 lands in the kerf of",
                ..BY
            },
            Rule {
                // The tab into the opening slides down to 2.7 mm (a tenth less than the kerf) of its lower edge at y 75.
                name: "in its own kerf",
                change: |l, by| part(l, "frame", 2).hold.tabs[2].at = point(198.0, 70.8 + by),
                what: What::Landing,
                part: "frame 2",
                place: Some([[193.0, 73.655], [195.0, 73.655]]),
                amount: Some(2.69),
                limit: Some(2.7),
                says: "tab 3 lands in its own part's kerf",
                ..BY
            },
            Rule {
                // The landing ends 5 mm above the frame.
                name: "off the sheet",
                change: |l, by| {
                    l.sheets[0].margin = 0.0;
                    shift(part(l, "frame", 2), 0.0, -5.0 - by);
                },
                what: What::Landing,
                part: "frame 2",
                place: Some([[165.5, 0.0], [170.5, 0.0]]),
                says: "tab 1 lands off the sheet",
                ..BY
            },
            Rule {
                // The brace's landing ends at x = 311, the circle begins at 314.
                name: "on a keep-clear area",
                change: |l, by| {
                    l.sheets[0].gap = 3.0;
                    l.sheets[0].keep_clear[1] = circle(point(317.0 - by, 68.0), 6.0, 64);
                },
                what: What::Landing,
                part: "brace 1",
                place: Some([[310.0, 68.0], [310.0, 68.0]]),
                says: "tab 2 lands on keep-clear area 2",
                ..BY
            },
            Rule {
                // Without a common edge: a screw of 1 mm amid the landing (x 309 to 311), or beside it.
                name: "round a small keep-clear area",
                change: |l, y| {
                    l.sheets[0].gap = 3.0;
                    l.sheets[0].keep_clear[1] = Ring::rectangle(1.0, 1.0).moved(point(309.5, y));
                },
                bad: 67.5,
                good: 70.01,
                what: What::Landing,
                part: "brace 1",
                place: Some([[310.0, 68.0], [310.0, 68.0]]),
                says: "tab 2 lands on keep-clear area 2",
                ..BY
            },
            Rule {
                // A part of 1 mm amid the brace's landing has no common edge with it; beside it, it keeps 3 mm.
                name: "round a small part",
                change: |l, y| {
                    l.sheets[0].gap = 0.0;
                    l.sheets[0].keep_clear.pop();
                    let strip = part(l, "strip", 1);
                    strip.outline = Ring::rectangle(1.0, 1.0).moved(point(309.5, y));
                    (strip.x, strip.y) = (309.5, y);
                    l.total();
                },
                bad: 67.5,
                good: 73.0,
                what: What::Landing,
                part: "brace 1",
                other: "strip 1",
                place: Some([[309.25, 67.5], [309.25, 68.5]]),
                amount: Some(0.0),
                limit: Some(3.0),
                ..BY
            },
        ],
    );
}

#[test]
fn tabs_sit_on_their_edge() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                // Ten times the tolerance of a millionth of a millimetre.
                name: "off its edge",
                change: |l, by| upper(l).at = point(168.0, 10.0 - by),
                good: 9e-6,
                what: What::Tab,
                part: "frame 2",
                place: Some([[168.0, 9.99], [168.0, 9.99]]),
                says: "tab 1 is 0.01 mm off the outline",
                ..BY
            },
            Rule {
                name: "off its edge by little",
                change: |l, by| upper(l).at = point(168.0, 10.0 - by),
                bad: 1.1e-5,
                good: 9e-6,
                what: What::Tab,
                part: "frame 2",
                says: "off the outline",
                ..BY
            },
            Rule {
                name: "off an opening's edge",
                change: |l, by| part(l, "frame", 2).hold.tabs[2].at = point(198.0 - by, 50.0),
                good: 9e-6,
                what: What::Tab,
                part: "frame 2",
                says: "tab 3 is 0.01 mm off the opening 1",
                ..BY
            },
            Rule {
                name: "into the part",
                change: |l, y| upper(l).out = point(0.0, y),
                bad: 1.0,
                good: -1.0,
                what: What::Tab,
                part: "frame 2",
                place: Some([[168.0, 10.0], [168.0, 10.0]]),
                says: "tab 1 points into the part",
                ..BY
            },
            Rule {
                // 6 degrees are allowed.
                name: "off the normal",
                change: |l, by| upper(l).out = point(0.0, -1.0).turned((6.0 + by).to_radians()),
                what: What::Tab,
                part: "frame 2",
                says: "tab 1 is 6.01 degrees off square to the edge",
                ..BY
            },
            Rule {
                // Half its 5 mm from the corner at (218, 10).
                name: "across a corner",
                change: |l, by| upper(l).at = point(215.5 + by, 10.0),
                what: What::Tab,
                part: "frame 2",
                place: Some([[218.0, 10.0], [218.0, 10.0]]),
                says: "tab 1 sits across a corner of 90 degrees",
                ..BY
            },
            Rule {
                name: "across a corner of 30 degrees",
                change: |l, by| kinked(l, 30.0 + by, 1.5),
                what: What::Tab,
                part: "strip 1",
                place: Some([[322.0, 22.0], [322.0, 22.0]]),
                says: "tab 1 sits across a corner of 30.01 degrees",
                ..BY
            },
            Rule {
                // Past the kink the edge goes 20 degrees off: the last (2 - k) mm leave by (2 - k) sin 20; 0.12 x 4 mm may be.
                name: "where the edge bows",
                change: |l, by| kinked(l, 20.0, 2.0 - (0.48 + by) / 20f64.to_radians().sin()),
                what: What::Tab,
                part: "strip 1",
                says: "tab 1 is 4 mm wide; within that width the part's edge bends away from the tab by 0.49 mm",
                ..BY
            },
            Rule {
                // The mark ends at (118, 10); the root reaches 2.5 mm from the tab's middle. Half a millimetre is kept.
                name: "on an edge kept clear of tabs",
                change: |l, by| upper(l).at = point(121.0 - by, 10.0),
                what: What::Tab,
                part: "frame 2",
                place: Some([[120.99, 10.0], [120.99, 10.0]]),
                says: "tab 1 sits on an edge that is to stay free of tabs",
                ..BY
            },
            Rule {
                // The same drawn as a closed line: a square whose left side stands at x 171.
                name: "on a closed mark",
                change: |l, by| {
                    // At own x 42 to 47 of either frame.
                    for (copy, x) in [(1, 52.0 + by), (2, 171.0 - by)] {
                        let ring = Ring::rectangle(5.0, 5.0).moved(point(x, 7.5));
                        let mark = feature(FeatureKind::TabFree, vec![ring], vec![]);
                        part(l, "frame", copy).features.push(mark);
                    }
                    // Only the second frame's tab comes near: the first's is moved away along its edge.
                    part(l, "frame", 1).hold.tabs[0].at = point(40.0, 10.0);
                },
                what: What::Tab,
                part: "frame 2",
                says: "tab 1 sits on an edge that is to stay free of tabs",
                ..BY
            },
            Rule {
                name: "too near to each other",
                change: |l, by| {
                    let tabs = &mut part(l, "frame", 2).hold.tabs;
                    tabs.push(tab([176.0 - by, 10.0], [0.0, -1.0], 5.0, 1.2, 0));
                },
                what: What::Tab,
                part: "frame 2",
                place: Some([[171.995, 10.0], [171.995, 10.0]]),
                amount: Some(2.99),
                limit: Some(3.0),
                says: "tabs 1 and 4 are 2.99 mm apart",
                ..BY
            },
            Rule {
                // The outline's tab and the opening's own need no room between them: walls of 15 mm part them.
                name: "one in the other",
                change: |l, by| {
                    let tabs = &mut part(l, "frame", 2).hold.tabs;
                    tabs.push(tab([168.0 + by, 10.0], [0.0, -1.0], 1.0, 1.2, 0));
                },
                bad: 0.0,
                good: 6.01,
                what: What::Tab,
                part: "frame 2",
                amount: Some(0.0),
                limit: Some(3.0),
                says: "tabs 1 and 4 are 0 mm apart",
                ..BY
            },
        ],
    );
}

/// The strip held by a tab of 4 mm on its lower edge, which turns up by `degrees` at (322, 22), `beside` mm from the tab.
fn kinked(layout: &mut Layout, degrees: f64, beside: f64) {
    let end = 12.0 - 8.0 * degrees.to_radians().tan();
    let points = vec![[0.0, 0.0], [50.0, 0.0], [50.0, 12.0], [8.0, 12.0], [0.0, end]];
    let strip = part(layout, "strip", 1);
    strip.outline = Ring::from(points).moved(point(314.0, 10.0));
    strip.hold.method = Method::Tabs;
    strip.hold.tabs = vec![tab([322.0 + beside, 22.0], [0.0, 1.0], 4.0, 1.2, 0)];
    layout.total();
}

#[test]
fn tabs_and_skins_have_a_size() {
    hold_to(
        &Rules::default(),
        &[
            Rule {
                name: "no tab on the outline",
                change: |l, ring| {
                    part(l, "frame", 2).hold.tabs.retain(|t| t.ring as f64 == ring);
                },
                bad: 1.0,
                good: 0.0,
                what: What::Tab,
                part: "frame 2",
                says: "is held by tabs, but none is on its outline",
                ..BY
            },
            Rule {
                name: "no such opening",
                change: |l, ring| part(l, "frame", 2).hold.tabs[2].ring = ring as usize,
                bad: 2.0,
                good: 1.0,
                what: What::Tab,
                part: "frame 2",
                says: "tab 3 is on opening 2, which the part does not have",
                ..BY
            },
            Rule {
                name: "no width",
                change: |l, by| upper(l).width = by,
                bad: 0.0,
                good: 0.01,
                what: What::Tab,
                part: "frame 2",
                says: "tab 1 is 0 mm wide",
                ..BY
            },
            Rule {
                name: "no height",
                change: |l, by| upper(l).height = by,
                bad: 0.0,
                good: 0.01,
                what: What::Tab,
                part: "frame 2",
                says: "tab 1 is 0 mm high",
                ..BY
            },
            Rule {
                name: "higher than the sheet",
                change: |l, by| upper(l).height = 6.0 + by,
                good: 0.0,
                what: What::Tab,
                part: "frame 2",
                says: "tab 1 is 6.01 mm high; the sheet is 6 mm thick",
                ..BY
            },
            Rule {
                // 0.1 mm lower than the sheet is a tab, as high is a holding bridge, between them is neither.
                name: "a little lower than the sheet",
                change: |l, by| upper(l).height = 5.9 + by,
                what: What::Tab,
                part: "frame 2",
                says: "tab 1 is 0.09 mm lower than the sheet",
                ..BY
            },
            Rule {
                name: "a hair lower than the sheet",
                change: |l, by| upper(l).height = 6.0 - by,
                bad: 2e-6,
                good: 0.9e-6,
                what: What::Tab,
                part: "frame 2",
                says: "lower than the sheet",
                ..BY
            },
            Rule {
                // Of 0.4 mm the share is 0.15: 0.06 mm.
                name: "a little lower than a thin sheet",
                change: |l, by| {
                    l.sheets[0].thickness = 0.4;
                    for tab in l.sheets[0].parts.iter_mut().flat_map(|p| &mut p.hold.tabs) {
                        tab.height = 0.2;
                    }
                    part(l, "panel", 1).hold.skin_mm = Some(0.2);
                    upper(l).height = 0.34 + by;
                },
                bad: 0.005,
                good: -0.005,
                what: What::Tab,
                part: "frame 2",
                says: "tab 1 is 0.055 mm lower than the sheet",
                ..BY
            },
            Rule {
                name: "no unit normal",
                change: |l, by| upper(l).out = point(0.0, -1.0 - by),
                good: 0.9e-6,
                what: What::Tab,
                part: "frame 2",
                says: "tab 1 has a direction of length 1.01; it must be 1",
                ..BY
            },
            Rule {
                name: "no number",
                change: |l, by| upper(l).width = by,
                bad: f64::INFINITY,
                good: 4.0,
                what: What::Tab,
                part: "frame 2",
                says: "tab 1 has a number that is not finite",
                ..BY
            },
            Rule {
                name: "skin of nothing",
                change: |l, by| part(l, "panel", 1).hold.skin_mm = Some(by),
                bad: 0.0,
                good: 0.01,
                what: What::Tab,
                part: "panel 1",
                says: "its skin must be thicker than 0",
                ..BY
            },
            Rule {
                name: "skin as thick as the sheet",
                change: |l, by| part(l, "panel", 1).hold.skin_mm = Some(6.0 + by),
                bad: 0.0,
                what: What::Tab,
                part: "panel 1",
                says: "its skin must be thicker than 0",
                ..BY
            },
            Rule {
                name: "skin without a figure",
                change: |l, by| part(l, "panel", 1).hold.skin_mm = (by > 0.0).then_some(by),
                bad: 0.0,
                good: 0.3,
                what: What::Tab,
                part: "panel 1",
                says: "its skin must be thicker than 0",
                ..BY
            },
        ],
    );
}
