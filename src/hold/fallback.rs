//! Where tabs cannot do it: holding bridges, a skin under the kerf, or tape under the face.

use super::advice::spur_width;
use super::bridge::on_bridges;
use super::choose::{nothing, planned};
use super::chord::Chord;
use super::ladder::depths;
use super::planner::Planner;
use super::rigid::{Frame, Springs, dot};
use super::staged::{Station, stations};
use super::strength::{line_angle, tab_strength};
use super::{HoldPlan, HoldTask, Tried, words};
use crate::geometry::{Point, Shape, Vector, point};
use crate::layout::{Hold, Method};

/// Depth of the pass that leaves the skin, mm: shallow, so that the skin carries little (common practice, no source).
const SKIN_PASS: f64 = 0.4;
/// Skins tried, mm (0.1 to 0.5 is common practice, no source; thinner than 0.2 needs a bed flatter than most).
const SKINS: [f64; 5] = [0.2, 0.3, 0.4, 0.5, 0.6];
/// Least ratio of mean strength to stress in the skin.
const SAFETY_SKIN: f64 = 2.0;
/// Holding of double-sided tape in shear, MPa (common practice, no source; makers' data run 0.1 to 0.3).
const TAPE_SHEAR: f64 = 0.10;
/// The same against pull and peel, MPa (common practice, no source).
const TAPE_PULL: f64 = 0.05;
/// Least ratio of the tape's strength to its stress.
const SAFETY_TAPE: f64 = 3.0;

/// A piece less than this across goes under a fingertip, mm (common practice, no source).
const UNDER_A_FINGERTIP: f64 = 20.0;

/// The plan of a part that no ordinary tabs hold: holding bridges, skin, tape or a plain no.
///
/// Under a fingertip bridges come first, if they meet every demand: a skin leaves the maker with a piece too small to
/// grip and a flash all round it, while on its bridges the sheet stays its handle until it is sanded. Of larger pieces a
/// skin comes first, since it wants a knife and no saw, and lets nothing move.
pub fn without_tabs(planner: &mut Planner, tried: Vec<Tried>, sections: &[Chord]) -> HoldPlan {
    let reason = words::why_no_tabs(planner, &tried);
    let mut plan = nothing(planner.load, &reason);
    plan.tried = tried;
    let small = is_under(planner.contour.points(), UNDER_A_FINGERTIP);
    if small && let Some(plan) = on_bridges(planner, &reason, &mut plan.tried, sections) {
        return plan;
    }
    if let Some(plan) = on_skin(planner, &reason, &plan) {
        return plan;
    }
    let reason = format!("{reason}; no skin holds it either");
    if !small && let Some(plan) = on_bridges(planner, &reason, &mut plan.tried, sections) {
        return plan;
    }
    if let Some(plan) = on_tape(planner, &reason, &plan) {
        return plan;
    }
    let spur = spur_width(planner.task, &planner.load);
    plan.warnings.push(format!(
        "nothing holds it while it is cut: {reason}; {} (a full-thickness spur {spur:.0} mm wide bears a last pass of 0.2 mm)",
        words::CARRIER
    ));
    plan
}

/// `plan` on a skin, if one holds.
pub fn on_skin(planner: &Planner, reason: &str, plan: &HoldPlan) -> Option<HoldPlan> {
    let skin = skin(planner)?;
    let hold = Hold {
        method: Method::Skin,
        why: words::why_skin(reason, &skin),
        governs: "the skin's weakest direction".into(),
        load_n: skin.load,
        last_pass: skin.depth,
        safety: skin.safety,
        movement_mm: skin.movement,
        skin_mm: Some(skin.thickness),
        ..plan.hold.clone()
    };
    Some(HoldPlan { hold, ..plan.clone() })
}

/// `plan` on tape, if that holds.
pub fn on_tape(planner: &Planner, reason: &str, plan: &HoldPlan) -> Option<HoldPlan> {
    let tape = tape(planner, planner.task.shape, &depths(planner.task))?;
    let hold = Hold {
        method: Method::Tape,
        why: words::why_tape(reason, &tape),
        governs: "the tape under the part".into(),
        load_n: tape.load,
        last_pass: tape.depth,
        safety: tape.safety,
        ..plan.hold.clone()
    };
    Some(HoldPlan { hold, ..plan.clone() })
}

/// The plan of a part on tape, for the `reason` that tabs and a skin are none; `None` where tape does not hold it.
pub fn plan_on_tape(task: &HoldTask, reason: &str) -> Option<HoldPlan> {
    let plan = planned(task, |planner, _| {
        let plan = nothing(planner.load, reason);
        on_tape(planner, reason, &plan).unwrap_or(plan)
    });
    (plan.hold.method == Method::Tape).then_some(plan)
}

/// Whether no two points are `size` mm apart.
fn is_under(points: &[Point], size: f64) -> bool {
    points.iter().enumerate().all(|(i, p)| points[..i].iter().all(|q| p.distance(*q) < size))
}

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
    /// Force a mm of edge that breaks it out from below, N/mm.
    pub break_out: f64,
}

/// The thinnest skin that holds the piece; `None` where none up to 0.6 mm (or a third of the sheet) does.
///
/// The rigid part on the skin's springs all round, loaded at every station: the skin's own line force over
/// its thickness, in tension, shear and bending by the lift, against strengths by grain. A skin breaks out
/// when its edge cracks in bending: q = sigma s^2 / (3 D) a mm, built in at both sides of the kerf.
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
                task.thickness,
                task.material,
                grain,
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

/// Tape under the whole face.
#[derive(Debug, Clone, PartialEq)]
pub struct Tape {
    /// Area it holds, mm^2.
    pub area: f64,
    /// Depth of the last pass, mm.
    pub depth: f64,
    /// Worst load, N.
    pub load: f64,
    /// Ratio of its strength to its stress at the worst load.
    pub safety: f64,
}

/// Tape under the part's whole face at the deepest last pass (not under 0.2 mm) at which it holds.
///
/// Shear F/A + F r r_max/J, and pull of the lift F_z/A (1 + r r_max A / I) with the least second moment, each
/// against the tape's own; both uses add.
pub fn tape(planner: &Planner, shape: &Shape, depths: &[f64]) -> Option<Tape> {
    let area = shape.net_area();
    let moments = Moments::of(shape)?;
    let reach = shape.outline.0.iter().map(|p| p.distance(moments.centre)).fold(0.0, f64::max);
    let shear = 1.0 / area + reach * reach / moments.polar;
    let pull = planner.load.lift * (1.0 / area + reach * reach / moments.least);
    let used = shear / TAPE_SHEAR + pull / TAPE_PULL;
    depths.iter().copied().find_map(|depth| {
        let load = planner.load.worst(depth);
        let safety = 1.0 / (load * used);
        (safety >= SAFETY_TAPE).then_some(Tape { area, depth, load, safety })
    })
}

struct Moments {
    centre: Point,
    polar: f64,
    least: f64,
}

impl Moments {
    /// Second moments of the net area about its centroid (Green's theorem over the rings).
    fn of(shape: &Shape) -> Option<Moments> {
        let o = shape.outline.centroid();
        let (mut a, mut x, mut y, mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        for s in shape.segments() {
            let (p, q) = (s.a - o, s.b - o);
            let c = p.cross(q);
            a += c / 2.0;
            x += (p.x + q.x) * c / 6.0;
            y += (p.y + q.y) * c / 6.0;
            xx += (p.x * p.x + p.x * q.x + q.x * q.x) * c / 12.0;
            yy += (p.y * p.y + p.y * q.y + q.y * q.y) * c / 12.0;
            xy += (p.x * q.y + 2.0 * p.x * p.y + 2.0 * q.x * q.y + q.x * p.y) * c / 24.0;
        }
        if a.is_nan() || a <= 0.0 {
            return None;
        }
        let (cx, cy) = (x / a, y / a);
        let (ix, iy, ixy) = (xx - a * cx * cx, yy - a * cy * cy, xy - a * cx * cy);
        let spread = (((ix - iy) / 2.0).powi(2) + ixy * ixy).sqrt();
        let least = (ix + iy) / 2.0 - spread;
        (least > 0.0).then_some(Moments { centre: o + point(cx, cy), polar: ix + iy, least })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;

    /// A disc on a skin under a straight bit, by statics: springs kn and kt a mm of edge hold it with pi R (kn + kt) against a shift and
    /// 2 pi R^3 kt against a turn. A force F at its edge pulls the skin there by kn F/(pi R (kn + kt)) a mm at most. Material made
    /// so weak in tension that this decides (5 MPa with the notch, against 55 in shear).
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
        let task = super::super::HoldTask {
            shape: &shape,
            thickness: 3.0,
            material: &acrylic,
            grain: &[],
            bit: &bit,
            holding: &holding,
            features: &[],
            tab_free: &[],
            chords: None,
            landing_ok: None,
            bodies: None,
        };
        let contour = super::super::Contour::new(&shape.outline).unwrap();
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

    /// Rectangle b h^3/12 and b^3 h/12 about its centre (any textbook).
    #[test]
    fn second_moments_of_a_rectangle() {
        let shape = Shape::new(Ring::rectangle(30.0, 10.0).moved(point(100.0, 50.0)), vec![]);
        let m = Moments::of(&shape).unwrap();
        assert!((m.least - 30.0 * 1000.0 / 12.0).abs() < 1e-6);
        assert!((m.polar - 300.0 * (900.0 + 100.0) / 12.0).abs() < 1e-6);
        assert!(m.centre.distance(point(115.0, 55.0)) < 1e-9);
    }
}
