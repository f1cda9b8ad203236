//! Strength by direction to the grain.

use crate::job::{Material, MaterialKind};
use std::f64::consts::PI;

/// Exponent of Hankinson's formula for bending and tension: best fit to Wood Handbook Table 5-12.
const EXPONENT: f64 = 1.5;

/// Ratio of bending strength across the grain to that along it, in the same fit.
const BENDING_ACROSS: f64 = 0.1;

/// Ratio of rolling shear strength to shear strength along the grain: 18 to 28 % in the Wood Handbook (from memory).
const ROLLING_SHEAR: f64 = 0.22;

/// Stress concentration at the sharp inside corner of a tab's root in brittle acrylic: 2 to 3 (estimate).
const ACRYLIC_NOTCH: f64 = 2.0;

/// Hankinson's formula: P Q / (P sin^n + Q cos^n), `theta` from the grain, radians.
pub fn hankinson(along: f64, across: f64, exponent: f64, theta: f64) -> f64 {
    let (sin, cos) = theta.sin_cos();
    let power = |x: f64| match exponent {
        1.5 => x * x.sqrt(),
        2.0 => x * x,
        n => x.powf(n),
    };
    along * across / (along * power(sin.abs()) + across * power(cos.abs()))
}

/// Mean strength of a tab whose span across the kerf makes `theta` with the grain, MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TabStrength {
    /// Bending and tension along the span.
    pub normal: f64,
    /// Shear in the sheet's plane.
    pub shear: f64,
    /// Shear out of the plane (rolling shear where the fibres run along the outline).
    pub shear_out: f64,
    /// Pull through the thickness, MDF only: internal bond; infinite elsewhere.
    pub pull: f64,
}

/// Strength of a tab, by Hankinson with P = bending strength and Q = tension across the grain, n = 1.5.
///
/// MDF is isotropic in its plane and may split through its thickness. Acrylic takes the lower of its tensile and bending strengths,
/// divided by a notch factor of 2 at the root.
pub fn tab_strength(material: &Material, theta: f64) -> TabStrength {
    let m = material;
    match m.kind {
        MaterialKind::Wood | MaterialKind::Plywood => TabStrength {
            // Plywood: a low tab is a single veneer, so it counts as solid wood.
            normal: hankinson(m.bending, m.tension_across, EXPONENT, theta),
            shear: m.shear,
            shear_out: hankinson(m.shear, ROLLING_SHEAR * m.shear, 2.0, theta),
            pull: f64::INFINITY,
        },
        MaterialKind::Mdf => TabStrength {
            normal: m.bending,
            shear: m.shear,
            shear_out: m.shear,
            pull: m.tension_across,
        },
        MaterialKind::Acrylic => TabStrength {
            normal: m.bending.min(m.tension_across) / ACRYLIC_NOTCH,
            shear: m.shear,
            shear_out: m.shear,
            pull: f64::INFINITY,
        },
    }
}

/// Mean bending strength, MPa, of a section of the part whose normal makes `theta` with the grain.
///
/// Wood: Hankinson, n = 1.5, Q/P = 0.1 (the Wood Handbook's own fit to its table of bending strength by
/// slope of grain, ch. 5). Plywood uses its tabulated strength across.
pub fn section_strength(material: &Material, theta: f64) -> f64 {
    let m = material;
    match m.kind {
        MaterialKind::Wood | MaterialKind::Plywood => {
            let across = m.bending_across.unwrap_or(BENDING_ACROSS * m.bending);
            hankinson(m.bending, across.min(m.bending), EXPONENT, theta)
        }
        MaterialKind::Mdf => m.bending,
        MaterialKind::Acrylic => m.bending.min(m.tension_across),
    }
}

/// Angle between two directions as lines, radians, in `0..=PI/2`.
pub fn line_angle(a: f64, b: f64) -> f64 {
    let d = (a - b).rem_euclid(PI);
    d.min(PI - d)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::find_material;

    /// Bending strength by slope of grain in percent of straight grain, Wood Handbook table 5-12 (from memory; its own best
    /// fit, n = 1.5 and Q/P = 0.1, is read): the part's section is on the safe side by up to 5 points.
    #[test]
    fn sections_by_slope_of_grain() {
        let oak = find_material("white oak", 6.0).unwrap();
        for (slope, percent) in
            [(25.0, 96.0), (20.0, 93.0), (15.0, 89.0), (10.0, 81.0), (5.0, 55.0)]
        {
            let theta = (1.0f64 / slope).atan();
            let ours = 100.0 * section_strength(oak, theta) / section_strength(oak, 0.0);
            assert!(ours <= percent && ours >= percent - 5.0, "1:{slope}: {ours} of {percent}");
        }
    }

    /// Hankinson's formula for tension has 1.5 <= n <= 2 and 0.04 <= Q/P <= 0.07 (Wood Handbook, 'Slope of grain', from memory; the
    /// range of n read). Every wood's tab lies between those bounds at every angle. Basswood, walnut and cherry (0.040, 0.048,
    /// 0.046) to ash (0.063); Sitka spruce and eastern white pine are 0.037 and 0.036 by table 5-3a itself.
    #[test]
    fn tabs_lie_within_the_handbooks_bounds() {
        for m in crate::job::materials().iter().filter(|m| m.kind == MaterialKind::Wood) {
            for deg in (0..=90).step_by(5) {
                let theta = f64::from(deg).to_radians();
                let share = tab_strength(m, theta).normal / m.bending;
                let (s, c) = theta.sin_cos();
                let bound = |q: f64, n: f64| q / (s.powf(n) + q * c.powf(n));
                let low = [1.5, 2.0].map(|n| bound(0.035, n)).into_iter().fold(1.0, f64::min);
                let high = [1.5, 2.0].map(|n| bound(0.07, n)).into_iter().fold(0.0, f64::max);
                assert!(share >= low - 1e-9 && share <= high + 1e-9, "{} {deg}: {share}", m.name);
            }
            let rolling = tab_strength(m, PI / 2.0).shear_out / m.shear;
            assert!((0.18..=0.28).contains(&rolling), "{}", m.name);
        }
    }

    /// Birch plywood across its face grain, *Handbook of Finnish Plywood* (2002, from memory): 10.6, 29.0, 32.1, 33.2 MPa. A tab of
    /// one veneer is birch: across the grain no stronger than yellow birch's 6.3 MPa (Wood Handbook table 5-3a, read).
    #[test]
    fn plywood_is_weaker_across() {
        for (thickness, across) in [(4.0, 10.6), (6.5, 29.0), (9.0, 32.1), (12.0, 33.2)] {
            let ply = find_material("birch plywood", thickness).unwrap();
            let section = section_strength(ply, PI / 2.0);
            assert!((section - across).abs() < 1e-9, "{thickness}: {section}");
            let tab = tab_strength(ply, PI / 2.0).normal;
            assert!(tab <= 6.3 && tab >= 0.04 * ply.bending, "{thickness}: {tab}");
        }
    }

    /// The formula's own numbers, computed independently: no outside check (that is `sections_by_slope_of_grain`).
    #[test]
    fn hankinson_table() {
        let rows = [
            (0.0, 1.0, 1.0, 1.0),
            (5.0, 0.7990, 0.8458, 0.9872),
            (10.0, 0.5879, 0.5802, 0.9190),
            (15.0, 0.4413, 0.3835, 0.7951),
            (30.0, 0.2303, 0.1429, 0.4056),
            (45.0, 0.1529, 0.0769, 0.2162),
            (60.0, 0.1189, 0.0526, 0.1397),
            (90.0, 0.1, 0.04, 0.1),
        ];
        for (deg, a, b, c) in rows {
            let theta = f64::to_radians(deg);
            assert!((hankinson(1.0, 0.1, 1.5, theta) - a).abs() < 5.1e-5, "{deg}");
            assert!((hankinson(1.0, 0.04, 2.0, theta) - b).abs() < 5.1e-5, "{deg}");
            assert!((hankinson(1.0, 0.1, 2.5, theta) - c).abs() < 5.1e-5, "{deg}");
        }
    }
}
