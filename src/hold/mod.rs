//! Holding: which tabs hold a part while its last edge is cut, and the alternatives where tabs cannot: holding bridges of the
//! sheet's full thickness, a skin, tape.
//!
//! [`plan`] makes the plan of a part, [`evaluate`] the figures of given tabs, [`part_map`] a map of margins and movement along it.
//!
//! # The figures, for a reader that recomputes them from `layout.json`
//!
//! Everything is in mm, N, MPa. From the sheet: thickness t, `material_constants` (E, G, nu, strengths at both ends of the grain
//! with Hankinson's exponents), `holding` (requirements, limits, the fit of the roots' compliance), `grain_deg`, bit diameter D,
//! `cut.{feed_per_tooth, kc, ke, factor, helix_deg}`; from the part: outline, openings, `hold.{last_pass, tabs}`. Directions are
//! taken in the sheet, as placed. `hold.figures` has the values that the margins are made of.
//!
//! 1. **Load.** F = factor * a_p * (kc * f_z + ke), `hold.load_n`; any direction in the plane, with lift
//!    F tan(helix) for helix > 0. factor: 3 for wood and plywood (grain 2 x wear 1.5), 1.5 otherwise.
//! 2. **Tab springs.** Span L = D along `out`, width w, height h, A = w h, I_in = h w^3/12, I_out = w h^3/12; E by
//!    [`modulus_at`] at the angle of `out` to the grain, G of the material. The roots' compliance counts as extra length, by
//!    the factors of `holding.roots` and q = (E/G)^(1/3): x = `axial` q sqrt(w t), b = `turn` q w,
//!    s = `shear` q sqrt(w h), c = `tilt` q h, u = `up` sqrt(w h). At mid span (`at` + `out` L/2): along `out` E A/(L + x);
//!    along the edge guided(I_in, b, s); turn E I_in/(L + b); up guided(I_out, c, u); tilt about the edge E I_out/(L + c);
//!    twist about `out` G J/L, J = l s^3 (1/3 - 0.21 s/l (1 - (s/l)^4/12)) with l, s the longer and shorter of w, h.
//!    1/guided(I, b, s) = L^2 (L + 3 b)/(12 E I) + (L + s)/(5/6 G A).
//! 3. **Floor ahead of the bit.** A strip a_p high: per mm of edge, E a_p/(L + `floor_axial` sqrt(a_p t)) along the normal,
//!    5/6 G a_p/(L + `floor_shear` a_p) along the edge, and up guided(a_p^3/12, `tilt` q a_p, `floor_up` a_p) with A = a_p; no
//!    rotations.
//! 4. **Part.** Elastic: plane stress, E along and across, G, nu_LT (nu_TL by reciprocity), thickness t; thin plate
//!    with D = Q t^3/12 where there is lift and the part is longer than 4 t, else rigid out of the plane. A rigid part
//!    on the same springs differs only by what the part bends: close for compact parts, not for slender ones.
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
//!    0.1 mm with lift; with any one tab lost ratio 1 at F/factor, the bed left out; the pass repeated ratio 1 and 0.1 mm at
//!    F/factor.
//!    Of a part larger than `overhang_limit_mm` across the outline's farthest point stands no farther than that, or a
//!    twelfth of the outline's length, from the nearest `at`.
//!    **Holding bridges** are tabs with h = t. All of the above holds for them, w being their narrowest width. A single one
//!    counts as two side by side: instead of a tab, either half is lost, and what is left is a tab of w/2 whose root lies
//!    w/4 along the edge from `at`, `out` the same. Bridges are sawn, independent of `holding.freeing`, and that is
//!    demanded: `figures.freeing_margin` is, over the sections with the bridge on the side with the shorter edge, the
//!    least of min(t b^2, b t^2)/6 times [`section_strength`] over 2 * 5 N * the distance from `at` to the section's
//!    middle (1 to 10 mm).
//!    A margin is value over requirement; `limited_by` names the least.
//!
//! # Limits
//!
//! Pockets (half the thickness deep where the job does not say) and drilled holes weaken the sections they cross ([`NetSection`])
//! but leave the part's stiffness unchanged; engravings do not count. Tongues that stand into an opening are judged as cantilevers
//! at the plan's last pass and give warnings; they do not count in the margins. Movement leaves out part of the dent right under
//! the bit (0.2 to 0.5 micrometres per newton on 3 mm hardwood). The roots' compliance is a fit to solid elements ([`Roots`]), from
//! a quarter off along the span and the edge to a factor of 2 upwards. K_c and K_e are estimates, a factor of 2 either way: the
//! plan says whether it holds at their high end. Strengths are handbook means.
//!
//! [`modulus_at`]: crate::mechanics::modulus_at
//! [`tab_strength`]: crate::mechanics::tab_strength
//! [`section_strength`]: crate::mechanics::section_strength
//! [`Roots`]: crate::mechanics::Roots

mod check;
mod fem;
mod methods;
mod model;
mod part;
mod plan;
mod search;
mod task;
mod view;

pub use check::figures::{Figures, Map, Margin, Margins, SAFETY_PART};
pub use check::judge::{MOVEMENT_FREE, MOVEMENT_IN, MOVEMENT_LIFT};
pub use check::piece::Detail;
pub use check::planner::{Care, Helper, Planner};
pub use check::tongues::{Tongue, tongues};
pub use check::turn::{TurnGain, spur_width, turn_gain};
pub use methods::hold_plan::HoldPlan;
pub use methods::skin::Skin;
pub use methods::tape::Tape;
pub use methods::waste_beyond::WasteBeyond;
pub use model::cache::BodyCache;
pub use part::left::NetSection;
pub use part::sections::{Chord, chords};
pub use part::sites::SeatedTab;
pub use part::strongest_grain::{strongest, strongest_grain};
pub use plan::{evaluate, plan, plan_compared, plan_first, plan_on_tape};
pub use search::tried::Tried;
pub use task::HoldTask;
pub use view::part_map::{MapPlace, PartMap, part_map};
