//! Waste beyond a part's outline that the part keeps: tabs for it.
//!
//! The part is the last to be cut of those round the piece. While its kerf is cut the bit pushes on the piece too, which then hangs
//! on nothing but these tabs and what is left of the floor; so the piece is judged as a rigid body on them, at the worst load, at
//! every place where the kerf runs along it. Their strength counts, and nothing else: waste may move.

use crate::geometry::{Contour, Point};
use crate::hold::check::planner::Planner;
use crate::hold::part::sites::{SeatedTab, apart};
use crate::hold::search::ladder::{depths, heights};
use crate::hold::task::HoldTask;
use crate::layout::{Hold, Tab};

/// Most tabs for one piece.
const MOST: usize = 4;
/// Most sites that are tried, evenly taken from those there are.
const SITES: usize = 12;

/// Tabs on a part's outline that keep a piece beyond it, in the part's frame, with their least margin: strength over what is
/// required at the worst load, 1 and more bears it. The fewest, and the narrowest, that bear it; else the strongest that were found.
///
/// The task's `landing_ok` says where a tab lands on the piece, `beside` which places of the kerf's far edge the piece
/// lies at. `None` where no tab has room. `hold` is the part's own hold, whose tabs keep their room.
pub fn keep_beyond(
    task: &HoldTask,
    hold: &Hold,
    beside: &dyn Fn(Point) -> bool,
) -> Option<(Vec<Tab>, f64)> {
    let contour = Contour::new(&task.shape.outline)?;
    let planner = Planner::beyond(task, contour, beside);
    let depth = if hold.last_pass > 0.0 { hold.last_pass } else { depths(task)[0] };
    // As high as the part's own tabs: no other upper pass.
    let own = hold.tabs.iter().filter(|t| t.ring == 0).map(|t| t.height);
    let height = own.fold(f64::INFINITY, f64::min);
    let height = if height.is_finite() { height } else { *heights(task.thickness).first()? };
    let start = hold.tabs.iter().find(|t| t.holds()).map_or(0.0, |t| planner.contour.nearest(t.at));
    let room = |s: f64, width: f64, tabs: &[SeatedTab]| {
        let apart = |at: f64, other: f64| {
            apart(&planner.contour, (s, width), (at, other), task.bit.diameter)
        };
        tabs.iter().all(|t| apart(t.s, t.tab.width))
    };
    let own: Vec<SeatedTab> = hold
        .tabs
        .iter()
        .filter(|t| t.ring == 0)
        .map(|t| SeatedTab::on(&planner.contour, t))
        .collect();
    let mut best: Option<(Vec<SeatedTab>, f64)> = None;
    for width in three(planner.widths()) {
        let wide = planner.sites().iter().filter(|s| s.width >= width && room(s.s, width, &own));
        let all: Vec<SeatedTab> = wide.map(|s| planner.seated(s.s, width, height)).collect();
        let sites = all.iter().step_by(all.len().div_ceil(SITES).max(1));
        // One tab, then one more each time where it helps most.
        let mut set: Vec<SeatedTab> = vec![];
        for _ in 0..MOST {
            let mut more: Option<(Vec<SeatedTab>, f64)> = None;
            for site in sites.clone().filter(|s| room(s.s, width, &set)) {
                let mut with = set.clone();
                with.push(site.clone());
                with.sort_by(|a, b| a.s.total_cmp(&b.s));
                let least = more.as_ref().map_or(0.0, |m| m.1);
                let margin = planner.strength(&with, depth, start, least);
                if more.as_ref().is_none_or(|m| margin > m.1) {
                    more = Some((with, margin));
                }
            }
            let Some((with, margin)) = more else { break };
            if best.as_ref().is_none_or(|b| margin > b.1) {
                best = Some((with.clone(), margin));
            }
            if margin >= 1.0 {
                break;
            }
            set = with;
        }
        // A few narrow tabs are better than one wide one: the piece cannot turn about them.
        if best.as_ref().is_some_and(|b| b.1 >= 1.0) {
            break;
        }
    }
    let (tabs, margin) = best?;
    Some((tabs.into_iter().map(|t| Tab { waste: true, ..t.tab }).collect(), margin))
}

/// The narrowest, the middle and the widest of some widths.
fn three(widths: &[f64]) -> Vec<f64> {
    let n = widths.len();
    let mut three: Vec<f64> =
        [0, n / 2, n.saturating_sub(1)].iter().filter_map(|&i| widths.get(i).copied()).collect();
    three.dedup();
    three
}
