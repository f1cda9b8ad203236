//! A first plan, soon: a whole job then has a layout to show, and to keep if it is stopped, before the best plans are found.
//!
//! The same judge makes the same demands as for any plan, but this is not the fewest tabs: they are the highest and widest ones at
//! the shallowest last pass, at the best places of the rigid part. The elastic part, on a coarser mesh and so with a reserve,
//! decides whether they hold. If not, a skin or tape.

use super::fallback::{on_skin, on_tape, without_tabs};
use super::none::nothing;
use super::tabs::on_tabs;
use crate::hold::check::piece::Detail;
use crate::hold::check::planner::{Care, Planner};
use crate::hold::methods::hold_plan::HoldPlan;
use crate::hold::search::ladder::{depths, heights};
use crate::layout::{Because, Why};

/// Fewer triangles: movement is off by up to 4 % (90th percentile), against 1.5 % on the usual mesh.
pub const EFFORT: Care = Care { triangles: 350.0, compare: false };
/// Least margin, to allow for the coarser mesh.
const RESERVE: f64 = 1.05;
/// Most tabs.
const MOST: usize = 4;

/// The first set of tabs that holds the piece, else a skin, else tape.
pub fn first(planner: Planner) -> HoldPlan {
    let planner = &planner;
    let depth = depths(planner.task).last().copied().unwrap_or(0.2);
    let height = heights(planner.task.thickness).last().copied().unwrap_or(depth).max(depth);
    let widest = planner.widths().last().copied().unwrap_or(1.0);
    for count in 2..=MOST {
        let picks = planner.search(height, depth, Detail::First, |s| s.best(count, widest));
        let tabs = planner.placed(&picks.unwrap_or_default(), height);
        if tabs.is_empty() {
            break;
        }
        if let Some(figures) = planner.figures(&tabs, depth, RESERVE) {
            let mut plan = on_tabs(planner, &tabs, figures, vec![], vec![]);
            if let Some(why) = &mut plan.hold.reason {
                why.because = Because::Stopped;
            }
            return plan;
        }
    }
    let (bare, why) = (nothing(planner.load, Because::Stopped), Why::because(Because::Stopped));
    on_skin(planner, &why, &bare)
        .or_else(|| on_tape(planner, &why, &bare))
        .unwrap_or_else(|| without_tabs(planner, vec![]))
}
