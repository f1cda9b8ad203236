//! A shape as a set of convex pieces.
//!
//! Constrained Delaunay triangulation (crate `spade`), then diagonals are removed as long as both of their ends stay convex (Hertel
//! & Mehlhorn, *Fast triangulation of simple polygons*, FCT 1983: at most four times the least number of pieces). Openings need no
//! special treatment: their triangles are left out.

use crate::geometry::{CrossingEdge, Point, Ring, Shape, Vector, orient, triangulation};
use spade::{Point2, Triangulation};
use std::collections::HashMap;

/// Convex rings of positive area whose union is the shape.
///
/// A shape that cannot be triangulated (rings that cross) is covered by its convex hull instead: the pieces always cover the shape.
pub fn pieces(shape: &Shape) -> Vec<Vec<Point>> {
    if shape.openings.is_empty() && shape.outline.is_convex(0.0) {
        return vec![shape.outline.0.clone()];
    }
    let Some((points, triangles)) = triangles(shape) else { return vec![hull(&shape.outline)] };
    let covered: f64 = triangles.iter().map(|t| area(&points, t)).sum();
    if (covered - shape.net_area()).abs() > 1e-7 * shape.outline.area() {
        return vec![hull(&shape.outline)];
    }
    let by_length = |sign: f64| merged(&points, &triangles, sign);
    let (long_first, short_first) = (by_length(-1.0), by_length(1.0));
    let best = if short_first.len() < long_first.len() { short_first } else { long_first };
    best.into_iter().map(|piece| without_straight(&points, &piece)).collect()
}

/// The convex hull of a ring, positive.
pub fn hull(ring: &Ring) -> Vec<Point> {
    let mut points = ring.0.clone();
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    let half = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = vec![];
        for p in points {
            while chain.len() >= 2
                && orient(chain[chain.len() - 2], chain[chain.len() - 1], p) <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut lower = half(&mut points.iter().copied());
    lower.extend(half(&mut points.iter().rev().copied()));
    lower
}

type Triangle = Vec<usize>;

fn triangles(shape: &Shape) -> Option<(Vec<Point>, Vec<Triangle>)> {
    let rings = shape.rings().map(|ring| ring.0.iter().map(|p| Point2::new(p.x, p.y)));
    let cdt = triangulation(rings, CrossingEdge::Refuse)?;
    let points: Vec<Point> =
        cdt.vertices().map(|v| Point { x: v.position().x, y: v.position().y }).collect();
    let triangles = cdt
        .inner_faces()
        .filter_map(|face| {
            let t: Vec<usize> = face.vertices().iter().map(|v| v.index()).collect();
            let centre = (points[t[0]] + points[t[1]] + points[t[2]]) / 3.0;
            shape.contains(centre).then(|| {
                if orient(points[t[0]], points[t[1]], points[t[2]]) < 0.0 {
                    vec![t[0], t[2], t[1]]
                } else {
                    t
                }
            })
        })
        .collect();
    Some((points, triangles))
}

fn area(points: &[Point], ring: &[usize]) -> f64 {
    Ring(ring.iter().map(|&i| points[i]).collect()).area()
}

/// Pieces after removing diagonals, in the order of `sign` x length.
fn merged(points: &[Point], triangles: &[Triangle], sign: f64) -> Vec<Vec<usize>> {
    let mut pieces: Vec<Option<Vec<usize>>> = triangles.iter().cloned().map(Some).collect();
    let mut owner: HashMap<(usize, usize), usize> = HashMap::new();
    let mut diagonals = vec![];
    for (k, t) in triangles.iter().enumerate() {
        for i in 0..3 {
            let (u, v) = (t[i], t[(i + 1) % 3]);
            owner.insert((u, v), k);
            if owner.contains_key(&(v, u)) {
                diagonals.push((sign * points[u].distance(points[v]), u, v));
            }
        }
    }
    diagonals.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    for (_, u, v) in diagonals {
        let (Some(&p), Some(&q)) = (owner.get(&(u, v)), owner.get(&(v, u))) else { continue };
        let (Some(a), Some(b)) = (&pieces[p], &pieces[q]) else { continue };
        let Some(joined) = join(points, a, b, u, v) else { continue };
        for i in 0..joined.len() {
            owner.insert((joined[i], joined[(i + 1) % joined.len()]), p);
        }
        pieces[p] = Some(joined);
        pieces[q] = None;
    }
    pieces.into_iter().flatten().collect()
}

/// `a` (which has the edge u→v) and `b` (v→u) as one ring, if that is convex.
fn join(points: &[Point], a: &[usize], b: &[usize], u: usize, v: usize) -> Option<Vec<usize>> {
    let from = |ring: &[usize], start: usize| -> Option<Vec<usize>> {
        let k = ring.iter().position(|&i| i == start)?;
        Some(ring[k..].iter().chain(&ring[..k]).copied().collect())
    };
    let (a, b) = (from(a, v)?, from(b, u)?);
    let convex_at = |before: usize, at: usize, after: usize| {
        orient(points[before], points[at], points[after]) >= 0.0
    };
    let (na, nb) = (a.len(), b.len());
    // a runs v .. u, b runs u .. v.
    if !convex_at(a[na - 2], u, b[1]) || !convex_at(b[nb - 2], v, a[1]) {
        return None;
    }
    Some(a.into_iter().chain(b[1..nb - 1].iter().copied()).collect())
}

fn without_straight(points: &[Point], ring: &[usize]) -> Vec<Point> {
    let n = ring.len();
    (0..n)
        .filter(|&i| {
            let (a, b, c) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
            orient(points[a], points[b], points[c]) > 0.0
        })
        .map(|i| points[ring[i]])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    #[test]
    fn a_frame_is_convex_pieces_of_its_net_area() {
        let frame = Shape::new(
            Ring::rectangle(20.0, 10.0),
            vec![Ring::rectangle(16.0, 6.0).moved(point(2.0, 2.0))],
        );
        let pieces = pieces(&frame);
        let sum: f64 = pieces.iter().map(|p| Ring(p.clone()).signed_area()).sum();
        assert!((sum - 104.0).abs() < 1e-9, "{sum}");
        assert_eq!(pieces.len(), 4, "a frame needs four pieces");
        assert!(pieces.iter().all(|p| Ring(p.clone()).is_convex(0.0)));
    }

    #[test]
    fn an_l_is_two_pieces_and_a_crossing_outline_its_hull() {
        let l = [[0., 0.], [9., 0.], [9., 3.], [3., 3.], [3., 9.], [0., 9.]];
        let l = Shape::new(Ring::from(l.to_vec()), vec![]);
        assert_eq!(pieces(&l).len(), 2);
        let bow = Ring::from(vec![[0., 0.], [4., 4.], [4., 0.], [0., 5.]]);
        let pieces = pieces(&Shape::new(bow, vec![]));
        assert_eq!(pieces.len(), 1);
        assert!(Ring(pieces[0].clone()).is_convex(0.0));
    }
}
