//! Holding bridges: tabs of the sheet's full thickness, for pieces that ordinary tabs cannot hold.
//!
//! Both passes are open at a bridge, so it stands from the bed to the top and is sawn off at the end. It is judged as any tab
//! (Timoshenko beam over the kerf, its section the width times the whole thickness) by the same demands, with two more: it is sawn,
//! never snapped, and sawing is demanded; and a single bridge must bear the cut with half of its width lost, as a set of tabs does
//! with one lost.
//!
//! The round bit tapers it: between the ends of a gap of w + D it is w wide half-way across the kerf and widens towards the
//! skeleton and the part, by up to D. It is judged, and measured in the simulated cut, at its narrowest. A bridge of 10 mm or more
//! is a spur: a strip of extra stock to be trimmed.
//!
//! Bridges are tried only where ordinary tabs fail, so parts that tabs hold cost no extra time.

use super::tabs::with_tabs;
use crate::hold::check::planner::Planner;
use crate::hold::methods::hold_plan::HoldPlan;
use crate::hold::search::by_count::best_of_count;
use crate::hold::search::ladder::depths;
use crate::hold::search::tried::Tried;
use crate::layout::Why;

/// Widths tried, mm: a saw needs 2 mm to follow (common practice, no source), and a bridge wider than 20 mm is none.
const WIDTHS: [f64; 11] = [2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0];
/// The greatest share of the outline that one bridge may take: its stretch must be finished by hand (estimate).
const SHARE: f64 = 0.2;

/// The plan on two holding bridges or, where there is room for only one, on that; `None` where they do not meet every demand. Each
/// set that was judged is added to `tried`.
///
/// Clean sites first, then cramped ones, where the gap of the passes reaches round a corner.
pub fn on_bridges(planner: &Planner, reason: &Why, tried: &mut Vec<Tried>) -> Option<HoldPlan> {
    let (kerf, thickness) = (planner.task.bit.diameter, planner.task.thickness);
    let most = SHARE * planner.contour.length();
    let least = planner.task.holding.min_width;
    let widths: Vec<f64> = WIDTHS.into_iter().filter(|w| *w >= least && *w <= most).collect();
    let depths = depths(planner.task);
    for (beside, count) in [(kerf, 2), (kerf, 1), (0.0, 2), (0.0, 1)] {
        let planner = planner.bridging(&widths, beside);
        let found = best_of_count(&planner, count, &[thickness], &depths, tried);
        let Some(found) = found.filter(|f| f.figures.holds()) else { continue };
        let mut plan = with_tabs(&planner, found, std::mem::take(tried));
        if let Some(why) = &mut plan.hold.reason {
            (why.because, why.no_skin) = (reason.because.clone(), reason.no_skin);
        }
        return Some(plan);
    }
    None
}
