//! Gaps: pairs of edges that face each other across the region, with an empty disc on their shortest link.

use super::border::{Border, RegionSide};
use super::limit::{DETAIL, Limit, Reach};
use crate::geometry::{Point, Segment, Vector};
use std::f64::consts::PI;

/// A proud vertex that turns by less is searched along a narrow beam of normals, radians (20 degrees).
const NARROW: f64 = PI / 9.0;

/// Finds links straight across the region with an empty disc on them, from a proud vertex to the inside of an edge
/// or to another proud vertex. Calls `take` with each under the width that `take` last returned (at first `widest`).
pub(super) fn gaps(border: &Border, mut take: impl FnMut(Reach, Point) -> f64, mut widest: f64) {
    for (i, v) in border.vertices.iter().enumerate().filter(|(_, v)| v.turn < -1e-9) {
        let mut near: Vec<(f64, Point)> = Vec::new();
        let own = |e: usize| e == i || e == border.previous[i];
        match (v.normal_before + v.normal_after).unit() {
            Some(n) if -v.turn < NARROW => {
                let (half, mut reach) = (-v.turn / 2.0, widest);
                border.edges_along(v.at, n, half.tan(), widest, |e| {
                    if !own(e) {
                        link(border, i, e, widest, &mut near);
                        // Past the first edge that the ray meets no disc on a link is empty.
                        if let Some(hit) = ray_hit(v.at, n, border.edges[e]) {
                            reach = reach.min(hit / half.cos() + 0.1);
                        }
                    }
                    reach
                });
            }
            _ => border.edges_near(v.at, widest, |e| {
                if !own(e) {
                    link(border, i, e, widest, &mut near);
                }
            }),
        }
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        near.dedup();
        for (width, q) in near {
            let middle = v.at.lerp(q, 0.5);
            if width < widest && border.is_free(middle, width / 2.0) {
                let limit = Some(Limit::Gap);
                let reach = Reach { diameter: width, at: middle, centre: middle, limit };
                widest = take(reach, q - v.at);
            }
        }
    }
}

/// Distance along the ray from `p` at which it crosses `s`.
fn ray_hit(p: Point, n: Point, s: Segment) -> Option<f64> {
    let (u, v) = (n.cross(s.a - p), n.cross(s.b - p));
    if (u > 0.0) == (v > 0.0) {
        return None;
    }
    let t = n.dot(s.a.lerp(s.b, u / (u - v)) - p);
    (t > 0.0).then_some(t)
}

/// Whether two sharp points that face each other limit nothing: a bit a little wider than the space between them,
/// resting on both, has room on either side of their link, so it leaves nothing.
fn passes_round_points(border: &Border, i: usize, e: usize) -> bool {
    let (v, w) = (&border.vertices[i], &border.vertices[e]);
    if v.smooth || w.smooth {
        return false;
    }
    let link = w.at - v.at;
    let half = link.norm() / 2.0;
    let radius = 1.05 * half + DETAIL / 2.0;
    let aside = link.perp() * ((radius * radius - half * half).sqrt() / (2.0 * half));
    let middle = v.at.lerp(w.at, 0.5);
    border.is_free(middle + aside, radius) && border.is_free(middle - aside, radius)
}

/// Adds the link from proud vertex `i` to edge `e`, or to `e`'s first vertex where that is proud.
fn link(border: &Border, i: usize, e: usize, widest: f64, near: &mut Vec<(f64, Point)>) {
    let p = border.vertices[i].at;
    let Segment { a, b } = border.edges[e];
    let m = border.normal(e);
    let height = m.dot(p - a);
    if height > 0.0 && height < widest {
        let foot = p - m * height;
        let t = (foot - a).dot(b - a);
        if t >= 0.0 && t <= (b - a).dot(b - a) && border.in_cone(i, m * -1.0) {
            near.push((height, foot));
        }
    }
    let w = a - p;
    let distance = w.norm();
    // Each pair of vertices once.
    if e > i
        && distance < widest
        && distance > 0.0
        && border.vertices[e].turn < -1e-9
        && border.in_cone(i, w)
        && border.in_cone(e, w * -1.0)
        && !(border.side == RegionSide::Stock && passes_round_points(border, i, e))
    {
        near.push((distance, a));
    }
}
