//! Where a label goes: the place inside a part where it can be largest.

use crate::geometry::{Bounds, EdgeIndex, Point, Shape, Vector, point};

/// Number of levels that are tried, and of places in each run of material along a level.
const LEVELS: usize = 24;
const PLACES: usize = 5;

/// Where text stands, and how tall it can be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LabelSpot {
    /// Its middle.
    pub at: Point,
    /// Height of a box about the middle that lies in the material, mm.
    pub height: f64,
}

/// The spot for text `aspect` times as wide as tall; `None` for a shape without extent.
///
/// Places on 24 levels are tried; a box that meets no edge and whose middle lies in the material is
/// inside. Of places that differ by less than 5 % the one nearest the part's middle wins.
pub fn label_spot(shape: &Shape, aspect: f64) -> Option<LabelSpot> {
    let bounds = shape.bounds();
    let sound = |v: f64| v > 0.0 && v.is_finite();
    let whole = shape.rings().all(|r| r.0.iter().all(|p| p.finite()));
    if !(whole && sound(bounds.height()) && sound(bounds.width()) && sound(aspect)) {
        return None;
    }
    let edges = EdgeIndex::new(shape);
    let free = |at: Point, height: f64| {
        let half = point(aspect * height / 2.0, height / 2.0);
        let area = Bounds { min: at - half, max: at + half };
        edges.touching(area).next().is_none()
    };
    let mut places = places(shape, bounds);
    let middle = bounds.centre();
    let off = |p: &Point| (p.x - middle.x).powi(2) + (p.y - middle.y).powi(2);
    places.sort_by(|a, b| off(a).total_cmp(&off(b)));
    let mut best: Option<LabelSpot> = None;
    for at in places {
        let least = best.map_or(0.0, |b| b.height * 1.05);
        if !free(at, least) {
            continue;
        }
        let (mut low, mut high) = (least, bounds.height().min(bounds.width() / aspect));
        for _ in 0..14 {
            let half = (low + high) / 2.0;
            if free(at, half) { low = half } else { high = half }
        }
        best = Some(LabelSpot { at, height: low });
    }
    best
}

/// Places to try: spread over every run of material along each level.
fn places(shape: &Shape, bounds: Bounds) -> Vec<Point> {
    let step = bounds.height() / LEVELS as f64;
    let mut all = vec![];
    for i in 0..LEVELS {
        let y = bounds.min.y + step * (i as f64 + 0.5);
        for (from, to) in runs(shape, y) {
            let at = |k: usize| from + (to - from) * (k as f64 + 0.5) / PLACES as f64;
            all.extend((0..PLACES).map(|k| point(at(k), y)));
        }
    }
    all
}

/// Runs of material along the level `y`.
fn runs(shape: &Shape, y: f64) -> Vec<(f64, f64)> {
    let mut xs: Vec<f64> = shape
        .segments()
        .filter(|s| (s.a.y > y) != (s.b.y > y))
        .map(|s| s.a.x + (s.b.x - s.a.x) * (y - s.a.y) / (s.b.y - s.a.y))
        .collect();
    xs.sort_by(f64::total_cmp);
    xs.chunks_exact(2).map(|c| (c[0], c[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;

    #[test]
    fn a_frame_is_labelled_on_its_wide_rail_and_a_bar_in_its_middle() {
        // 40 x 40 with a hole of 30 x 22 whose lower rail is 13 mm wide: text three times as wide as
        // tall fits 13 mm tall there, and 1.7 mm tall at most on a 5 mm side.
        let hole = Ring::rectangle(30.0, 22.0).moved(point(5.0, 5.0));
        let frame = Shape::new(Ring::rectangle(40.0, 40.0), vec![hole]);
        let spot = label_spot(&frame, 3.0).unwrap();
        assert!(frame.contains(spot.at) && spot.at.y > 27.0, "{spot:?}");
        assert!(spot.height > 11.0 && spot.height < 13.0, "{spot:?}");
        let bar = Shape::new(Ring::rectangle(60.0, 6.0), vec![]);
        let spot = label_spot(&bar, 2.0).unwrap();
        assert!((spot.at.x - 30.0).abs() < 1e-9 && (spot.at.y - 3.0).abs() < 0.2, "{spot:?}");
        assert!(label_spot(&Shape::new(Ring(vec![]), vec![]), 1.0).is_none());
    }
}
