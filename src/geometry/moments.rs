//! Second moments: of an area, and of an edge.

use super::{Point, Ring, Shape, Vector, point};

/// Second moments about a point: of an area in mm^4, of an edge in mm^3.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moments {
    /// Of x squared.
    pub xx: f64,
    /// Of y squared.
    pub yy: f64,
    /// Of x y.
    pub xy: f64,
}

impl Moments {
    /// The moments of a shape's net area about its centroid, and the centroid (Green's theorem over the rings); `None` where it has
    /// no area.
    pub fn of_area(shape: &Shape) -> Option<(Point, Moments)> {
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
        let moments = Moments { xx: xx - a * cx * cx, yy: yy - a * cy * cy, xy: xy - a * cx * cy };
        Some((o + point(cx, cy), moments))
    }

    /// The moments of a ring's edge about a point.
    pub fn of_edge(ring: &Ring, about: Point) -> Moments {
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for s in ring.segments() {
            // Simpson's rule is exact for the square of a linear function.
            let l = s.length() / 6.0;
            for (p, w) in [(s.a, l), (s.a.lerp(s.b, 0.5), 4.0 * l), (s.b, l)] {
                let d: Point = p - about;
                (xx, xy, yy) = (xx + w * d.x * d.x, xy + w * d.x * d.y, yy + w * d.y * d.y);
            }
        }
        Moments { xx, yy, xy }
    }

    /// The polar moment, about the axis normal to the plane.
    pub fn polar(&self) -> f64 {
        self.xx + self.yy
    }

    /// The least and the greatest moment about any axis in the plane.
    pub fn principal(&self) -> [f64; 2] {
        let spread = (((self.xx - self.yy) / 2.0).powi(2) + self.xy * self.xy).sqrt();
        [self.polar() / 2.0 - spread, self.polar() / 2.0 + spread]
    }

    /// The direction of the greatest extent, radians.
    pub fn direction(&self) -> f64 {
        0.5 * (2.0 * self.xy).atan2(self.xx - self.yy)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rectangle b h^3/12 and b^3 h/12 about its centre (any textbook), rotated by 0.3; its edge b^3/6 + b^2 h/2 along and h^3/6 +
    /// h^2 b/2 across.
    #[test]
    fn a_rectangle() {
        let ring = Ring::rectangle(30.0, 10.0).moved(point(-15.0, -5.0)).map(|p| p.turned(0.3));
        let ring = ring.moved(point(115.0, 55.0));
        let (centre, m) = Moments::of_area(&Shape::new(ring.clone(), vec![])).unwrap();
        assert!(centre.distance(point(115.0, 55.0)) < 1e-9);
        let [least, most] = m.principal();
        assert!((least - 30.0 * 1000.0 / 12.0).abs() < 1e-6);
        assert!((most - 10.0 * 27_000.0 / 12.0).abs() < 1e-6);
        assert!((m.polar() - 300.0 * (900.0 + 100.0) / 12.0).abs() < 1e-6);
        assert!((m.direction() - 0.3).abs() < 1e-9);
        let edge = Moments::of_edge(&ring, centre);
        let [least, most] = edge.principal();
        assert!((most - (27_000.0 / 6.0 + 900.0 * 10.0 / 2.0)).abs() < 1e-6);
        assert!((least - (1000.0 / 6.0 + 100.0 * 30.0 / 2.0)).abs() < 1e-6);
        assert!((edge.direction() - 0.3).abs() < 1e-9);
    }
}
