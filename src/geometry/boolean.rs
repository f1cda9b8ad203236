//! Union, difference and intersection of shapes, by `geo`'s boolean operations.
//!
//! The engine rounds to about 1e-9 of the extent; callers that decide safety by the result keep a
//! tolerance of their own.

use super::Shape;
use geo::BooleanOps;
use geo::algorithm::unary_union;

/// The union of `shapes`.
pub fn union(shapes: &[Shape]) -> Vec<Shape> {
    let polygons: Vec<_> = shapes.iter().map(Shape::to_geo).collect();
    from_multi(&unary_union(&polygons))
}

/// The parts of `a` that lie in none of `b`.
pub fn difference(a: &[Shape], b: &[Shape]) -> Vec<Shape> {
    from_multi(&to_multi(a).difference(&to_multi(b)))
}

/// The region in both `a` and `b`.
pub fn intersection(a: &[Shape], b: &[Shape]) -> Vec<Shape> {
    from_multi(&to_multi(a).intersection(&to_multi(b)))
}

/// One `geo` region of the shapes, which may overlap each other.
fn to_multi(shapes: &[Shape]) -> geo::MultiPolygon<f64> {
    match shapes {
        [one] => geo::MultiPolygon::new(vec![one.to_geo()]),
        many => unary_union(&many.iter().map(Shape::to_geo).collect::<Vec<_>>()),
    }
}

fn from_multi(region: &geo::MultiPolygon<f64>) -> Vec<Shape> {
    region.iter().map(Shape::from_geo).filter(|s| s.outline.0.len() >= 3).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{Ring, point};
    use super::*;

    #[test]
    fn difference_of_overlapping_squares() {
        let a = Shape::new(Ring::rectangle(10.0, 10.0), vec![]);
        let b = a.map(|p| p + point(5.0, 5.0));
        let left: f64 = difference(std::slice::from_ref(&a), std::slice::from_ref(&b))
            .iter()
            .map(Shape::net_area)
            .sum();
        assert!((left - 75.0).abs() < 1e-6);
        assert!((union(&[a.clone(), b.clone()])[0].net_area() - 175.0).abs() < 1e-6);
        assert!((intersection(&[a], &[b])[0].net_area() - 25.0).abs() < 1e-6);
    }
}
