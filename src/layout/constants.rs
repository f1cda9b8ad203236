//! What a reader needs to recompute a hold's figures from the layout file alone.

use super::InputOff;
use serde::{Deserialize, Serialize};

/// Constants of the sheet's material as the holding stage used them: means, not design values.
///
/// Stresses and moduli in MPa. The strengths of tabs and sections are given at both ends, along and across the
/// grain; between them Hankinson's P Q / (P sin^n + Q cos^n) holds with the exponent given. A material without
/// grain has the same at both ends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MaterialConstants {
    /// `wood`, `plywood`, `mdf` or `acrylic`.
    pub kind: String,
    /// Whether directions relative to the sheet's `grain_deg` matter.
    pub has_grain: bool,
    /// Density, kg/m³.
    pub density_kg_per_m3: f64,
    /// Young's modulus along the grain, E_L, free of shear (1.10 x the handbook's bending modulus).
    pub e_along_mpa: f64,
    /// Young's modulus across the grain, in the sheet's plane: E_T.
    pub e_across_mpa: f64,
    /// Shear modulus in the sheet's plane, G_LT.
    pub shear_modulus_mpa: f64,
    /// Poisson's ratio nu_LT; nu_TL = nu_LT E_T / E_L.
    pub poisson_lt: f64,
    /// Bending strength along the grain (modulus of rupture), as the table has it.
    pub bending_mpa: f64,
    /// Tension strength across the grain; through the thickness (internal bond) for MDF.
    pub tension_across_mpa: f64,
    /// Shear strength along the grain.
    pub shear_mpa: f64,
    /// A tab's bending and tension strength, its span along the grain.
    pub tab_along_mpa: f64,
    /// The same, its span across the grain.
    pub tab_across_mpa: f64,
    /// A tab's shear strength in the sheet's plane.
    pub tab_shear_mpa: f64,
    /// A tab's shear strength out of the plane, its span along the grain.
    pub tab_shear_out_along_mpa: f64,
    /// The same, its span across the grain (rolling shear).
    pub tab_shear_out_across_mpa: f64,
    /// Pull through the thickness that a tab can bear, MDF only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tab_pull_mpa: Option<f64>,
    /// Bending strength of the part's own section, its normal along the grain.
    pub section_along_mpa: f64,
    /// The same across the grain.
    pub section_across_mpa: f64,
    /// Hankinson's exponent for tabs and sections.
    pub hankinson_exponent: f64,
    /// Hankinson's exponent for a tab's shear out of the plane.
    pub hankinson_exponent_shear_out: f64,
    /// Specific cutting force K_c, low end of its range (the nominal is the sheet's `cut.kc`), N/mm².
    pub kc_low_n_per_mm2: f64,
    /// High end of K_c.
    pub kc_high_n_per_mm2: f64,
    /// Edge force K_e, low end of its range (the nominal is the sheet's `cut.ke`), N/mm.
    pub ke_low_n_per_mm: f64,
    /// High end of K_e.
    pub ke_high_n_per_mm: f64,
    /// Where the constants come from.
    pub source: String,
}

/// The demands on the holding plan: wishes of the job, requirements, and limits of the model.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HoldingRules {
    /// How parts are freed: `saw` or `snap`.
    pub freeing: String,
    /// Preferred sites: `strong` (end grain) or `clean` (long grain).
    pub prefer: String,
    /// Depth of the last pass that the job asked for, mm; absent where the plan chose it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_pass_asked_mm: Option<f64>,
    /// Narrowest tab, mm.
    pub min_width_mm: f64,
    /// Widest tab, mm.
    pub max_width_mm: f64,
    /// Least ratio of mean strength to stress of a tab along the grain, worst load.
    pub safety_tab_along: f64,
    /// The same across the grain; in between it varies with sin² of the angle.
    pub safety_tab_across: f64,
    /// The same in shear.
    pub safety_tab_shear: f64,
    /// The same of the part's own sections.
    pub safety_part: f64,
    /// Greatest movement at the bit in the plane, staged, worst load, mm.
    pub movement_limit_mm: f64,
    /// The same with the lift of an up-spiral, mm.
    pub movement_limit_lift_mm: f64,
    /// Greatest movement with everything severed and the pass repeated, load / `cut.factor`, mm.
    pub movement_limit_repeated_mm: f64,
    /// Greatest distance of an outline's point from its nearest tab, or a twelfth of the outline's length where that is
    /// more, mm; absent in older files.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overhang_limit_mm: Option<f64>,
    /// The flexibility of the tabs' roots; absent in older files, whose springs were a fixed share of the beam's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roots: Option<RootCompliance>,
    /// Length of edge over which the bit's force is spread, mm.
    pub load_patch_mm: f64,
}

/// How much longer a tab seems because its roots give; factors without unit.
///
/// w and h are the tab's width and height, t the sheet's thickness, q = (E/G)^(1/3) with E along the tab's span; a is the height
/// of the floor that the last pass cuts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RootCompliance {
    /// Along the span: this times q sqrt(w t).
    pub axial: f64,
    /// Bending in the plane: this times q w.
    pub turn: f64,
    /// Shear in the plane: this times q sqrt(w h).
    pub shear: f64,
    /// Bending out of the plane: this times q h.
    pub tilt: f64,
    /// Shear out of the plane: this times sqrt(w h).
    pub up: f64,
    /// The floor along its span: this times sqrt(a t).
    pub floor_axial: f64,
    /// The floor along the edge: this times a.
    pub floor_shear: f64,
    /// The floor's shear out of the plane: this times a.
    pub floor_up: f64,
}

/// The figures behind a hold, where it was judged as tabs. Ratios are mean strength over stress.
///
/// A figure that does not apply (a part without narrow sections) is absent.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct HoldFigures {
    /// Least margin (value over requirement) of all demands; 1.0 or more passes.
    pub least_margin: f64,
    /// Least ratio of the tabs, staged, worst load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tab_safety: Option<f64>,
    /// Least ratio of the part's own sections, staged, worst load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part_safety: Option<f64>,
    /// Least ratio of the remaining tabs with any one lost (half of a single holding bridge), staged, load / `cut.factor`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub one_gone_safety: Option<f64>,
    /// Least ratio, tabs and part, everything severed and the pass repeated, worst load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_safety: Option<f64>,
    /// Movement in that case, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_movement_mm: Option<f64>,
    /// Distance of the outline's farthest point from its nearest tab, mm; absent on a part smaller than the limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overhang_mm: Option<f64>,
    /// Margin of freeing the part by hand as `holding.freeing` says; holding bridges are always sawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub freeing_margin: Option<f64>,
    /// How much the least margin changes when an input is off, the costliest first; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub inputs: Vec<InputOff>,
}
