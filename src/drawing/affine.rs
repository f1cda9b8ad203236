//! Affine maps of the plane, composed in f64 from SVG's `transform` lists.

use crate::geometry::{Point, point};

/// `(x, y)` becomes `(a x + c y + e, b x + d y + f)`, as in SVG's `matrix(a b c d e f)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Affine {
    pub(super) a: f64,
    pub(super) b: f64,
    pub(super) c: f64,
    pub(super) d: f64,
    pub(super) e: f64,
    pub(super) f: f64,
}

impl Affine {
    pub(super) const IDENTITY: Affine = Affine { a: 1.0, b: 0.0, c: 0.0, d: 1.0, e: 0.0, f: 0.0 };

    pub(super) fn translate(x: f64, y: f64) -> Self {
        Affine { e: x, f: y, ..Affine::IDENTITY }
    }

    pub(super) fn scale(x: f64, y: f64) -> Self {
        Affine { a: x, d: y, ..Affine::IDENTITY }
    }

    /// This map applied after `inner`: a point goes through `inner` first.
    pub(super) fn after(self, inner: Affine) -> Self {
        Affine {
            a: self.a * inner.a + self.c * inner.b,
            b: self.b * inner.a + self.d * inner.b,
            c: self.a * inner.c + self.c * inner.d,
            d: self.b * inner.c + self.d * inner.d,
            e: self.a * inner.e + self.c * inner.f + self.e,
            f: self.b * inner.e + self.d * inner.f + self.f,
        }
    }

    pub(super) fn apply(self, p: Point) -> Point {
        self.apply_vector(p) + point(self.e, self.f)
    }

    /// Applies the map without its translation.
    pub(super) fn apply_vector(self, p: Point) -> Point {
        point(self.a * p.x + self.c * p.y, self.b * p.x + self.d * p.y)
    }

    pub(super) fn is_finite(self) -> bool {
        [self.a, self.b, self.c, self.d, self.e, self.f].iter().all(|v| v.is_finite())
    }

    /// Parses a `transform` list, in SVG's form or in CSS's with `px` and `deg`.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let plain = text.replace("px", "").replace("deg", "");
        let t: svgtypes::Transform = plain.trim().parse().ok()?;
        let map = Affine { a: t.a, b: t.b, c: t.c, d: t.d, e: t.e, f: t.f };
        map.is_finite().then_some(map)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SVG 2, section 8.5 'transform' example: nested translate, rotate, translate (worked by hand).
    #[test]
    fn lists_apply_the_last_first() {
        let m = Affine::parse("translate(50,90) rotate(-45) translate(130,160)").unwrap();
        let s = 0.5f64.sqrt();
        // (130, 160) turned by -45 degrees is (s (130 + 160), s (160 - 130)).
        let p = m.apply(point(0.0, 0.0));
        assert!((p.x - (50.0 + 290.0 * s)).abs() < 1e-9 && (p.y - (90.0 + 30.0 * s)).abs() < 1e-9);
        assert_eq!(Affine::parse("translate(1px, 2px)"), Some(Affine::translate(1.0, 2.0)));
        assert_eq!(Affine::parse("turn(1)"), None);
    }
}
