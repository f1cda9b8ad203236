//! How far a part's edge is from its tabs.
//!
//! By the model's forces two tabs side by side may hold a large part. But forces that the model leaves out (chips packed into the
//! kerf, a bowed sheet that springs, a part that rings once most of it is severed) have a long lever about them. So the outline's
//! farthest point must be no farther than a given distance from its nearest tab: a tab every 300 mm of edge or so is common
//! practice, no source.

use crate::geometry::{Contour, Point, Vector};
use crate::hold::model::staged::TabSet;

/// On a longer outline, points may be this share of its length from a tab: eight tabs do not reach farther.
const OF_LENGTH: f64 = 1.0 / 12.0;
/// Spacing of the points checked, mm, and the most of them; the overhang is accurate to half the spacing.
const STEP: f64 = 5.0;
const POINTS: usize = 400;

/// The demand on a ring: its points, and their greatest distance from a tab. No points where any tab meets it.
#[derive(Debug, Clone, Default)]
pub struct Overhang {
    points: Vec<Point>,
    limit: f64,
    /// The limit demanded before it was raised.
    asked: f64,
}

impl Overhang {
    /// The demand with `limit` mm, or the limit from the ring's length where that is more.
    pub fn new(contour: &Contour, limit: f64) -> Overhang {
        let limit = limit.max(OF_LENGTH * contour.length());
        // A part within the limit across is within it of any tab.
        let bounds = crate::geometry::Bounds::of(contour.points());
        let small = bounds.width().hypot(bounds.height()) <= limit;
        let places = if small { vec![] } else { contour.spaced(STEP, 12, POINTS) };
        Overhang {
            points: places.into_iter().map(|s| contour.point(s)).collect(),
            limit,
            asked: limit,
        }
    }

    /// The demand relaxed to `limit` mm; an edge farther away than the job asks is still reported.
    pub fn allowed(self, limit: f64) -> Overhang {
        Overhang { limit: limit.max(self.asked), ..self }
    }

    /// The limit demanded, mm, where it was raised and an edge stands `far` from its nearest tab, farther than that.
    pub fn missed(&self, far: f64) -> Option<f64> {
        (self.limit > self.asked && far > self.asked).then_some(self.asked)
    }

    /// Distance of the farthest point from its nearest tab, mm; `None` where it is not demanded.
    pub fn of(&self, set: &TabSet) -> Option<f64> {
        let near = |p: &Point| {
            let away = set.beams.iter().map(|b| (*p - b.root).dot(*p - b.root));
            away.fold(f64::INFINITY, f64::min)
        };
        let farthest = self.points.iter().map(near).fold(0.0, f64::max).sqrt();
        (!self.points.is_empty()).then_some(farthest)
    }

    /// Limit over overhang where it is exceeded; else infinite: an overhang under the limit is no gain.
    pub fn margin(&self, set: &TabSet) -> f64 {
        match self.of(set) {
            Some(far) if far > self.limit => self.limit / far,
            _ => f64::INFINITY,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;

    /// By hand: on a strip of 400 x 50 mm the farthest corner from the middle of a long edge is hypot(200, 50) away.
    #[test]
    fn only_a_large_part_is_asked() {
        let contour = |l: f64, b: f64| Contour::new(&Ring::rectangle(l, b)).unwrap();
        assert!(Overhang::new(&contour(130.0, 70.0), 150.0).points.is_empty());
        let large = Overhang::new(&contour(400.0, 50.0), 150.0);
        assert_eq!(large.limit, 150.0);
        let far = large.points.iter().map(|p| p.distance(Point { x: 200.0, y: 0.0 }));
        let far = far.fold(0.0, f64::max);
        assert!((far - 200f64.hypot(50.0)).abs() < STEP, "{far}");
        assert_eq!(Overhang::new(&contour(1200.0, 600.0), 150.0).limit, 300.0);
    }

    /// A demand given up is reported only for a set that exceeds it.
    #[test]
    fn only_what_is_exceeded_was_missed() {
        let strip = Overhang::new(&Contour::new(&Ring::rectangle(400.0, 50.0)).unwrap(), 150.0);
        assert_eq!(strip.missed(206.0), None, "not given up");
        for limit in [210.0, f64::INFINITY] {
            let strip = strip.clone().allowed(limit);
            assert_eq!(strip.missed(206.0), Some(150.0));
            assert_eq!(strip.missed(149.0), None);
        }
        assert_eq!(strip.allowed(100.0).missed(149.0), None, "never less than asked");
    }
}
