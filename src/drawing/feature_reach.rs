//! The widest bit that a pocket or a drilled hole lets in.

use super::limit::{DETAIL, Reach};
use super::reach::largest_bit;
use crate::geometry::{Ring, Shape, difference, point};

/// Stock round a feature that is taken for a plate of its own, mm: wider than any bit.
const ROUND_ABOUT: f64 = 100.0;

/// What limits the bit in a feature's `ring`, in the part's frame, to less than `diameter`; `None` if a bit that wide enters all of
/// it. Sharp corners keep the bit's radius and do not count. In a pocket at the part's edge the bit may run over the edge.
pub fn feature_reach(shape: &Shape, ring: &Ring, diameter: f64, allowance: f64) -> Option<Reach> {
    let bounds = ring.bounds();
    let about = 2.0 * ROUND_ABOUT;
    let plate = Ring::rectangle(bounds.width() + about, bounds.height() + about)
        .moved(bounds.min - point(ROUND_ABOUT, ROUND_ABOUT));
    let inside = largest_bit(&Shape::new(plate, vec![ring.clone()]));
    if inside.passes(diameter, allowance) {
        return None;
    }
    let at_edge = ring
        .0
        .iter()
        .any(|&p| !shape.outline.contains(p) || shape.outline.edge_distance(p) < DETAIL);
    let over_edge = || {
        let left = difference(std::slice::from_ref(shape), &[Shape::new(ring.clone(), vec![])]);
        let [left] = left.as_slice() else { return false };
        let (own, cleared) = (largest_bit(shape), largest_bit(left));
        cleared.passes(diameter.min(own.diameter), allowance)
    };
    (!(at_edge && over_edge())).then_some(inside)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On a plate of 40 x 30 mm: a groove 3.5 mm wide amid it takes a bit of 3.5 mm and no wider; the same groove along the edge, a
    /// rabbet, takes any, since the bit runs over the edge; across the whole plate it is a groove again. A hole of 3 mm takes 3 mm.
    #[test]
    fn a_bit_enters_a_groove_no_wider_than_itself_and_runs_over_an_edge() {
        let plate = Shape::new(Ring::rectangle(40.0, 30.0), vec![]);
        let at = |w: f64, h: f64, x: f64, y: f64| Ring::rectangle(w, h).moved(point(x, y));
        let limit =
            |ring: &Ring, bit: f64| feature_reach(&plate, ring, bit, 0.05).map(|r| r.diameter);
        let groove = at(20.0, 3.5, 10.0, 10.0);
        assert_eq!(limit(&groove, 3.5), None);
        assert!((limit(&groove, 6.35).expect("too wide") - 3.5).abs() < 1e-6);
        assert_eq!(limit(&at(40.0, 3.5, 0.0, 0.0), 6.35), None);
        assert!((limit(&at(40.0, 3.5, 0.0, 10.0), 6.35).expect("too wide") - 3.5).abs() < 1e-6);
        let turn = |i: usize| std::f64::consts::TAU * i as f64 / 90.0;
        let circle = Ring(
            (0..90)
                .map(|i| point(20.0 + 1.5 * turn(i).cos(), 15.0 + 1.5 * turn(i).sin()))
                .collect(),
        );
        assert_eq!(limit(&circle, 3.0), None);
        assert!((limit(&circle, 3.175).expect("too wide") - 3.0).abs() < 0.01);
    }
}
