//! Holding: which tabs keep a part while its last edge is cut, and what holds where tabs cannot: holding bridges of the
//! sheet's full thickness, a skin, tape.
//!
//! [`plan`] makes the plan of a part, [`evaluate`] the figures of given tabs, [`table`] and [`picture`] show them.
//!
//! # The figures, for a reader that recomputes them from `layout.json`
//!
//! Everything in mm, N, MPa. From the sheet: thickness t, `material_constants` (E, G, nu, strengths at both ends of the
//! grain with Hankinson's exponents), `holding` (requirements, limits, what the roots' give leaves), `grain_deg`, bit
//! diameter D, `cut.{feed_per_tooth, kc, ke, factor, helix_deg}`; from the part: outline, openings, `hold.{last_pass,
//! tabs}`. Directions are taken in the sheet, as placed. `hold.figures` has what the margins are made of.
//!
//! 1. **Load.** F = factor * a_p * (kc * f_z + ke), `hold.load_n`; any direction in the plane, with lift
//!    F tan(helix) for helix > 0. factor: 3 for wood and plywood (grain 2 x wear 1.5), 1.5 otherwise.
//! 2. **Tab springs.** Span L = D along `out`, width w, height h, A = w h, I_in = h w^3/12, I_out = w h^3/12; E by
//!    [`modulus_at`] at the angle of `out` to the grain, G of the material. The roots give, as if the tab were longer, by
//!    the factors of `holding.roots` and q = (E/G)^(1/3): x = `axial` q sqrt(w t), b = `turn` q w, s = `shear` q sqrt(w h),
//!    c = `tilt` q h, u = `up` sqrt(w h). At mid span (`at` + `out` L/2): along `out` E A/(L + x); along the edge
//!    guided(I_in, b, s); turn E I_in/(L + b); up guided(I_out, c, u); tilt about the edge E I_out/(L + c); twist about
//!    `out` G J/L, J = l s^3 (1/3 - 0.21 s/l (1 - (s/l)^4/12)) with l, s the longer and shorter of w, h.
//!    1/guided(I, b, s) = L^2 (L + 3 b)/(12 E I) + (L + s)/(5/6 G A).
//! 3. **Floor ahead of the bit.** A strip a_p high: a mm of edge, E a_p/(L + `floor_axial` sqrt(a_p t)) along the normal,
//!    5/6 G a_p/(L + `floor_shear` a_p) along the edge, and up guided(a_p^3/12, `tilt` q a_p, `floor_up` a_p) with A = a_p; no turns.
//! 4. **Part.** Elastic: plane stress, E along and across, G, nu_LT (nu_TL by reciprocity), thickness t; thin plate
//!    with D = Q t^3/12 where there is lift and the part is longer than 4 t, else rigid out of the plane. A rigid part
//!    on the same springs gives the same within what the part bends: close for compact parts, not for slender ones.
//! 5. **Stage** (`case` = `staged`). The last pass starts beyond `tabs[0]` and ends at it. With the bit at s, the edge
//!    from the start to s is severed, the rest bears the floor's springs; both ways round are judged, the worst counts.
//!    With lift the bed under the places of the bit, severed or not, stops them from going down: it pushes where it must and never
//!    pulls. Places of the bit: evenly spaced, min(72, max(12, length/D)) of them from half a spacing after the outline's first
//!    point, those under a tab left out; the force spread over D/2 of edge.
//! 6. **Tab's stress.** With N, V, M, V_z, M_z, T at mid span: sigma = |N/A +- 6 (M +- V L/2)/(h w^2)| + 6 (|M_z| +-
//!    V_z L/2)/(w h^2), the worst signs and load direction; ratio = strength/sigma, strength = [`tab_strength`]: Hankinson
//!    P Q/(P sin^1.5 + Q cos^1.5) with P bending strength and Q tension across. Shear: 1.5 V/A against the material's
//!    shear, and 1.5 V_z/A + |T| (3 + 1.8 s/l)/(l s^2) against shear (rolling shear 0.22 of it across the grain,
//!    Hankinson n = 2), combined as the root of squares. MDF: V_z/(w L) against internal bond. Acrylic: strength/2.
//! 7. **Part's stress.** On chords through narrow places: N/(b t) + 6 M/(t b^2) + 6 M_out/(b t^2) against
//!    [`section_strength`] (Hankinson n = 1.5, Q = 0.1 P) at the chord's normal; 1.5 V/(b t) against shear.
//! 8. `safety` is the least ratio of 6 and 7; `movement_mm` the greatest displacement of the patch under the bit.
//!    Required: bending 1.35 along the grain to 1.7 across (by sin^2), shear 1.3, part 2; movement 0.05 mm in the plane and
//!    0.1 mm with lift; with any one tab gone ratio 1 at F/factor, the bed left out; the pass repeated ratio 1 and 0.1 mm at F/factor.
//!    Of a part larger than `overhang_limit_mm` across the outline's farthest point stands no farther than that, or a
//!    twelfth of the outline's length, from the nearest `at`.
//!    **Holding bridges** are tabs with h = t. All of the above holds for them, w being their narrowest width. A single one
//!    stands for two side by side: instead of a tab, either half goes, and what is left is a tab of w/2 whose root lies
//!    w/4 along the edge from `at`, `out` the same. Bridges are sawn whatever `holding.freeing` says, and that is
//!    demanded: `figures.freeing_margin` is, over the sections with the bridge on the side with the shorter edge, the
//!    least of min(t b^2, b t^2)/6 times [`section_strength`] over 2 * 5 N * the distance from `at` to the section's
//!    middle (1 to 10 mm).
//!    Margins in words are value over requirement; `governs` names the least.
//!
//! # Limits
//!
//! Pockets (half the thickness deep where the job does not say) and drilled holes weaken the sections they cross ([`Left`])
//! and leave the part's stiffness as it is; engravings do not count. Tongues that
//! stand into an opening are judged as cantilevers at the plan's last pass and warned of; they do not count in the margins.
//! Movement leaves out part of the dent right under the bit (0.2 to 0.5 micrometres a newton on 3 mm hardwood). The
//! roots' give is a fit to solid elements ([`Roots`]), from a quarter off along the span and the edge to a factor of 2 upwards.
//! K_c and K_e are estimates, a factor of 2 either way: the plan
//! says whether it holds at their high end. Strengths are handbook means.

mod advice;
mod beam;
mod bodies;
mod bridge;
mod brief;
mod choose;
mod chord;
mod contour;
mod dense;
mod drop_out;
mod elastic;
mod elastic_body;
mod fallback;
pub mod fem;
mod figures;
mod first;
mod grain;
mod influence;
mod judge;
mod ladder;
mod load;
mod overhang;
mod picture;
mod planner;
mod rigid;
mod rigid_body;
mod search;
mod section;
mod site;
mod staged;
mod strength;
mod table;
mod tongue;
mod weakened;
mod web;
mod words;

pub use advice::{TurnGain, spur_width, turn_gain};
pub use beam::{
    Beam, ROOTS, Roots, SAFETY_ACROSS, SAFETY_ALONG, SAFETY_SHEAR, Stiffness, TabForces, TabRatios,
    guided,
};
pub use bodies::Bodies;
pub use choose::{evaluate, plan, plan_compared};
pub use chord::{Chord, chords};
pub use contour::Contour;
pub use fallback::{Skin, Tape, plan_on_tape};
pub use figures::{Figures, Map, Margin, Margins};
pub use first::plan_first;
pub use grain::{strongest, strongest_grain};
pub use influence::Influence;
pub use judge::{MOVEMENT_FREE, MOVEMENT_IN, MOVEMENT_LIFT, SAFETY_PART};
pub use load::{Load, load_factor};
pub use picture::picture;
pub use planner::{Detail, Planner};
pub use rigid::{Frame, Springs};
pub use strength::{TabStrength, hankinson, modulus_at, section_strength, tab_strength};
pub use table::{HEADS, rows, table};
pub use tongue::{Tongue, tongues};
pub use weakened::Left;
pub use web::{Ends, Web};
pub use words::CAUTION;

use crate::geometry::{Ring, Shape};
use crate::job::{Bit, Holding, Material};
use crate::layout::{Feature, Hold, Tab};

/// A part to hold.
pub struct HoldTask<'a> {
    /// The part in its own frame.
    pub shape: &'a Shape,
    /// Of the sheet, mm.
    pub thickness: f64,
    /// What it is of, with the cutting force to be used.
    pub material: &'a Material,
    /// Directions in the part's frame that the grain may take, radians; the plan holds at each. Empty where
    /// there is none (or it is not known: then both along and across are judged).
    pub grain: &'a [f64],
    /// The bit that cuts the outline.
    pub bit: &'a Bit,
    /// The job's wishes.
    pub holding: &'a Holding,
    /// What is drawn in the part, in its frame: pockets and holes weaken it.
    pub features: &'a [Feature],
    /// Lines that stay clear of tabs.
    pub tab_free: &'a [Ring],
    /// Its narrow sections by [`chords`], where they are known already.
    pub chords: Option<&'a [Chord]>,
    /// After the nest: whether a tab (in the part's frame) lands on stock that stays; `None` before.
    pub landing_ok: Option<&'a (dyn Fn(&Tab) -> bool + Sync)>,
    /// Where its elastic bodies are kept for the next plan of this part.
    pub bodies: Option<&'a Bodies>,
}

/// One count of tabs that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// How many tabs.
    pub count: usize,
    /// Their widths, mm.
    pub widths: Vec<f64>,
    /// Their height, mm.
    pub height: f64,
    /// Deepest last pass at which the best set holds; `None` where none does.
    pub deepest: Option<f64>,
    /// Figures of the best set, at that depth or at the shallowest.
    pub figures: Figures,
    /// The best set, in the order of its last pass.
    pub tabs: Vec<Tab>,
    /// Figures of as many tabs spaced evenly, of the same size and depth, where they fit; asked of [`plan_compared`].
    pub even: Option<Figures>,
    /// Those tabs; empty where they do not fit.
    pub even_tabs: Vec<Tab>,
}

/// How far the cutting force may leave its nominal before the plan fails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadRange {
    /// Cutting force at the high end of K_c and K_e over nominal.
    pub high: f64,
    /// The same at the low end.
    pub low: f64,
    /// Factor on the worst load at which the least margin is used up.
    pub bears: f64,
}

impl LoadRange {
    /// In words: `holds even at the high end of the cutting force`.
    pub fn words(&self) -> &'static str {
        if self.bears >= self.high {
            "holds even at the high end of the cutting force's range"
        } else if self.bears >= 1.0 {
            "holds at the nominal cutting force, not at the high end of its range"
        } else if self.bears >= self.low {
            "holds only at the low end of the cutting force's range"
        } else {
            "does not hold anywhere in the cutting force's range"
        }
    }
}

impl Tried {
    /// `2 tabs`, `1 holding bridge`.
    pub fn name(&self) -> String {
        let s = if self.count == 1 { "" } else { "s" };
        format!("{} {}{s}", self.count, if self.figures.bridged { "holding bridge" } else { "tab" })
    }
}

/// A plan with what led to it.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldPlan {
    /// What goes into the layout, in the part's frame.
    pub hold: Hold,
    /// Figures of the chosen tabs; `None` for the other methods.
    pub figures: Option<Figures>,
    /// One row for each count tried.
    pub tried: Vec<Tried>,
    /// The load a mm of depth.
    pub load: Load,
    /// What the uncertainty of the cutting force leaves.
    pub range: Option<LoadRange>,
    /// What each input may cost the least margin, the costliest first; empty for the other methods.
    pub influences: Vec<Influence>,
    /// The part's narrow sections, weakest first.
    pub necks: Vec<Chord>,
    /// What the maker must know.
    pub warnings: Vec<String>,
}
