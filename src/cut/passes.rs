//! Centre-lines of the bit: closed above the tabs, open at the tabs below them, and open at holding bridges from the top.

use super::centre_line::is_thin;
use super::cut_fault::CutFault;
use super::detail::{Details, clear_of};
use super::path::{CHORD, PartPaths, Pass, PassKind, Path};
use crate::geometry::{Contour, Point, Ring, Shape, Vector, grow_within, shrink_within};
use crate::layout::{Method, PlacedPart, Sheet, Tab};
use std::iter;

/// All passes of one part.
pub(super) fn of_part(
    sheet: &Sheet,
    part: usize,
    details: &Details,
    faults: &mut Vec<CutFault>,
) -> PartPaths {
    let placed = &sheet.parts[part];
    let rings = (1..=placed.openings.len()).chain(placed.hold.cuts_free().then_some(0));
    let mut passes = vec![];
    for ring in rings {
        let loops = ring_lines(placed, ring, sheet.bit.diameter / 2.0, details);
        if loops.is_empty() && !details.any(ring) {
            let at = placed.openings[ring.saturating_sub(1)].0[0];
            faults.push(CutFault::TooNarrow { part, ring, at });
            continue;
        }
        if let Some(narrow) = details.narrowest(ring) {
            let (width, at) = (narrow.diameter, narrow.at);
            faults.push(CutFault::NotReached { part, ring, width, at });
        }
        passes.extend(of_ring(sheet, placed, ring, &loops, details));
    }
    PartPaths { part, passes }
}

/// The passes round one ring, the upper ones first.
fn of_ring(
    sheet: &Sheet,
    placed: &PlacedPart,
    ring: usize,
    loops: &[Ring],
    details: &Details,
) -> Vec<Pass> {
    let (hold, thickness) = (&placed.hold, sheet.thickness);
    // The layout lists tabs in the order of the last pass, which ends at the first.
    let ending = hold.tabs.iter().position(|t| t.ring == ring);
    let all: Vec<(usize, &Tab)> =
        hold.tabs.iter().enumerate().filter(|(_, t)| t.ring == ring).collect();
    let pass = |kind, depth: f64, tabs: &[(usize, &Tab)]| Pass {
        kind,
        ring,
        depth,
        // The lines of details first: the last path ends at the ring's first tab.
        paths: details
            .of_ring(ring)
            .flat_map(|l| clear_of(l, tabs, sheet.bit.diameter))
            .chain(loops.iter().flat_map(|l| open_at(l, tabs, sheet.bit.diameter, ending)))
            .collect(),
    };
    if all.is_empty() {
        return vec![match (hold.method, hold.skin_mm) {
            (Method::Skin, Some(skin)) => pass(PassKind::Skin, (thickness - skin).max(0.0), &[]),
            _ => pass(PassKind::Through, thickness, &[]),
        }];
    }
    let upper = |height: &f64| {
        // Tabs higher than this one already stand.
        let higher: Vec<_> =
            all.iter().copied().filter(|(_, t)| t.height > height + 1e-9).collect();
        pass(PassKind::Upper, (thickness - height).max(0.0), &higher)
    };
    let mut passes: Vec<Pass> = tops(&all, hold.last_pass, thickness).iter().map(upper).collect();
    passes.push(pass(PassKind::Through, thickness, &all));
    passes
}

/// Stock heights that the upper passes leave, mm: the heights of the tabs, the highest first. Where there are only holding bridges,
/// the last pass.
fn tops(tabs: &[(usize, &Tab)], last_pass: f64, thickness: f64) -> Vec<f64> {
    let lower = tabs.iter().filter(|(_, t)| !t.is_holding_bridge(thickness));
    let mut tops: Vec<f64> = lower.map(|(_, t)| t.height).collect();
    if tops.is_empty() && last_pass > 0.0 && last_pass < thickness {
        tops.push(last_pass);
    }
    tops.sort_by(|a, b| b.total_cmp(a));
    tops.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    tops
}

/// The lines on which the bit's centre cuts one ring: half its diameter outside the outline or inside an opening. There are several
/// where the bit does not fit through a neck, and none where it does not enter an opening. Stretches that would run to and fro
/// along a detail as wide as the bit are left out: the detail's own line cuts it.
///
/// Outlines run with the part on the right, and openings too: climb milling for a bit that turns clockwise seen from above (common
/// practice for the side that counts).
pub(super) fn ring_lines(
    placed: &PlacedPart,
    ring: usize,
    radius: f64,
    details: &Details,
) -> Vec<Ring> {
    let thin = |region: &Shape| details.any(ring) && is_thin(region);
    if ring == 0 {
        let filled = [Shape::new(placed.outline.clone(), vec![])];
        let grown = grow_within(&filled, radius, CHORD);
        let pocket = |r: &&Ring| !thin(&Shape::new((*r).clone(), vec![]));
        let lines = |s: &Shape| -> Vec<Ring> {
            iter::once(&s.outline).chain(s.openings.iter().filter(pocket)).cloned().collect()
        };
        return grown.iter().flat_map(lines).collect();
    }
    let opening = [Shape::new(placed.openings[ring - 1].clone(), vec![])];
    let shrunk = shrink_within(&opening, radius, CHORD);
    shrunk.iter().filter(|s| !thin(s)).map(|s| s.outline.reversed()).collect()
}

/// A closed centre-line cut open at the tabs: the gap's ends lie a tab's width and a diameter apart.
fn open_at(ring: &Ring, tabs: &[(usize, &Tab)], diameter: f64, ending: Option<usize>) -> Vec<Path> {
    let whole = || vec![Path { points: ring.0.clone(), closed: true }];
    let Some(line) = Contour::new(ring) else { return whole() };
    let gaps = gaps(&line, tabs, diameter);
    if gaps.is_empty() {
        return whole();
    }
    // The first arc starts after the gap at which the last one ends.
    let last = gaps.iter().position(|g| g.tabs.iter().any(|t| Some(*t) == ending)).unwrap_or(0);
    let n = gaps.len();
    (0..n)
        .filter_map(|k| {
            let (gap, next) = (&gaps[(last + k) % n], &gaps[(last + k + 1) % n]);
            let lap = if (last + k) % n + 1 == n { line.length() } else { 0.0 };
            stretch(&line, gap.to, next.from + lap)
        })
        .collect()
}

/// A stretch of a closed line that stays uncut, by distance from its first point; `to` may lie beyond the line's length.
struct Gap {
    from: f64,
    to: f64,
    tabs: Vec<usize>,
}

/// The gaps, in the order of the line, none overlapping.
fn gaps(line: &Contour, tabs: &[(usize, &Tab)], diameter: f64) -> Vec<Gap> {
    let total = line.length();
    let mut gaps: Vec<Gap> = tabs
        .iter()
        .filter_map(|&(number, tab)| {
            let middle = nearest(line, tab.at + tab.out * (diameter / 2.0), diameter / 2.0)?;
            let half = half_gap(line, middle, tab.width + diameter);
            let from = (middle - half).rem_euclid(total);
            Some(Gap { from, to: from + 2.0 * half, tabs: vec![number] })
        })
        .collect();
    gaps.sort_by(|a, b| a.from.total_cmp(&b.from));
    let mut merged: Vec<Gap> = vec![];
    for gap in gaps {
        match merged.last_mut() {
            Some(before) if gap.from <= before.to => {
                before.to = before.to.max(gap.to);
                before.tabs.extend(gap.tabs);
            }
            _ => merged.push(gap),
        }
    }
    // The last one may reach over the line's start into the first ones.
    while merged.len() > 1 && merged[merged.len() - 1].to >= merged[0].from + total {
        let first = merged.remove(0);
        if let Some(last) = merged.last_mut() {
            last.to = last.to.max(first.to + total);
            last.tabs.extend(first.tabs);
        }
    }
    merged
}

/// How much nearer to each other than planned the ends of a gap may be, mm: tabs are left as wide as planned within 0.05 mm.
const NEARLY: f64 = 0.04;

/// Half the length of line, either side of `middle`, whose ends are `apart` mm from each other.
///
/// Two discs leave the distance of their centres less a diameter standing between them, on a curve as on a straight edge. At most
/// half the line. In a notch slightly too narrow for that the ends would run up its sides and never separate: they stay where they
/// are nearly as far apart.
fn half_gap(line: &Contour, middle: f64, apart: f64) -> f64 {
    let (full, nearly) = (half_of(line, middle, apart), half_of(line, middle, apart - NEARLY));
    if full - nearly > apart / 4.0 { nearly } else { full }
}

/// The least half length whose ends are `apart` mm from each other.
fn half_of(line: &Contour, middle: f64, apart: f64) -> f64 {
    let distance = |half: f64| line.point(middle - half).distance(line.point(middle + half));
    let most = line.length() / 2.0;
    // The ends are never farther apart than the line between them is long.
    let (mut low, mut high) = (apart / 2.0, apart / 2.0);
    while distance(high) < apart {
        low = high;
        high += apart / 64.0;
        if high >= most {
            return most;
        }
    }
    for _ in 0..40 {
        let half = (low + high) / 2.0;
        if distance(half) < apart { low = half } else { high = half }
    }
    high
}

/// The distance along the line of its point nearest to `p`, unless that point is `limit` away.
fn nearest(line: &Contour, p: Point, limit: f64) -> Option<f64> {
    Some(line.nearest(p)).filter(|s| line.point(*s).distance(p) < limit)
}

/// The open path from one distance along the line to another, `None` when nothing is left.
fn stretch(line: &Contour, from: f64, to: f64) -> Option<Path> {
    let (points, total, length) = (line.points(), line.length(), to - from);
    if length < 1e-6 {
        return None;
    }
    let from = from.rem_euclid(total);
    let n = points.len();
    let first = (0..=n).position(|k| line.corner(k) > from + 1e-9).unwrap_or(n + 1);
    let mut path = vec![line.point(from)];
    for k in first..first + n {
        let lap = if k >= n { total } else { 0.0 };
        if line.corner(k % n) + lap >= from + length - 1e-9 {
            break;
        }
        path.push(points[k % n]);
    }
    path.push(line.point(from + length));
    Some(Path { points: path, closed: false })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    fn tab(at: Point, out: Point, width: f64) -> Tab {
        Tab { at, out, width, height: 1.0, ring: 0, waste: false }
    }

    /// A round bit cuts half its diameter off each end: width w needs a gap of w + D.
    #[test]
    fn gap_on_a_straight_edge_is_width_plus_diameter() {
        let ring = Ring::rectangle(40.0, 30.0).moved(point(-1.5, -1.5));
        let t = tab(point(10.0, 0.0), point(0.0, -1.0), 4.0);
        let paths = open_at(&ring, &[(0, &t)], 3.0, None);
        assert_eq!(paths.len(), 1);
        assert!((paths[0].end().x - 6.5).abs() < 1e-9, "{:?}", paths[0].end());
        assert!((paths[0].start().x - 13.5).abs() < 1e-9, "{:?}", paths[0].start());
        assert!((paths[0].length() - (140.0 - 7.0)).abs() < 1e-9);
    }

    /// Two tabs of one height share one upper pass. A tab belongs to a line that runs half a diameter off its edge: a line 5 mm off
    /// is another ring's. Gaps that overlap are one, across the line's first point too: by hand on a line of 140 mm, each of 7.
    #[test]
    fn gaps_that_overlap_are_one_and_others_lines_stay_closed() {
        let ring = Ring::rectangle(40.0, 30.0);
        let at = |x: f64, y: f64| tab(point(x, y), point(0.0, -1.0), 4.0);
        let open = |tabs: &[Tab]| {
            let numbered: Vec<_> = tabs.iter().enumerate().collect();
            open_at(&ring, &numbered, 3.0, None)
        };
        assert_eq!(tops(&[(0, &at(9.0, 1.5)), (1, &at(30.0, 1.5))], 0.4, 6.0), [1.0]);
        let other = open(&[at(10.0, -3.5)]);
        assert!(other.len() == 1 && other[0].closed, "{other:?}");
        // From 6.5 to 13.5 and from 11.5 to 18.5: 12 mm open.
        let both = open(&[at(10.0, 1.5), at(15.0, 1.5)]);
        assert_eq!(both.len(), 1, "{both:?}");
        assert!((both[0].length() - 128.0).abs() < 1e-9, "{}", both[0].length());
        // One from 7.5 to 22.5 swallows another from 11 to 15.
        let wide = Tab { width: 12.0, ..at(15.0, 1.5) };
        let swallowed = open(&[wide, Tab { width: 1.0, ..at(13.0, 1.5) }]);
        assert_eq!(swallowed.len(), 1, "{swallowed:?}");
        assert!((swallowed[0].length() - 125.0).abs() < 1e-9, "{}", swallowed[0].length());
        // The same over the line's first point, in the middle of that edge.
        let from_within = Ring(
            [(12.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0), (0.0, 0.0)]
                .map(|(x, y)| point(x, y))
                .to_vec(),
        );
        let tabs = [Tab { width: 12.0, ..at(15.0, 1.5) }, Tab { width: 1.0, ..at(14.5, 1.5) }];
        let numbered: Vec<_> = tabs.iter().enumerate().collect();
        let over = open_at(&from_within, &numbered, 3.0, None);
        assert_eq!(over.len(), 1, "{over:?}");
        assert!((over[0].length() - 125.0).abs() < 1e-9, "{}", over[0].length());
        // About (1, 0) and, round the corner, about (0, 1): from 4.5 along the top round to 4.5 down the side; the ends of a gap
        // round a corner stand 7 mm from each other, so its halves are longer.
        let corner = open(&[at(1.0, 1.5), tab(point(1.5, 1.0), point(-1.0, 0.0), 4.0)]);
        assert_eq!(corner.len(), 1, "{corner:?}");
        let (from, to) = (corner[0].start(), corner[0].end());
        assert!(from.y == 0.0 && to.x == 0.0 && (from.x - to.y).abs() < 1e-9, "{from:?} {to:?}");
        assert!(corner[0].length() < 140.0 - 9.0, "{}", corner[0].length());
    }

    /// A centre-line with a notch 8 mm deep: a gap of 7 mm fits between its sides, to 0.04 mm, or swallows them.
    #[test]
    fn a_gap_in_a_notch_stays_on_its_floor() {
        let half = |wide: f64| {
            let corners = [
                (0.0, 0.0),
                (20.0, 0.0),
                (20.0, 8.0),
                (20.0 + wide, 8.0),
                (20.0 + wide, 0.0),
                (60.0, 0.0),
                (60.0, 30.0),
                (0.0, 30.0),
            ];
            let ring = Ring(corners.iter().map(|&(x, y)| point(x, y)).collect());
            let line = Contour::new(&ring).expect("a contour");
            let middle = line.nearest(point(20.0 + wide / 2.0, 8.0));
            half_gap(&line, middle, 7.0)
        };
        assert!((half(7.2) - 3.5).abs() < 1e-6, "{}", half(7.2));
        assert!((half(6.98) - 3.48).abs() < 1e-6, "{}", half(6.98));
        assert!(half(6.9) > 11.0, "up its sides and round their corners: a fault");
    }

    #[test]
    fn gap_over_the_first_point_and_ending_tab() {
        let ring = Ring::rectangle(40.0, 30.0);
        let tabs = [
            tab(point(1.0, 1.5), point(0.0, -1.0), 4.0),
            tab(point(38.5, 15.0), point(1.0, 0.0), 2.0),
        ];
        let numbered: Vec<_> = tabs.iter().enumerate().collect();
        for ending in [0, 1] {
            let paths = open_at(&ring, &numbered, 3.0, Some(ending));
            assert_eq!(paths.len(), 2);
            let end = paths[1].end();
            let nearest = if end.x > 30.0 { 1 } else { 0 };
            assert_eq!(nearest, ending, "the last arc ends at the ending tab");
        }
    }
}
