//! How narrow a part is: what only something narrower could enter may be filled.

use super::convex::hull;
use crate::geometry::{Ring, Segment, Vector};
use crate::nest::nest_task::NestTask;

/// Least width of a ring between two parallel lines, mm: one of them contains a side of its hull.
pub fn least_width(ring: &Ring) -> f64 {
    let hull = Ring(hull(ring));
    let across = |s: Segment| {
        let n = s.direction()?.perp();
        Some(hull.0.iter().map(|&p| (p - s.a).dot(n).abs()).fold(0.0, f64::max))
    };
    hull.segments().filter_map(across).fold(f64::INFINITY, f64::min)
}

/// Least width of any part of a task, mm.
pub fn narrowest(task: &NestTask) -> f64 {
    let widths = task.parts.iter().map(|p| least_width(&p.shape.outline));
    widths.fold(f64::INFINITY, f64::min)
}
