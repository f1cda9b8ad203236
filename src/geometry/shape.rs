//! An outline with its openings.

use super::{Bounds, Point, Ring, Segment};

/// A region of the plane: inside `outline`, outside every one of `openings`.
///
/// The outline has positive signed area, openings negative, so that the material always lies on the
/// same side of every segment (`geometry::Shape::new` sees to it).
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Shape {
    /// The outside edge.
    pub outline: Ring,
    /// Inside cut-outs.
    pub openings: Vec<Ring>,
}

impl Shape {
    /// A shape, its rings reversed where their signed areas have the wrong sign.
    pub fn new(outline: Ring, openings: Vec<Ring>) -> Self {
        Shape {
            outline: outline.positive(),
            openings: openings.into_iter().map(|r| r.positive().reversed()).collect(),
        }
    }

    /// The outline (number 0) and the openings (numbers from 1).
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outline).chain(&self.openings)
    }

    /// Ring number `i`: 0 is the outline, openings count from 1.
    pub fn ring(&self, i: usize) -> Option<&Ring> {
        if i == 0 { Some(&self.outline) } else { self.openings.get(i - 1) }
    }

    /// Every segment of every ring.
    pub fn segments(&self) -> impl Iterator<Item = Segment> + '_ {
        self.rings().flat_map(Ring::segments)
    }

    /// Net area: the outline's less the openings', mm².
    pub fn net_area(&self) -> f64 {
        self.outline.area() - self.openings.iter().map(Ring::area).sum::<f64>()
    }

    /// Whether `p` lies in the material (a point on an edge may go either way).
    pub fn contains(&self, p: Point) -> bool {
        self.outline.contains(p) && !self.openings.iter().any(|o| o.contains(p))
    }

    /// Bounds of the outline.
    pub fn bounds(&self) -> Bounds {
        self.outline.bounds()
    }

    /// The shape with each point passed through `f`, its rings' signs set right again.
    pub fn map(&self, mut f: impl FnMut(Point) -> Point) -> Self {
        let outline = self.outline.map(&mut f);
        let openings = self.openings.iter().map(|r| r.map(&mut f)).collect();
        Shape::new(outline, openings)
    }

    /// `geo`'s form of the shape.
    pub fn to_geo(&self) -> geo::Polygon<f64> {
        geo::Polygon::new(self.outline.to_geo(), self.openings.iter().map(Ring::to_geo).collect())
    }

    /// The shape of a `geo` polygon.
    pub fn from_geo(polygon: &geo::Polygon<f64>) -> Self {
        Shape::new(
            Ring::from_geo(polygon.exterior()),
            polygon.interiors().iter().map(Ring::from_geo).collect(),
        )
    }
}
