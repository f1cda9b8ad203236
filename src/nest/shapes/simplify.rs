//! Fewer vertices, erring towards more material.
//!
//! Each step only adds material: a reflex vertex is cut off by the chord of its neighbours, an edge between two convex vertices is
//! replaced by the intersection of its neighbours' lines, and a notch whose mouth is so narrow that no other part comes noticeably
//! nearer through it is closed. Straight edges stay on their lines, so they still meet neighbours exactly.

use crate::geometry::{Bounds, Point, Ring, Segment, Shape, Vector, orient, proper_crossing};

/// A shape that contains `shape`, with fewer vertices.
///
/// `tolerance` mm bounds each step's deviation (steps on the same stretch shrink geometrically, so the total stays under 4/3 of
/// it); other parts keep `gap` mm from it. With tolerance 0 only repeated and collinear vertices are removed.
pub fn outward(shape: &Shape, tolerance: f64, gap: f64) -> Shape {
    let mut rings: Vec<Vec<Point>> = shape
        .rings()
        .enumerate()
        .filter(|(i, ring)| *i == 0 || has_room(ring, gap))
        .map(|(_, ring)| without_straight(&ring.0))
        .collect();
    rings.retain(|r| r.len() >= 3);
    if rings.is_empty() {
        return shape.clone();
    }
    if tolerance > 0.0 {
        let mouth = 2.0 * (2.0 * gap * tolerance - tolerance * tolerance).max(0.0).sqrt();
        for k in 0..rings.len() {
            close_hollows(&mut rings, k, mouth);
        }
        for threshold in [tolerance / 64.0, tolerance / 16.0, tolerance / 4.0, tolerance] {
            for k in 0..rings.len() {
                while sweep(&mut rings, k, threshold) {}
            }
        }
    }
    let mut rings = rings.into_iter().map(Ring);
    let outline = rings.next().unwrap_or_default();
    Shape::new(outline, rings.collect())
}

/// Whether anything could lie in the opening with a gap all round.
fn has_room(opening: &Ring, gap: f64) -> bool {
    let b = opening.bounds();
    b.width().min(b.height()) > 2.0 * gap
}

fn without_straight(ring: &[Point]) -> Vec<Point> {
    let mut points = ring.to_vec();
    points.dedup();
    while points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    let n = points.len();
    if n < 3 {
        return points;
    }
    let straight = |i: usize| {
        let (a, b, c) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
        orient(a, b, c) == 0.0 && (b - a).dot(c - b) > 0.0
    };
    (0..n).filter(|&i| !straight(i)).map(|i| points[i]).collect()
}

/// Replaces notches with a mouth of at most `mouth` mm by a straight edge.
fn close_hollows(rings: &mut [Vec<Point>], k: usize, mouth: f64) {
    if mouth <= 0.0 {
        return;
    }
    let mut i = 0;
    while i < rings[k].len() && rings[k].len() > 4 {
        let ring = &rings[k];
        let n = ring.len();
        let longest = (n / 2).min(80);
        let far = (2..=longest).rev().find(|&steps| {
            let (a, b) = (ring[i], ring[(i + steps) % n]);
            if a.distance(b) > mouth || a == b {
                return false;
            }
            let chain: Vec<Point> = (0..=steps).map(|s| ring[(i + s) % n]).collect();
            // The hollow lies outside: chain and chord run the negative way round it.
            Ring(chain).signed_area() < 0.0 && chord_is_free(rings, a, b)
        });
        if let Some(steps) = far {
            let gone: Vec<usize> = (1..steps).map(|s| (i + s) % n).collect();
            let mut index = 0;
            rings[k].retain(|_| {
                index += 1;
                !gone.contains(&(index - 1))
            });
        }
        i += 1;
    }
}

fn chord_is_free(rings: &[Vec<Point>], a: Point, b: Point) -> bool {
    let chord = Segment::new(a, b);
    let bounds = Bounds::of(&[a, b]);
    rings.iter().all(|ring| {
        (0..ring.len()).all(|i| {
            let s = Segment::new(ring[i], ring[(i + 1) % ring.len()]);
            let apart = !Bounds::of(&[s.a, s.b]).touches(bounds);
            let shares = s.a == a || s.a == b || s.b == a || s.b == b;
            apart || shares || !(proper_crossing(s, chord) || s.distance(chord) == 0.0)
        })
    })
}

/// One pass of the two vertex steps over ring `k`; returns whether a vertex was removed.
fn sweep(rings: &mut [Vec<Point>], k: usize, threshold: f64) -> bool {
    let mut changed = false;
    let mut i = 0;
    while i < rings[k].len() && rings[k].len() > 3 {
        let n = rings[k].len();
        let at = |s: usize| rings[k][(i + s) % n];
        let (a, b, c, d) = (at(0), at(1), at(2), at(3));
        if orient(a, b, c) < 0.0 {
            let deviation = Segment::new(a, c).distance_to_point(b);
            if deviation <= threshold && is_empty(rings, [a, b, c]) {
                rings[k].remove((i + 1) % n);
                changed = true;
                continue;
            }
        } else if n > 4
            && orient(a, b, c) > 0.0
            && orient(b, c, d) > 0.0
            && let Some(m) = meeting(a, b, c, d)
            && Segment::new(b, c).distance_to_point(m) <= threshold
            && is_empty(rings, [b, m, c])
        {
            rings[k][(i + 1) % n] = m;
            rings[k].remove((i + 2) % n);
            changed = true;
            continue;
        }
        i += 1;
    }
    changed
}

/// Where the line a→b, extended, meets the line d→c, extended.
fn meeting(a: Point, b: Point, c: Point, d: Point) -> Option<Point> {
    let (u, v) = Segment::new(a, b).line_meeting(Segment::new(d, c))?;
    (u >= 1.0 && v >= 1.0 && u.is_finite()).then(|| a.lerp(b, u))
}

/// Whether no vertex lies in the closed triangle, except its own corners.
fn is_empty(rings: &[Vec<Point>], t: [Point; 3]) -> bool {
    let bounds = Bounds::of(&t);
    let side = |i: usize, p: Point| orient(t[i], t[(i + 1) % 3], p);
    rings.iter().flatten().all(|&p| {
        let out =
            p.x < bounds.min.x || p.x > bounds.max.x || p.y < bounds.min.y || p.y > bounds.max.y;
        if out || t.contains(&p) {
            return true;
        }
        let s = [side(0, p), side(1, p), side(2, p)];
        s.iter().any(|&v| v > 0.0) && s.iter().any(|&v| v < 0.0)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{difference, point};
    use std::f64::consts::TAU;

    fn wave(n: usize) -> Shape {
        let r = |a: f64| 30.0 + 4.0 * (5.0 * a).sin();
        let points = (0..n).map(|i| {
            let a = TAU * i as f64 / n as f64;
            point(r(a), 0.0).turned(a)
        });
        Shape::new(Ring(points.collect()), vec![])
    }

    #[test]
    fn two_thousand_vertices_become_few_and_still_hold_the_shape() {
        let fine = wave(2000);
        let coarse = outward(&fine, 0.1, 3.0);
        // A circle of 30 mm needs 38 tangents at 0.1 mm; its ten bends about as many again.
        assert!(coarse.outline.0.len() < 80, "{}", coarse.outline.0.len());
        let lost: f64 = difference(std::slice::from_ref(&fine), std::slice::from_ref(&coarse))
            .iter()
            .map(Shape::net_area)
            .sum();
        assert!(lost < 1e-6, "material lost: {lost} mm2");
        let added = coarse.net_area() / fine.net_area() - 1.0;
        assert!(added < 0.008, "{added}");
    }

    #[test]
    fn a_slot_narrower_than_the_gap_closes_and_a_wide_one_stays() {
        let slot = |w: f64| {
            let ring = [
                [0., 0.],
                [40., 0.],
                [40., 20.],
                [20. + w, 20.],
                [20. + w, 5.],
                [20., 5.],
                [20., 20.],
                [0., 20.],
            ];
            Shape::new(Ring::from(ring.to_vec()), vec![])
        };
        assert_eq!(outward(&slot(1.0), 0.1, 3.0).net_area(), 800.0);
        assert_eq!(outward(&slot(8.0), 0.1, 3.0).net_area(), 680.0);
        assert_eq!(outward(&slot(1.0), 0.0, 0.0).net_area(), 785.0, "exact without a tolerance");
    }
}
