//! Drop-outs: what an opening's cut leaves loose inside it.

use super::choose::hold_drop_out;
use super::contour::Contour;
use super::planner::Planner;
use super::{HoldPlan, HoldTask};
use crate::geometry::{Ring, Shape, shrink};

/// A drop-out in which a disc of this diameter fits is above a fingertip in size and could be thrown, mm
/// (common practice, no source).
pub const FINGERTIP: f64 = 12.0;

/// What is left inside an opening once its kerf is cut; the largest piece where it falls into several.
pub fn piece(opening: &Ring, kerf: f64) -> Option<Shape> {
    let inside = Shape::new(opening.clone().positive(), vec![]);
    let mut left = shrink(&[inside], kerf);
    left.sort_by(|a, b| b.net_area().total_cmp(&a.net_area()));
    left.into_iter().next()
}

/// Whether a piece is above a fingertip in size.
pub fn is_large(piece: &Shape) -> bool {
    !shrink(std::slice::from_ref(piece), FINGERTIP / 2.0).is_empty()
}

/// Adds tabs on the openings whose drop-outs are above a fingertip, at a last pass `depth` mm deep, and a warning where
/// none holds.
pub fn hold(task: &HoldTask, contours: &[Contour], depth: f64, plan: &mut HoldPlan) {
    for (i, opening) in task.shape.openings.iter().enumerate() {
        let ring = i + 1;
        let Some(piece) = piece(opening, task.bit.diameter).filter(is_large) else { continue };
        let planner = Planner::new(task, contours[ring].clone(), ring, &[]);
        match hold_drop_out(&planner, depth) {
            Some(tabs) => plan.hold.tabs.extend(tabs),
            None => {
                let c = piece.outline.centroid();
                plan.warnings.push(format!(
                    "the drop-out of opening {ring} at ({:.1}, {:.1}) mm is loose once cut: tape it, or clear the opening as a pocket",
                    c.x, c.y
                ));
            }
        }
    }
}
