//! Where a part lies: mirrored or not, rotated, then translated.

use super::{Point, Ring, Shape, Vector, point};
use std::f64::consts::{FRAC_PI_2, TAU};

/// A rigid placement: `p` goes to `R(rotation) · M · p + offset`, where `M` flips x when `mirrored`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pose {
    /// Where the part's own origin goes, mm.
    pub offset: Point,
    /// Rotation in radians, from +x towards +y (clockwise on screen).
    pub rotation: f64,
    /// Flipped left to right (x becomes -x) before it is rotated.
    pub mirrored: bool,
}

impl Pose {
    /// A pose without a flip.
    pub fn new(offset: Point, rotation: f64) -> Self {
        Pose { offset, rotation, mirrored: false }
    }

    /// Sine and cosine of the rotation, exact for quarter turns.
    pub fn sin_cos(&self) -> (f64, f64) {
        let quarters = self.rotation / FRAC_PI_2;
        if (quarters - quarters.round()).abs() < 1e-12 {
            return [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)]
                [(quarters.round() as i64).rem_euclid(4) as usize];
        }
        self.rotation.sin_cos()
    }

    /// The placed position of a point of the part.
    pub fn apply(&self, p: Point) -> Point {
        self.apply_vector(p) + self.offset
    }

    /// The placed direction of a vector of the part.
    pub fn apply_vector(&self, v: Point) -> Point {
        let (s, c) = self.sin_cos();
        let x = if self.mirrored { -v.x } else { v.x };
        point(c * x - s * v.y, s * x + c * v.y)
    }

    /// The part's point that lies at sheet position `p`.
    pub fn inverse(&self, p: Point) -> Point {
        let (s, c) = self.sin_cos();
        let q = p - self.offset;
        let (x, y) = (c * q.x + s * q.y, -s * q.x + c * q.y);
        point(if self.mirrored { -x } else { x }, y)
    }

    /// The placed shape.
    pub fn apply_shape(&self, shape: &Shape) -> Shape {
        shape.map(|p| self.apply(p))
    }

    /// The placed ring, points in the part's own order.
    pub fn apply_ring(&self, ring: &Ring) -> Ring {
        ring.map(|p| self.apply(p))
    }

    /// The rotation in degrees, in `0..360`.
    pub fn rotation_deg(&self) -> f64 {
        let deg = self.rotation.rem_euclid(TAU).to_degrees();
        // 0.1 + 0.2 style noise on whole degrees would spread into every file.
        let whole = deg.round();
        if (deg - whole).abs() < 1e-9 { whole.rem_euclid(360.0) } else { deg }
    }

    /// The direction in the sheet, radians, of direction `angle` in the part.
    pub fn turned_direction(&self, angle: f64) -> f64 {
        let v = self.apply_vector(point(1.0, 0.0).turned(angle));
        v.y.atan2(v.x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inverse_undoes_apply_mirrored_and_turned() {
        let pose = Pose { offset: point(5.0, -7.0), rotation: 0.7, mirrored: true };
        let p = point(3.25, 11.0);
        assert!(pose.inverse(pose.apply(p)).distance(p) < 1e-12);
    }

    #[test]
    fn quarter_turns_are_exact() {
        let pose = Pose::new(point(0.0, 0.0), 3.0 * FRAC_PI_2);
        assert_eq!(pose.apply(point(2.0, 5.0)), point(5.0, -2.0));
    }
}
