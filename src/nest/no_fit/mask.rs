//! A coarse raster of a form's material: for a quick look, never for a decision.

use super::nofit::{NoFit, RingPair};
use crate::geometry::{Bounds, Point, point};

/// Cells along each side of the form's bounds.
const CELLS: usize = 32;

/// A raster of the form's bounds: a cell is set if the material covers its middle.
pub struct Mask {
    origin: Point,
    /// Cells per mm, along x and y.
    scale: Point,
    rows: [u32; CELLS],
}

impl Mask {
    /// The mask of convex pieces within their bounds.
    pub fn new(pieces: &[Vec<Point>], bounds: Bounds, eps: f64) -> Mask {
        let dot = [point(0.0, 0.0)];
        let solid =
            NoFit::new(pieces.iter().map(|fixed| RingPair { fixed, moving: &dot, distance: 0.0 }));
        let cell = (bounds.max - bounds.min) / CELLS as f64;
        let mut rows = [0; CELLS];
        for (y, row) in rows.iter_mut().enumerate() {
            for x in 0..CELLS {
                let middle = point((x as f64 + 0.5) * cell.x, (y as f64 + 0.5) * cell.y);
                let covered = solid.depth(bounds.min + middle, eps) > 0.0;
                *row |= u32::from(covered) << x;
            }
        }
        Mask { origin: bounds.min, scale: point(1.0 / cell.x, 1.0 / cell.y), rows }
    }

    /// Whether the material covers, roughly, that point of the form's frame.
    #[inline]
    pub fn covers(&self, p: Point) -> bool {
        let (x, y) = ((p.x - self.origin.x) * self.scale.x, (p.y - self.origin.y) * self.scale.y);
        // A NaN, of a form without extent, fails both.
        let within = |c: f64| c >= 0.0 && c < CELLS as f64;
        within(x) && within(y) && (self.rows[y as usize] >> x as u32) & 1 == 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_angle_is_covered_where_its_legs_lie() {
        // Legs of 10 mm along both axes, 60 mm long, about (5, 5) as the corner.
        let leg = |w: f64, h: f64| {
            vec![point(5.0, 5.0), point(5.0 + w, 5.0), point(5.0 + w, 5.0 + h), point(5.0, 5.0 + h)]
        };
        let bounds = Bounds { min: point(5.0, 5.0), max: point(65.0, 65.0) };
        let mask = Mask::new(&[leg(60.0, 10.0), leg(10.0, 60.0)], bounds, 1e-9);
        // Points at least half a cell (0.94 mm) off the rims, where the mask must be right.
        for i in 0..70 {
            for j in 0..70 {
                let p = point(i as f64 + 0.5, j as f64 + 0.5);
                let to = |c: f64, rim: f64| (c - rim).abs();
                let near =
                    [5.0, 15.0, 65.0].iter().any(|&r| to(p.x, r) < 0.95 || to(p.y, r) < 0.95);
                let inside = p.x > 5.0 && p.y > 5.0 && p.x < 65.0 && p.y < 65.0;
                let covered = inside && (p.x < 15.0 || p.y < 15.0);
                assert!(near || mask.covers(p) == covered, "{p:?}");
            }
        }
        assert!(!mask.covers(point(f64::NAN, 8.0)));
    }
}
