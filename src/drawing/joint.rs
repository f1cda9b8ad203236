//! Joints: openings and notches that take stock of a known thickness.

use super::border::{Border, RegionSide, Vertex};
use super::unreached::corner_depth;
use crate::geometry::{Point, Shape, Vector};
use std::f64::consts::FRAC_PI_2;

/// How far the width of a joint may differ from the stock's thickness, mm: play on one side, sheets thinner than their nominal
/// thickness on the other (common practice, no source).
pub const JOINT_FIT: f64 = 0.3;

/// How far the corners of a joint's end may be from square, radians: 10 degrees.
const SQUARE: f64 = 0.175;

/// Number of finger sides that make a row: two notches, two fingers, or one of each.
const ROW: usize = 4;

/// Sides shorter than this are not part of a joint, mm.
const LEAST_SIDE: f64 = 1.0;

/// A square end of an opening or a notch, as wide as stock is thick, with two sharp inside corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointEnd {
    /// Its ring: 0 the outline, openings from 1.
    pub ring: usize,
    /// The middle of the end, mm in the part's frame.
    pub at: Point,
    /// The end's two corners.
    pub corners: [Point; 2],
    /// How wide it is, mm.
    pub width: f64,
    /// The thickness that fits, mm.
    pub stock: f64,
    /// How far its corners are from the nearest place that a bit cuts, mm.
    pub depth: f64,
}

/// The ends of openings and notches that take stock of one of the thicknesses, with sharp corners under a bit of `diameter` mm.
///
/// An end is a straight edge between two square hollow corners with a side of at least 1 mm beyond each; its length is the width
/// of the opening or notch. A corner relieved by a hole is not sharp. Cost: linear.
pub fn joint_ends(shape: &Shape, thicknesses: &[f64], diameter: f64) -> Vec<JointEnd> {
    let border = Border::new(shape, RegionSide::Stock);
    let sharp = |v: &Vertex| !v.smooth && (v.turn - FRAC_PI_2).abs() <= SQUARE;
    let mut found = vec![];
    for (i, v) in border.vertices.iter().enumerate() {
        let w = &border.vertices[border.next[i]];
        let sides = v.before >= LEAST_SIDE && w.after >= LEAST_SIDE;
        if !(sharp(v) && sharp(w) && sides) {
            continue;
        }
        let width = v.after;
        let off = |t: &f64| (width - t).abs();
        let fitting = thicknesses.iter().copied().filter(|t| off(t) <= JOINT_FIT);
        if let Some(stock) = fitting.min_by(|a, b| off(a).total_cmp(&off(b))) {
            let at = v.at.lerp(w.at, 0.5);
            let ring = shape.rings().position(|r| r.0.contains(&v.at)).unwrap_or(0);
            let depth = corner_depth(std::f64::consts::PI - v.turn.max(w.turn), diameter);
            found.push(JointEnd { ring, at, corners: [v.at, w.at], width, stock, depth });
        }
    }
    found
}

/// The corners at the roots of fingers as long as stock is thick, in a row along the outline: the mating part stops at them.
///
/// A finger's side is an edge as long as stock is thick, from a square hollow corner to a square proud one; four of them make
/// a row. The `width` of each end is the length of its sides; `corners` are those of a notch between two fingers, or the one corner
/// beside the last finger, twice. Cost: linear.
pub fn finger_ends(shape: &Shape, thicknesses: &[f64], diameter: f64) -> Vec<JointEnd> {
    let outline = Shape::new(shape.outline.clone(), vec![]);
    let border = Border::new(&outline, RegionSide::Stock);
    let square = |v: &Vertex, turn: f64| !v.smooth && (v.turn - turn).abs() <= SQUARE;
    let hollow = |i: usize| square(&border.vertices[i], FRAC_PI_2);
    let proud = |i: usize| square(&border.vertices[i], -FRAC_PI_2);
    let fits = |length: f64, stock: f64| (length - stock).abs() <= JOINT_FIT;
    let mut found = vec![];
    for &stock in thicknesses {
        // Of each hollow corner: whether a finger's side comes before it, and after it.
        let sides = |i: usize| {
            let v = &border.vertices[i];
            let (before, after) = (border.previous[i], border.next[i]);
            let floor = |length: f64| length >= LEAST_SIDE;
            [
                hollow(i) && proud(before) && fits(v.before, stock) && floor(v.after),
                hollow(i) && proud(after) && fits(v.after, stock) && floor(v.before),
            ]
        };
        let all: Vec<[bool; 2]> = (0..border.vertices.len()).map(sides).collect();
        if all.iter().flatten().filter(|side| **side).count() < ROW {
            continue;
        }
        for (i, [before, after]) in all.iter().enumerate() {
            let v = &border.vertices[i];
            let (w, other) = (&border.vertices[border.next[i]], border.previous[i]);
            // A notch is told of by its first corner.
            let corners = match (before, after) {
                (true, _) if all[border.next[i]][1] => [v.at, w.at],
                (_, true) if all[other][0] => continue,
                (false, false) => continue,
                _ => [v.at, v.at],
            };
            let width = if *before { v.before } else { v.after };
            let depth = corner_depth(std::f64::consts::PI - v.turn, diameter);
            let at = corners[0].lerp(corners[1], 0.5);
            found.push(JointEnd { ring: 0, at, corners, width, stock, depth });
        }
        break; // the first that fits: stock of nearly one thickness is one stock
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, point};

    fn ring(points: &[(f64, f64)]) -> Ring {
        Ring(points.iter().map(|&(x, y)| point(x, y)).collect())
    }

    /// By hand: a mortise of 6.2 x 20 has two ends for stock of 6 mm and none for 5; under a bit of 3.175 mm its corners stand
    /// 1.5875 (sqrt(2) - 1) = 0.6576 mm.
    #[test]
    fn a_mortise_and_a_notch_are_joints_and_relieved_ones_are_not() {
        let mortise = Ring::rectangle(6.2, 20.0).moved(point(10.0, 10.0));
        let plate = Shape::new(Ring::rectangle(60.0, 40.0), vec![mortise]);
        let ends = joint_ends(&plate, &[3.0, 6.0], 3.175);
        assert_eq!(ends.len(), 2);
        for end in &ends {
            assert_eq!((end.ring, end.stock), (1, 6.0));
            assert!((end.width - 6.2).abs() < 1e-9 && (end.depth - 0.6576).abs() < 1e-4, "{end:?}");
        }
        assert!(joint_ends(&plate, &[5.0], 3.175).is_empty());
        assert!(
            joint_ends(&plate, &[6.51], 3.175).is_empty()
                && !joint_ends(&plate, &[6.49], 3.175).is_empty()
        );
        // A halving notch, open at the edge: its floor.
        let notched = [
            (0., 0.),
            (60., 0.),
            (60., 30.),
            (33., 30.),
            (33., 15.),
            (27., 15.),
            (27., 30.),
            (0., 30.),
        ];
        let ends = joint_ends(&Shape::new(ring(&notched), vec![]), &[6.0], 3.175);
        assert!(ends.len() == 1 && ends[0].at.distance(point(30.0, 15.0)) < 1e-9, "{ends:?}");
        // Relieved: at each corner of the floor a square bite outward, whose corners are hollow and 2 mm apart.
        let relieved = [
            (0., 0.),
            (60., 0.),
            (60., 30.),
            (33., 30.),
            (33., 15.),
            (35., 15.),
            (35., 13.),
            (25., 13.),
            (25., 15.),
            (27., 15.),
            (27., 30.),
            (0., 30.),
        ];
        assert!(joint_ends(&Shape::new(ring(&relieved), vec![]), &[6.0], 3.175).is_empty());
    }

    /// By hand: a side of a box of stock of 6 mm, its top edge with fingers of 10 mm from x = 0, 20, 40 (two notches), its lower
    /// with one from 20 to 40 and 10 beside it at either end (two corners). Under a bit of 3.175 mm 0.6576 mm stands in each.
    #[test]
    fn fingers_as_long_as_stock_is_thick_are_joints() {
        let side = |long: f64| {
            let t = long;
            ring(&[
                (0., 0.),
                (10., 0.),
                (10., t),
                (20., t),
                (20., 0.),
                (30., 0.),
                (30., t),
                (40., t),
                (40., 0.),
                (50., 0.),
                (50., 40.),
                (35., 40.),
                (35., 40. + t),
                (15., 40. + t),
                (15., 40.),
                (0., 40.),
            ])
        };
        let shape = Shape::new(side(6.1), vec![]);
        let ends = finger_ends(&shape, &[3.0, 6.0], 3.175);
        let places: Vec<Point> = ends.iter().map(|e| e.at).collect();
        assert_eq!(ends.len(), 4, "{places:?}");
        for at in [(15., 6.1), (35., 6.1), (35., 40.), (15., 40.)] {
            assert!(
                places.iter().any(|p| p.distance(point(at.0, at.1)) < 1e-9),
                "{at:?}: {places:?}"
            );
        }
        for e in &ends {
            assert!((e.width - 6.1).abs() < 1e-9 && e.stock == 6.0, "{e:?}");
            assert!((e.depth - 0.6576).abs() < 1e-4, "{e:?}");
        }
        // Fingers of another length, and a single notch, are no joint.
        assert!(finger_ends(&shape, &[5.0], 3.175).is_empty());
        let notch = ring(&[
            (0., 0.),
            (20., 0.),
            (20., 6.),
            (30., 6.),
            (30., 0.),
            (50., 0.),
            (50., 40.),
            (0., 40.),
        ]);
        assert!(finger_ends(&Shape::new(notch, vec![]), &[6.0], 3.175).is_empty());
    }
}
