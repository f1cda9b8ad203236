//! The upper pass and holding bridges: the pass is open at bridges, and nowhere else.
//!
//! The closed line round a ring decides what is a gouge, and what is part and what is skeleton: there bridges count as sawn off. A
//! first pass that is open anywhere else is a fault. A bridge is as wide as the narrower of what both depths leave.

use super::cut_fault::CutFault;
use super::detail::Details;
use super::passes::ring_lines;
use super::path::{PartPaths, Path};
use super::ready::Ready;
use crate::geometry::{Point, Ring, Segment, Vector};
use crate::layout::{PlacedPart, Sheet, Tab};
use std::borrow::Cow;

/// How far the gap at a bridge may reach beyond where two discs leave its width, mm: on a curve the ends are oblique.
const BEYOND: f64 = 0.1;
/// How near a pass must come to its closed line to cut it, mm: ten times the difference between two offsets of one edge.
const ON_LINE: f64 = 0.02;

/// The closed line round each ring of a part: its first pass or, where holding bridges open that, the same line without them. It
/// bounds what all passes cut, and what is left once the bridges are sawn off.
pub(super) fn closed<'a>(
    sheet: &Sheet,
    paths: &'a PartPaths,
    details: &'a Details,
) -> Vec<Cow<'a, Path>> {
    let placed = &sheet.parts[paths.part];
    let mut lines = vec![];
    for first in paths.first() {
        if bridges(placed, first.ring, sheet.thickness).next().is_some() {
            let whole = ring_lines(placed, first.ring, sheet.bit.diameter / 2.0, details);
            lines.extend(details.of_ring(first.ring).map(Cow::Borrowed));
            let round = |r: Ring| Cow::Owned(Path { points: r.0, closed: true });
            lines.extend(whole.into_iter().map(round));
        } else {
            lines.extend(first.paths.iter().map(Cow::Borrowed));
        }
    }
    lines
}

/// Whether any part of the sheet stands on a holding bridge.
pub(super) fn any_bridge(sheet: &Sheet) -> bool {
    sheet.parts.iter().flat_map(|p| &p.hold.tabs).any(|t| t.is_holding_bridge(sheet.thickness))
}

/// Finds stretches that a first pass leaves uncut where no holding bridge stands; the first of each ring.
pub(super) fn left_uncut(ready: &Ready, paths: &[PartPaths], faults: &mut Vec<CutFault>) {
    let Ready { sheet, details, .. } = ready;
    let radius = sheet.bit.diameter / 2.0;
    for of_part in paths {
        let placed = &sheet.parts[of_part.part];
        for first in of_part.first().filter(|p| p.paths.iter().any(|p| !p.closed)) {
            let cut: Vec<Segment> = first.paths.iter().flat_map(Path::segments).collect();
            let stands = |p: Point| {
                let at = |t: &Tab| in_gap(t, p, sheet.bit.diameter);
                bridges(placed, first.ring, sheet.thickness).any(at)
            };
            let missed =
                |p: &Point| !stands(*p) && !cut.iter().any(|s| s.distance_to_point(*p) <= ON_LINE);
            let details = &details[of_part.part];
            let whole = ring_lines(placed, first.ring, radius, details);
            let middles = details.of_ring(first.ring).flat_map(Path::segments);
            let lines = whole.iter().flat_map(|r| r.segments()).chain(middles);
            if let Some(at) = lines.flat_map(|s| along(s, radius / 2.0)).find(missed) {
                faults.push(CutFault::LeftUncut { part: of_part.part, ring: first.ring, at });
            }
        }
    }
}

/// The bridges of one ring.
fn bridges(placed: &PlacedPart, ring: usize, thickness: f64) -> impl Iterator<Item = &Tab> {
    let of_ring = move |t: &&Tab| t.ring == ring && t.is_holding_bridge(thickness);
    placed.hold.tabs.iter().filter(of_ring)
}

/// Whether the bit's centre lies in a tab's gap: its width and a bit's diameter, along the edge.
fn in_gap(tab: &Tab, p: Point, bit: f64) -> bool {
    let away = p - (tab.at + tab.out * (bit / 2.0));
    let half = (tab.width + bit) / 2.0 + BEYOND;
    away.dot(tab.out.perp()).abs() <= half && away.dot(tab.out).abs() <= half
}

/// Points along a segment, at most `step` mm apart.
fn along(s: Segment, step: f64) -> impl Iterator<Item = Point> {
    let n = (s.length() / step).ceil().clamp(1.0, 1e6) as usize;
    (0..n).map(move |i| s.a.lerp(s.b, (i as f64 + 0.5) / n as f64))
}
