//! The direction of the grain that makes a part strongest: its necks along the grain.
//!
//! Where necks need different directions, as teeth and spine of the tide clock's slat-rail do, the direction lies between them
//! (there 47 degrees), since the weakest neck decides.

use super::sections::{Chord, chords, narrowest};
use crate::geometry::{Contour, Moments, Point, Shape, Vector, point};
use crate::mechanics::hankinson_by;
use std::f64::consts::PI;

/// Steps of the search over half a turn: 1 degree.
const STEPS: usize = 180;

/// Power of the mean that lets the weakest count most.
const POWER: i32 = 6;

/// Least share of the rectangle round it that a plate fills: rounded or clipped corners take a few percent (set by hand).
const PLATE: f64 = 0.95;

/// Least ratio of strength at the best direction to that at the worst, else the length decides; and the most strength that the
/// length may lose against the best (set by hand).
const GAINS: f64 = 1.2;
const LOSES: f64 = 1.02;

/// Ratio of strength across the grain to that along it, and Hankinson's exponent, for wood in bending (Wood Handbook FPL-GTR-282,
/// section 5: Q/P 0.04 to 0.1, n 1.5 to 2; from memory).
const HANKINSON: (f64, f64) = (0.1, 1.5);

/// A part whose second moments differ by less than this share counts as being as long as it is wide.
const ROUND: f64 = 1e-3;

/// Sections wider than this share of the part's greatest extent are no necks.
const NECK: f64 = 0.6;

/// The direction of the grain in the part's frame, radians in `0..PI`, that makes its weakest neck strongest.
///
/// Each narrow section is a cantilever as long as its distance to the farthest point it carries, with strength by Hankinson (n =
/// 1.5, Q/P = 0.1) at its normal; the direction is the one with the least mean weakness, the weakest counting most. A plate, and a
/// part without necks or with equal necks in all directions (a gear), takes the grain along its longest extent. To a degree.
pub fn strongest_grain(shape: &Shape) -> f64 {
    match shape.rings().map(Contour::new).collect::<Option<Vec<_>>>() {
        Some(contours) => strongest(shape, &chords(shape, &contours)),
        None => 0.0,
    }
}

/// The same with the shape's narrow sections given.
pub fn strongest(shape: &Shape, sections: &[Chord]) -> f64 {
    let long = long_axis(shape);
    if is_plate(shape, long) {
        return long;
    }
    let extent = extent(shape);
    let necks: Vec<(f64, Point)> = narrowest(sections)
        .iter()
        .filter(|c| c.width < NECK * extent)
        .map(|c| (slenderness(c), c.normal()))
        .collect();
    let weakness = |angle: f64| -> f64 {
        let grain = point(1.0, 0.0).turned(angle);
        necks.iter().map(|&(s, n)| (s / bears(n, grain)).powi(POWER)).sum()
    };
    let all: Vec<f64> = (0..STEPS).map(|i| weakness(at_step(i))).collect();
    let worst = all.iter().copied().fold(0.0, f64::max);
    let least = all.iter().copied().fold(f64::INFINITY, f64::min);
    // Less than a fifth gained in strength: the necks do not choose, the length does.
    if necks.is_empty() || least * GAINS.powi(POWER) >= worst {
        return long;
    }
    if weakness(long) <= least * LOSES.powi(POWER) {
        return long;
    }
    // The first of equals, as in a part that is its own mirror image, whatever the rounding.
    all.iter().position(|w| *w <= least * (1.0 + 1e-9)).map_or(long, at_step)
}

/// Whether a part is nearly the rectangle round it. Such a part has no necks: a straight section near its ends has too short an
/// edge, and others there are oblique cuts. Those once turned the grain of a plain plate of 25 x 60 mm 10 degrees off its length.
fn is_plate(shape: &Shape, long: f64) -> bool {
    let upright = shape.outline.map(|p| p.turned(-long)).bounds();
    shape.openings.is_empty() && shape.net_area() >= PLATE * upright.width() * upright.height()
}

fn at_step(i: usize) -> f64 {
    i as f64 * PI / STEPS as f64
}

/// Weakness of a section, no units: arm over b^2 and over strength at `grain`.
pub fn neck_weakness(c: &Chord, grain: f64) -> f64 {
    slenderness(c) / bears(c.normal(), point(1.0, 0.0).turned(grain))
}

fn slenderness(c: &Chord) -> f64 {
    c.arm.max(c.width) / (c.width * c.width)
}

/// Ratio of strength to that along the grain, for a section with unit normal `n`.
fn bears(n: Point, grain: Point) -> f64 {
    hankinson_by(1.0, HANKINSON.0, HANKINSON.1, n.cross(grain).abs(), n.dot(grain).abs())
}

/// The greater side of the bounds, mm.
fn extent(shape: &Shape) -> f64 {
    let b = shape.bounds();
    b.width().max(b.height())
}

/// Direction of the longest extent, from the second moments of the outline's edge, to a whole degree.
fn long_axis(shape: &Shape) -> f64 {
    let m = Moments::of_edge(&shape.outline, shape.outline.centroid());
    let Moments { xx, yy, xy } = m;
    if (xx - yy).abs() < ROUND * (xx + yy) && xy.abs() < ROUND * (xx + yy) {
        return 0.0;
    }
    ((m.direction().to_degrees()).round().rem_euclid(180.0)).to_radians()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;
    use crate::mechanics::line_angle;

    fn bar(length: f64, width: f64, turn: f64) -> Shape {
        Shape::new(Ring::rectangle(length, width).map(|p| p.turned(turn)), vec![])
    }

    #[test]
    fn a_hand_takes_the_grain_along_its_length_however_it_lies() {
        for deg in [0.0f64, 30.0, 90.0, 135.0] {
            let g = strongest_grain(&bar(60.0, 3.0, deg.to_radians()));
            assert!(line_angle(g, deg.to_radians()) < 0.03, "{deg}: {}", g.to_degrees());
        }
    }

    #[test]
    fn a_plain_plate_takes_the_grain_along_its_length() {
        // Common practice, no source. From nearly square to a slat, lying and standing, to the degree that it is found to.
        for width in 4..40 {
            for ratio in [1.1, 1.3, 1.6, 1.9, 2.0, 2.1, 2.4, 2.7, 3.3, 5.0, 12.0] {
                let width = 1.5 * f64::from(width);
                let long = ratio * width;
                let [lying, standing] = [(long, width), (width, long)].map(|(w, h)| {
                    strongest_grain(&Shape::new(Ring::rectangle(w, h), vec![])).to_degrees()
                });
                assert!(lying.abs() < 1e-9, "{long} x {width}: {lying}");
                assert!((standing - 90.0).abs() < 1e-9, "{width} x {long}: {standing}");
            }
        }
    }

    #[test]
    fn a_cross_neck_beats_the_long_axis() {
        // A long plate with a thin tongue standing off its long side: the tongue snaps first.
        let p = |x: f64, y: f64| point(x, y);
        let ring = Ring(vec![
            p(0.0, 0.0),
            p(100.0, 0.0),
            p(100.0, 40.0),
            p(52.0, 40.0),
            p(52.0, 60.0),
            p(48.0, 60.0),
            p(48.0, 40.0),
            p(0.0, 40.0),
        ]);
        let g = strongest_grain(&Shape::new(ring, vec![]));
        assert!(line_angle(g, PI / 2.0) < 0.2, "{}", g.to_degrees());
    }
}
