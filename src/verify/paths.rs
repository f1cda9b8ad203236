//! Sweeps the bit along the paths as drawn, by exact distances: no offsets, no rounding, no booleans.
//!
//! - no path comes nearer to a part than the bit's radius, and none leaves its own edge or runs back along itself;
//! - every place of an edge that the bit can reach is within its radius of a path deep enough, except at the tabs' roots;
//! - the stock that the bit cannot reach is no more than its radius leaves in a corner;
//! - between the ends of the paths each tab keeps its planned width, at its planned height;
//! - a skin keeps its thickness.

use super::cleft::is_cleft;
use super::finding::PathFinding;
use super::prepared::Prepared;
use super::problem::{Problem, What};
use crate::geometry::{Bounds, Point, Ring, Segment, Vector};
use crate::layout::{DrawnKind, Method, Sheet, Tab};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};
use std::ops::RangeBounds;

/// How far a pass may be off its depth, mm: group names have three decimals, and depths closer together share one.
pub(super) const DEPTH: f64 = 0.003;

/// How deep a path may cut into a part, mm: a fifth of a desktop router's repeatability (common practice, no source), and
/// the drawing's fourth decimal.
const GOUGE: f64 = 0.0102;
/// How far beyond the bit's radius an edge still counts as cut, mm: centre-lines stay at most 0.0046 mm farther off, and kerfs
/// that coincide take as much from each other.
const CUT: f64 = 0.0105;
/// Greatest excess of a centre-line's distance over the bit's radius, mm: between two converging sides it stops sooner by that.
const KEPT: f64 = 0.0047;
/// How much wider or narrower than planned a tab may be left, mm.
const WIDTH: f64 = 0.05;
/// Stock that a sharp corner may keep, as a multiple of the bit's radius squared: 1 in a corner of 48 degrees.
const ROUND: f64 = 1.1;
/// How much farther than half its length an end of a tab's gap may be from the tab's middle, on a bend, mm.
const BEND: f64 = 0.3;
/// Share of a skin's edge that neighbours' deeper passes may take.
const SKIN_LOST: f64 = 0.25;
/// Spacing at which places that no path cuts are sampled, mm.
const STEP: f64 = 0.1;

/// A drawn path of the bit's centre.
pub(super) struct Stroke {
    pub id: String,
    /// Part, by index into the sheet's list, and ring.
    pub owner: Option<(usize, usize)>,
    pub kind: DrawnKind,
    /// Depth, mm from the sheet's top.
    pub depth: f64,
    /// Whether it returns to its first point.
    pub closed: bool,
    /// Its segments; a plunge is one of zero length.
    pub segments: Vec<Segment>,
}

/// All paths, indexed by place.
struct Sweep {
    tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
    all: Vec<(Segment, f64)>,
}

impl Sweep {
    fn new(strokes: &[Stroke]) -> Sweep {
        let all: Vec<(Segment, f64)> =
            strokes.iter().flat_map(|s| s.segments.iter().map(|g| (*g, s.depth))).collect();
        let boxes = all.iter().enumerate().map(|(i, (s, _))| {
            GeomWithData::new(Rectangle::from_corners(s.a.into(), s.b.into()), i)
        });
        Sweep { tree: RTree::bulk_load(boxes.collect()), all }
    }

    /// Paths of these depths within `reach` of a place, in the drawing's order.
    fn near(&self, bounds: Bounds, reach: f64, depths: impl RangeBounds<f64>) -> Vec<Segment> {
        let b = bounds.grown(reach);
        let envelope = AABB::from_corners(b.min.into(), b.max.into());
        let found = self.tree.locate_in_envelope_intersecting(&envelope).map(|g| g.data);
        let mut found: Vec<usize> = found.filter(|i| depths.contains(&self.all[*i].1)).collect();
        found.sort_unstable();
        found.into_iter().map(|i| self.all[i].0).collect()
    }

    /// The stretches of a segment, as fractions, farther than `reach` from every path of these depths.
    fn missed(&self, s: Segment, reach: f64, depths: impl RangeBounds<f64>) -> Vec<(f64, f64)> {
        let near = self.near(Bounds::of(&[s.a, s.b]), reach, depths);
        let mut cut: Vec<(f64, f64)> =
            near.iter().filter_map(|p| s.stretch_within(*p, reach)).collect();
        cut.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut missed, mut from) = (vec![], 0.0);
        for (a, b) in cut {
            if a > from {
                missed.push((from, a));
            }
            from = f64::max(from, b);
        }
        if from < 1.0 {
            missed.push((from, 1.0));
        }
        let length = s.length();
        missed.retain(|(a, b)| (b - a) * length > 1e-4);
        missed
    }
}

/// Problems of what the paths cut and leave.
pub(super) fn check(
    sheet: &Sheet,
    parts: &[Prepared],
    strokes: &[Stroke],
    problems: &mut Vec<Problem>,
) {
    let radius = sheet.bit.diameter / 2.0;
    if !(radius > 0.0 && radius <= 100.0 && sheet.thickness > 0.0) {
        return; // a problem of the sheet already
    }
    let sweep = Sweep::new(strokes);
    for part in parts {
        let found = Swept { sheet, part, sweep: &sweep, radius };
        found.gouged(strokes, problems);
        found.astray(strokes, problems);
        for ring in 0..=part.placed.openings.len() {
            if ring > 0 || part.placed.hold.cuts_free() {
                found.cut(ring, problems);
            }
        }
        for (number, tab) in part.placed.hold.tabs.iter().enumerate() {
            found.tab(number, tab, problems);
        }
        found.skin(problems);
    }
}

struct Swept<'a> {
    sheet: &'a Sheet,
    part: &'a Prepared<'a>,
    sweep: &'a Sweep,
    radius: f64,
}

impl Swept<'_> {
    fn bad(&self, what: What, found: PathFinding, at: Point) -> Problem {
        Problem::part(what, self.sheet, self.part.placed, found).at(at)
    }

    /// The deepest cut of each path into the part.
    fn gouged(&self, strokes: &[Stroke], problems: &mut Vec<Problem>) {
        let part = self.part;
        let reach = part.bounds.grown(self.radius);
        for stroke in strokes {
            let least = self.radius - GOUGE;
            let mut worst: Option<(f64, Point)> = None;
            let near = stroke.segments.iter().filter(|s| Bounds::of(&[s.a, s.b]).touches(reach));
            for s in near {
                let limit = worst.map_or(least, |w| w.0);
                let inside = part.shape.contains(s.a);
                let distance = if inside { 0.0 } else { part.edges.segment_distance(*s, limit) };
                if distance < limit && !self.as_wide_as_the_bit(*s, distance) {
                    worst = Some((distance, s.a));
                }
            }
            if let Some((distance, at)) = worst {
                let path = stroke.id.clone();
                let found = PathFinding::Gouged { path, depth_mm: self.radius - distance };
                problems.push(self.bad(What::Gouge, found, at).amount(distance, self.radius));
            }
        }
    }

    /// Checks that a path round the part's own edge stays a bit's radius from it all along.
    fn astray(&self, strokes: &[Stroke], problems: &mut Vec<Problem>) {
        let own = |s: &&Stroke| {
            s.owner
                .and_then(|(i, _)| self.sheet.parts.get(i))
                .is_some_and(|p| std::ptr::eq(p, self.part.placed))
        };
        let far = |p: Point| self.part.edges.nearest(p).map_or(0.0, |n| n.distance);
        for stroke in strokes.iter().filter(own) {
            let places = stroke.segments.iter().flat_map(|s| [s.a, s.a.lerp(s.b, 0.5), s.b]);
            let worst = places.map(|p| (far(p), p)).max_by(|a, b| a.0.total_cmp(&b.0));
            let path = || stroke.id.clone();
            if let Some(at) = self.opened(stroke) {
                problems.push(self.bad(What::Pass, PathFinding::PathOpen { path: path() }, at));
            }
            let back = doubles_back(stroke).filter(|at| !self.in_narrow(*at));
            if let Some(at) = back {
                problems.push(self.bad(
                    What::Pass,
                    PathFinding::PathDoublesBack { path: path() },
                    at,
                ));
            }
            if let Some((distance, at)) = worst.filter(|w| w.0 > self.radius + CUT) {
                let found = PathFinding::PathAstray { path: path(), by_mm: distance - self.radius };
                problems.push(self.bad(What::Pass, found, at).amount(distance, self.radius));
            }
        }
    }

    /// The end of an upper path that is open although no tab of its ring is higher than it cuts.
    fn opened(&self, stroke: &Stroke) -> Option<Point> {
        let (_, ring) = stroke.owner?;
        if stroke.closed || stroke.kind != DrawnKind::Upper {
            return None;
        }
        let top = self.sheet.thickness - stroke.depth;
        let mut tabs = self.part.placed.hold.tabs.iter().filter(|t| t.ring == ring);
        let end = stroke.segments.last()?;
        // The centre-line of a slot as wide as the bit has two ends.
        let slot = self.in_narrow(stroke.segments[stroke.segments.len() / 2].a);
        (!tabs.any(|t| t.height > top + DEPTH) && !slot).then_some(end.b)
    }

    /// Whether a place lies in a detail as wide as the bit.
    fn in_narrow(&self, at: Point) -> bool {
        let near = self.part.edges.nearest(at).map_or(f64::INFINITY, |n| n.distance);
        near < self.radius + CUT && self.as_wide_as_the_bit(Segment::new(at, at), near)
    }

    /// Whether the bit touches both sides of a detail drawn narrower than the bit by no more than the allowance.
    fn as_wide_as_the_bit(&self, s: Segment, distance: f64) -> bool {
        let allowance = self.sheet.bit.allowance;
        if distance < self.radius - allowance / 2.0 - 0.002 {
            return false;
        }
        let at = s.a.lerp(s.b, 0.5);
        let Some(near) = self.part.edges.nearest(at) else { return false };
        let Some(towards) = (near.at - at).unit() else { return false };
        let reach = self.radius + allowance;
        self.part.edges.touching(Bounds::of(&[at]).grown(reach)).any(|e| {
            let to = e.nearest(at) - at;
            to.norm() <= reach && to.dot(towards) < -0.85 * to.norm()
        })
    }

    /// Whether every place of a ring that the bit reaches is cut: through the sheet, and down to each height of its tabs.
    fn cut(&self, ring: usize, problems: &mut Vec<Problem>) {
        let (t, hold) = (self.sheet.thickness, &self.part.placed.hold);
        let tabs: Vec<&Tab> = hold.tabs.iter().filter(|tab| tab.ring == ring).collect();
        let mut levels: Vec<f64> =
            tabs.iter().map(|tab| t - tab.height).filter(|d| *d > 1e-6).collect();
        if tabs.iter().any(|tab| tab.is_holding_bridge(t)) && hold.last_pass < t {
            levels.push(t - hold.last_pass);
        }
        levels.push(match (hold.method, hold.skin_mm) {
            (Method::Skin, Some(skin)) if tabs.is_empty() => t - skin,
            _ => t,
        });
        levels.sort_by(f64::total_cmp);
        levels.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        for level in levels {
            // Open where tabs stand higher.
            let open: Vec<&Tab> =
                tabs.iter().copied().filter(|tab| t - tab.height < level - 1e-6).collect();
            if !self.cut_to(ring, level, &open, problems) {
                return; // the deeper levels miss the same
            }
        }
    }

    fn cut_to(&self, ring: usize, level: f64, open: &[&Tab], problems: &mut Vec<Problem>) -> bool {
        let Some(edge) = self.part.shape.ring(ring) else { return true };
        let reach = self.radius + CUT;
        let (mut runs, mut missed) = (vec![], 0.0);
        for s in edge.segments() {
            // A pass through the sheet does not stand in for an upper one: it would cut too deep at once.
            let through = self.sheet.thickness - DEPTH;
            let deepest = if level < through { through } else { f64::INFINITY };
            for (a, b) in self.sweep.missed(s, reach, level - DEPTH..deepest) {
                missed += (b - a) * s.length();
                let (a, b) = (s.a.lerp(s.b, a), s.a.lerp(s.b, b));
                join(&mut runs, a, b);
            }
        }
        let before = problems.len();
        let not_cut = |anywhere| PathFinding::NotCut { ring, depth_mm: level, anywhere };
        if missed > 0.98 * edge.perimeter() {
            problems.push(self.bad(What::Uncut, not_cut(false), edge.0[0]));
            return false;
        }
        close(&mut runs);
        for run in &runs {
            let free = |p: &&Point| !open.iter().any(|t| self.in_gap(t, ring, **p));
            let places = along(run);
            let missed = |p: &&Point| self.reachable(ring, **p) || self.misses(ring, **p, level);
            if let Some(at) = places.iter().filter(free).find(missed) {
                problems.push(self.bad(What::Uncut, not_cut(true), *at));
                break;
            }
            let in_corner = places.iter().all(|p| free(&p));
            let area = left_in_corner(run, self.radius);
            let most = ROUND * self.radius * self.radius;
            if in_corner && area > most && !(self.part.rounded && is_cleft(edge, run)) {
                let found = PathFinding::StockLeft { ring };
                let problem = self.bad(What::Uncut, found, places[places.len() / 2]);
                problems.push(problem.amount(area, most));
            }
        }
        problems.len() == before
    }

    /// Whether the bit would stand in a tab's gap to cut the place: its gap is its width and a bit's diameter, along the edge.
    /// On a bend one end of the gap lies farther from the tab's middle and the other as much nearer; the stock left between them
    /// is measured separately.
    fn in_gap(&self, tab: &Tab, ring: usize, p: Point) -> bool {
        let half = tab.width / 2.0 + self.radius + BEND;
        self.centres(ring, p).into_iter().any(|c| {
            let away = c - (tab.at + tab.out * self.radius);
            away.dot(tab.out.perp()).abs() <= half && away.dot(tab.out).abs() <= half
        })
    }

    /// Where the bit's centre is when it cuts the place of the edge: square to it; at a corner, to both sides and between them.
    fn centres(&self, ring: usize, p: Point) -> Vec<Point> {
        let Some(edge) = self.part.shape.ring(ring) else { return vec![] };
        let touching = edge.segments().filter(|s| s.distance_to_point(p) < 1e-6);
        // Material lies towards `perp`.
        let normals: Vec<Point> =
            touching.filter_map(|s| Some(s.direction()?.perp() * -1.0)).collect();
        let between = normals.iter().fold(Point { x: 0.0, y: 0.0 }, |m, n| m + *n).unit();
        normals.iter().chain(&between).map(|n| p + *n * self.radius).collect()
    }

    /// Whether the bit cuts the place from a centre as far off the part as centre-lines may be.
    fn reachable(&self, ring: usize, p: Point) -> bool {
        let back = (self.radius + CUT - 0.0005) / self.radius;
        let clear = |c: Point| {
            let near = self.part.edges.nearest(c).map_or(f64::INFINITY, |n| n.distance);
            near >= self.radius + KEPT && !self.part.shape.contains(c)
        };
        self.centres(ring, p).into_iter().any(|c| clear(p + (c - p) * back))
    }

    /// Whether the bit reaches the place only within its allowance, between two sides, and misses it by more than it may come
    /// nearer to them.
    fn misses(&self, ring: usize, p: Point, level: f64) -> bool {
        let film = self.radius + self.sheet.bit.allowance / 2.0;
        let near = self.sweep.near(Bounds::of(&[p]), film, level - DEPTH..);
        near.iter().all(|s| s.distance_to_point(p) > film)
            && self.centres(ring, p).into_iter().any(|c| self.narrow(c))
    }

    /// Whether the bit fits here within its allowance, between two sides.
    fn narrow(&self, c: Point) -> bool {
        let Some(near) = self.part.edges.nearest(c) else { return false };
        let allowance = self.sheet.bit.allowance;
        let shift = (self.radius - near.distance) / 2.0;
        if shift < -KEPT || shift > allowance / 2.0 || self.part.shape.contains(c) {
            return false;
        }
        let Some(away) = (c - near.at).unit() else { return false };
        let middle = c + away * shift;
        self.as_wide_as_the_bit(Segment::new(middle, middle), self.radius - shift)
    }

    /// Checks that a tab is left as wide and as high as planned.
    fn tab(&self, number: usize, tab: &Tab, problems: &mut Vec<Problem>) {
        let (r, above) = (self.radius, self.sheet.thickness - tab.height);
        let middle = tab.at + tab.out * r;
        let along = tab.out.perp();
        let (far, deep) = (tab.width / 2.0 + 4.0 * r, 1.5 * r);
        let box_ = Bounds::of(&[middle]).grown(far + deep);
        let (mut left, mut right) = (vec![], vec![]);
        for s in self.sweep.near(box_, 0.0, above + DEPTH..) {
            let frame =
                |p: Point| Point { x: (p - middle).dot(along), y: (p - middle).dot(tab.out) };
            let Some(piece) = clipped(Segment::new(frame(s.a), frame(s.b)), far, deep) else {
                continue;
            };
            if piece.a.x.min(piece.b.x) < 0.0 && piece.a.x.max(piece.b.x) > 0.0 {
                let found = PathFinding::TabCutThrough { tab: number + 1 };
                problems.push(self.bad(What::TabLeft, found, tab.at).amount(0.0, tab.width));
                return;
            }
            if piece.a.x + piece.b.x < 0.0 { left.push(piece) } else { right.push(piece) }
        }
        let apart = left.iter().flat_map(|a| right.iter().map(|b| a.distance(*b)));
        let width = apart.fold(f64::INFINITY, f64::min) - 2.0 * r;
        if width.is_nan() || (width - tab.width).abs() > WIDTH {
            let found = if width.is_finite() {
                PathFinding::TabWidth { tab: number + 1 }
            } else {
                PathFinding::TabNotFreed { tab: number + 1 }
            };
            let problem = self.bad(What::TabLeft, found, tab.at);
            problems.push(problem.amount(width.clamp(0.0, 1e6), tab.width));
        }
    }

    /// Checks that deeper passes of neighbours take no more than a share of a skin.
    fn skin(&self, problems: &mut Vec<Problem>) {
        let hold = &self.part.placed.hold;
        let (Method::Skin, Some(skin)) = (hold.method, hold.skin_mm) else { return };
        let edge = &self.part.placed.outline;
        let below = self.sheet.thickness - skin + DEPTH;
        let whole = |s: Segment| -> f64 {
            let missed = self.sweep.missed(s, self.radius - WIDTH, below..);
            missed.iter().map(|(a, b)| (b - a) * s.length()).sum()
        };
        let (left, length) = (edge.segments().map(whole).sum::<f64>(), edge.perimeter());
        if left < (1.0 - SKIN_LOST) * length {
            let found = PathFinding::SkinCut { left: left / length };
            let problem = self.bad(What::TabLeft, found, edge.0[0]);
            problems.push(problem.amount(left, (1.0 - SKIN_LOST) * length));
        }
    }
}

/// The middle of a closing line that runs back along its own path: an open path that was closed.
fn doubles_back(stroke: &Stroke) -> Option<Point> {
    let (last, others) = stroke.segments.split_last().filter(|(_, o)| o.len() > 1)?;
    let at = last.a.lerp(last.b, 0.5);
    (last.length() > 4.0 * CUT && others.iter().any(|s| s.distance_to_point(at) <= CUT))
        .then_some(at)
}

/// Adds a stretch to the runs, or extends the last run where the stretch begins at its end.
fn join(runs: &mut Vec<Vec<Point>>, a: Point, b: Point) {
    match runs.last_mut() {
        Some(run) if run.last().is_some_and(|p| p.distance(a) < 2e-4) => run.push(b),
        _ => runs.push(vec![a, b]),
    }
}

/// Joins the last run to the first if it goes on over the ring's first point.
fn close(runs: &mut Vec<Vec<Point>>) {
    let meets = |last: &[Point], first: &[Point]| last[last.len() - 1].distance(first[0]) < 2e-4;
    if runs.len() > 1 && meets(&runs[runs.len() - 1], &runs[0]) {
        let first = runs.remove(0);
        if let Some(last) = runs.last_mut() {
            last.extend(first.into_iter().skip(1));
        }
    }
}

/// Places along a run, without its ends.
fn along(run: &[Point]) -> Vec<Point> {
    let mut places = vec![];
    for w in run.windows(2) {
        let n = (w[0].distance(w[1]) / STEP).ceil().clamp(1.0, 1e5) as usize;
        places.extend((0..n).map(|i| w[0].lerp(w[1], (i as f64 + 0.5) / n as f64)));
    }
    places
}

/// The area between an edge and the disc that touches it at both ends of the run: the run's polygon less the disc's
/// segment over its chord, mm².
fn left_in_corner(run: &[Point], radius: f64) -> f64 {
    let chord = run[0].distance(run[run.len() - 1]);
    let half = (chord / 2.0 / radius).min(1.0).asin();
    let segment = radius * radius * (2.0 * half - (2.0 * half).sin()) / 2.0;
    Ring(run.to_vec()).area() - segment
}

/// The part of a segment in the box of `x` by `y` about the origin (Liang and Barsky, ACM Trans. Graph. 3, 1984).
fn clipped(s: Segment, x: f64, y: f64) -> Option<Segment> {
    let d = s.b - s.a;
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for (start, speed, half) in [(s.a.x, d.x, x), (s.a.y, d.y, y)] {
        if speed == 0.0 {
            if start.abs() > half {
                return None;
            }
            continue;
        }
        let (t, u) = ((-half - start) / speed, (half - start) / speed);
        from = from.max(t.min(u));
        to = to.min(t.max(u));
    }
    (from <= to).then(|| Segment::new(s.a.lerp(s.b, from), s.a.lerp(s.b, to)))
}

#[cfg(test)]
mod tests;
