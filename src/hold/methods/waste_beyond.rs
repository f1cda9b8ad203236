//! Waste beyond a part's outline that the part keeps: tabs for it.
//!
//! The part is the last to be cut of those round the piece. While its kerf is cut the bit pushes on the piece too, which then hangs
//! on nothing but these tabs and what is left of the floor; so the piece is judged as a rigid body on them, at the worst load, at
//! every place where the kerf runs along it. Their strength counts, and nothing else: waste may move.

use crate::geometry::{Contour, Point};
use crate::hold::check::planner::Planner;
use crate::hold::part::sites::{SeatedTab, apart};
use crate::hold::search::by_count::ANY;
use crate::hold::search::ladder::{depths, heights};
use crate::hold::task::HoldTask;
use crate::layout::{Hold, Tab};

/// Most tabs for one piece.
const MOST: usize = 4;
/// Most sites that are tried, evenly taken from those there are: pairs of them are tried exhaustively.
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
    let free = |s: f64, width: f64| {
        hold.tabs.iter().filter(|t| t.ring == 0).all(|t| {
            let at = planner.contour.nearest(t.at);
            apart(&planner.contour, (s, width), (at, t.width), task.bit.diameter)
        })
    };
    let mut best: Option<(Vec<SeatedTab>, f64)> = None;
    for &width in planner.widths() {
        let wide = planner.sites().iter().filter(|s| s.width >= width && free(s.s, width));
        let all: Vec<SeatedTab> = wide.map(|s| planner.seated(s.s, width, height)).collect();
        let step = all.len().div_ceil(SITES).max(1);
        let sites: Vec<&SeatedTab> = all.iter().step_by(step).collect();
        let judged = |tabs: Vec<SeatedTab>| {
            let margin = planner.figures(&tabs, depth, ANY).map_or(0.0, |f| f.tabs.value);
            (tabs, margin)
        };
        // One tab, then one more each time where it helps most.
        let mut set: Vec<SeatedTab> = vec![];
        for _ in 0..MOST {
            let room = |s: &&&SeatedTab| {
                let beside = |t: &SeatedTab| {
                    apart(&planner.contour, (s.s, width), (t.s, width), task.bit.diameter)
                };
                set.iter().all(beside)
            };
            let with = |s: &&SeatedTab| {
                let mut more = set.clone();
                more.push((*s).clone());
                more.sort_by(|a, b| a.s.total_cmp(&b.s));
                judged(more)
            };
            let next = sites.iter().filter(room).map(with);
            let Some((tabs, margin)) = next.reduce(|a, b| if b.1 > a.1 { b } else { a }) else {
                break;
            };
            if best
                .as_ref()
                .is_none_or(|b| margin > b.1 || (margin >= 1.0 && tabs.len() < b.0.len()))
            {
                best = Some((tabs.clone(), margin));
            }
            if margin >= 1.0 {
                break;
            }
            set = tabs;
        }
        // Two narrow tabs are better than one wide one: the piece cannot turn about them.
        if best.as_ref().is_some_and(|b| b.1 >= 1.0) {
            break;
        }
    }
    let (tabs, margin) = best?;
    Some((tabs.into_iter().map(|t| Tab { waste: true, ..t.tab }).collect(), margin))
}
