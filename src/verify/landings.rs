//! Checks landings: each lies on stock that no kerf takes.

use super::finding::TabFinding;
use super::numbers::usable;
use super::prepared::{Examined, Prepared};
use super::problem::{Problem, What};
use super::spacing::{Neighbours, nearest};
use crate::geometry::{Point, Ring, Segment, Vector, ring_distance};
use crate::layout::Tab;

/// Share of the bit's diameter that a landing may lose to its own part's kerf at a corner: a landing is a rectangle, while the kerf
/// behind it follows a hollow edge. That is 0.3 of the 2 mm with an ordinary bit.
const OWN_KERF: f64 = 0.1;

/// Problems of the landing of tab number `number` of `parts[own]`.
///
/// A landing keeps a bit's diameter from every other part's edge, and a tenth less from the part's own;
/// it lies on the sheet and off keep-clear areas.
pub(super) fn check(
    on: &Examined,
    neighbours: &Neighbours,
    own: usize,
    (number, tab): (usize, &Tab),
    problems: &mut Vec<Problem>,
) {
    let Examined { sheet, parts, rules } = *on;
    let (bit, slack) = (sheet.bit.diameter, rules.slack());
    let part = &parts[own];
    let landing = tab.landing(bit);
    let sides: Vec<Segment> = landing.segments().collect();
    let number = number + 1;
    let report = |found: TabFinding, at: Point| {
        Problem::part(What::Landing, sheet, part.placed, found).at(at)
    };
    for j in neighbours.touching(landing.bounds().grown(bit)) {
        if j == own {
            continue;
        }
        let other = &parts[j];
        let swallowed =
            other.shape.contains(landing.0[0]) || landing.contains(other.shape.outline.0[0]);
        let near = nearest(&sides, other, bit);
        let distance = if swallowed { 0.0 } else { near.map_or(bit, |n| n.distance) };
        if distance < bit - slack {
            let found = TabFinding::LandsInKerf { tab: number, depth_mm: bit - distance };
            let at = near.map_or(landing.0[0], |n| n.middle);
            let problem = report(found, at).with(other.placed).amount(distance, bit);
            problems.push(problem);
        }
    }
    let own_least = bit * (1.0 - OWN_KERF);
    if let Some((distance, at)) = own_kerf(part, &sides, &landing, own_least - slack) {
        let found = TabFinding::LandsInOwnKerf { tab: number, depth_mm: bit - distance };
        let problem = report(found, at);
        problems.push(problem.amount(distance, own_least));
    }
    if usable(&sheet.outline).is_ok() {
        let off =
            |p: &&Point| !sheet.outline.contains(**p) && sheet.outline.edge_distance(**p) > slack;
        if let Some(&at) = landing.0.iter().find(off) {
            problems.push(report(TabFinding::LandsOffSheet { tab: number }, at));
        }
    }
    for (i, area) in sheet.keep_clear.iter().enumerate() {
        if usable(area).is_err() {
            continue;
        }
        let at = landing.0[0].lerp(landing.0[2], 0.5);
        let nested = area.contains(at) || landing.contains(area.0[0]);
        if nested || ring_distance(area, &landing, 1.0) == 0.0 {
            problems.push(report(TabFinding::LandsOnKeepClear { tab: number, area: i + 1 }, at));
        }
    }
}

/// The own edge that comes nearer to the landing than its kerf allows, if any.
fn own_kerf(
    part: &Prepared,
    sides: &[Segment],
    landing: &Ring,
    least: f64,
) -> Option<(f64, Point)> {
    if part.shape.contains(landing.0[0]) {
        return Some((0.0, landing.0[0]));
    }
    nearest(sides, part, least).filter(|n| n.distance < least).map(|n| (n.distance, n.middle))
}
