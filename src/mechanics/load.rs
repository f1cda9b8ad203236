//! The cutting force on the part during the last pass.

use crate::job::{Bit, Material, Spiral};

/// Effect of the grain on the peak force in solid wood and plywood: a slot meets end grain within every turn (estimate; the trend
/// is in Goli et al. 2009 and Curti et al. 2018).
const GRAIN_FACTOR: f64 = 2.0;

/// Effect of wear on the force, from sharp to due for sharpening (estimate).
const WEAR_FACTOR: f64 = 1.5;

/// Ratio of worst to nominal load: 2 (grain) x 1.5 (wear), and 1.5 where the material has no grain.
///
/// It leaves out the range of K_c and K_e: to count that doubt again would reject every small part.
pub fn load_factor(material: &Material) -> f64 {
    if material.has_grain() { GRAIN_FACTOR * WEAR_FACTOR } else { WEAR_FACTOR }
}

/// Cutting force per millimetre of depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Peak tangential force of one tooth per mm of depth, K_c f_z + K_e, N/mm, at the nominal constants.
    pub nominal: f64,
    /// The same at the low end of K_c and K_e.
    pub low: f64,
    /// The same at the high end.
    pub high: f64,
    /// Ratio of worst to nominal force, [`load_factor`].
    pub factor: f64,
    /// Ratio of lift to in-plane force, tan(helix) for an up-spiral, 0 otherwise: a down-spiral presses on the bed.
    pub lift: f64,
    /// Share of the nominal force that the edge (K_e) makes, independent of feed.
    pub edge_share: f64,
}

impl Load {
    /// The load of `bit` in `material`.
    ///
    /// Linear-edge force model of a full-width slot, peak of one tooth at h = f_z: F = a_p (K_c f_z + K_e)
    /// (Altintas, *Manufacturing Automation*, ch. 2). The direction sweeps half a turn with every tooth,
    /// so the peak is taken to point any way in the plane. Lift: an inclined edge without friction.
    pub fn new(bit: &Bit, material: &Material) -> Load {
        let feed = bit.feed_per_tooth();
        let feed = if feed.is_finite() { feed.max(0.0) } else { 0.0 };
        let force = |kc: f64, ke: f64| kc * feed + ke;
        let nominal = force(material.kc.nominal, material.ke.nominal);
        Load {
            nominal,
            low: force(material.kc.low, material.ke.low),
            high: force(material.kc.high, material.ke.high),
            factor: load_factor(material),
            lift: if bit.spiral == Spiral::Up { bit.helix.tan().max(0.0) } else { 0.0 },
            edge_share: if nominal > 0.0 { material.ke.nominal / nominal } else { 0.0 },
        }
    }

    /// Worst in-plane force at a last pass of `depth` mm, N.
    pub fn worst(&self, depth: f64) -> f64 {
        depth * self.nominal * self.factor
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Range, find_material};

    fn one(v: f64) -> Range {
        Range { low: v, nominal: v, high: v }
    }

    /// Worked by hand from the formula F = a_p (K_c f_z + K_e), f_z = feed/(flutes rpm) (peak F_t, and lift at 30 degrees): K_c and
    /// K_e are estimates, so this checks the arithmetic, not the wood.
    #[test]
    fn worked_loads() {
        let cases = [
            ("basswood", 1.5875, 2, 18000.0, 600.0, 0.8, 15.0, 2.0, 1.80, 1.04),
            ("maple", 3.175, 2, 18000.0, 1500.0, 1.6, 30.0, 3.0, 6.80, 3.93),
            ("mdf", 3.175, 2, 18000.0, 1800.0, 1.6, 25.0, 2.5, 6.00, 3.46),
            ("acrylic", 3.175, 1, 16000.0, 1000.0, 1.5, 160.0, 1.5, 17.25, 9.96),
        ];
        for (name, diameter, flutes, rpm, feed, depth, kc, ke, peak, lift) in cases {
            let mut material = find_material(name, 6.0).unwrap().clone();
            (material.kc, material.ke) = (one(kc), one(ke));
            let helix = 30f64.to_radians();
            let bit = Bit {
                name: name.into(),
                diameter,
                flutes,
                spiral: Spiral::Up,
                helix,
                pass_depth: 2.0,
                feed,
                rpm,
                allowance: crate::layout::ALLOWANCE,
            };
            let load = Load::new(&bit, &material);
            let force = depth * load.nominal;
            assert!((force - peak).abs() < 0.006, "{name}: {force}");
            assert!((force * load.lift - lift).abs() < 0.006, "{name}: {}", force * load.lift);
        }
    }
}
