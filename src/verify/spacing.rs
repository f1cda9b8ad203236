//! Checks parts against each other: no overlap, never nearer than the gap.

use super::finding::PartFinding;
use super::numbers::good_length;
use super::penetration::{deep_place, greatest_depth};
use super::prepared::Prepared;
use super::problem::{Problem, What};
use super::rules::Rules;
use crate::geometry::{Bounds, Point, Segment, Vector, intersection};
use crate::layout::Sheet;
use rstar::{AABB, RTree, primitives::GeomWithData, primitives::Rectangle};

/// The bounds of the parts, with each part's index in the sheet's list.
pub(super) struct Neighbours(RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>);

impl Neighbours {
    pub fn new(parts: &[Prepared]) -> Self {
        let boxes = parts.iter().enumerate().map(|(i, p)| {
            let rectangle = Rectangle::from_corners(p.bounds.min.into(), p.bounds.max.into());
            GeomWithData::new(rectangle, i)
        });
        Neighbours(RTree::bulk_load(boxes.collect()))
    }

    /// Parts whose bounds touch `bounds`, in the sheet's order.
    pub fn touching(&self, bounds: Bounds) -> Vec<usize> {
        let envelope = AABB::from_corners(bounds.min.into(), bounds.max.into());
        let mut found: Vec<usize> =
            self.0.locate_in_envelope_intersecting(&envelope).map(|g| g.data).collect();
        found.sort_unstable();
        found
    }
}

/// Problems of every pair.
pub(super) fn check(sheet: &Sheet, parts: &[Prepared], rules: &Rules, problems: &mut Vec<Problem>) {
    let gap = if good_length(sheet.gap) { sheet.gap } else { 0.0 };
    let neighbours = Neighbours::new(parts);
    for (i, a) in parts.iter().enumerate() {
        for j in neighbours.touching(a.bounds.grown(gap)) {
            if j > i {
                problems.extend(pair(sheet, a, &parts[j], gap, rules.tolerance));
            }
        }
    }
}

/// The problem of one pair, if any: overlap takes precedence over nearness.
fn pair(sheet: &Sheet, a: &Prepared, b: &Prepared, gap: f64, tolerance: f64) -> Option<Problem> {
    let near = nearest(&a.segments, b, gap.max(tolerance));
    let within = |p: &Prepared, q: &Prepared| p.shape.contains(q.shape.outline.0[0]);
    if near.is_some_and(|n| n.distance <= tolerance) || within(a, b) || within(b, a) {
        let place = |depth| overlap_place(a, b, depth);
        if let Some(at) = place(tolerance) {
            let extent = a.bounds.width().max(a.bounds.height());
            let (depth, at) = greatest_depth(tolerance, at, extent, place);
            let common =
                intersection(std::slice::from_ref(&a.shape), std::slice::from_ref(&b.shape));
            let area_mm2 = common.iter().map(crate::geometry::Shape::net_area).sum();
            let found = PartFinding::Overlap { area_mm2 };
            let problem = Problem::part(What::Overlap, sheet, a.placed, found);
            return Some(problem.with(b.placed).at(at).amount(depth, 0.0));
        }
    }
    let near = near.filter(|n| n.distance < gap - tolerance)?;
    let problem = Problem::part(What::Gap, sheet, a.placed, PartFinding::TooNear);
    Some(problem.with(b.placed).at(near.middle).amount(near.distance, gap))
}

/// A place more than `depth` inside both parts' material.
fn overlap_place(a: &Prepared, b: &Prepared, depth: f64) -> Option<Point> {
    let enters = |from: &Prepared, into: &Prepared| {
        let bounds = into.bounds;
        let edges = from.segments.iter().filter(move |s| Bounds::of(&[s.a, s.b]).touches(bounds));
        deep_place(edges, &into.edges, depth, |p| into.shape.contains(p))
    };
    enters(a, b).or_else(|| enters(b, a)).or_else(|| {
        // Two parts with the same edges overlap wholly though no edge lies inside the other.
        use geo::InteriorPoint;
        let p = a.shape.to_geo().interior_point()?.0;
        let deep = |q: &Prepared| {
            q.shape.contains(p) && q.edges.nearest(p).is_some_and(|n| n.distance > depth)
        };
        (deep(a) && deep(b)).then_some(p)
    })
}

/// The least distance found, and the place half-way.
#[derive(Clone, Copy)]
pub(super) struct Near {
    pub distance: f64,
    pub middle: Point,
}

/// The least distance from some segments to a part's edges; `None` if it is `limit` or more.
pub(super) fn nearest(segments: &[Segment], to: &Prepared, limit: f64) -> Option<Near> {
    let mut best: Option<Near> = None;
    let reach = to.bounds.grown(limit);
    for &s in segments {
        let bounds = Bounds::of(&[s.a, s.b]);
        if !bounds.touches(reach) {
            continue;
        }
        let least = best.map_or(limit, |n| n.distance);
        for t in to.edges.touching(bounds.grown(least)) {
            let (distance, middle) = between(s, t);
            // Ties go to the least place, whatever order the tree gives.
            let better = best.is_none_or(|n| {
                distance < n.distance
                    || (distance == n.distance && (middle.x, middle.y) < (n.middle.x, n.middle.y))
            });
            if distance <= limit && better {
                best = Some(Near { distance, middle });
            }
        }
    }
    best
}

/// Distance of two segments and the place half-way between their nearest points.
fn between(s: Segment, t: Segment) -> (f64, Point) {
    if crate::geometry::proper_crossing(s, t) {
        let u = s.line_meeting(t).map_or(0.5, |(u, _)| u.clamp(0.0, 1.0));
        return (0.0, s.a.lerp(s.b, u));
    }
    [(s.a, t.nearest(s.a)), (s.b, t.nearest(s.b)), (s.nearest(t.a), t.a), (s.nearest(t.b), t.b)]
        .into_iter()
        .map(|(p, q)| (p.distance(q), p.lerp(q, 0.5)))
        .fold((f64::INFINITY, s.a), |best, new| if new.0 < best.0 { new } else { best })
}
