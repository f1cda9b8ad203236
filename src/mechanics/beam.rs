//! A tab as a short beam across the kerf: six stiffnesses and what breaks it.

use super::moduli::modulus_at;
use super::strength::{TabStrength, line_angle, tab_strength};
use crate::geometry::{Point, Vector};
use crate::job::Material;
use crate::layout::Tab;

/// Shear coefficient of a rectangle (Timoshenko beam).
pub const KAPPA: f64 = 5.0 / 6.0;

/// Compliance of a tab's roots, as lengths added to that of a built-in tab.
///
/// Fitted to solid finite elements of a tab with its blocks (`tests/data/mechanics/root_give.py`, scikit-fem): hard maple along and
/// across the grain and acrylic, tabs 1.5 to 8 mm wide, 0.6 mm to the sheet's thickness of 3 or 6 mm high, bits of 1.6 to 6.35 mm.
/// Half the compliance of a root as high as the sheet is left out: the part's own plane and plate include it. The stiffness agrees
/// with those elements within 28 % along the span, 34 % for the turn, 26 % along the edge, 47 % for the tilt, and a factor of 2 up.
/// Twist is the bare beam's: 0.4 to 3 times where the tab is no wider than the span, up to 14 times too soft where it is much wider
/// (its roots keep it from warping). Oblique to the grain a tab is up to 2.2 times stiffer than this.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Roots {
    /// Along the span: this times (E/G)^(1/3) sqrt(w t), w the tab's width, t the sheet's thickness.
    pub axial: f64,
    /// Bending in the plane: this times (E/G)^(1/3) w.
    pub turn: f64,
    /// Shear in the plane: this times (E/G)^(1/3) sqrt(w h), h the tab's height.
    pub shear: f64,
    /// Bending out of the plane: this times (E/G)^(1/3) h.
    pub tilt: f64,
    /// Shear out of the plane: this times sqrt(w h).
    pub up: f64,
    /// A long floor of height a, along its span: this times sqrt(a t).
    pub floor_axial: f64,
    /// The same, shear along the edge: this times a.
    pub floor_shear: f64,
    /// The same, shear out of the plane: this times a.
    pub floor_up: f64,
}

/// The fit; lengths in mm, the factors have no unit.
///
/// The floor, against the same elements: along the span within 30 %, along the edge 45 %, up a factor of 4.5 too stiff.
pub const ROOTS: Roots = Roots {
    axial: 0.57,
    turn: 0.3,
    shear: 0.27,
    tilt: 0.45,
    up: 2.5,
    floor_axial: 3.7,
    floor_shear: 2.5,
    floor_up: 6.0,
};

/// Required ratio of mean strength to stress at the worst load: bending and tension along the grain.
pub const SAFETY_ALONG: f64 = 1.35;
/// The same for tension across the grain, which scatters most.
pub const SAFETY_ACROSS: f64 = 1.7;
/// The same for shear.
pub const SAFETY_SHEAR: f64 = 1.3;

/// Stiffness of a prism of length `length`, built in at one end and guided at the other, N/mm.
///
/// k = 12 E I / (L^3 (1 + Phi)), Phi = 12 E I / (kappa G A L^2) (Timoshenko beam). A tab is as long as
/// the bit is wide, so shear makes it up to 28 times softer than bending alone.
pub fn guided(e: f64, g: f64, inertia: f64, area: f64, length: f64) -> f64 {
    let phi = 12.0 * e * inertia / (KAPPA * g * area * length * length);
    12.0 * e * inertia / (length.powi(3) * (1.0 + phi))
}

/// [`guided`] on roots that rotate like `turn` mm of extra length, and slip like `slip` mm of it, N/mm.
///
/// A force V makes V L/2 at each root, which turns by V L turn/(4 E I): L/2 times both turns is L^2 turn/(4 E I).
fn guided_on_roots(
    [e, g]: [f64; 2],
    inertia: f64,
    area: f64,
    length: f64,
    [turn, slip]: [f64; 2],
) -> f64 {
    let bending = length * length * (length + 3.0 * turn) / (12.0 * e * inertia);
    1.0 / (bending + (length + slip) / (KAPPA * g * area))
}

/// Saint-Venant torsion constant of a rectangle, mm^4 (Timoshenko & Goodier, art. 109; error under 0.5 %).
pub fn torsion_constant(a: f64, b: f64) -> f64 {
    let (long, short) = (a.max(b), a.min(b));
    let r = short / long;
    long * short.powi(3) * (1.0 / 3.0 - 0.21 * r * (1.0 - r.powi(4) / 12.0))
}

/// Springs of a strip of stock across the kerf, acting at its middle: N/mm and N mm/rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stiffness {
    /// Along the span.
    pub axial: f64,
    /// Along the edge, in the sheet's plane.
    pub shear: f64,
    /// Bending in the sheet's plane.
    pub bend: f64,
    /// Up and down.
    pub lift: f64,
    /// Bending out of the sheet's plane.
    pub bend_out: f64,
    /// Torsion about the span.
    pub twist: f64,
}

impl Stiffness {
    /// The bare beam, without the compliance of its roots.
    pub fn bare(e: f64, g: f64, width: f64, height: f64, span: f64) -> Stiffness {
        let area = width * height;
        let (i_in, i_out) = (height * width.powi(3) / 12.0, width * height.powi(3) / 12.0);
        Stiffness {
            axial: e * area / span,
            shear: guided(e, g, i_in, area, span),
            bend: e * i_in / span,
            lift: guided(e, g, i_out, area, span),
            bend_out: e * i_out / span,
            twist: g * torsion_constant(width, height) / span,
        }
    }

    /// The beam on its [`ROOTS`] in a sheet of `thickness` mm.
    pub fn on_roots(e: f64, g: f64, [width, height]: [f64; 2], span: f64, thickness: f64) -> Self {
        let area = width * height;
        let (i_in, i_out) = (height * width.powi(3) / 12.0, width * height.powi(3) / 12.0);
        let (ease, middling) = ((e / g).cbrt(), area.sqrt());
        let turn = ROOTS.turn * ease * width;
        let tilt = ROOTS.tilt * ease * height;
        let slip = [ROOTS.shear * ease * middling, ROOTS.up * middling];
        Stiffness {
            axial: e * area / (span + ROOTS.axial * ease * (width * thickness).sqrt()),
            shear: guided_on_roots([e, g], i_in, area, span, [turn, slip[0]]),
            bend: e * i_in / (span + turn),
            lift: guided_on_roots([e, g], i_out, area, span, [tilt, slip[1]]),
            bend_out: e * i_out / (span + tilt),
            twist: g * torsion_constant(width, height) / span,
        }
    }

    /// A stretch of `edge` mm of a long floor `height` high: along its span, along the edge, up.
    ///
    /// It rotates with its neighbours, so along the edge it deforms by shear alone.
    pub fn floor(e: f64, g: f64, [edge, height]: [f64; 2], span: f64, thickness: f64) -> [f64; 3] {
        let area = edge * height;
        let tilt = ROOTS.tilt * (e / g).cbrt() * height;
        let inertia = edge * height.powi(3) / 12.0;
        [
            e * area / (span + ROOTS.floor_axial * (height * thickness).sqrt()),
            KAPPA * g * area / (span + ROOTS.floor_shear * height),
            guided_on_roots([e, g], inertia, area, span, [tilt, ROOTS.floor_up * height]),
        ]
    }
}

/// A tab ready for mechanics.
#[derive(Debug, Clone, PartialEq)]
pub struct Beam {
    /// Middle of its root.
    pub root: Point,
    /// Unit vector across the kerf, away from the part.
    pub out: Point,
    /// Along the edge, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// Across the kerf: the bit's diameter, mm.
    pub span: f64,
    /// Springs at mid span.
    pub stiffness: Stiffness,
    /// Mean strengths.
    pub strength: TabStrength,
    /// Required ratio for bending and tension: 1.35 along, 1.7 across the grain, by sin^2 between.
    pub required_normal: f64,
    /// Angle of the span to the grain, radians; 0 where there is none.
    pub to_grain: f64,
    /// Stress for a unit of each force.
    gives: BeamCompliance,
}

/// Stress in the section per unit of force or moment, per mm^2 and per mm^3.
#[derive(Debug, Clone, Copy, PartialEq)]
struct BeamCompliance {
    force: f64,
    bend: f64,
    bend_out: f64,
    twist: f64,
    pull: f64,
}

impl BeamCompliance {
    fn new(width: f64, height: f64, span: f64) -> BeamCompliance {
        let (long, short) = (width.max(height), width.min(height));
        BeamCompliance {
            force: 1.0 / (width * height),
            bend: 6.0 / (height * width * width),
            bend_out: 6.0 / (width * height * height),
            twist: (3.0 + 1.8 * short / long) / (long * short * short),
            pull: 1.0 / (width * span),
        }
    }
}

/// Forces in a tab at mid span: for a unit in-plane load of any direction (a vector of the coefficients of the load's x and y), and
/// for the lift that goes with a unit load.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct TabForces {
    /// Force along the span.
    pub axial: Point,
    /// Force along the edge.
    pub shear: Point,
    /// Bending moment in the plane.
    pub bend: Point,
    /// Force up.
    pub lift: f64,
    /// Bending moment out of the plane.
    pub bend_out: f64,
    /// Torque about the span.
    pub twist: f64,
}

/// Ratios of mean strength to stress.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TabRatios {
    /// Bending and tension.
    pub normal: f64,
    /// Shear (and the pull through MDF's thickness).
    pub shear: f64,
}

impl Beam {
    /// The beam of `tab` in a sheet `thickness` mm thick of `material`, whose grain makes `grain` with +x, across a kerf
    /// of `span` mm.
    pub fn new(
        tab: &Tab,
        material: &Material,
        grain: Option<f64>,
        span: f64,
        thickness: f64,
    ) -> Beam {
        let to_grain = grain.map_or(0.0, |g| line_angle(tab.out.y.atan2(tab.out.x), g));
        let e = modulus_at(material, to_grain);
        let across = if grain.is_some() { to_grain.sin().powi(2) } else { 0.0 };
        Beam {
            root: tab.at,
            out: tab.out,
            width: tab.width,
            height: tab.height,
            span,
            stiffness: Stiffness::on_roots(
                e,
                material.shear_modulus,
                [tab.width, tab.height],
                span,
                thickness,
            ),
            strength: tab_strength(material, to_grain),
            required_normal: SAFETY_ALONG + (SAFETY_ACROSS - SAFETY_ALONG) * across,
            to_grain,
            gives: BeamCompliance::new(tab.width, tab.height, span),
        }
    }

    /// Middle of the span.
    pub fn middle(&self) -> Point {
        self.root + self.out * (self.span / 2.0)
    }

    /// Ratios of mean strength to stress for an in-plane load of `force` N in its worst direction.
    ///
    /// The normal stress at a root is N/A + 6 M/(h w^2) + 6 M_out/(w h^2) with M = M_mid +- V L/2. Every
    /// in-plane term is linear in the load's direction, so the worst direction is the length of the
    /// vector of its two coefficients; the lift adds to it. Shear: 1.5 V/A in and out of the plane, the
    /// torque's with the rectangle's Saint-Venant maximum.
    pub fn ratios(&self, f: &TabForces, force: f64) -> TabRatios {
        let (gives, half) = (&self.gives, self.span / 2.0);
        // The longest of axial +- moment at either root: their own squares and twice the product of the two.
        let axial = f.axial * gives.force;
        let root = |side: f64| {
            let bend = (f.bend + f.shear * (side * half)) * gives.bend;
            bend.dot(bend) + 2.0 * axial.dot(bend).abs()
        };
        let in_plane = (axial.dot(axial) + root(1.0).max(root(-1.0))).sqrt();
        let moment_out = f.bend_out.abs() + (f.lift * half).abs();
        let sigma = force * (in_plane + gives.bend_out * moment_out);
        let tau_in = force * 1.5 * f.shear.norm() * gives.force;
        let tau_out = force * (1.5 * f.lift.abs() * gives.force + f.twist.abs() * gives.twist);
        let pull = force * f.lift.abs() * gives.pull;
        let use_of_shear = ((tau_in / self.strength.shear).powi(2)
            + (tau_out / self.strength.shear_out).powi(2))
        .sqrt()
        .max(pull / self.strength.pull);
        TabRatios { normal: self.strength.normal / sigma, shear: 1.0 / use_of_shear }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;
    use crate::job::find_material;

    fn close(a: f64, b: f64, digits: f64) {
        assert!((a - b).abs() <= digits, "{a} is not {b}");
    }

    /// Case B2 (Timoshenko beam, textbook): E 10000, G 700, width 4, height 2, span 3.175.
    #[test]
    fn tab_of_case_b2() {
        let k = Stiffness::bare(10_000.0, 700.0, 4.0, 2.0, 3.175);
        close(k.shear, 1417.71, 0.005);
        close(k.lift, 1281.43, 0.005);
        close(k.axial, 25_196.85, 0.005);
        // Limits: shear alone for a short span, bending alone for a long one.
        let short = guided(1e4, 700.0, 10.0, 8.0, 1e-3);
        close(short / (KAPPA * 700.0 * 8.0 / 1e-3), 1.0, 1e-4);
        let long = guided(1e4, 700.0, 10.0, 8.0, 1e4);
        close(long / (12.0 * 1e5 / 1e12), 1.0, 1e-4);
    }

    /// A row of `tests/data/mechanics/root_give*.csv`: the first words, then numbers.
    fn row(line: &str) -> (&str, Vec<f64>) {
        let (name, rest) = line.split_once(',').unwrap();
        (name, rest.split(',').map(|v| v.parse().unwrap()).collect())
    }

    /// E along a span at `degrees` to the grain, and G, as the solid elements have them.
    fn moduli(name: &str, degrees: f64) -> [f64; 2] {
        let m = find_material(if name == "maple" { "hard maple" } else { "acrylic" }, 6.0).unwrap();
        [modulus_at(m, degrees.to_radians()), m.shear_modulus]
    }

    /// Tabs with their blocks as solid elements (scikit-fem; `tests/data/mechanics/root_give.py`). Half the compliance that a root
    /// as high as the sheet adds to its beam belongs to the part: its plane and its plate include it.
    #[test]
    fn springs_against_solid_elements() {
        let text = include_str!("../../tests/data/mechanics/root_give.csv");
        let of = |k: &Stiffness| [k.axial, k.shear, k.bend, k.lift, k.bend_out, k.twist];
        // Compliances: the bare beam's, and the elements' as a share of it, made whole.
        let compliance = |name: &str, v: &[f64]| {
            let [e, g] = moduli(name, v[0]);
            let bare = of(&Stiffness::bare(e, g, v[2], v[3], v[1]));
            let whole: [f64; 6] = std::array::from_fn(|i| 1.0 / (bare[i] * v[6 + i]));
            (bare, whole)
        };
        let rows: Vec<_> = text.lines().skip(1).map(row).collect();
        let mut bounds = [[f64::INFINITY, 0.0f64]; 6];
        let mut aslant = [f64::INFINITY, 0.0f64];
        let mut seen = 0;
        for (name, v) in rows.iter().filter(|r| r.1[5] == 2.0) {
            let full = rows
                .iter()
                .find(|(n, f)| n == name && f[..3] == v[..3] && f[3] == v[4] && f[4..6] == v[4..6]);
            let (_, f) = full.expect("the same tab as high as the sheet");
            let (_, whole) = compliance(name, v);
            let (full_bare, full_whole) = compliance(name, f);
            let [e, g] = moduli(name, v[0]);
            let ours = of(&Stiffness::on_roots(e, g, [v[2], v[3]], v[1], v[4]));
            for i in 0..6 {
                let parts_own = 0.5 * (full_whole[i] - 1.0 / full_bare[i]);
                let ratio = ours[i] * (whole[i] - parts_own);
                let b = if v[0] == 45.0 { &mut aslant } else { &mut bounds[i] };
                *b = [b[0].min(ratio), b[1].max(ratio)];
            }
            seen += 1;
        }
        eprintln!("{seen} tabs, ours over the elements': {bounds:.2?}, aslant {aslant:.2?}");
        assert!(seen >= 200);
        // As `Roots` says. Twist: the roots keep a tab wider than its span from warping.
        let stated = [1.28, 1.26, 1.34, 2.0, 1.47];
        for (b, stated) in bounds.iter().zip(stated) {
            assert!(b[0] >= 1.0 / stated && b[1] <= stated, "{b:?}, stated {stated}");
        }
        assert!(bounds[5][0] >= 1.0 / 15.0 && bounds[5][1] <= 3.0, "{:?}", bounds[5]);
        assert!(aslant[0] >= 1.0 / 2.3 && aslant[1] <= 2.3, "{aslant:?}");
    }

    /// The floor likewise, per mm of edge; over the 2 t of its block the part's own plane stretches and its plate bends.
    #[test]
    fn the_floor_against_solid_elements() {
        let text = include_str!("../../tests/data/mechanics/root_give_floor.csv");
        let mut bounds = [[f64::INFINITY, 0.0f64]; 3];
        for (name, v) in text.lines().skip(1).map(row) {
            let (degrees, span, h, t) = (v[0], v[1], v[2], v[3]);
            // A last pass this deep is no longer shallow.
            if h > 0.8 {
                continue;
            }
            let [e, g] = moduli(name, degrees);
            let bare =
                [e * h / span, KAPPA * g * h / span, guided(e, g, h.powi(3) / 12.0, h, span)];
            let parts_own = [2.0 / e, 2.0 / g, 32.0 / e];
            let ours = Stiffness::floor(e, g, [1.0, h], span, t);
            for i in 0..3 {
                let ratio = ours[i] * (1.0 / (bare[i] * v[4 + i]) - parts_own[i]);
                bounds[i] = [bounds[i][0].min(ratio), bounds[i][1].max(ratio)];
            }
        }
        eprintln!("floor, ours over the elements': {bounds:.2?}");
        for (b, stated) in bounds.iter().zip([1.3, 1.45, 4.5]) {
            assert!(b[0] >= 1.0 / stated && b[1] <= stated, "{b:?}, stated {stated}");
        }
    }

    /// MDF splits through its thickness (EN 319's internal bond, 0.65 MPa by EN 622-5): a lift of V on a tab 4 wide over 3.175 mm
    /// is V/(4 x 3.175) there, so it bears 8.255 N; in shear alone 26 N, in bending 21.7 N.
    #[test]
    fn mdf_parts_through_its_thickness() {
        let mdf = find_material("mdf", 6.0).unwrap();
        let tab = Tab {
            at: point(0.0, 0.0),
            out: point(1.0, 0.0),
            width: 4.0,
            height: 1.5,
            ring: 0,
            waste: false,
        };
        let beam = Beam::new(&tab, mdf, None, 3.175, 6.0);
        let lift = TabForces { lift: 1.0, ..TabForces::default() };
        close(beam.ratios(&lift, 1.0).shear, 0.65 * 4.0 * 3.175, 1e-9);
        close(beam.ratios(&lift, 1.0).normal, 23.0 * 4.0 * 2.25 / 6.0 / 1.5875, 1e-6);
    }

    /// Torsion of a rectangle 2:1 (Timoshenko & Goodier, table in art. 109): T = 0.229 G a b^3 turn, greatest stress
    /// T/(0.246 a b^2).
    #[test]
    fn a_tab_in_torsion() {
        let acrylic = find_material("acrylic", 6.0).unwrap();
        let tab = Tab {
            at: point(0.0, 0.0),
            out: point(1.0, 0.0),
            width: 4.0,
            height: 2.0,
            ring: 0,
            waste: false,
        };
        let beam = Beam::new(&tab, acrylic, None, 3.175, 6.0);
        let turned = TabForces { twist: 1.0, ..TabForces::default() };
        let torque = 0.246 * 4.0 * 4.0 * acrylic.shear;
        close(beam.ratios(&turned, 1.0).shear / torque, 1.0, 0.05);
        let spring = 0.229 * acrylic.shear_modulus * 4.0 * 8.0 / 3.175;
        close(beam.stiffness.twist / spring, 1.0, 0.005);
    }

    /// Case B1: cantilever of length 20 under 10 N, b 6, h 3: 22.2222 MPa at the root.
    #[test]
    fn root_stress_of_case_b1() {
        // In the plane a tab 6 wide and 3 high: 6 P L / (h w^2) = 11.1111; out of it 6 P L / (w h^2) = 22.2222.
        let maple = find_material("hard maple", 6.0).unwrap();
        let tab = Tab {
            at: point(0.0, 0.0),
            out: point(1.0, 0.0),
            width: 6.0,
            height: 3.0,
            ring: 0,
            waste: false,
        };
        let beam = Beam::new(&tab, maple, Some(0.0), 3.175, 6.0);
        let in_plane = TabForces { bend: point(20.0, 0.0), ..TabForces::default() };
        close(109.0 / beam.ratios(&in_plane, 10.0).normal, 11.1111, 1e-4);
        let out = TabForces { bend_out: 20.0, ..TabForces::default() };
        close(109.0 / beam.ratios(&out, 10.0).normal, 22.2222, 1e-4);
    }

    /// Ultimate loads of a maple tab 4 x 1.5 over 3.175, built in and guided, by hand from 109, 5.8 and 16.1 MPa:
    /// in-plane 274.6 N bending and 64.4 N shear along the grain, 14.6 N across; out of plane 103.0 and 5.5 N.
    #[test]
    fn maple_tab_along_and_across() {
        let mut maple = find_material("hard maple", 6.0).unwrap().clone();
        maple.tension_across = 5.8;
        let tab = Tab {
            at: point(0.0, 0.0),
            out: point(1.0, 0.0),
            width: 4.0,
            height: 1.5,
            ring: 0,
            waste: false,
        };
        let along = Beam::new(&tab, &maple, Some(0.0), 3.175, 6.0);
        let across = Beam::new(&tab, &maple, Some(std::f64::consts::FRAC_PI_2), 3.175, 6.0);
        let side = TabForces { shear: point(1.0, 0.0), ..TabForces::default() };
        close(along.ratios(&side, 1.0).normal, 274.6, 0.05);
        close(along.ratios(&side, 1.0).shear, 64.4, 0.05);
        close(across.ratios(&side, 1.0).normal, 14.6, 0.05);
        let lift = TabForces { lift: 1.0, ..TabForces::default() };
        close(along.ratios(&lift, 1.0).normal, 103.0, 0.05);
        close(across.ratios(&lift, 1.0).normal, 5.5, 0.05);
        let pull = TabForces { axial: point(1.0, 0.0), ..TabForces::default() };
        close(along.ratios(&pull, 1.0).normal, 654.0, 0.05);
        close(across.ratios(&pull, 1.0).normal, 34.8, 0.05);
    }

    /// A square's torsion constant is 0.1406 a^4, of 2:1 0.2287 a b^3 x 2 (Timoshenko & Goodier, table in art. 109).
    #[test]
    fn torsion_constants() {
        close(torsion_constant(1.0, 1.0), 0.1406, 0.001);
        close(torsion_constant(2.0, 1.0), 0.229 * 2.0, 0.002);
    }
}
