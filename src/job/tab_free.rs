//! The sides of a part that stay clear of tabs: `tab-free = ["top"]`.

use crate::geometry::{Point, Ring, Segment, Vector, point};
use std::f64::consts::FRAC_1_SQRT_2;

/// The stretches of an outline that face a side (`left`, `right`, `top`, `bottom`) within 45 degrees, as open lines along it;
/// `None` for any other word.
pub(super) fn side_of(outline: &Ring, side: &str) -> Option<Vec<Ring>> {
    let way = match side {
        "left" => point(-1.0, 0.0),
        "right" => point(1.0, 0.0),
        "top" => point(0.0, -1.0),
        "bottom" => point(0.0, 1.0),
        _ => return None,
    };
    let turn = outline.signed_area().signum();
    // A positive ring runs from +x towards +y: outside is to the left of its way.
    let faces = |s: &Segment| {
        let along = (s.b - s.a) * turn;
        point(along.y, -along.x).dot(way) >= FRAC_1_SQRT_2 * along.norm() - 1e-9
    };
    let segments: Vec<Segment> = outline.segments().collect();
    // From a place that does not face the side, so that no stretch is torn.
    let start = segments.iter().position(|s| !faces(s)).unwrap_or(0);
    let mut lines: Vec<Vec<Point>> = vec![];
    let mut running = false;
    for i in 0..segments.len() {
        let s = segments[(start + i) % segments.len()];
        match (faces(&s), lines.last_mut().filter(|_| running)) {
            (true, Some(line)) => line.push(s.b),
            (true, None) => lines.push(vec![s.a, s.b]),
            (false, _) => {}
        }
        running = faces(&s);
    }
    Some(lines.into_iter().map(Ring).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The top of a rectangle is its upper edge; of a disc of radius 10 the upper quarter, whose chord is 10 √2; of a U both its
    /// tips and the floor between them. Whichever way the ring runs.
    #[test]
    fn a_side_is_what_faces_it() {
        let top = |ring: &Ring| {
            let lines = side_of(ring, "top").expect("a side");
            let ends = |r: &Ring| (r.0[0], *r.0.last().expect("points"));
            lines.iter().map(|r| ends(r).0.distance(ends(r).1)).collect::<Vec<f64>>()
        };
        let plate = Ring::rectangle(30.0, 20.0);
        assert_eq!(
            side_of(&plate, "top").expect("a side")[0].0,
            [point(0.0, 0.0), point(30.0, 0.0)]
        );
        let disc = Ring::circle_around(point(0.0, 0.0), 10.0, 0.001);
        let quarter = top(&disc);
        assert!(quarter.len() == 1 && (quarter[0] - 200f64.sqrt()).abs() < 0.5, "{quarter:?}");
        let u = [(0.0, 0.0), (5.0, 0.0), (5.0, 10.0), (9.0, 10.0), (9.0, 0.0), (12.0, 0.0)];
        let u = [&u[..], &[(12.0, 20.0), (0.0, 20.0)]].concat();
        let u = Ring(u.iter().map(|&(x, y)| point(x, y)).collect());
        let sorted = |ring: &Ring| {
            let mut lengths = top(ring);
            lengths.sort_by(f64::total_cmp);
            lengths
        };
        assert_eq!(sorted(&u), [3.0, 4.0, 5.0]);
        let back = Ring(u.0.iter().rev().copied().collect());
        assert_eq!(sorted(&back), [3.0, 4.0, 5.0]);
        assert_eq!(side_of(&plate, "up"), None);
    }
}
