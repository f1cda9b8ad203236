//! Sharp inside corners that keep more stock than the bit's radius explains.

use crate::geometry::{Point, Ring, Segment, Vector};

/// Widest angle of such a corner, radians: 50 degrees. A corner of 48 keeps an area of the radius squared.
const WIDEST: f64 = 0.873;

/// Least ratio of the angle from the corner to the points where the bit touches its walls, to the angle at the corner itself.
const OPEN: f64 = 0.75;

/// Most stock that may stay in such a corner, as a multiple of the triangle between its point and where the bit touches its walls.
const HOLLOW: f64 = 1.25;

/// Whether a run of the edge, from where the bit touches one wall to where it touches the other, is the cleft of one sharp corner
/// whose walls open all the way, and not a slot with a pointed end.
pub(super) fn is_cleft(edge: &Ring, run: &[Point]) -> bool {
    let (first, last) = (run[0], run[run.len() - 1]);
    let between = |a: Point, b: Point| a.cross(b).abs().atan2(a.dot(b));
    let on_run =
        |at: Point| run.windows(2).any(|w| Segment::new(w[0], w[1]).distance_to_point(at) < 1e-6);
    let n = edge.0.len();
    (0..n).any(|i| {
        let at = edge.0[i];
        let own = between(edge.0[(i + n - 1) % n] - at, edge.0[(i + 1) % n] - at);
        own <= WIDEST && on_run(at) && {
            let triangle = (first - at).cross(last - at).abs() / 2.0;
            between(first - at, last - at) >= OPEN * own
                && Ring(run.to_vec()).area() <= HOLLOW * triangle
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    /// The edge through these points, closed far away, and the run along all but its first and last.
    fn cleft(points: &[(f64, f64)]) -> bool {
        let edge = Ring(points.iter().map(|&(x, y)| point(x, y)).collect());
        let run = &edge.0[1..edge.0.len() - 1];
        is_cleft(&edge, run)
    }

    /// Plane geometry: a corner of 40 degrees opens by 2 x 10 tan(20) = 7.28 over 10 mm; of 60 by 11.55.
    #[test]
    fn a_sharp_corner_is_a_cleft_and_a_pointed_slot_is_none() {
        let corner =
            |half: f64| [(-30.0, 20.0), (-half, 10.0), (0.0, 0.0), (half, 10.0), (30.0, 20.0)];
        assert!(cleft(&corner(3.64)));
        assert!(!cleft(&corner(5.775)));
        // Walls upright from 3 mm on: a slot 2 mm wide and 10 deep, and one that narrows to its mouth.
        let slot = |top: f64| {
            [
                (-30.0, 20.0),
                (-top, 10.0),
                (-1.0, 3.0),
                (0.0, 0.0),
                (1.0, 3.0),
                (top, 10.0),
                (30.0, 20.0),
            ]
        };
        assert!(!cleft(&slot(1.0)));
        assert!(!cleft(&slot(0.5)));
        // Walls that bend apart, as the lobes of a heart.
        assert!(cleft(&slot(4.0)));
    }
}
