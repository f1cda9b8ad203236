//! Where tabs cannot do it: holding bridges, a skin under the kerf, or tape under the face.

use super::bridges::on_bridges;
use super::none::nothing;
use super::skin::skin;
use super::tape::tape;
use super::words;
use crate::geometry::{Point, Vector};
use crate::hold::check::planner::Planner;
use crate::hold::check::turn::spur_width;
use crate::hold::methods::hold_plan::HoldPlan;
use crate::hold::search::ladder::depths;
use crate::hold::search::tried::Tried;
use crate::layout::{Hold, Method};

/// A piece less than this across goes under a fingertip, mm (common practice, no source).
const UNDER_A_FINGERTIP: f64 = 20.0;

/// The plan of a part that no ordinary tabs hold: holding bridges, skin, tape or a plain no.
///
/// Under a fingertip bridges come first, if they meet every demand: a skin leaves the maker with a piece too small to
/// grip and a flash all round it, while on its bridges the sheet stays its handle until it is sanded. Of larger pieces a
/// skin comes first, since it wants a knife and no saw, and lets nothing move.
pub fn without_tabs(planner: &Planner, tried: Vec<Tried>) -> HoldPlan {
    let reason = words::why_no_tabs(planner, &tried);
    let mut plan = nothing(planner.load, &reason);
    plan.tried = tried;
    let small = is_under(planner.contour.points(), UNDER_A_FINGERTIP);
    if small && let Some(plan) = on_bridges(planner, &reason, &mut plan.tried) {
        return plan;
    }
    if let Some(plan) = on_skin(planner, &reason, &plan) {
        return plan;
    }
    let reason = format!("{reason}; no skin holds it either");
    if !small && let Some(plan) = on_bridges(planner, &reason, &mut plan.tried) {
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

/// Whether no two points are `size` mm apart.
fn is_under(points: &[Point], size: f64) -> bool {
    points.iter().enumerate().all(|(i, p)| points[..i].iter().all(|q| p.distance(*q) < size))
}
