//! Tabs on clean edges: long grain, which is weaker and easy to sand off.

use super::by_count::{Found, choose};
use crate::hold::check::piece::{Detail, Pick};
use crate::hold::check::planner::Planner;

/// Share of the least margin that clean edges may cost (set by hand: a set that holds still holds).
const GIVEN: f64 = 0.25;

/// Tabs more than the strongest set has that a set all on clean edges may have: long grain bears a fraction of end grain
/// (set by hand).
const MORE: usize = 2;

/// A set that holds as the strongest one does, on clean edges: all of its tabs, up to two more of them, at no shallower last pass
/// and with no more than a quarter of the margin given away; else as many of them as can move one by one at that price.
pub fn cleaner<'a>(planner: &Planner<'a>, found: &Found, depths: &[f64]) -> (Planner<'a>, Found) {
    let least = (found.figures.least().value * (1.0 - GIVEN)).max(1.0);
    let on_clean = planner.clean();
    if let Some(clean) = choose(&on_clean, depths, &mut vec![])
        && clean.picks.len() <= found.picks.len() + MORE
        && clean.figures.depth >= found.figures.depth - 1e-9
        && clean.figures.least().value >= least
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
        if let Some(figures) = planner.figures(&planner.placed(&picks, height), depth, least) {
            best = Found { picks, height, figures };
        }
    }
    (planner.offered(planner.sites().to_vec()), best)
}
