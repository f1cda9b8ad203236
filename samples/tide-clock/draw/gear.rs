//! Involute spur gears as a round bit can cut them.
//!
//! The tooth space is the envelope of a rack (Litvin & Fuentes, *Gear Geometry and Applied Theory*: a
//! point of the rack touches the gear when its normal passes through the pitch point; from memory).
//! The rack's tooth ends in a full round of [`ROOT_RADIUS`], so that no root is tighter than a 1/16 in
//! bit. Small pinions are shifted outwards by just what avoids undercut, their wheels inwards by the
//! same, so every pair still runs at a centre distance of m (z1 + z2) / 2.

use super::path::{Loop, P};
use std::f64::consts::{PI, TAU};

/// Module, mm.
pub const MODULE: f64 = 1.5;
/// Pressure angle, radians.
pub const PRESSURE_ANGLE: f64 = 20.0 * PI / 180.0;
/// Addendum in modules: stub teeth, stiffer in wood, and shallow enough for a round root.
pub const ADDENDUM: f64 = 0.8;
/// Play between the flanks of a pair along the pitch circle, mm; wood moves with the weather.
pub const BACKLASH: f64 = 0.2;
/// Radius of the rack's tip, mm: a 1/16 in bit (0.794 mm) passes.
pub const ROOT_RADIUS: f64 = 0.83;

/// Shift in modules that keeps a pinion of `teeth` from being undercut; 0 from 15 teeth on.
pub fn shift(teeth: usize) -> f64 {
    (0.84 - teeth as f64 * PRESSURE_ANGLE.sin().powi(2) / 2.0).max(0.0)
}

/// Centre distance of a pair, mm.
pub fn centre_distance(a: usize, b: usize) -> f64 {
    MODULE * (a + b) as f64 / 2.0
}

/// The rim of a gear about the origin, a tooth space centred on +y; `shift` in modules.
pub fn rim(teeth: usize, shift: f64) -> Loop {
    let pitch = MODULE * teeth as f64 / 2.0;
    let space = half_space(pitch, shift);
    let step = TAU / teeth as f64;
    let mut points = vec![];
    for tooth in 0..teeth {
        // y down: turning each space by the tooth's angle keeps them in order round the rim.
        let angle = step * tooth as f64;
        points.extend(space.iter().rev().map(|p| P(-p.0, p.1).turned(-angle)));
        points.extend(space.iter().skip(1).map(|p| p.turned(-angle)));
        // The tip is an arc: one point in its middle is enough (chord error below 5 µm).
        let tip = space[space.len() - 1];
        points.push(P(0.0, tip.norm()).turned(-angle - step / 2.0));
    }
    Loop::polygon(&points)
}

/// Half a tooth space from the middle of its root to the tip, on the +x side of +y.
fn half_space(pitch: f64, shift: f64) -> Vec<P> {
    let (sin, cos) = PRESSURE_ANGLE.sin_cos();
    let tan = sin / cos;
    let half = PI * MODULE / 4.0 + BACKLASH / 4.0;
    // The rack's reference line lies `shift` modules outside the pitch circle; depths below it.
    let tip_centre = (half - ROOT_RADIUS / cos) / tan;
    let tangent = tip_centre + ROOT_RADIUS * sin;
    let v = |depth: f64| shift * MODULE - depth;
    assert!(v(tangent) >= -pitch * sin * sin, "the rack would undercut this gear");
    const ROOT_STEPS: usize = 4;
    // A small pinion's flank is the more curved: chord error below 5 µm for both.
    let flank_steps = if pitch < 10.0 * MODULE { 8 } else { 5 };
    let mut points = vec![];
    for i in 0..ROOT_STEPS {
        let t = PI / 2.0 + (PRESSURE_ANGLE - PI / 2.0) * i as f64 / ROOT_STEPS as f64;
        let along = ROOT_RADIUS * t.cos();
        let out = v(tip_centre) - ROOT_RADIUS * t.sin();
        points.push(generated(along, out, P(t.cos(), -t.sin()), pitch));
    }
    let flank = |depth: f64| generated(half - depth * tan, v(depth), P(cos, -sin), pitch);
    let tip = pitch + (ADDENDUM + shift) * MODULE;
    // The flank reaches the tip radius where bisection says; radius grows as depth falls.
    let (mut low, mut high) = (tangent, tangent - 6.0 * MODULE);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if flank(middle).norm() < tip { low = middle } else { high = middle }
    }
    // Closer together near the base circle, where an involute bends most.
    let ease = |i: usize| (i as f64 / flank_steps as f64).powf(1.3);
    points.extend((0..=flank_steps).map(|i| flank(tangent + (low - tangent) * ease(i))));
    points
}

/// The gear's point that touches the rack's point `(along, out)` with that normal.
fn generated(along: f64, out: f64, normal: P, pitch: f64) -> P {
    let travel = out * normal.0 / normal.1 - along;
    P(along + travel, pitch + out).turned(travel / pitch)
}

/// A ratchet of `teeth` saw teeth, `depth` deep, its roots eased to `root`.
pub fn ratchet(teeth: usize, radius: f64, depth: f64, root: f64) -> Loop {
    let step = TAU / teeth as f64;
    let o = P(0.0, 0.0);
    let mut corners = vec![];
    for i in 0..teeth {
        let a = step * i as f64;
        corners.push((o.polar(radius, a), 0.25));
        corners.push((o.polar(radius - depth, a + step * 0.08), root));
    }
    Loop::rounded(&corners)
}
