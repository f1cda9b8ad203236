//! Clip paths, and how much of a contour each hides.

use super::affine::Affine;
use super::curve::{Pen, Subpath};
use super::element::draw;
use super::style::Declared;
use super::viewport::UnitContext;
use crate::geometry::{Point, Ring};
use roxmltree::Node;
use simplecss::StyleSheet;

/// Points this near to a clip's edge count as inside it, mm.
const CLIP_TOLERANCE: f64 = 0.05;

/// A clip path in mm.
pub(super) struct Clip {
    /// Its id.
    pub element: String,
    rings: Vec<Ring>,
}

/// How much of a contour a clip hides.
pub(super) enum Hidden {
    /// Nothing.
    Nothing,
    /// All of it.
    All,
    /// Part of it, for example this point.
    Part(Point),
}

impl Clip {
    /// Reads the clip path `target`; `map` takes the user units of the element that it clips to mm.
    pub fn read<'a>(
        target: Node<'a, 'a>,
        map: Affine,
        units: UnitContext,
        sheet: &StyleSheet<'a>,
        chord_error: f64,
    ) -> Clip {
        let mut rings = Vec::new();
        for child in target.children().filter(Node::is_element) {
            let declared = Declared::of(child, sheet);
            let turn = declared.get("transform").and_then(Affine::parse);
            let mut pen = Pen::new(map.after(turn.unwrap_or(Affine::IDENTITY)), chord_error);
            draw(child.tag_name().name(), &declared, units, &mut pen);
            rings.extend(pen.finish().into_iter().map(|c| Ring(c.points)));
        }
        Clip { element: format!("#{}", target.attribute("id").unwrap_or_default()), rings }
    }

    /// How much of a contour the clip hides.
    pub fn hides(&self, contour: &Subpath) -> Hidden {
        let inside = |p: &Point| {
            self.rings.iter().any(|r| r.contains(*p) || r.edge_distance(*p) < CLIP_TOLERANCE)
        };
        let outside = contour.points.iter().copied().find(|p| !inside(p));
        let Some(outside) = outside else { return Hidden::Nothing };
        let ring = Ring(contour.points.clone());
        let around = self.rings.iter().flat_map(|r| &r.0).any(|p| ring.contains(*p));
        if around || contour.points.iter().any(inside) {
            Hidden::Part(outside)
        } else {
            Hidden::All
        }
    }
}
