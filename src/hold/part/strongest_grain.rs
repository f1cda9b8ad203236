//! The direction of the grain that makes a part strongest: its necks along the grain.
//!
//! A part that is mostly straight lies straight: along or across the grain, unless an oblique direction makes its necks half as
//! strong again. Others lie as their necks want: where necks need different directions, the direction lies between them, since the
//! weakest neck decides.

use super::sections::{Chord, chords, narrowest};
use crate::geometry::{Contour, Moments, Shape};
use crate::job::Material;
use crate::mechanics::{line_angle, section_strength};
use std::f64::consts::{FRAC_PI_2, PI};

/// Steps of the search over half a turn: 1 degree.
const STEPS: usize = 180;

/// Power of the mean that lets the weakest count most.
const POWER: i32 = 6;

/// Share of its outline that runs one way, or square to it, in a part that is mostly straight (set by hand: a corner block with two
/// legs of one length, 0.59, has the grain along its longest side).
const STRAIGHT: f64 = 0.75;

/// Strength that the necks of a mostly straight part must gain before it is turned off its length (set by hand).
const MATTERS: f64 = 1.5;

/// Least ratio of strength at the best direction to that at the worst, else the length decides; and the most strength that the
/// length may lose against the best (set by hand).
const GAINS: f64 = 1.2;
const LOSES: f64 = 1.02;

/// An outline that turns back by less than this at a point, radians, still counts as convex: coordinates in drawings are rounded.
const BENDS: f64 = 0.01;

/// A part whose second moments differ by less than this share counts as being as long as it is wide.
const ROUND: f64 = 1e-3;

/// Sections wider than this share of the part's greatest extent are no necks.
const NECK: f64 = 0.6;

/// The direction of the grain in the part's frame, radians in `0..PI`, that makes its weakest neck strongest.
///
/// Each narrow section is a cantilever as long as its distance to the farthest point it carries, with the material's strength at
/// its normal; the direction is the one with the least mean weakness, the weakest counting most. A part without necks, as every
/// convex one, or with equal necks in all directions (a gear), takes the grain along its longest extent. To a degree.
pub fn strongest_grain(shape: &Shape, material: &Material) -> f64 {
    match shape.rings().map(Contour::new).collect::<Option<Vec<_>>>() {
        Some(contours) => strongest(shape, &chords(shape, &contours), material),
        None => 0.0,
    }
}

/// The same with the shape's narrow sections given.
pub fn strongest(shape: &Shape, sections: &[Chord], material: &Material) -> f64 {
    let extent = extent(shape);
    let mut necks = narrowest(sections);
    necks.retain(|c| c.width < NECK * extent);
    let long = long_axis(shape);
    // A convex part has no necks: its corners alone are narrow.
    if shape.openings.is_empty() && shape.outline.is_convex(BENDS) {
        necks.clear();
    }
    match straight_way(shape) {
        Some(way) => {
            // A ligament beside an opening does not snap off.
            necks.retain(Chord::separates);
            straight(way, long, &Necks { all: &necks, material })
        }
        None => curved(long, &Necks { all: &necks, material }),
    }
}

/// The direction for a mostly straight part: along its edges, first along its length; another way only where its necks gain enough.
fn straight(way: f64, long: f64, necks: &Necks) -> f64 {
    let mut ways = [way, (way + FRAC_PI_2) % PI];
    ways.sort_by(|a, b| line_angle(*a, long).total_cmp(&line_angle(*b, long)));
    let better = |of: f64, than: f64| necks.weakness(than) > MATTERS * necks.weakness(of);
    let along = if better(ways[1], ways[0]) { ways[1] } else { ways[0] };
    let oblique = necks.strongest_of(along);
    if better(oblique, along) { oblique } else { along }
}

/// The direction for any other part: the best for its necks, unless the direction hardly matters to them.
fn curved(long: f64, necks: &Necks) -> f64 {
    let worst = (0..STEPS).map(|i| necks.weakness(at_step(i))).fold(0.0, f64::max);
    let best = necks.strongest_of(long);
    let least = necks.weakness(best);
    // Less than a fifth gained in strength: the necks do not choose, the length does.
    if least * GAINS >= worst || necks.weakness(long) <= least * LOSES { long } else { best }
}

/// The necks of a part of some material.
struct Necks<'a> {
    all: &'a [Chord],
    material: &'a Material,
}

impl Necks<'_> {
    /// Mean weakness with the grain at an angle, the weakest counting most.
    fn weakness(&self, grain: f64) -> f64 {
        let of = |c: &Chord| neck_weakness(c, grain, self.material).powi(POWER);
        self.all.iter().map(of).sum::<f64>().powf(1.0 / f64::from(POWER))
    }

    /// The direction in which they are least weak; `otherwise` if there are none.
    fn strongest_of(&self, otherwise: f64) -> f64 {
        let all: Vec<f64> = (0..STEPS).map(|i| self.weakness(at_step(i))).collect();
        let least = all.iter().copied().fold(f64::INFINITY, f64::min);
        // The first of equals, as in a part that is its own mirror image, whatever the rounding.
        let first = all.iter().position(|w| *w <= least * (1.0 + 1e-9));
        first.filter(|_| least > 0.0).map_or(otherwise, at_step)
    }
}

/// The direction, radians in `0..PI/2`, along or across which most of the outline runs, to a hundredth of a degree; `None` if less
/// than [`STRAIGHT`] of it does.
fn straight_way(shape: &Shape) -> Option<f64> {
    const QUARTER: usize = 90;
    let quarter = QUARTER as f64;
    let edges: Vec<(f64, f64)> = shape
        .outline
        .segments()
        .map(|s| (s.b - s.a, s.length()))
        .map(|(d, length)| (d.y.atan2(d.x).to_degrees().rem_euclid(quarter), length))
        .collect();
    let mut lengths = [0.0; QUARTER];
    edges.iter().for_each(|(deg, length)| lengths[deg.round() as usize % QUARTER] += length);
    let most = (0..QUARTER).max_by(|a, b| lengths[*a].total_cmp(&lengths[*b]))? as f64;
    // Half a degree to either side of a whole one, and as much again: rounding may split a direction between two.
    let off = |deg: f64| (deg - most + quarter / 2.0).rem_euclid(quarter) - quarter / 2.0;
    let near: Vec<(f64, f64)> =
        edges.iter().map(|e| (off(e.0), e.1)).filter(|e| e.0.abs() <= 1.0).collect();
    let length: f64 = near.iter().map(|e| e.1).sum();
    let mean = near.iter().map(|e| e.0 * e.1).sum::<f64>() / length;
    let deg = ((most + mean) * 100.0).round() / 100.0;
    let total: f64 = edges.iter().map(|e| e.1).sum();
    (length >= STRAIGHT * total).then(|| deg.rem_euclid(quarter).to_radians())
}

fn at_step(i: usize) -> f64 {
    i as f64 * PI / STEPS as f64
}

/// Weakness of a section, no units: arm over b^2 and over its share of the strength along the grain, with the grain at an angle.
pub fn neck_weakness(c: &Chord, grain: f64, material: &Material) -> f64 {
    let slenderness = c.arm.max(c.width) / (c.width * c.width);
    slenderness * material.bending / section_strength(material, line_angle(c.direction(), grain))
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
    use crate::geometry::{Ring, Vector, point};
    use crate::job::find_material;

    fn walnut() -> &'static Material {
        find_material("walnut", 6.0).expect("in the table")
    }

    fn degrees(shape: &Shape) -> f64 {
        strongest_grain(shape, walnut()).to_degrees()
    }

    fn bar(length: f64, width: f64, turn: f64) -> Shape {
        Shape::new(Ring::rectangle(length, width).map(|p| p.turned(turn)), vec![])
    }

    #[test]
    fn a_hand_takes_the_grain_along_its_length_however_it_lies() {
        for deg in [0.0f64, 30.0, 90.0, 135.0] {
            let g = strongest_grain(&bar(60.0, 3.0, deg.to_radians()), walnut());
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
                let [lying, standing] = [(long, width), (width, long)]
                    .map(|(w, h)| degrees(&Shape::new(Ring::rectangle(w, h), vec![])));
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
        let g = strongest_grain(&Shape::new(ring, vec![]), walnut());
        assert!(line_angle(g, PI / 2.0) < 0.2, "{}", g.to_degrees());
    }

    /// A shelf of 9 x 5 in whose back edge has a slot, or with a slot in its middle, lies along its length, however it is drawn
    /// (common practice, no source): an oblique direction is better for the ends of the slot only.
    #[test]
    fn a_shelf_lies_straight() {
        let p = |x: f64, y: f64| point(25.4 * x, 25.4 * y);
        let open = vec![
            p(0.0, 0.0),
            p(9.0, 0.0),
            p(9.0, 5.0),
            p(4.25, 5.0),
            p(4.25, 2.5),
            p(4.0, 2.5),
            p(4.0, 5.0),
            p(0.0, 5.0),
        ];
        let slot = vec![p(2.0, 3.0), p(2.0, 3.25), p(5.0, 3.25), p(5.0, 3.0)];
        let plate = vec![p(0.0, 0.0), p(9.0, 0.0), p(9.0, 5.0), p(0.0, 5.0)];
        for shape in [Shape::new(Ring(open), vec![]), Shape::new(Ring(plate), vec![Ring(slot)])] {
            for turn in [0.0f64, 20.4, 90.0, 131.7] {
                let g = degrees(&shape.map(|q| q.turned(turn.to_radians())));
                assert!((g - turn).abs() < 0.006, "{turn}: {g}");
            }
        }
    }

    /// A corner block with legs of one length has the grain along its longest side, which leaves none of its tips with short grain
    /// (common practice, no source), however it is drawn; to a degree or two, since sections are sampled.
    #[test]
    fn a_corner_block_has_the_grain_along_its_longest_side() {
        let legs = Ring(vec![point(0.0, 0.0), point(63.5, 0.0), point(0.0, 63.5)]);
        for turn in [0.0, 17.0, 45.0, 90.0] {
            let shape = Shape::new(legs.map(|q| q.turned(f64::to_radians(turn))), vec![]);
            let along = f64::to_radians(turn + 135.0);
            let off = line_angle(strongest_grain(&shape, walnut()), along).to_degrees();
            assert!(off < 3.0, "{turn}: off by {off}");
        }
    }

    /// A slender limb at 45 degrees off a square plate turns it in walnut, ten times as strong along the grain as across. In birch
    /// plywood of 9 mm, 45.6 and 32.1 MPa (its row in the table), it would gain 1/0.69 by Hankinson (n = 1.5): too little.
    #[test]
    fn a_slender_oblique_limb_turns_a_plate_of_wood_not_of_plywood() {
        let p = |x: f64, y: f64| point(x, y);
        let limb = vec![
            p(0.0, 0.0),
            p(60.0, 0.0),
            p(60.0, 57.0),
            p(85.0, 82.0),
            p(82.0, 85.0),
            p(57.0, 60.0),
            p(0.0, 60.0),
        ];
        let shape = Shape::new(Ring(limb), vec![]);
        assert!((degrees(&shape) - 45.0).abs() < 5.0, "{}", degrees(&shape));
        let plywood = find_material("birch plywood", 9.0).expect("in the table");
        assert_eq!(strongest_grain(&shape, plywood), 0.0);
    }
}
