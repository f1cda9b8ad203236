//! Landings: on stock that no kerf takes.

use super::Rules;
use super::prepared::Prepared;
use super::problem::{Problem, What, mm};
use super::rings;
use super::spacing::{Neighbours, nearest};
use crate::geometry::{Point, Ring, Segment, Vector, ring_distance};
use crate::layout::{Sheet, Tab};

/// What a kerf may nibble off a landing's rim, mm: twice what a desktop router repeats to (common
/// practice, no source), a twentieth of the landing's depth; the simulated cut measures what is left.
const NIBBLE: f64 = 0.1;

/// Problems of the landing of tab number `number` of `parts[own]`.
///
/// A landing keeps a bit's diameter, less [`NIBBLE`], from every other part's edge and from the part's own, lies on the
/// sheet and off keep-clear areas. Where the edge itself bows towards the landing (a hollow), the kerf's
/// far side bows with it: there the distance may fall short by `bow` times the tab's width.
#[allow(clippy::too_many_arguments)]
pub(super) fn check(
    sheet: &Sheet,
    parts: &[Prepared],
    neighbours: &Neighbours,
    own: usize,
    number: usize,
    tab: &Tab,
    bow: f64,
    rules: &Rules,
    problems: &mut Vec<Problem>,
) {
    let (bit, slack) = (sheet.bit.diameter, NIBBLE + rules.slack());
    let part = &parts[own];
    let landing = tab.landing(bit);
    let sides: Vec<Segment> = landing.segments().collect();
    let name = format!("tab {}", number + 1);
    let report = |message: String, at: Point| {
        Problem::part(What::Landing, sheet, part.placed, format!("{name} {message}")).at(at)
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
            let short = mm(bit - distance);
            let message = format!("lands in the kerf of the next part, {short} deep:");
            let at = near.map_or(landing.0[0], |n| n.middle);
            let problem = report(message, at).with(other.placed).amount(distance, bit);
            problems.push(problem);
        }
    }
    if let Some((distance, at)) = own_kerf(part, tab, &sides, &landing, bit, bow * tab.width, slack)
    {
        let short = mm(bit - distance);
        let problem = report(format!("lands in its own part's kerf, {short} deep"), at);
        problems.push(problem.amount(distance, bit));
    }
    if rings::usable(&sheet.outline).is_ok() {
        let off =
            |p: &&Point| !sheet.outline.contains(**p) && sheet.outline.edge_distance(**p) > slack;
        if let Some(&at) = landing.0.iter().find(off) {
            problems.push(report("lands off the sheet".into(), at));
        }
    }
    for (i, area) in sheet.keep_clear.iter().enumerate() {
        if rings::usable(area).is_err() {
            continue;
        }
        let at = landing.0[0].lerp(landing.0[2], 0.5);
        let nested = area.contains(at) || landing.contains(area.0[0]);
        if nested || ring_distance(area, &landing, 1.0) == 0.0 {
            problems.push(report(format!("lands on keep-clear area {}", i + 1), at));
        }
    }
}

/// The own edge that comes nearer to the landing than its kerf allows, if any.
fn own_kerf(
    part: &Prepared,
    tab: &Tab,
    sides: &[Segment],
    landing: &Ring,
    bit: f64,
    bow: f64,
    slack: f64,
) -> Option<(f64, Point)> {
    let reach = landing.bounds().grown(bit);
    let along = tab.out.perp();
    let mut worst: Option<(f64, Point)> = None;
    for s in part.shape.segments() {
        if !reach.touches(crate::geometry::Bounds::of(&[s.a, s.b])) {
            continue;
        }
        // The tab's own run and its continuation: under the landing, within 45 degrees of the root.
        let flat = s.direction().is_some_and(|d| d.dot(along).abs() > 0.7);
        let low = |p: Point| (p - tab.at).dot(tab.out) < bit * 0.75;
        let needed = if flat && low(s.a) && low(s.b) { bit - bow } else { bit };
        for side in sides {
            let distance = side.distance(s);
            if distance < needed - slack && worst.is_none_or(|w| distance < w.0) {
                worst = Some((distance, s.nearest(side.a)));
            }
        }
    }
    if worst.is_none() && part.shape.contains(landing.0[0]) {
        return Some((0.0, landing.0[0]));
    }
    worst
}
