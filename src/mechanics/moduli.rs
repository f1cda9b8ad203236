//! Young's modulus by direction to the grain.

use crate::job::Material;

/// Elastic constants of a sheet in its own plane, MPa.
///
/// At an angle to the grain the modulus is that of an orthotropic sheet: compliance transforms as a fourth-order tensor, and
/// between its two ends depends on G and nu as much as on the ends. Hankinson's formula with n = 2, which the Wood Handbook (ch. 5,
/// 'Slope of grain') offers for the modulus where G is not known, is that tensor with 1/G = 1/E_T + (1 + 2 nu)/E_L. Wood is stiffer
/// in shear than that, so the formula is too soft between the ends: by 11 % in walnut at 45 degrees, 23 % in basswood, half in
/// balsa. G is known for every material here, so the formula is not used for moduli; strengths, which are no tensors, keep it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moduli {
    /// Along the grain, E_L.
    pub along: f64,
    /// Across the grain, E_T.
    pub across: f64,
    /// In shear between the two, G_LT.
    pub shear: f64,
    /// Poisson's ratio nu_LT.
    pub poisson: f64,
}

impl Moduli {
    /// The moduli of a material.
    pub fn of(material: &Material) -> Moduli {
        Moduli {
            along: material.e_along,
            across: material.e_across,
            shear: material.shear_modulus,
            poisson: material.poisson,
        }
    }

    /// Young's modulus at `theta` radians from the grain, MPa.
    ///
    /// 1/E = cos^4/E_L + sin^4/E_T + (1/G - 2 nu/E_L) sin^2 cos^2 (orthotropic plates, e.g. Jones,
    /// *Mechanics of Composite Materials*, ch. 2).
    pub fn at(&self, theta: f64) -> f64 {
        let (s, c) = theta.sin_cos();
        let (s2, c2) = (s * s, c * c);
        let mixed = 1.0 / self.shear - 2.0 * self.poisson / self.along;
        1.0 / (c2 * c2 / self.along + s2 * s2 / self.across + mixed * s2 * c2)
    }
}

/// [`Moduli::at`] for a material; without grain, E at any angle. (The tables' G of MDF is a quarter below E/2(1 + nu).)
pub fn modulus_at(material: &Material, theta: f64) -> f64 {
    if material.has_grain() { Moduli::of(material).at(theta) } else { material.e_along }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{MaterialKind, find_material, materials};
    use crate::mechanics::hankinson;
    use std::f64::consts::FRAC_PI_4;

    /// The plane-stress compliance as a tensor S_ijkl, rotated by the tensor rule: S' = a a a a S summed over all four indices. No
    /// formula for E is in it.
    fn by_tensor(m: &Material, theta: f64) -> f64 {
        let mut s = [[[[0.0; 2]; 2]; 2]; 2];
        s[0][0][0][0] = 1.0 / m.e_along;
        s[1][1][1][1] = 1.0 / m.e_across;
        let poisson = -m.poisson / m.e_along;
        (s[0][0][1][1], s[1][1][0][0]) = (poisson, poisson);
        // Engineering shear is twice the tensor's: S_1212 = 1/(4 G), in all four orders of its indices.
        for (i, j) in [(0, 1), (1, 0)] {
            for (k, l) in [(0, 1), (1, 0)] {
                s[i][j][k][l] = 0.25 / m.shear_modulus;
            }
        }
        let a = [theta.cos(), theta.sin()];
        let mut sum = 0.0;
        for i in 0..2 {
            for j in 0..2 {
                for k in 0..2 {
                    for l in 0..2 {
                        sum += a[i] * a[j] * a[k] * a[l] * s[i][j][k][l];
                    }
                }
            }
        }
        1.0 / sum
    }

    #[test]
    fn the_modulus_turns_as_the_compliance_tensor_does() {
        for m in materials().iter().filter(|m| m.has_grain()) {
            for deg in (-90..=90).step_by(5) {
                let theta = f64::from(deg).to_radians();
                let (ours, tensor) = (modulus_at(m, theta), by_tensor(m, theta));
                assert!((ours / tensor - 1.0).abs() < 1e-12, "{} {deg}: {ours} {tensor}", m.name);
            }
        }
    }

    /// Sugar maple by Wood Handbook table 5-1 (read): E_T/E_L 0.065, G_LT/E_L 0.063, nu_LT 0.476. By hand, E_L/E at 45 degrees is
    /// 1/4 + 1/(4 x 0.065) + (1/0.063 - 0.952)/4 = 7.8264. Sheets without grain have one modulus at every angle.
    #[test]
    fn at_45_degrees_by_hand() {
        let maple = Moduli { along: 1.0, across: 0.065, shear: 0.063, poisson: 0.476 };
        assert!((1.0 / maple.at(FRAC_PI_4) - 7.8264).abs() < 1e-4);
        for m in materials().iter().filter(|m| !m.has_grain()) {
            assert_eq!(modulus_at(m, FRAC_PI_4), m.e_along, "{}", m.name);
        }
    }

    /// Hankinson's formula for the modulus, n = 2, Q/P 0.04 to 0.12 (Wood Handbook ch. 5, 'Slope of grain', from memory), with each
    /// wood's own Q/P: an approximation, never stiffer than the tensor; 11 % softer in walnut at 45 degrees.
    #[test]
    fn hankinsons_formula_is_near_and_softer() {
        let share = |m: &Material, theta: f64| {
            hankinson(m.e_along, m.e_across, 2.0, theta) / modulus_at(m, theta)
        };
        for m in materials().iter().filter(|m| m.kind == MaterialKind::Wood) {
            for deg in (0..=90).step_by(5) {
                let share = share(m, f64::from(deg).to_radians());
                assert!((0.5..=1.0 + 1e-9).contains(&share), "{} {deg}: {share}", m.name);
            }
        }
        let walnut = share(find_material("walnut", 6.0).unwrap(), FRAC_PI_4);
        assert!((walnut - 0.894).abs() < 2e-3, "{walnut}");
    }

    /// Off-axis modulus in the L-T plane, computed independently from the ratios of Wood Handbook table 5-1.
    #[test]
    fn modulus_off_the_grain() {
        let maple = find_material("hard maple", 6.0).unwrap();
        let basswood = find_material("basswood", 6.0).unwrap();
        let rows = [
            (0.0, 13860.0, 11110.0),
            (30.0, 3207.0, 1633.5),
            (45.0, 1770.9, 753.7),
            (90.0, 900.9, 300.0),
        ];
        for (deg, m, b) in rows {
            // The table's moduli are unrounded products, the material file's are rounded to 1 MPa.
            let theta = f64::to_radians(deg);
            assert!((modulus_at(maple, theta) / m - 1.0).abs() < 1e-3, "{deg}");
            assert!((modulus_at(basswood, theta) / b - 1.0).abs() < 1e-3, "{deg}");
        }
    }
}
