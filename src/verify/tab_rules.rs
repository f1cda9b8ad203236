//! Checks the geometry of holding plans: tabs on the edge, on a run that holds them, apart.

use super::Rules;
use super::finding::{TabFinding, TabFlaw};
use super::landings;
use super::numbers::{GREATEST, good_length};
use super::prepared::{Examined, Prepared};
use super::problem::{Problem, What};
use super::spacing::Neighbours;
use crate::geometry::{Point, Ring, Segment, Vector};
use crate::layout::{FeatureKind, Method, Sheet, Tab};

/// How far the edge may depart from a tab's straight root, as a fraction of the tab's width: an arc that turns
/// by 25 degrees over the width departs by 0.055, one by 55 degrees by 0.12.
const BOW: f64 = 0.12;
/// Sharpest corner that a tab may sit across, degrees; facets of a curve stay well under it.
const CORNER_DEG: f64 = 30.0;
/// How far `out` may be off the normal of the edge, degrees: half the turn of a coarse facet.
const OFF_NORMAL_DEG: f64 = 6.0;
/// A tab lower than the sheet by less than this is neither a tab nor a holding bridge, mm: the upper pass would
/// only skim it. Up to [`FULL`] short it counts as full.
const SKIM: f64 = 0.1;
/// The same for a thin sheet, as a fraction of its thickness.
const SKIM_SHARE: f64 = 0.15;
/// Rounding of a holding bridge's height, mm.
const FULL: f64 = 1e-6;
/// How near a tab may come to a line that keeps an edge clear of tabs, mm: such a line is drawn beside the edge by hand,
/// so half a millimetre off it is still on it.
const TAB_FREE: f64 = 0.5;

/// Problems of every part's holding plan.
pub(super) fn check(sheet: &Sheet, parts: &[Prepared], rules: &Rules, problems: &mut Vec<Problem>) {
    let bit = sheet.bit.diameter;
    let positive = |v: f64| good_length(v) && v > 0.0;
    if !(positive(bit) && positive(sheet.thickness)) {
        return; // already a problem of the sheet
    }
    let on = Examined { sheet, parts, rules };
    let neighbours = Neighbours::new(parts);
    for (i, part) in parts.iter().enumerate() {
        let hold = &part.placed.hold;
        let problem = |found: TabFinding| Problem::part(What::Tab, sheet, part.placed, found);
        if hold.method == Method::Tabs && !hold.tabs.iter().any(|t| t.holds()) {
            problems.push(problem(TabFinding::NoTabOnOutline));
        }
        if hold.method == Method::Skin
            && !hold.skin_mm.is_some_and(|s| s > 0.0 && s < sheet.thickness)
        {
            problems.push(problem(TabFinding::SkinThickness));
        }
        let good: Vec<(usize, &Tab)> = hold
            .tabs
            .iter()
            .enumerate()
            .filter(|&(n, tab)| match numbers(sheet, part, tab) {
                Ok(()) => true,
                Err(flaw) => {
                    problems.push(problem(TabFinding::BadTab { tab: n + 1, flaw }));
                    false
                }
            })
            .collect();
        for &(n, tab) in &good {
            if let Err((flaw, at)) = on_edge(part, tab, rules.slack()) {
                problems.push(problem(TabFinding::BadTab { tab: n + 1, flaw }).at(at));
                continue;
            }
            landings::check(&on, &neighbours, i, (n, tab), problems);
        }
        apart(sheet, part, &good, rules.slack(), problems);
    }
}

fn numbers(sheet: &Sheet, part: &Prepared, tab: &Tab) -> Result<(), TabFlaw> {
    let numbers = [tab.at.x, tab.at.y, tab.out.x, tab.out.y, tab.width, tab.height];
    if !numbers.iter().all(|v| v.is_finite() && v.abs() <= GREATEST) {
        return Err(TabFlaw::NotFinite);
    }
    if part.shape.ring(tab.ring).is_none() {
        return Err(TabFlaw::NoSuchRing(tab.ring));
    }
    if tab.width <= 0.0 {
        return Err(TabFlaw::Width(tab.width));
    }
    if tab.height <= 0.0 || tab.height > sheet.thickness {
        return Err(TabFlaw::Height { height_mm: tab.height, thickness_mm: sheet.thickness });
    }
    let short = sheet.thickness - tab.height;
    if short > FULL && short < SKIM.min(SKIM_SHARE * sheet.thickness) {
        return Err(TabFlaw::Skimmed(short));
    }
    if (tab.out.norm() - 1.0).abs() > 1e-6 {
        return Err(TabFlaw::OutLength(tab.out.norm()));
    }
    Ok(())
}

/// Whether the tab sits on its ring, points away from the part, and has a run that holds its width.
fn on_edge(part: &Prepared, tab: &Tab, slack: f64) -> Result<(), (TabFlaw, Point)> {
    let bad = |flaw: TabFlaw, at: Point| Err((flaw, at));
    let Some(ring) = part.shape.ring(tab.ring) else { return Ok(()) };
    let (segment, distance) = nearest_segment(ring, tab.at);
    if distance > slack {
        return bad(TabFlaw::OffEdge { ring: tab.ring, by_mm: distance }, tab.at);
    }
    let run = RingStretch::around(ring, segment, tab.at, tab.width / 2.0);
    // Material lies on the +y side of a ring's segments (towards `perp`), so away is the other.
    let normal_of = |d: Point| d.unit().map(|u| u.perp() * -1.0);
    let here = ring.segments().nth(segment).and_then(|s| normal_of(s.b - s.a));
    let over = normal_of(run.end() - run.start());
    let square = OFF_NORMAL_DEG.to_radians().cos();
    if here.is_some_and(|n| n.dot(tab.out) <= 0.0) {
        return bad(TabFlaw::PointsInward, tab.at);
    }
    if ![here, over].iter().flatten().any(|n| n.dot(tab.out) >= square) {
        let off =
            over.or(here).map_or(0.0, |n| n.dot(tab.out).clamp(-1.0, 1.0).acos().to_degrees());
        return bad(TabFlaw::NotSquare(off), tab.at);
    }
    if let Some((corner, degrees)) = run.sharpest_corner().filter(|c| c.1 > CORNER_DEG) {
        return bad(TabFlaw::AcrossCorner(degrees), corner);
    }
    let leaves = |p: &Point| (*p - tab.at).dot(tab.out).abs();
    let bow = run.points.iter().map(leaves).fold(0.0, f64::max);
    if bow > BOW * tab.width + slack {
        return bad(TabFlaw::Bends { by_mm: bow, width_mm: tab.width }, tab.at);
    }
    free_of_marks(part, tab, slack)
}

/// Checks that the tab is off the edges that the maker keeps clear of tabs.
fn free_of_marks(part: &Prepared, tab: &Tab, slack: f64) -> Result<(), (TabFlaw, Point)> {
    let half = tab.out.perp() * (tab.width / 2.0);
    let root = Segment::new(tab.at - half, tab.at + half);
    let marks = part.placed.features.iter().filter(|f| f.kind == FeatureKind::TabFree);
    for mark in marks {
        let open = mark.lines.iter().flat_map(|l| l.0.windows(2).map(|w| Segment::new(w[0], w[1])));
        let closed = mark.rings.iter().flat_map(Ring::segments);
        if open.chain(closed).any(|s| s.distance(root) < TAB_FREE - slack) {
            return Err((TabFlaw::OnTabFreeEdge, tab.at));
        }
    }
    Ok(())
}

/// Checks that tabs of one ring have a bit's diameter between them; otherwise the bit does not fit between.
fn apart(
    sheet: &Sheet,
    part: &Prepared,
    tabs: &[(usize, &Tab)],
    slack: f64,
    problems: &mut Vec<Problem>,
) {
    let bit = sheet.bit.diameter;
    for (k, &(i, a)) in tabs.iter().enumerate() {
        for &(j, b) in &tabs[k + 1..] {
            let (p, q) = (a.bridge(bit), b.bridge(bit));
            let crossed = p.contains(b.at) || q.contains(a.at);
            let clear = if crossed { 0.0 } else { crate::geometry::ring_distance(&p, &q, bit) };
            let needed = if a.ring == b.ring { bit } else { 0.0 };
            if clear < needed - slack || (clear == 0.0 && needed == 0.0) {
                let found = TabFinding::TabsTooNear { tab: i + 1, next: j + 1 };
                let problem = Problem::part(What::Tab, sheet, part.placed, found);
                problems.push(problem.at(a.at.lerp(b.at, 0.5)).amount(clear, needed));
            }
        }
    }
}

/// Number of the segment nearest to `p` and its distance.
fn nearest_segment(ring: &Ring, p: Point) -> (usize, f64) {
    ring.segments()
        .map(|s| s.distance_to_point(p))
        .enumerate()
        .fold((0, f64::INFINITY), |best, new| if new.1 < best.1 { new } else { best })
}

/// A stretch of a ring about a place on it.
pub(super) struct RingStretch {
    /// From the start to the end of the stretch, along the ring.
    pub points: Vec<Point>,
}

impl RingStretch {
    /// The stretch of `reach` mm along the ring either side of `at`, on segment number `segment`.
    pub fn around(ring: &Ring, segment: usize, at: Point, reach: f64) -> Self {
        let n = ring.0.len();
        let side = |step: isize| {
            let mut points = vec![];
            let (mut from, mut left) = (at, reach);
            let mut next = if step > 0 { (segment + 1) % n } else { segment };
            for _ in 0..n {
                let to = ring.0[next];
                let length = from.distance(to);
                if length >= left {
                    if length > 0.0 {
                        points.push(from.lerp(to, left / length));
                    }
                    break;
                }
                points.push(to);
                (from, left) = (to, left - length);
                next = (next + n).wrapping_add_signed(step) % n;
            }
            points
        };
        let mut points = side(-1);
        points.reverse();
        points.push(at);
        points.extend(side(1));
        RingStretch { points }
    }

    fn start(&self) -> Point {
        self.points[0]
    }

    fn end(&self) -> Point {
        self.points[self.points.len() - 1]
    }

    /// The sharpest turn between two segments of the stretch, degrees, and its place.
    fn sharpest_corner(&self) -> Option<(Point, f64)> {
        let mut points = self.points.clone();
        points.dedup_by(|a, b| a.distance(*b) < 1e-9);
        points
            .windows(3)
            .filter_map(|w| {
                let (d, e) = ((w[1] - w[0]).unit()?, (w[2] - w[1]).unit()?);
                Some((w[1], d.cross(e).abs().atan2(d.dot(e)).to_degrees()))
            })
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }
}
