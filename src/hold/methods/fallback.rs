//! Where tabs cannot hold a part: holding bridges, a skin under the kerf, or tape under the face.

use super::bridges::on_bridges;
use super::none::nothing;
use super::reasons;
use super::skin::skin;
use super::tape::tape;
use crate::geometry::{Point, Vector};
use crate::hold::check::planner::Planner;
use crate::hold::check::turn::{SPUR_PASS, spur_width};
use crate::hold::methods::hold_plan::HoldPlan;
use crate::hold::search::ladder::depths;
use crate::hold::search::tried::Tried;
use crate::layout::{Governs, Hold, Method, WarningKind, Why};

/// A piece smaller than this across goes under a fingertip, mm (common practice, no source).
const UNDER_A_FINGERTIP: f64 = 20.0;

/// The plan of a part that no ordinary tabs hold: holding bridges, skin, tape or no hold.
///
/// For a piece under a fingertip bridges come first, if they meet every demand: a skin leaves the maker with a piece too small to
/// grip and a flash all round it, while on bridges the sheet remains its handle until it is sanded. For larger pieces a skin comes
/// first, since it needs a knife and no saw, and lets nothing move.
pub fn without_tabs(planner: &Planner, tried: Vec<Tried>) -> HoldPlan {
    let because = reasons::why_no_tabs(planner, &tried);
    let reason = Why::because(because.clone());
    let mut plan = nothing(planner.load, because.clone());
    plan.tried = tried;
    let small = is_under(planner.contour.points(), UNDER_A_FINGERTIP);
    if small && let Some(plan) = on_bridges(planner, &reason, &mut plan.tried) {
        return plan;
    }
    if let Some(plan) = on_skin(planner, &reason, &plan) {
        return plan;
    }
    let reason = Why { no_skin: true, ..reason };
    if !small && let Some(plan) = on_bridges(planner, &reason, &mut plan.tried) {
        return plan;
    }
    if let Some(plan) = on_tape(planner, &reason, &plan) {
        return plan;
    }
    let spur_mm = spur_width(planner.task, &planner.load);
    plan.warnings.push(WarningKind::NothingHolds { because, spur_mm, spur_pass_mm: SPUR_PASS });
    plan
}

/// `plan` on a skin, if one holds.
pub fn on_skin(planner: &Planner, reason: &Why, plan: &HoldPlan) -> Option<HoldPlan> {
    let skin = skin(planner)?;
    let hold = Hold {
        method: Method::Skin,
        reason: Some(Why { break_out_n_per_mm: Some(skin.break_out), ..reason.clone() }),
        limited_by: Some(Governs::Skin),
        load_n: skin.load,
        last_pass: skin.depth,
        safety: skin.safety,
        movement_mm: skin.movement,
        skin_mm: Some(skin.thickness),
        ..plan.hold.clone()
    };
    Some(HoldPlan { hold, ..plan.clone() })
}

/// `plan` on tape, if tape holds.
pub fn on_tape(planner: &Planner, reason: &Why, plan: &HoldPlan) -> Option<HoldPlan> {
    let tape = tape(planner, planner.task.shape, &depths(planner.task))?;
    let hold = Hold {
        method: Method::Tape,
        reason: Some(Why { tape_mm2: Some(tape.area), ..reason.clone() }),
        limited_by: Some(Governs::Tape),
        load_n: tape.load,
        last_pass: tape.depth,
        safety: tape.safety,
        ..plan.hold.clone()
    };
    Some(HoldPlan { hold, ..plan.clone() })
}

/// Whether all points are less than `size` mm apart.
fn is_under(points: &[Point], size: f64) -> bool {
    points.iter().enumerate().all(|(i, p)| points[..i].iter().all(|q| p.distance(*q) < size))
}
