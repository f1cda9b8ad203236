//! Where a part's label goes: the roomiest level place inside it.

use crate::geometry::{Point, Shape, point};

/// How many levels are looked at.
const LEVELS: usize = 24;

/// The middle of the roomiest level run inside the material, and its width in mm.
///
/// Every level run is judged by the largest level-topped box about it that the runs on the levels
/// above and below still hold; ties go to the middle of the part. Nothing for an empty shape.
pub fn label_spot(shape: &Shape) -> Option<(Point, f64)> {
    let bounds = shape.bounds();
    if !(bounds.height() > 0.0 && bounds.width() > 0.0) {
        return None;
    }
    let step = bounds.height() / LEVELS as f64;
    let levels: Vec<(f64, Vec<(f64, f64)>)> = (0..LEVELS)
        .map(|i| bounds.min.y + step * (i as f64 + 0.5))
        .map(|y| (y, runs(shape, y)))
        .collect();
    let middle = bounds.centre();
    let mut best: Option<(f64, Point, f64)> = None;
    for (i, (y, here)) in levels.iter().enumerate() {
        for &(from, to) in here {
            let x = (from + to) / 2.0;
            // Width that is free on the levels beside as well, where a letter's top and foot are.
            let free = [i.saturating_sub(1), (i + 1).min(LEVELS - 1)]
                .iter()
                .filter_map(|&j| half_width(&levels[j].1, x))
                .fold((to - from) / 2.0, f64::min);
            let at = point(x, *y);
            let off = (at.y - middle.y).abs() / bounds.height();
            let score = free * (1.0 - 0.25 * off);
            if best.as_ref().is_none_or(|b| score > b.0 + 1e-9) {
                best = Some((score, at, 2.0 * free));
            }
        }
    }
    best.map(|(_, at, width)| (at, width))
}

/// Distance from `x` to the nearer end of the run that holds it; 0 outside all runs.
fn half_width(runs: &[(f64, f64)], x: f64) -> Option<f64> {
    let run = runs.iter().find(|r| r.0 <= x && x <= r.1);
    Some(run.map_or(0.0, |r| (x - r.0).min(r.1 - x)))
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
    fn a_ring_is_labelled_on_its_rim_and_a_bar_in_its_middle() {
        let hole = Ring::rectangle(30.0, 30.0).moved(point(5.0, 5.0));
        let frame = Shape::new(Ring::rectangle(40.0, 40.0), vec![hole]);
        let (at, width) = label_spot(&frame).unwrap();
        assert!(frame.contains(at), "{at:?}");
        assert!(width > 30.0, "on the top or bottom rail, not on a 5 mm side: {width}");
        let (at, width) = label_spot(&Shape::new(Ring::rectangle(60.0, 6.0), vec![])).unwrap();
        assert!((at.x - 30.0).abs() < 1e-9 && (at.y - 3.0).abs() < 0.2 && width == 60.0);
        assert!(label_spot(&Shape::new(Ring(vec![]), vec![])).is_none());
    }
}
