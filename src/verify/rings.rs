//! Checks rings: usable, simple, openings inside their outline and apart.

use super::finding::{Edge, PartFinding, RingFlaw};
use super::prepared::Prepared;
use super::problem::{Problem, What};
use crate::geometry::{Bounds, EdgeIndex, Point, Ring, Segment, Vector};
use crate::layout::Sheet;
use rstar::{AABB, RTree, primitives::GeomWithData, primitives::Rectangle};

/// Problems of one part's rings among themselves.
pub(super) fn check(sheet: &Sheet, part: &Prepared, problems: &mut Vec<Problem>) {
    let mut report = |found: PartFinding, at: Point| {
        problems.push(Problem::part(What::Ring, sheet, part.placed, found).at(at));
    };
    for (i, ring) in part.shape.rings().enumerate() {
        if let Some(at) = self_contact(ring) {
            report(PartFinding::BadRing { edge: Edge::Part(i), flaw: RingFlaw::Crosses }, at);
        }
    }
    let openings = &part.shape.openings;
    for (i, opening) in openings.iter().enumerate() {
        let others = std::iter::once(&part.shape.outline).chain(&openings[..i]);
        let index = EdgeIndex::of_rings(others);
        if let Some(s) = opening.segments().find(|&s| index.segment_distance(s, 1.0) == 0.0) {
            report(PartFinding::OpeningMeetsEdge { opening: i + 1 }, s.a);
            continue;
        }
        let inside_another = openings
            .iter()
            .enumerate()
            .find(|(j, o)| *j != i && o.contains(opening.0[0]))
            .map(|(j, _)| j + 1);
        if !part.shape.outline.contains(opening.0[0]) {
            report(PartFinding::OpeningOutside { opening: i + 1 }, opening.0[0]);
        } else if let Some(j) = inside_another {
            report(PartFinding::OpeningNested { opening: i + 1, inside: j }, opening.0[0]);
        }
    }
}

/// A place where a ring meets itself other than at the ends of neighbouring segments.
///
/// Segments of zero length (a point given twice) are skipped.
pub(super) fn self_contact(ring: &Ring) -> Option<Point> {
    let segments: Vec<Segment> = ring.segments().filter(|s| s.a != s.b).collect();
    let n = segments.len();
    if n < 3 {
        return ring.0.first().copied();
    }
    let boxes = segments
        .iter()
        .enumerate()
        .map(|(i, s)| GeomWithData::new(Rectangle::from_corners(s.a.into(), s.b.into()), i));
    let tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>> = RTree::bulk_load(boxes.collect());
    segments.iter().enumerate().find_map(|(i, &s)| {
        let b = Bounds::of(&[s.a, s.b]);
        let near = tree
            .locate_in_envelope_intersecting(&AABB::from_corners(b.min.into(), b.max.into()))
            .map(|g| g.data)
            .filter(|&j| j > i);
        let mut meeting: Vec<usize> = near.collect();
        meeting.sort_unstable();
        meeting.into_iter().find_map(|j| {
            let t = segments[j];
            let folds_back = |first: Segment, second: Segment| {
                let (d, e) = (first.b - first.a, second.b - second.a);
                d.dot(e) < 0.0 && crate::geometry::orient(first.a, first.b, second.b) == 0.0
            };
            let met = if j == i + 1 {
                folds_back(s, t)
            } else if i == 0 && j == n - 1 {
                folds_back(t, s)
            } else {
                s.distance(t) == 0.0
            };
            met.then(|| s.line_meeting(t).map_or(s.b, |(u, _)| s.a.lerp(s.b, u.clamp(0.0, 1.0))))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    fn ring(points: &[(f64, f64)]) -> Ring {
        Ring(points.iter().map(|&(x, y)| point(x, y)).collect())
    }

    #[test]
    fn bow_tie_pinch_and_spike_are_not_simple() {
        assert!(
            self_contact(&ring(&[(0., 0.), (4., 4.), (4., 0.), (0., 4.)])).is_some(),
            "bow tie"
        );
        let pinch = [(0., 0.), (2., 2.), (4., 0.), (4., 4.), (2., 2.), (0., 4.)];
        assert!(self_contact(&ring(&pinch)).is_some(), "pinch");
        assert!(self_contact(&ring(&[(0., 0.), (4., 0.), (9., 0.), (4., 0.), (4., 4.)])).is_some());
        assert!(self_contact(&Ring::rectangle(3.0, 2.0)).is_none());
        let doubled = ring(&[(0., 0.), (3., 0.), (3., 0.), (3., 2.), (0., 2.)]);
        assert!(self_contact(&doubled).is_none(), "a doubled point is no crossing");
    }
}
