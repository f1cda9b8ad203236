//! Tabs on clean edges: long grain, which is weaker and easy to sand off.

use super::by_count::{COMFORT, Found, choose};
use crate::hold::check::piece::{Detail, Pick};
use crate::hold::check::planner::Planner;

/// How many more tabs than the strongest set a set on clean edges may have: long grain bears a fraction of end grain (set by hand).
const MORE: usize = 2;

/// A set on clean edges that holds too: all of its tabs, up to two more of them, with a last pass that costs at most one pass more;
/// else as many tabs as can move there one by one. It may use up all the margin beyond what is required.
pub fn cleaner<'a>(planner: &Planner<'a>, found: &Found, depths: &[f64]) -> (Planner<'a>, Found) {
    let on_clean = planner.clean();
    if let Some(clean) = choose(&on_clean, depths, &mut vec![])
        && clean.picks.len() <= found.picks.len() + MORE
        && clean.figures.depth >= found.figures.depth.min(COMFORT) - 1e-9
    {
        return (on_clean, clean);
    }
    let (height, depth) = (found.height, found.figures.depth);
    let is_clean = |site: usize| planner.is_clean(&planner.sites()[site]);
    let widest = planner.widths().last().copied().unwrap_or(1.0);
    let mut best = found.clone();
    for tab in 0..best.picks.len() {
        if is_clean(best.picks[tab].site) {
            continue;
        }
        let moved: Option<Vec<Pick>> = planner.search(height, depth, Detail::Elastic, |s| {
            s.moved(&best.picks, tab, widest, &is_clean)
        });
        let Some(picks) = moved else { continue };
        if let Some(figures) = planner.figures(&planner.placed(&picks, height), depth, 1.0) {
            best = Found { picks, height, figures };
        }
    }
    (planner.offered(planner.sites().to_vec()), best)
}
