//! Tape under the face.

use crate::geometry::{Point, Shape, Vector, point};
use crate::hold::check::planner::Planner;

/// Holding of double-sided tape in shear, MPa (common practice, no source; makers' data run 0.1 to 0.3).
const TAPE_SHEAR: f64 = 0.10;
/// The same against pull and peel, MPa (common practice, no source).
const TAPE_PULL: f64 = 0.05;
/// Least ratio of the tape's strength to its stress.
const SAFETY_TAPE: f64 = 3.0;

/// Tape under the whole face.
#[derive(Debug, Clone, PartialEq)]
pub struct Tape {
    /// Area it holds, mm^2.
    pub area: f64,
    /// Depth of the last pass, mm.
    pub depth: f64,
    /// Worst load, N.
    pub load: f64,
    /// Ratio of its strength to its stress at the worst load.
    pub safety: f64,
}

/// Tape under the part's whole face at the deepest last pass (not under 0.2 mm) at which it holds.
///
/// Shear F/A + F r r_max/J, and pull of the lift F_z/A (1 + r r_max A / I) with the least second moment, each
/// against the tape's own; both uses add.
pub fn tape(planner: &Planner, shape: &Shape, depths: &[f64]) -> Option<Tape> {
    let area = shape.net_area();
    let moments = Moments::of(shape)?;
    let reach = shape.outline.0.iter().map(|p| p.distance(moments.centre)).fold(0.0, f64::max);
    let shear = 1.0 / area + reach * reach / moments.polar;
    let pull = planner.load.lift * (1.0 / area + reach * reach / moments.least);
    let used = shear / TAPE_SHEAR + pull / TAPE_PULL;
    depths.iter().copied().find_map(|depth| {
        let load = planner.load.worst(depth);
        let safety = 1.0 / (load * used);
        (safety >= SAFETY_TAPE).then_some(Tape { area, depth, load, safety })
    })
}

struct Moments {
    centre: Point,
    polar: f64,
    least: f64,
}

impl Moments {
    /// Second moments of the net area about its centroid (Green's theorem over the rings).
    fn of(shape: &Shape) -> Option<Moments> {
        let o = shape.outline.centroid();
        let (mut a, mut x, mut y, mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        for s in shape.segments() {
            let (p, q) = (s.a - o, s.b - o);
            let c = p.cross(q);
            a += c / 2.0;
            x += (p.x + q.x) * c / 6.0;
            y += (p.y + q.y) * c / 6.0;
            xx += (p.x * p.x + p.x * q.x + q.x * q.x) * c / 12.0;
            yy += (p.y * p.y + p.y * q.y + q.y * q.y) * c / 12.0;
            xy += (p.x * q.y + 2.0 * p.x * p.y + 2.0 * q.x * q.y + q.x * p.y) * c / 24.0;
        }
        if a.is_nan() || a <= 0.0 {
            return None;
        }
        let (cx, cy) = (x / a, y / a);
        let (ix, iy, ixy) = (xx - a * cx * cx, yy - a * cy * cy, xy - a * cx * cy);
        let spread = (((ix - iy) / 2.0).powi(2) + ixy * ixy).sqrt();
        let least = (ix + iy) / 2.0 - spread;
        (least > 0.0).then_some(Moments { centre: o + point(cx, cy), polar: ix + iy, least })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;

    /// Rectangle b h^3/12 and b^3 h/12 about its centre (any textbook).
    #[test]
    fn second_moments_of_a_rectangle() {
        let shape = Shape::new(Ring::rectangle(30.0, 10.0).moved(point(100.0, 50.0)), vec![]);
        let m = Moments::of(&shape).unwrap();
        assert!((m.least - 30.0 * 1000.0 / 12.0).abs() < 1e-6);
        assert!((m.polar - 300.0 * (900.0 + 100.0) / 12.0).abs() < 1e-6);
        assert!(m.centre.distance(point(115.0, 55.0)) < 1e-9);
    }
}
