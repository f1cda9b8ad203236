//! Every claim of a hold, broken alone by little and just kept, on the square of [`rigid_part`](super::super::rigid_part)'s
//! tests.
//!
//! By hand there, at 10 N; here the load is 9 N. On its two tabs the square bears 17.0733 x 10/9 = 18.970 times the load, all cut
//! 14.2984 x 10/9 = 15.887, moves 0.0028534 and 0.0037711 mm; on a skin it bears 17.1451 x 10/9 = 19.050.

use super::super::prepared::prepare;
use super::super::rigid_part::tests::{aslant, sheet};
use super::*;
use crate::layout::{HoldFigures, MaterialConstants};

/// A hold that claims nothing it should not. Margins: tabs 20/1.3, part 12/2, one gone 5, all cut 4 x 1.5, movement 0.05/0.01
/// and 0.1 x 1.5/0.02, freeing 3.
fn good() -> Sheet {
    let mut sheet = sheet(&aslant());
    let hold = &mut sheet.parts[0].hold;
    hold.safety = 12.0;
    hold.figures = Some(HoldFigures {
        least_margin: 2.0,
        tab_safety: Some(20.0),
        part_safety: Some(12.0),
        one_gone_safety: Some(5.0),
        free_safety: Some(4.0),
        free_movement_mm: Some(0.02),
        freeing_margin: Some(3.0),
        ..HoldFigures::default()
    });
    sheet
}

fn hold(sheet: &mut Sheet) -> &mut Hold {
    &mut sheet.parts[0].hold
}

fn figures(sheet: &mut Sheet) -> &mut HoldFigures {
    sheet.parts[0].hold.figures.get_or_insert_default()
}

fn constants(sheet: &mut Sheet) -> &mut MaterialConstants {
    sheet.material_constants.as_mut().expect("they are stated")
}

fn asked(sheet: &mut Sheet) -> &mut HoldingRules {
    sheet.holding.as_mut().expect("it is stated")
}

/// What is found of a sheet, as it is written for debugging.
fn found(sheet: &Sheet) -> Vec<String> {
    let (parts, mut problems) = prepare(sheet, &[]);
    check(sheet, &parts, &Rules { complete: true, ..Rules::default() }, &mut problems);
    problems.iter().map(|p| format!("{:?}", p.found)).collect()
}

/// A claim, a value that keeps it and one that breaks it, and what is then said.
type Claim = (&'static str, fn(&mut Sheet, f64), f64, f64);

fn hold_to(claims: &[Claim]) {
    for (says, change, kept, broken) in claims {
        let with = |v: f64| {
            let mut sheet = good();
            change(&mut sheet, v);
            found(&sheet)
        };
        assert_eq!(with(*kept), [""; 0], "{says} at {kept}");
        let broken = with(*broken);
        assert!(broken.len() == 1 && broken[0].contains(says), "{says}: {broken:?}");
    }
}

#[test]
fn strength_and_movement_are_the_rigid_parts() {
    hold_to(&[
        // 1.5 times 18.970, 2 times 15.887, 1.25 times 19.050.
        ("Claimed { safety: Tabs,", |s, v| figures(s).tab_safety = Some(v), 28.45, 28.46),
        ("Claimed { safety: TabsRepeated,", |s, v| figures(s).free_safety = Some(v), 31.76, 31.79),
        (
            "Claimed { safety: Skin,",
            |s, v| {
                (hold(s).method, hold(s).skin_mm, hold(s).safety) = (Method::Skin, Some(0.5), v);
            },
            23.81,
            23.82,
        ),
        // 0.97 of 0.0028534 and 0.0037711.
        ("MovesMore { repeated: false }", |s, v| hold(s).movement_mm = v, 0.002_77, 0.002_76),
        (
            "MovesMore { repeated: true }",
            |s, v| figures(s).free_movement_mm = Some(v),
            0.003_66,
            0.003_65,
        ),
        (
            "SafetyTooLow",
            |s, v| (hold(s).method, hold(s).skin_mm, hold(s).safety) = (Method::Skin, Some(0.5), v),
            2.0,
            1.99,
        ),
    ]);
    // A quarter of a millimetre deep the load is 4.5 N; tape under 81 mm² bears 81 x 0.3/4.5 = 5.4 times that.
    let taped = |s: &mut Sheet, v: f64| {
        (s.cut.last_pass, hold(s).last_pass, hold(s).load_n) = (0.25, 0.25, 4.5);
        (hold(s).method, hold(s).safety) = (Method::Tape, v);
    };
    hold_to(&[
        ("Claimed { safety: Tape,", taped, 5.39, 5.41),
        ("SafetyTooLow { method: Tape }", taped, 3.0, 2.99),
    ]);
}

#[test]
fn the_least_margin_is_the_least() {
    hold_to(&[
        (
            "tab_safety",
            |s, v| (hold(s).safety, figures(s).tab_safety) = (v, Some(v)),
            2.01 * 1.3,
            1.99 * 1.3,
        ),
        (
            "part_safety",
            |s, v| (hold(s).safety, figures(s).part_safety) = (v, Some(v)),
            2.01 * 2.0,
            1.99 * 2.0,
        ),
        ("one_gone_safety", |s, v| figures(s).one_gone_safety = Some(v), 2.01, 1.99),
        ("free_safety", |s, v| figures(s).free_safety = Some(v), 2.01 / 1.5, 1.99 / 1.5),
        ("\"movement_mm", |s, v| hold(s).movement_mm = v, 0.05 / 2.01, 0.05 / 1.99),
        (
            "\"movement_mm",
            |s, v| {
                s.cut.helix_deg = 30.0;
                (hold(s).movement_mm, hold(s).safety, figures(s).tab_safety) = (v, 8.0, Some(8.0));
            },
            0.1 / 2.01,
            0.1 / 1.99,
        ),
        (
            "free_movement_mm",
            |s, v| figures(s).free_movement_mm = Some(v),
            0.15 / 2.01,
            0.15 / 1.99,
        ),
        ("freeing_margin", |s, v| figures(s).freeing_margin = Some(v), 2.01, 1.99),
        ("SafetyOfFigures", |s, v| hold(s).safety = v, 12.0, 11.9),
        ("DoesNotHold", |s, v| figures(s).least_margin = v, 1.0, 0.99),
        // The far corner stands 10.062 mm from (0, 4.5); 2.5 mm of that may be sampling.
        ("Overhang", |s, v| asked(s).overhang_limit_mm = Some(v), 7.57, 7.55),
        (
            "Overhang",
            |s, v| {
                asked(s).overhang_limit_mm = Some(5.0);
                figures(s).overhang_mm = Some(v);
            },
            7.57,
            7.55,
        ),
    ]);
}

#[test]
fn the_cut_is_the_one_that_was_planned_for() {
    hold_to(&[
        ("Load", |s, v| hold(s).load_n = v, 9.0, 8.99),
        ("kc", |s, v| constants(s).kc_low_n_per_mm2 = v, 80.0, 80.1),
        ("kc", |s, v| constants(s).kc_high_n_per_mm2 = v, 80.0, 79.9),
        ("ke", |s, v| constants(s).ke_low_n_per_mm = v, 4.0, 4.1),
        ("ke", |s, v| constants(s).ke_high_n_per_mm = v, 4.0, 3.9),
        ("LastPassTooDeep", |s, v| s.cut.last_pass = v, 0.5, 0.51),
        ("safety_tab_along", |s, v| asked(s).safety_tab_along = v, 1.35, 1.34),
        ("safety_tab_across", |s, v| asked(s).safety_tab_across = v, 1.7, 1.69),
        ("safety_tab_shear", |s, v| asked(s).safety_tab_shear = v, 1.3, 1.29),
        ("safety_part", |s, v| asked(s).safety_part = v, 2.0, 1.99),
        ("AllowsTooMuch", |s, v| asked(s).movement_limit_mm = v, 0.05, 0.051),
        ("AllowsTooMuch", |s, v| asked(s).movement_limit_lift_mm = v, 0.1, 0.101),
        ("AllowsTooMuch", |s, v| asked(s).movement_limit_repeated_mm = v, 0.1, 0.101),
        ("TabTooNarrow { tab: 2 }", |s, v| asked(s).min_width_mm = v, 3.0, 3.01),
        (
            "TabTooLow { tab: 2 }",
            |s, v| {
                // The load stays 9 N.
                (s.cut.last_pass, hold(s).last_pass, s.cut.ke) = (v, v, 6.0 / v - 0.5);
                (s.cut.kc, constants(s).kc_low_n_per_mm2, constants(s).ke_low_n_per_mm) =
                    (5.0, 0.0, 0.0);
            },
            2.0,
            2.01,
        ),
        (
            "LoadFactor",
            |s, v| {
                // The load stays 9 N, and the margins of the repeated pass are far from 2.
                (s.cut.factor, s.cut.ke) = (v, 18.0 / v - 8.0);
            },
            1.5,
            1.51,
        ),
        (
            "LoadFactor",
            |s, v| {
                constants(s).has_grain = true;
                (hold(s).safety, figures(s).tab_safety) = (12.0, Some(12.0));
                (s.cut.factor, s.cut.kc, s.cut.ke) = (v, 40.0, 18.0 / v - 4.0);
            },
            3.0,
            2.99,
        ),
    ]);
}

#[test]
fn one_tab_holds_only_as_a_holding_bridge() {
    let single = "Claim(SingleTab)";
    let of = |tab: usize| {
        let mut sheet = good();
        hold(&mut sheet).tabs = vec![aslant()[tab].clone()];
        found(&sheet).iter().any(|f| f == single)
    };
    assert!(!of(0), "6 mm high in stock of 6 mm");
    assert!(of(1), "2 mm high");
    let mut two = good();
    hold(&mut two).tabs[0].height = 5.0;
    figures(&mut two).freeing_margin = Some(0.5);
    assert!(!found(&two).iter().any(|f| f == single || f.contains("freeing")), "two tabs");
    let mut none = good();
    hold(&mut none).method = Method::None;
    assert!(found(&none)[0].contains("NotHeld"));
}

#[test]
fn nothing_is_computed_with_numbers_that_are_none() {
    let above_zero: [fn(&mut Sheet, f64); 20] = [
        |s, v| s.thickness = v,
        |s, v| s.bit.diameter = v,
        |s, v| s.cut.feed_per_tooth = v,
        |s, v| s.cut.factor = v,
        |s, v| constants(s).e_along_mpa = v,
        |s, v| constants(s).e_across_mpa = v,
        |s, v| constants(s).shear_modulus_mpa = v,
        |s, v| constants(s).tab_along_mpa = v,
        |s, v| constants(s).tab_across_mpa = v,
        |s, v| constants(s).tab_shear_mpa = v,
        |s, v| constants(s).tab_shear_out_along_mpa = v,
        |s, v| constants(s).tab_shear_out_across_mpa = v,
        |s, v| constants(s).hankinson_exponent = v,
        |s, v| constants(s).hankinson_exponent_shear_out = v,
        |s, v| asked(s).load_patch_mm = v,
        |s, v| asked(s).movement_limit_mm = v,
        |s, v| asked(s).movement_limit_lift_mm = v,
        |s, v| asked(s).movement_limit_repeated_mm = v,
        |s, v| asked(s).safety_part = v,
        |s, v| asked(s).safety_tab_shear = v,
    ];
    let give: [fn(&mut Sheet, f64); 4] = [
        |s, v| asked(s).roots.as_mut().expect("stated").axial = v,
        |s, v| asked(s).roots.as_mut().expect("stated").floor_up = v,
        |s, v| s.cut.kc = v,
        |s, v| s.cut.ke = v,
    ];
    let any: [fn(&mut Sheet, f64); 4] = [
        |s, v| constants(s).poisson_lt = v,
        |s, v| s.grain_deg = v,
        |s, v| s.cut.helix_deg = v,
        |s, v| asked(s).min_width_mm = v,
    ];
    let usable = |change: fn(&mut Sheet, f64), v: f64| {
        let mut sheet = good();
        change(&mut sheet, v);
        whole(&sheet)
    };
    for (i, change) in above_zero.iter().enumerate() {
        assert!(usable(*change, 1.0), "positive {i}");
        assert!(
            [0.0, f64::NAN, f64::INFINITY].iter().all(|v| !usable(*change, *v)),
            "positive {i}"
        );
    }
    for (i, change) in give.iter().enumerate() {
        assert!(usable(*change, 0.0), "give or force {i}");
        assert!([-0.1, f64::NAN].iter().all(|v| !usable(*change, *v)), "give or force {i}");
    }
    for (i, change) in any.iter().enumerate() {
        assert!(usable(*change, 0.0) && usable(*change, -1.0), "number {i}");
        assert!(!usable(*change, f64::NAN), "number {i}");
    }
    assert!(!usable(|s, v| (s.cut.kc, s.cut.ke) = (v, v), 0.0), "no force");
    assert!(!usable(|s, v| s.cut.helix_deg = v, 89.0), "no bit");
    let mut bare = good();
    asked(&mut bare).roots = None;
    assert_eq!(found(&bare), ["Claim(NoConstants)"]);
}
