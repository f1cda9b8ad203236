//! A point or vector of the plane.

/// A point in mm; `geo`'s own type, so that its algorithms need no conversion.
pub type Point = geo::Coord<f64>;

/// The point `(x, y)`.
pub const fn point(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// Vector operations on [`Point`] under their usual short names.
pub trait Vector: Sized {
    /// Scalar product.
    fn dot(self, other: Self) -> f64;
    /// z component of the cross product: positive when `other` lies on the +y side of `self`.
    fn cross(self, other: Self) -> f64;
    /// Euclidean length.
    fn norm(self) -> f64;
    /// Euclidean distance to `other`.
    fn distance(self, other: Self) -> f64;
    /// Unit vector, or `None` for a zero or non-finite vector.
    fn unit(self) -> Option<Self>;
    /// The vector rotated by +90 degrees: `(-y, x)`.
    fn perp(self) -> Self;
    /// The vector rotated by `angle` radians (from +x towards +y).
    fn turned(self, angle: f64) -> Self;
    /// The point a fraction `t` of the way to `other`.
    fn lerp(self, other: Self, t: f64) -> Self;
    /// Whether both coordinates are finite numbers.
    fn finite(self) -> bool;
}

impl Vector for Point {
    fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    fn norm(self) -> f64 {
        // Not `hypot`: square root is exact to the last bit on every machine, `hypot` is not.
        self.dot(self).sqrt()
    }

    fn distance(self, other: Self) -> f64 {
        (self - other).norm()
    }

    fn unit(self) -> Option<Self> {
        let n = self.norm();
        (n > 0.0 && n.is_finite()).then(|| self / n)
    }

    fn perp(self) -> Self {
        point(-self.y, self.x)
    }

    fn turned(self, angle: f64) -> Self {
        let (s, c) = angle.sin_cos();
        point(c * self.x - s * self.y, s * self.x + c * self.y)
    }

    fn lerp(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }

    fn finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}
