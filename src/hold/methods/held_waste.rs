//! Drop-outs: loose waste inside an opening once it is cut.

use crate::geometry::{Contour, Ring, Shape, shrink};
use crate::hold::check::piece::Detail;
use crate::hold::check::planner::Planner;
use crate::hold::methods::hold_plan::HoldPlan;
use crate::hold::search::by_count::{EVENS, choose};
use crate::hold::search::ladder::heights;
use crate::hold::task::HoldTask;
use crate::layout::{Tab, WarningKind};

/// A drop-out in which a disc of this diameter fits is larger than a fingertip and could be thrown, mm (common practice, no
/// source).
pub const FINGERTIP: f64 = 12.0;

/// The waste inside an opening once its kerf is cut; the largest piece where it splits into several.
pub fn piece(opening: &Ring, kerf: f64) -> Option<Shape> {
    let inside = Shape::new(opening.clone().positive(), vec![]);
    let mut left = shrink(&[inside], kerf);
    left.sort_by(|a, b| b.net_area().total_cmp(&a.net_area()));
    left.into_iter().next()
}

/// Whether a piece is larger than a fingertip.
pub fn is_large(piece: &Shape) -> bool {
    !shrink(std::slice::from_ref(piece), FINGERTIP / 2.0).is_empty()
}

/// Adds tabs on the openings whose drop-outs are larger than a fingertip, at a last pass `depth` mm deep, and a warning where none
/// holds.
pub fn hold(task: &HoldTask, contours: &[Contour], depth: f64, plan: &mut HoldPlan) {
    for (i, opening) in task.shape.openings.iter().enumerate() {
        let ring = i + 1;
        let Some(piece) = piece(opening, task.bit.diameter).filter(is_large) else { continue };
        let planner = Planner::new(task, contours[ring].clone(), ring, &[]);
        match tabs(&planner, depth) {
            Some(tabs) => plan.hold.tabs.extend(tabs),
            None => {
                let c = piece.outline.centroid();
                plan.warnings.push(WarningKind::LooseDropOut { ring, at: [c.x, c.y] });
            }
        }
    }
}

/// Tabs that hold an opening's drop-out at the part's own last pass, `depth` mm; `None` where none do.
///
/// A drop-out is waste, so the fewest tabs that hold are taken, wherever they are: evenly spaced ones if those hold.
fn tabs(planner: &Planner, depth: f64) -> Option<Vec<Tab>> {
    let heights = heights(planner.task.thickness);
    let widest = planner.widths().last().copied().unwrap_or(1.0);
    for &height in heights.iter().filter(|h| **h >= depth - 1e-9) {
        for picks in planner.search(height, depth, Detail::Rigid, |s| s.even(2, widest, EVENS)) {
            let tabs = planner.placed(&picks, height);
            if planner.figures(&tabs, depth, 1.0).is_some() {
                return Some(tabs.into_iter().map(|t| t.tab).collect());
            }
        }
    }
    let found = choose(planner, &[depth], &mut vec![])?;
    Some(planner.placed(&found.picks, found.height).into_iter().map(|t| t.tab).collect())
}
