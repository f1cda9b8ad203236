//! What a bit leaves standing: where, how much, how deep.
//!
//! The bit's disc rolled in the stock round the part is the opening of that stock by the disc (Serra,
//! *Image Analysis and Mathematical Morphology*, 1982, chapter 2): the outline's outside is opened by
//! growing and shrinking the outline, an opening by shrinking and growing it. Stock that this opening lacks is left standing.

use super::border::{Border, RegionSide};
use super::limit::{DETAIL, Limit, Reach};
use super::reach::{largest_bit, limits};
use crate::geometry::{
    ARC_TOLERANCE, EdgeIndex, Point, Ring, Segment, Shape, Vector, difference, grow, grow_ring,
    point, shrink,
};
use std::f64::consts::PI;

/// Residues shallower than this are the offsets' own arcs, mm.
const FILM: f64 = 3.0 * ARC_TOLERANCE;

/// Half the thickness of films that are cut away, mm, on top of the tolerance of the offsets.
const THIN: f64 = 0.001;

/// Stock that the bit cannot reach, at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Unreached {
    /// The point of the true edge that is farthest from where the bit cuts, mm in the part's frame.
    pub at: Point,
    /// Its area, mm².
    pub area: f64,
    /// How far the true edge at `at` is from the nearest place that the bit cuts, mm; infinite for an
    /// opening that the bit does not enter at all.
    pub depth: f64,
    /// What keeps the bit out, and the largest bit that enters; `None` for the fillet of a sharp inside corner, which every
    /// round bit leaves.
    pub limit: Option<Reach>,
    /// Its outline.
    pub outline: Ring,
}

/// What a bit of `diameter` mm leaves standing round the part, deepest first.
///
/// Areas are accurate to [`ARC_TOLERANCE`] times the length of the residue's edge; residues less than 0.03 mm deep are not
/// listed. It offsets the whole outline, so it is far slower than [`largest_bit`].
///
/// Details narrower than the bit by up to `allowance` mm are cut at the bit's width and leave nothing.
pub fn unreached(shape: &Shape, diameter: f64, allowance: f64) -> Vec<Unreached> {
    let radius = diameter / 2.0;
    let refused = |r: &Reach| !r.passes(diameter, allowance);
    let passes = !refused(&largest_bit(shape));
    let filled = Shape::new(shape.outline.clone(), vec![]);
    let closed = shrink(&grow_ring(&shape.outline, radius), radius);
    let mut left = difference(&closed, &[filled]);
    let mut found = Vec::new();
    for opening in &shape.openings {
        let hole = [Shape::new(opening.clone(), vec![])];
        let opened = grow(&shrink(&hole, radius), radius);
        if opened.is_empty() {
            // The opening by itself: another detail may be the one that is too narrow.
            let plate = Ring::rectangle(1.0, 1.0).moved(opening.bounds().max + point(1.0, 1.0));
            let alone = largest_bit(&Shape::new(plate, vec![opening.clone()]));
            if !passes && refused(&alone) {
                found.push(not_entered(opening, alone));
            }
        } else {
            left.extend(difference(&hole, &opened));
        }
    }
    // Rounding leaves films along straight edges, which would tie residues together.
    let left = grow(&shrink(&left, THIN), THIN);
    let edges = EdgeIndex::new(shape);
    let mut limits = if passes { vec![] } else { limits(shape, diameter) };
    limits.retain(refused);
    let corners = corners(shape, diameter);
    found.extend(left.iter().filter_map(|piece| describe(piece, &edges, &limits, &corners)));
    found.sort_by(|a, b| b.depth.total_cmp(&a.depth));
    found
}

fn not_entered(opening: &Ring, limit: Reach) -> Unreached {
    Unreached {
        at: opening.0[0],
        area: opening.area(),
        depth: f64::INFINITY,
        limit: Some(limit),
        outline: opening.clone().positive(),
    }
}

fn describe(
    piece: &Shape,
    edges: &EdgeIndex,
    limits: &[Reach],
    corners: &[Corner],
) -> Option<Unreached> {
    let away = |p: Point| edges.nearest(p).map_or(f64::INFINITY, |n| n.distance);
    let on_edge = |p: Point| away(p) < 1.5 * ARC_TOLERANCE;
    // The side towards the bit: its middles stand off the true edge.
    let front: Vec<Segment> = piece.segments().filter(|s| !on_edge(s.a.lerp(s.b, 0.5))).collect();
    let off_front =
        |p: Point| front.iter().map(|s| s.distance_to_point(p)).fold(f64::INFINITY, f64::min);
    // Between the ends of an edge too: before a nose the deepest place is amid the wall that it faces.
    let places =
        piece.segments().flat_map(|s| (0..8).map(move |i| s.a.lerp(s.b, f64::from(i) / 8.0)));
    let on_true_edge = places.filter(|&p| on_edge(p));
    let (at, depth) = on_true_edge.map(|p| (p, off_front(p))).max_by(|a, b| a.1.total_cmp(&b.1))?;
    // Slivers without a front are where two runs of offsets differ by rounding.
    if front.is_empty() || depth <= FILM {
        return None;
    }
    let (at, depth) =
        at_corner(at, corners).map_or((at, depth), |corner| (corner, off_front(corner)));
    let near = |limit: &Reach| {
        let reach =
            if limit.limit == Some(Limit::Gap) { limit.diameter / 2.0 } else { 0.0 } + DETAIL;
        piece.contains(limit.at) || piece.segments().any(|s| s.distance_to_point(limit.at) <= reach)
    };
    let limit = limits.iter().filter(|l| near(l)).min_by(|a, b| a.diameter.total_cmp(&b.diameter));
    Some(Unreached {
        at,
        area: piece.net_area(),
        depth,
        limit: limit.copied(),
        outline: piece.outline.clone(),
    })
}

impl Unreached {
    /// Whether it is only the fillet of a sharp inside corner.
    pub fn is_corner(&self) -> bool {
        self.limit.is_none()
    }
}

/// The corner whose tip was removed with the films.
fn at_corner(at: Point, corners: &[Corner]) -> Option<Point> {
    corners
        .iter()
        .map(|c| (c, c.at.distance(at)))
        .filter(|(c, distance)| *distance <= FILM / (c.angle / 2.0).sin())
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(c, _)| c.at)
}

/// A sharp inside corner and the fillet that a bit leaves in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// The corner, mm in the part's frame.
    pub at: Point,
    /// The stock's angle in it, radians; under pi.
    pub angle: f64,
    /// How far the corner is from the nearest place that the bit cuts, mm.
    pub depth: f64,
}

/// The sharp inside corners whose fillets are deeper than [`DETAIL`] with a bit of `diameter` mm,
/// deepest first.
///
/// A disc of radius r in a corner of angle a stands r (1 / sin(a / 2) - 1) from its point: 0.41 r at 90 degrees. Where the legs
/// end or bend before the disc touches them (the cleft of a heart), its place is found along the bisector.
pub fn corners(shape: &Shape, diameter: f64) -> Vec<Corner> {
    let border = Border::new(shape, RegionSide::Stock);
    let edges = EdgeIndex::new(shape);
    let sharp = border.vertices.iter().enumerate().filter(|(_, v)| v.turn > 0.0 && !v.smooth);
    let mut found: Vec<Corner> = sharp
        .map(|(i, v)| {
            let angle = PI - v.turn;
            let straight = corner_depth(angle, diameter);
            let leg = diameter / 2.0 / (angle / 2.0).tan();
            let depth = if v.before.min(v.after) >= leg {
                straight
            } else {
                depth_between(&border, i, &edges, diameter / 2.0).min(straight)
            };
            Corner { at: v.at, angle, depth }
        })
        .filter(|c| c.depth > DETAIL)
        .collect();
    found.sort_by(|a, b| b.depth.total_cmp(&a.depth));
    found
}

/// How far vertex `i` of the border is from the first disc of `radius` mm along its bisector that clears all edges, mm.
///
/// The distance to the edges changes by at most the distance moved: from a place that is `radius - d` too near, no disc within
/// that distance ahead is free.
fn depth_between(border: &Border, i: usize, edges: &EdgeIndex, radius: f64) -> f64 {
    let (v, other) = (&border.vertices[i], |j: usize| border.vertices[j].at);
    let leg = |j: usize| (other(j) - v.at).unit();
    let inward = match (leg(border.previous[i]), leg(border.next[i])) {
        (Some(a), Some(b)) if a.dot(b) > 0.0 => a + b,
        _ => v.normal_before + v.normal_after,
    };
    let Some(inward) = inward.unit() else { return f64::INFINITY };
    let too_near = |t: f64| {
        let near = edges.nearest(v.at + inward * t);
        radius - near.map_or(f64::INFINITY, |n| n.distance)
    };
    let mut t = radius;
    let mut gap = too_near(t);
    while gap > ARC_TOLERANCE {
        t += gap;
        gap = too_near(t);
    }
    t - radius
}

/// How far the point of a corner of `angle` radians is from a bit of `diameter` mm in it, mm.
pub(super) fn corner_depth(angle: f64, diameter: f64) -> f64 {
    diameter / 2.0 * (1.0 / (angle / 2.0).sin() - 1.0)
}

#[cfg(test)]
mod tests {
    use super::super::Limit;
    use super::*;
    use crate::layout::ALLOWANCE;

    #[test]
    fn corner_fillets_have_the_area_and_depth_of_plane_geometry() {
        // Four corners of a square opening: each leaves r² (1 - pi / 4), r (sqrt(2) - 1) deep.
        let shape = Shape::new(
            Ring::rectangle(60.0, 60.0),
            vec![Ring::rectangle(20.0, 20.0).moved(point(20.0, 20.0))],
        );
        let r = 3.0;
        let left = unreached(&shape, 2.0 * r, ALLOWANCE);
        assert_eq!(left.len(), 4);
        for u in &left {
            assert!(u.is_corner(), "{u:?}");
            let (area, depth) = (r * r * (1.0 - PI / 4.0), r * (2f64.sqrt() - 1.0));
            assert!((u.area - area).abs() < 0.02 * 2.0 * r, "{} {area}", u.area);
            assert!((u.depth - depth).abs() < 0.02, "{} {depth}", u.depth);
        }
        let listed = corners(&shape, 2.0 * r);
        assert_eq!(listed.len(), 4);
        assert!((listed[0].depth - r * (2f64.sqrt() - 1.0)).abs() < 1e-12);
    }

    /// The cleft of a heart, between two half discs of radius 10 whose edges meet at (0, 0) at an angle of zero: the bit's disc of
    /// radius r stops between them at a distance of sqrt((10 + r)^2 - 10^2) from it, by Pythagoras.
    #[test]
    fn a_cleft_between_two_arcs_is_as_deep_as_the_bit_stands_off() {
        let arc = |x: f64, from: usize, to: usize| {
            (from..to).map(move |k| {
                let a = PI * (1.0 + k as f64 / 200.0);
                point(x + 10.0 * a.cos(), 10.0 * a.sin())
            })
        };
        let mut points: Vec<Point> = arc(-10.0, 0, 201).collect();
        points.extend(arc(10.0, 1, 201));
        points.push(point(0.0, 25.0));
        let shape = Shape::new(Ring(points).positive(), vec![]);
        for r in [0.8, 1.5875, 3.175] {
            let found = corners(&shape, 2.0 * r);
            let by_hand = ((10.0f64 + r).powi(2) - 100.0).sqrt() - r;
            assert!((found[0].depth - by_hand).abs() < 0.05, "{} {by_hand}", found[0].depth);
        }
    }

    #[test]
    fn a_slot_too_narrow_is_left_whole_and_is_no_corner() {
        let slot = Ring::rectangle(3.0, 20.0).moved(point(20.0, 20.0));
        let shape = Shape::new(Ring::rectangle(60.0, 60.0), vec![slot]);
        let left = unreached(&shape, 3.5, ALLOWANCE);
        assert_eq!(left.len(), 1);
        assert!(
            (left[0].area - 60.0).abs() < 1e-6
                && left[0].depth.is_infinite()
                && !left[0].is_corner()
        );
        assert!(unreached(&shape, 2.8, ALLOWANCE).iter().all(|u| u.is_corner()));
        // Open at the edge: the bit stands before it.
        let notched = Ring(
            [
                (0., 0.),
                (60., 0.),
                (60., 40.),
                (31.5, 40.),
                (31.5, 20.),
                (28.5, 20.),
                (28.5, 40.),
                (0., 40.),
            ]
            .map(|(x, y)| point(x, y))
            .to_vec(),
        );
        let shape = Shape::new(notched, vec![]);
        assert_eq!(largest_bit(&shape).limit, Some(Limit::Run));
        let left = unreached(&shape, 6.0, ALLOWANCE);
        assert_eq!(left.len(), 1);
        // 3 x 20 less the segment of the disc that dips in: r² acos(d / r) - d sqrt(r² - d²), d² = r² - 1.5².
        let d = (9.0f64 - 2.25).sqrt();
        let dip = 9.0 * (d / 3.0).acos() - d * 1.5;
        assert!((left[0].area - (60.0 - dip)).abs() < 0.1, "{} {}", left[0].area, 60.0 - dip);
        assert!(!left[0].is_corner() && left[0].depth > 19.0);
    }
}
