//! A skin: a thin floor left under the whole kerf.

use crate::geometry::{Point, Vector, point};
use crate::hold::check::planner::Planner;
use crate::hold::model::staged::{Station, stations};
use crate::mechanics::{Frame, Springs, dot, line_angle, tab_strength};

/// Depth of the pass that leaves the skin, mm: shallow, so that the skin carries little (common practice, no source).
const SKIN_PASS: f64 = 0.4;
/// Skins tried, mm (0.1 to 0.5 is common practice, no source; thinner than 0.2 needs a bed flatter than most).
const SKINS: [f64; 5] = [0.2, 0.3, 0.4, 0.5, 0.6];
/// Required ratio of mean strength to stress in the skin.
const SAFETY_SKIN: f64 = 2.0;

/// A skin that holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Skin {
    /// Its thickness, mm.
    pub thickness: f64,
    /// Depth of the pass that leaves it, mm.
    pub depth: f64,
    /// Worst load, N.
    pub load: f64,
    /// Ratio of mean strength to stress at the worst load.
    pub safety: f64,
    /// Movement at the bit, mm.
    pub movement: f64,
    /// Force per mm of edge that breaks it out from below, N/mm.
    pub break_out: f64,
}

/// The thinnest skin that holds the piece; `None` where none up to 0.6 mm (or a third of the sheet) does.
///
/// The model is the rigid part on the skin's springs all round, loaded at every station: the skin's line force over its thickness,
/// in tension, shear and bending by the lift, against strengths by grain. A skin breaks out when its edge cracks in bending: q =
/// sigma s^2 / (3 D) per mm, built in at both sides of the kerf.
pub fn skin(planner: &Planner) -> Option<Skin> {
    let task = planner.task;
    let depth = SKIN_PASS.min(task.bit.pass_depth).min(task.thickness / 2.0);
    let load = planner.load.worst(depth);
    let positions = planner.contour.spaced(task.bit.diameter.max(0.5), 12, 400);
    SKINS.into_iter().filter(|s| *s <= task.thickness / 3.0).find_map(|thickness| {
        let mut worst: Option<Skin> = None;
        for &grain in &planner.grains {
            let around = stations(
                &planner.contour,
                &positions,
                thickness,
                task.bit.diameter,
                task.sheet(grain),
            );
            let (safety, movement, break_out) =
                skin_figures(planner, &around, thickness, grain, load)?;
            if worst.as_ref().is_none_or(|w| safety < w.safety) {
                worst = Some(Skin { thickness, depth, load, safety, movement, break_out });
            }
        }
        worst.filter(|w| w.safety >= SAFETY_SKIN)
    })
}

fn skin_figures(
    planner: &Planner,
    around: &[Station],
    s: f64,
    grain: Option<f64>,
    load: f64,
) -> Option<(f64, f64, f64)> {
    let kerf = planner.task.bit.diameter;
    let frame = Frame { origin: planner.contour.point(0.0), size: planner.contour.length() / 4.0 };
    let (mut plane, mut out) = (Springs::default(), Springs::default());
    for t in around {
        plane.add(t.floor[0], &frame.along(t.at, t.out));
        plane.add(t.floor[1], &frame.along(t.at, t.out.perp()));
        out.add(t.floor[2], &frame.rise(t.at));
    }
    let (plane, out) = (plane.inverse()?, out.inverse()?);
    let (mut safety, mut movement, mut weakest) = (f64::INFINITY, 0.0f64, f64::INFINITY);
    for bit in around {
        let [ux, uy] =
            [point(1.0, 0.0), point(0.0, 1.0)].map(|d| plane.times(&frame.along(bit.at, d)));
        let uz = out.times(&frame.rise(bit.at)).map(|v| v * planner.load.lift);
        let moved = |d: Point| {
            point(dot(&frame.along(bit.at, d), &ux), dot(&frame.along(bit.at, d), &uy)).norm()
        };
        let rise = dot(&frame.rise(bit.at), &uz);
        movement = movement.max(
            load * (moved(point(1.0, 0.0)).powi(2) + moved(point(0.0, 1.0)).powi(2) + rise * rise)
                .sqrt(),
        );
        for t in around {
            let strength = tab_strength(
                planner.task.material,
                grain.map_or(0.0, |g| line_angle(t.out.y.atan2(t.out.x), g)),
            );
            let line = |d: Point, k: f64| {
                let row = frame.along(t.at, d);
                load * k / t.share * point(dot(&row, &ux), dot(&row, &uy)).norm()
            };
            let up = load * t.floor[2] / t.share * dot(&frame.rise(t.at), &uz).abs();
            let sigma = line(t.out, t.floor[0]) / s + 3.0 * up * kerf / (s * s);
            let tau = 1.5 * (line(t.out.perp(), t.floor[1]) + up) / s;
            safety = safety.min(strength.normal / sigma).min(strength.shear / tau);
            weakest = weakest.min(strength.normal * s * s / (3.0 * kerf));
        }
    }
    Some((safety, movement, weakest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Contour, Ring, Shape};
    use crate::hold::task::HoldTask;

    /// A disc on a skin under a straight bit, by statics: springs kn and kt per mm of edge resist a shift with pi R (kn + kt) and a
    /// rotation with 2 pi R^3 kt. A force F at its edge pulls the skin there by kn F/(pi R (kn + kt)) per mm at most. The material
    /// is so weak in tension that this decides (5 MPa with the notch, against 55 in shear).
    #[test]
    fn a_disc_on_its_skin() {
        let mut acrylic = crate::job::find_material("acrylic", 3.0).unwrap().clone();
        (acrylic.bending, acrylic.tension_across) = (10.0, 10.0);
        let bit = crate::job::Bit {
            name: "1/8 in".into(),
            diameter: 3.175,
            flutes: 1,
            spiral: crate::job::Spiral::Straight,
            helix: 0.0,
            pass_depth: 1.5,
            feed: 1000.0,
            rpm: 16_000.0,
            allowance: crate::layout::ALLOWANCE,
        };
        let r = 30.0;
        let ring = Ring(
            (0..400)
                .map(|i| point(r, 0.0).turned(std::f64::consts::TAU * f64::from(i) / 400.0))
                .collect(),
        );
        let (shape, holding) = (Shape::new(ring, vec![]), crate::job::Holding::default());
        let task = HoldTask {
            shape: &shape,
            thickness: 3.0,
            material: &acrylic,
            grain: &[],
            bit: &bit,
            holding: &holding,
            by: Default::default(),
            features: &[],
            tab_free: &[],
            chords: None,
            landing_ok: None,
            bodies: None,
        };
        let contour = Contour::new(&shape.outline).unwrap();
        let planner = Planner::new(&task, contour, 0, &[]);
        let found = skin(&planner).unwrap();
        let s = found.thickness;
        let force = 1.5 * found.depth * (160.0 * 0.0625 + 1.5);
        let kn = 3000.0 * s / (3.175 + 3.7 * (s * 3.0f64).sqrt());
        let kt = 5.0 / 6.0 * 1110.0 * s / (3.175 + 2.5 * s);
        let pull = kn * force / (std::f64::consts::PI * r * (kn + kt)) / s;
        assert!(
            (found.safety * pull / 5.0 - 1.0).abs() < 0.01,
            "{found:?}: by hand {}",
            5.0 / pull
        );
        assert!((found.load / force - 1.0).abs() < 1e-12);
    }
}
