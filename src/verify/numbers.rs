//! Checks that numbers can be computed with.

use super::finding::RingFlaw;
use crate::geometry::{Ring, Vector};

/// Greatest coordinate that is accepted, mm: a kilometre. Products of larger ones lose the micrometre.
pub(super) const GREATEST: f64 = 1e6;

/// Whether a number can be a length.
pub(super) fn good_length(value: f64) -> bool {
    (0.0..=GREATEST).contains(&value)
}

/// Whether a ring's numbers can be computed with; otherwise the reason.
pub(super) fn usable(ring: &Ring) -> Result<(), RingFlaw> {
    let points = ring.points();
    if points.len() < 3 {
        return Err(RingFlaw::Points(points.len()));
    }
    if let Some(i) = points.iter().position(|p| !p.finite() || p.x.abs().max(p.y.abs()) > GREATEST)
    {
        return Err(RingFlaw::Beyond(i));
    }
    if points.first() == points.last() {
        return Err(RingFlaw::Repeats);
    }
    if ring.area() <= 0.0 {
        return Err(RingFlaw::NoArea);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    fn ring(points: &[(f64, f64)]) -> Ring {
        Ring(points.iter().map(|&(x, y)| point(x, y)).collect())
    }

    #[test]
    fn unusable_rings_say_why() {
        assert_eq!(usable(&ring(&[(0., 0.), (1., 0.)])), Err(RingFlaw::Points(2)));
        assert_eq!(usable(&ring(&[(0., 0.), (1., 0.), (f64::NAN, 1.)])), Err(RingFlaw::Beyond(2)));
        assert_eq!(usable(&ring(&[(0., 0.), (1e300, 0.), (0., 1e300)])), Err(RingFlaw::Beyond(1)));
        assert_eq!(usable(&ring(&[(0., 0.), (1., 0.), (2., 0.)])), Err(RingFlaw::NoArea));
    }
}
