//! The constants that the layout carries so that a reader can recompute the holds' figures.

use crate::hold::{MOVEMENT_FREE, MOVEMENT_IN, MOVEMENT_LIFT, SAFETY_PART};
use crate::job::{Bit, Freeing, Holding, Material, MaterialKind, Prefer};
use crate::layout::{HoldingRules, MaterialConstants, RootCompliance};
use crate::mechanics::{
    ROOTS, SAFETY_ACROSS, SAFETY_ALONG, SAFETY_SHEAR, section_strength, tab_strength,
};
use std::f64::consts::FRAC_PI_2;

/// The material's constants, with strengths by the holding stage's own rules along and across the grain.
pub(super) fn material_constants(material: &Material) -> MaterialConstants {
    let m = material;
    let (along, across) = (tab_strength(m, 0.0), tab_strength(m, FRAC_PI_2));
    MaterialConstants {
        kind: kind(m.kind).into(),
        has_grain: m.has_grain(),
        density_kg_per_m3: m.density,
        e_along_mpa: m.e_along,
        e_across_mpa: m.e_across,
        shear_modulus_mpa: m.shear_modulus,
        poisson_lt: m.poisson,
        bending_mpa: m.bending,
        tension_across_mpa: m.tension_across,
        shear_mpa: m.shear,
        tab_along_mpa: along.normal,
        tab_across_mpa: across.normal,
        tab_shear_mpa: along.shear,
        tab_shear_out_along_mpa: along.shear_out,
        tab_shear_out_across_mpa: across.shear_out,
        tab_pull_mpa: along.pull.is_finite().then_some(along.pull),
        section_along_mpa: section_strength(m, 0.0),
        section_across_mpa: section_strength(m, FRAC_PI_2),
        hankinson_exponent: 1.5,
        hankinson_exponent_shear_out: 2.0,
        kc_low_n_per_mm2: m.kc.low,
        kc_high_n_per_mm2: m.kc.high,
        ke_low_n_per_mm: m.ke.low,
        ke_high_n_per_mm: m.ke.high,
        source: m.source.clone(),
    }
}

/// The demands on every hold of a group.
pub(super) fn holding_rules(holding: &Holding, bit: &Bit) -> HoldingRules {
    HoldingRules {
        freeing: match holding.freeing {
            Freeing::Saw => "saw".into(),
            Freeing::Snap => "snap".into(),
        },
        prefer: match holding.prefer {
            Prefer::Strong => "strong".into(),
            Prefer::Clean => "clean".into(),
        },
        last_pass_asked_mm: holding.last_pass,
        min_width_mm: holding.min_width,
        max_width_mm: holding.max_width,
        safety_tab_along: SAFETY_ALONG,
        safety_tab_across: SAFETY_ACROSS,
        safety_tab_shear: SAFETY_SHEAR,
        safety_part: SAFETY_PART,
        movement_limit_mm: MOVEMENT_IN,
        movement_limit_lift_mm: MOVEMENT_LIFT,
        movement_limit_repeated_mm: MOVEMENT_FREE,
        overhang_limit_mm: Some(holding.max_overhang),
        roots: Some(RootCompliance {
            axial: ROOTS.axial,
            turn: ROOTS.turn,
            shear: ROOTS.shear,
            tilt: ROOTS.tilt,
            up: ROOTS.up,
            floor_axial: ROOTS.floor_axial,
            floor_shear: ROOTS.floor_shear,
            floor_up: ROOTS.floor_up,
        }),
        load_patch_mm: bit.diameter / 2.0,
    }
}

fn kind(kind: MaterialKind) -> &'static str {
    match kind {
        MaterialKind::Wood => "wood",
        MaterialKind::Plywood => "plywood",
        MaterialKind::Mdf => "mdf",
        MaterialKind::Acrylic => "acrylic",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::materials;
    use crate::mechanics::{hankinson, tab_strength};

    /// Hankinson's formula between the two ends given reproduces the holding stage's strength at every angle.
    #[test]
    fn ends_and_exponents_give_the_strength_at_every_angle() {
        for m in materials() {
            let c = material_constants(m);
            for deg in [0.0f64, 7.0, 30.0, 45.0, 71.0, 90.0] {
                let theta = deg.to_radians();
                let at = |p, q, n| if c.has_grain { hankinson(p, q, n, theta) } else { p };
                let close = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-12;
                let tab = tab_strength(m, theta);
                let n = c.hankinson_exponent;
                assert!(close(at(c.tab_along_mpa, c.tab_across_mpa, n), tab.normal), "{}", m.name);
                let out = at(
                    c.tab_shear_out_along_mpa,
                    c.tab_shear_out_across_mpa,
                    c.hankinson_exponent_shear_out,
                );
                assert!(close(out, tab.shear_out), "{}", m.name);
                let section = at(c.section_along_mpa, c.section_across_mpa, n);
                assert!(close(section, section_strength(m, theta)), "{}", m.name);
            }
        }
    }
}
