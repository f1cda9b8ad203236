//! The section that pockets, grooves and drilled holes leave.

use crate::layout::Weakened;

/// The net section that a pocket or a hole leaves.
///
/// It consists of strips of full width and reduced height, which bend together (moments by the parallel-axis theorem, Roark,
/// *Formulas for Stress and Strain*, app. A). Its axes are not principal: each modulus is the moment over the greatest stress at
/// any corner by unsymmetrical bending (Timoshenko, *Strength of Materials* I). The three stresses are added at their worst, which
/// is on the safe side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NetSection {
    /// mm².
    pub area: f64,
    /// Section modulus for bending in the sheet's plane, mm³.
    pub in_plane: f64,
    /// The same out of it, mm³.
    pub out_of_plane: f64,
    /// Distance of its centroid from the middle of the whole section, across and through the thickness, mm.
    pub off: [f64; 2],
    /// Least height left, mm; 0 where it is drilled through.
    pub height: f64,
    /// The least of the shares of the whole section's area and moduli.
    pub share: f64,
}

impl NetSection {
    /// The section of strips along a cut `width` mm wide: from, to, height left. `None` where nothing is left.
    pub fn of(strips: &[(f64, f64, f64)], width: f64, thickness: f64) -> Option<NetSection> {
        let strips: Vec<_> = strips.iter().filter(|s| s.1 > s.0).collect();
        let height = strips.iter().map(|s| s.2).fold(thickness, f64::min);
        let (mut area, mut x, mut z) = (0.0, 0.0, 0.0);
        for (from, to, h) in &strips {
            let a = (to - from) * h;
            (area, x, z) = (area + a, x + a * (from + to) / 2.0, z + a * h / 2.0);
        }
        if area < 1e-9 {
            return None;
        }
        let (x, z) = (x / area, z / area);
        let (mut xx, mut zz, mut xz) = (0.0, 0.0, 0.0);
        for (from, to, h) in &strips {
            let (b, dx, dz) = (to - from, (from + to) / 2.0 - x, h / 2.0 - z);
            xx += b * h * (b * b / 12.0 + dx * dx);
            zz += b * h * (h * h / 12.0 + dz * dz);
            xz += b * h * dx * dz;
        }
        let whole = xx * zz - xz * xz;
        let (mut in_plane, mut out_of_plane) = (0.0f64, 0.0f64);
        for (from, to, h) in strips.iter().filter(|s| s.2 > 0.0) {
            for (u, v) in [(from, 0.0), (from, *h), (to, 0.0), (to, *h)] {
                let (u, v) = (u - x, v - z);
                in_plane = in_plane.max(((zz * u - xz * v) / whole).abs());
                out_of_plane = out_of_plane.max(((xx * v - xz * u) / whole).abs());
            }
        }
        let (in_plane, out_of_plane) = (1.0 / in_plane, 1.0 / out_of_plane);
        let share = (area / (width * thickness))
            .min(in_plane / (thickness * width * width / 6.0))
            .min(out_of_plane / (width * thickness * thickness / 6.0));
        let off = [x - width / 2.0, z - thickness / 2.0].map(f64::abs);
        let found = NetSection { area, in_plane, out_of_plane, off, height, share };
        (share.is_finite() && share > 0.0).then_some(found)
    }
}

impl NetSection {
    /// The feature that weakens the section.
    pub fn weakened(&self) -> Weakened {
        match self.height {
            0.0 => Weakened::Drilled,
            leaves_mm => Weakened::Pocket { leaves_mm },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) {
        assert!((a / b - 1.0).abs() < 1e-3, "{a} instead of {b}");
    }

    /// By hand: a groove 3 mm deep right across a section 10 x 6 mm leaves 10 x 3 mm.
    #[test]
    fn a_groove_across_leaves_a_thinner_rectangle() {
        let left = NetSection::of(&[(0.0, 10.0, 3.0)], 10.0, 6.0).unwrap();
        close(left.area, 30.0);
        close(left.in_plane, 3.0 * 100.0 / 6.0);
        close(left.out_of_plane, 10.0 * 9.0 / 6.0);
        close(left.off[1], 1.5);
        close(left.share, 0.25);
    }

    /// By hand: half of a section 10 x 6 mm cut down to 3 mm is an angle of 5 x 6 and 5 x 3 mm. Area 45, centroid at
    /// (4.1667, 2.5); I_x = 343.75, I_z = 123.75, I_xz = -75, I_x I_z - I_xz^2 = 36914; greatest stress of a unit
    /// moment in the plane at (10, 3): (123.75 x 5.8333 + 75 x 0.5)/36914, out of it at (5, 6): (343.75 x 3.5 + 75 x
    /// 0.8333)/36914.
    #[test]
    fn a_pocket_over_half_the_width_leaves_an_angle() {
        let left = NetSection::of(&[(0.0, 5.0, 6.0), (5.0, 10.0, 3.0)], 10.0, 6.0).unwrap();
        close(left.area, 45.0);
        close(left.in_plane, 36914.06 / 759.37);
        close(left.out_of_plane, 36914.06 / 1265.6);
        close(left.off[0], 0.8333);
        close(left.off[1], 0.5);
    }

    /// By hand: a hole of 4 mm in the middle of 10 x 6 mm leaves two webs of 3 mm: W = 6 (1000 - 64)/(6 x 10), 6 x 36/6.
    #[test]
    fn a_hole_through_leaves_two_webs() {
        let strips = [(0.0, 3.0, 6.0), (3.0, 7.0, 0.0), (7.0, 10.0, 6.0)];
        let left = NetSection::of(&strips, 10.0, 6.0).unwrap();
        close(left.area, 36.0);
        close(left.in_plane, 93.6);
        close(left.out_of_plane, 36.0);
        assert_eq!((left.height, left.off), (0.0, [0.0, 0.0]));
    }
}
