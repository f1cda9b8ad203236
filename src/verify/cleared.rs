//! Checks the pockets that clear waste: off every part by half a bit, off tabs and their landings, on the sheet.

use super::finding::{Edge, PartFinding, SheetFinding};
use super::numbers::usable;
use super::prepared::Prepared;
use super::problem::{Problem, What};
use super::rules::Rules;
use crate::geometry::{Ring, ring_distance};
use crate::layout::{Sheet, Tab};

/// Problems of a sheet's pockets.
pub(super) fn check(sheet: &Sheet, parts: &[Prepared], rules: &Rules, problems: &mut Vec<Problem>) {
    for (i, ring) in sheet.cleared.iter().enumerate() {
        if let Err(flaw) = usable(ring) {
            let found = PartFinding::BadRing { edge: Edge::Cleared(i + 1), flaw };
            problems.push(Problem::sheet(What::Ring, sheet, found));
            continue;
        }
        let on_sheet = |p: &crate::geometry::Point| sheet.outline.contains(*p);
        if let Some(at) = ring.points().iter().find(|p| !on_sheet(p)) {
            let found = SheetFinding::ClearsOffSheet { pocket: i + 1 };
            problems.push(Problem::sheet(What::OffSheet, sheet, found).at(*at));
        }
        for part in parts {
            off_part(sheet, (i + 1, ring), part, rules, problems);
        }
    }
}

fn off_part(
    sheet: &Sheet,
    (pocket, ring): (usize, &Ring),
    part: &Prepared,
    rules: &Rules,
    problems: &mut Vec<Problem>,
) {
    let bit = sheet.bit.diameter;
    let off = bit / 2.0;
    if !part.bounds.grown(2.0 * bit + crate::layout::LANDING_DEPTH).touches(ring.bounds()) {
        return;
    }
    let edges = ring.segments().map(|s| part.edges.segment_distance(s, bit));
    let apart = edges.fold(bit, f64::min);
    let inside = part.shape.contains(ring.0[0]) || ring.contains(part.placed.outline.0[0]);
    let distance = if inside { 0.0 } else { apart };
    if distance < off - rules.slack() {
        let found = SheetFinding::ClearsPart { pocket };
        let problem = Problem::part(What::Gouge, sheet, part.placed, found);
        problems.push(problem.at(ring.0[0]).amount(distance, off));
    }
    let taken = |t: &Tab| {
        let meets = |r: &Ring| ring_distance(r, ring, bit) <= 0.0 || r.contains(ring.0[0]);
        meets(&t.bridge(bit)) || meets(&t.landing(bit)) || ring.contains(t.at)
    };
    let tabs = part.placed.hold.tabs.iter().enumerate();
    for (n, tab) in tabs.filter(|(_, t)| taken(t)) {
        let found = SheetFinding::ClearsTab { pocket, tab: n + 1 };
        problems.push(Problem::part(What::Landing, sheet, part.placed, found).at(tab.at));
    }
}
