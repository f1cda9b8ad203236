//! A tab as a short beam across the kerf: six stiffnesses and what breaks it.

use super::strength::{TabStrength, line_angle, modulus_at, tab_strength};
use crate::geometry::{Point, Vector};
use crate::job::Material;
use crate::layout::Tab;

/// Shear coefficient of a rectangle (Timoshenko beam).
pub const KAPPA: f64 = 5.0 / 6.0;

/// What the roots' own give leaves of a built-in beam's stiffness, against a solid model with its root
/// blocks (project's first study, +-15 %): in the sheet's plane, along the span, out of the plane.
const SOFT_IN: f64 = 0.5;
const SOFT_AXIAL: f64 = 0.35;
const SOFT_OUT: f64 = 0.3;

/// Least ratio of mean strength to stress at the worst load: bending and tension along the grain.
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

/// Saint-Venant torsion constant of a rectangle, mm^4 (Timoshenko & Goodier, art. 109; error under 0.5 %).
pub fn torsion_constant(a: f64, b: f64) -> f64 {
    let (long, short) = (a.max(b), a.min(b));
    let r = short / long;
    long * short.powi(3) * (1.0 / 3.0 - 0.21 * r * (1.0 - r.powi(4) / 12.0))
}

/// Springs of a bridge of stock across the kerf, acting at its middle: N/mm and N mm/rad.
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
    /// The bare beam, without the give of its roots.
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

    /// The beam with the give of its roots: x 0.35 along the span, x 0.5 in the plane, x 0.3 out of it.
    pub fn softened(self) -> Stiffness {
        Stiffness {
            axial: SOFT_AXIAL * self.axial,
            shear: SOFT_IN * self.shear,
            bend: SOFT_IN * self.bend,
            lift: SOFT_OUT * self.lift,
            bend_out: SOFT_OUT * self.bend_out,
            twist: SOFT_OUT * self.twist,
        }
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
    /// mm.
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
    /// What a unit of each force gives in stress.
    gives: Gives,
}

/// Stress of the section a unit of force or moment, per mm^2 and per mm^3.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Gives {
    force: f64,
    bend: f64,
    bend_out: f64,
    twist: f64,
    pull: f64,
}

impl Gives {
    fn new(width: f64, height: f64, span: f64) -> Gives {
        let (long, short) = (width.max(height), width.min(height));
        Gives {
            force: 1.0 / (width * height),
            bend: 6.0 / (height * width * width),
            bend_out: 6.0 / (width * height * height),
            twist: (3.0 + 1.8 * short / long) / (long * short * short),
            pull: 1.0 / (width * span),
        }
    }
}

/// What a tab carries at mid span: for a unit in-plane load as it turns (a vector of what it takes from
/// the load's x and y), and for the lift that goes with a unit load.
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
    /// The beam of `tab` in `material` whose grain makes `grain` with +x, across a kerf of `span` mm.
    pub fn new(tab: &Tab, material: &Material, grain: Option<f64>, span: f64) -> Beam {
        let to_grain = grain.map_or(0.0, |g| line_angle(tab.out.y.atan2(tab.out.x), g));
        let e = modulus_at(material, to_grain);
        let across = if grain.is_some() { to_grain.sin().powi(2) } else { 0.0 };
        Beam {
            root: tab.at,
            out: tab.out,
            width: tab.width,
            height: tab.height,
            span,
            stiffness: Stiffness::bare(e, material.shear_modulus, tab.width, tab.height, span)
                .softened(),
            strength: tab_strength(material, to_grain),
            required_normal: SAFETY_ALONG + (SAFETY_ACROSS - SAFETY_ALONG) * across,
            to_grain,
            gives: Gives::new(tab.width, tab.height, span),
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

    /// Case B1: cantilever of length 20 under 10 N, b 6, h 3: 22.2222 MPa at the root.
    #[test]
    fn root_stress_of_case_b1() {
        // In the plane a tab 6 wide and 3 high: 6 P L / (h w^2) = 11.1111; out of it 6 P L / (w h^2) = 22.2222.
        let maple = find_material("hard maple", 6.0).unwrap();
        let tab =
            Tab { at: point(0.0, 0.0), out: point(1.0, 0.0), width: 6.0, height: 3.0, ring: 0 };
        let beam = Beam::new(&tab, maple, Some(0.0), 3.175);
        let in_plane = TabForces { bend: point(20.0, 0.0), ..TabForces::default() };
        close(109.0 / beam.ratios(&in_plane, 10.0).normal, 11.1111, 1e-4);
        let out = TabForces { bend_out: 20.0, ..TabForces::default() };
        close(109.0 / beam.ratios(&out, 10.0).normal, 22.2222, 1e-4);
    }

    /// Ultimate loads of a maple tab 4 x 1.5 over 3.175, built in and guided (reference, section 5.1):
    /// in-plane 274.6 N bending and 64.4 N shear along the grain, 14.6 N across; out of plane 103.0 and 5.5 N.
    #[test]
    fn maple_tab_along_and_across() {
        let mut maple = find_material("hard maple", 6.0).unwrap().clone();
        maple.tension_across = 5.8;
        let tab =
            Tab { at: point(0.0, 0.0), out: point(1.0, 0.0), width: 4.0, height: 1.5, ring: 0 };
        let along = Beam::new(&tab, &maple, Some(0.0), 3.175);
        let across = Beam::new(&tab, &maple, Some(std::f64::consts::FRAC_PI_2), 3.175);
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
