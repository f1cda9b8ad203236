//! The fewest tabs, the deepest last pass and the best places that hold a piece.

use super::ladder::heights;
use crate::hold::check::figures::Figures;
use crate::hold::check::piece::Detail;
use crate::hold::check::piece::Pick;
use crate::hold::check::planner::Planner;
use crate::hold::part::sites::SeatedTab;
use crate::hold::search::tried::Tried;
use crate::layout::Tab;

/// A last pass this deep costs at most one pass more, which fewer tabs are worth, mm.
pub const COMFORT: f64 = 0.4;
/// Count of tabs above which a shallower last pass is preferred to one more tab.
const FEW: usize = 4;
/// Depth at which places are searched, mm: margins rank the same at any depth.
const SEARCH_DEPTH: f64 = 0.4;

/// Number of sites to either side that are tried when a set from the rigid part is refined on the elastic one.
const REACH: usize = 3;

/// A set with a tab margin below this, at the highest tabs and the shallowest pass, is far from holding.
const HOPELESS: f64 = 0.5;
/// A first choice of places with a margin below this will not hold with more care (estimate).
const NEAR: f64 = 0.7;

/// A part whose own sections have a margin below this on the most tabs is not saved by their choice (estimate).
pub const NEAR_PART: f64 = 0.9;

/// Quick margins that a set needs at the shallowest depth, and at each deeper one, before its full figures are computed; they are
/// below 1 to allow for the error of a quick look (set by hand).
const WORTH_FIGURES: [f64; 2] = [0.9, 0.95];
/// Tabs with a margin below this are far from holding: one more must raise it by [`GAIN`], or the search ends (set by hand).
const FAR_FROM_HOLDING: f64 = 0.9;
/// Least factor by which one more tab must raise a margin that is too low (set by hand).
pub const GAIN: f64 = 1.1;
/// Tabs with a margin above this do not fail: the part does (set by hand).
const TABS_SUFFICE: f64 = 1.5;
/// Length of edge per tab, mm, for the greatest count, and the most tabs tried (set by hand: half of the usual greatest overhang).
const EDGE_PER_TAB: f64 = 75.0;
const MOST_TABS: usize = 8;
/// A last pass deeper by more than this, mm, is worth one more tab: more than the finest step of depths, 0.1 mm.
const DEEPER: f64 = 0.11;

/// A quick margin is not below this share of the full one.
const FAR: f64 = 0.8;

/// Accepts any figures.
pub const ANY: f64 = f64::NEG_INFINITY;

/// Offsets of evenly spaced sets that are tried.
pub const EVENS: usize = 4;

/// A set of tabs found by the search.
#[derive(Clone)]
pub struct Found {
    pub picks: Vec<Pick>,
    pub height: f64,
    pub figures: Figures,
}

/// The deepest last pass at which the tabs hold, with the figures there; else those at the shallowest.
pub fn deepest(
    planner: &Planner,
    tabs: &[SeatedTab],
    depths: &[f64],
    height: f64,
) -> Option<(Option<f64>, Figures)> {
    let usable: Vec<f64> = depths.iter().copied().filter(|d| *d <= height + 1e-9).collect();
    let shallow = usable.last().copied().unwrap_or(height.min(depths[depths.len() - 1]));
    // The margins fall steadily with depth, so a quick look passes over the hopeless ones.
    let near = |depth: f64, least: f64| {
        planner.margins(tabs, depth, Detail::Elastic, &|m| m.least() >= least).is_some()
    };
    if near(shallow, WORTH_FIGURES[0]) {
        for &d in usable.iter().filter(|d| near(**d, WORTH_FIGURES[1])) {
            if let Some(figures) = planner.figures(tabs, d, 1.0) {
                return Some((Some(d), figures));
            }
        }
    }
    Some((None, planner.figures(tabs, shallow, ANY)?))
}

pub fn choose(planner: &Planner, depths: &[f64], tried: &mut Vec<Tried>) -> Option<Found> {
    let most = ((planner.contour.length() / EDGE_PER_TAB).ceil() as usize).clamp(FEW, MOST_TABS);
    let comfort = COMFORT.min(depths[0]);
    let heights = heights(planner.task.thickness);
    let mut shallow: Option<Found> = None;
    let (mut part, mut tabs) = (0.0, 0.0);
    for count in 2..=most {
        let Some(best) = best_of_count(planner, count, &heights, depths, tried) else { continue };
        let (f, now) = (&best.figures, best.figures.of_tabs_but_reach());
        // Far from holding and no nearer with one more (a thin part that lifts off between its tabs).
        if count > 2 && now < FAR_FROM_HOLDING && now < tabs * GAIN {
            break;
        }
        tabs = now;
        if count >= FEW && now >= 1.0 && f.reach.value < 1.0 && !most_reach(planner, most, depths) {
            break;
        }
        if count == 2 && f.part.value < NEAR_PART && !most_bear(planner, most, depths) {
            break;
        }
        if count == FEW - 1 && tabs < HOPELESS {
            // So far from holding: ask first whether as many as there may be come near.
            if !most_may_hold(planner, most, depths, tried) {
                break;
            }
        }
        if f.part.value < 1.0 && f.of_tabs() > TABS_SUFFICE {
            // The cut overloads the part itself: more tabs help only while they change that.
            if f.part.value < part * GAIN {
                break;
            }
            part = f.part.value;
        }
        if best.figures.holds() {
            if best.figures.depth >= comfort - 1e-9 {
                return Some(best);
            }
            if shallow.as_ref().is_none_or(|s| best.figures.depth > s.figures.depth + DEEPER) {
                shallow = Some(best);
            }
        }
        if count >= FEW && shallow.is_some() {
            break;
        }
    }
    shallow
}

/// Whether `count` tabs, the highest at the shallowest pass, come near to holding; if not, the attempt is recorded.
fn most_may_hold(planner: &Planner, count: usize, depths: &[f64], tried: &mut Vec<Tried>) -> bool {
    let widest = planner.widths().last().copied().unwrap_or(1.0);
    let (height, depth) = most_held(planner, depths);
    let Some(picks) = planner.search(height, depth, Detail::Elastic, |s| {
        s.refine(&s.even(count, widest, 2), widest, None)
    }) else {
        return true;
    };
    let tabs = planner.placed(&picks, height);
    let may = planner.margins(&tabs, depth, Detail::Elastic, &|m| m.of_tabs() >= NEAR).is_some();
    if !may && let Some(figures) = planner.figures(&tabs, depth, ANY) {
        let widths = picks.iter().map(|p| p.width).collect();
        tried.push(Tried {
            count,
            widths,
            height,
            deepest: None,
            tabs: listed(&tabs, figures.end),
            figures,
            even: None,
            even_tabs: vec![],
        });
    }
    may
}

/// Whether the part's own sections come near to bearing the cut on `count` evenly spaced tabs, the highest at the shallowest pass.
fn most_bear(planner: &Planner, count: usize, depths: &[f64]) -> bool {
    let widest = planner.widths().last().copied().unwrap_or(1.0);
    let (height, depth) = most_held(planner, depths);
    let evens = planner.search(height, depth, Detail::Elastic, |s| s.even(count, widest, 2));
    evens.is_empty()
        || evens.iter().any(|picks| {
            let tabs = planner.placed(picks, height);
            planner.margins(&tabs, depth, Detail::Elastic, &|m| m.part >= NEAR_PART).is_some()
        })
}

/// Whether `count` evenly spaced tabs leave no point of the edge much too far from them: the search may then find places that do.
fn most_reach(planner: &Planner, count: usize, depths: &[f64]) -> bool {
    let widest = planner.widths().last().copied().unwrap_or(1.0);
    let (height, depth) = most_held(planner, depths);
    let evens = planner.search(height, depth, Detail::Elastic, |s| s.even(count, widest, EVENS));
    evens.iter().any(|picks| {
        let tabs = planner.placed(picks, height);
        planner.margins(&tabs, depth, Detail::Elastic, &|m| m.reach >= NEAR).is_some()
    })
}

/// The highest tabs and the shallowest last pass.
fn most_held(planner: &Planner, depths: &[f64]) -> (f64, f64) {
    let heights = heights(planner.task.thickness);
    (heights[heights.len() - 1], depths[depths.len() - 1])
}

/// The best set of `count` tabs over the heights, lowest first; stops at the first that holds at a comfortable depth.
pub fn best_of_count(
    planner: &Planner,
    count: usize,
    heights: &[f64],
    depths: &[f64],
    tried: &mut Vec<Tried>,
) -> Option<Found> {
    let widest = planner.widths().last().copied().unwrap_or(1.0);
    // Places rank alike at any height: one search on the rigid part, one round of exchanges with every site on
    // the elastic one from the best start, then a look about it at each height.
    let middle = heights[heights.len() / 2];
    let at = SEARCH_DEPTH.min(middle);
    let (evens, best) = planner.search(middle, at, Detail::First, |s| {
        (s.even(count, widest, EVENS), s.best(count, widest))
    });
    let starts: Vec<_> = evens.iter().cloned().chain(best).collect();
    let start = planner.search(middle, at, Detail::Elastic, |s| s.refine(&starts, widest, None))?;
    // Far from holding at the highest tabs and the shallowest pass: one height tells it all.
    let (highest, shallowest) = (heights[heights.len() - 1], depths[depths.len() - 1]);
    let most = planner.placed(&start, highest);
    let hopeless =
        planner.margins(&most, shallowest, Detail::Elastic, &|m| m.of_tabs() >= HOPELESS).is_none();
    let heights = if hopeless { &[highest] } else { heights };
    let mut best: Option<(Found, Option<f64>)> = None;
    for &height in heights {
        let at = SEARCH_DEPTH.min(height);
        let near = Some(if height == middle { 0 } else { REACH });
        let picks = planner.search(height, at, Detail::Elastic, |s| {
            s.refine(std::slice::from_ref(&start), widest, near)
        })?;
        let (depth, figures) = deepest(planner, &planner.placed(&picks, height), depths, height)?;
        let better = best.as_ref().is_none_or(|(b, d)| {
            (depth.unwrap_or(0.0), figures.least().value)
                > (d.unwrap_or(0.0), b.figures.least().value)
        });
        if better {
            best = Some((Found { picks, height, figures }, depth));
        }
        let part_decides = best
            .as_ref()
            .is_some_and(|b| b.0.figures.part.value < 1.0 && b.0.figures.of_tabs() > TABS_SUFFICE);
        if part_decides || depth.is_some_and(|d| d >= COMFORT.min(depths[0]) - 1e-9) {
            break;
        }
    }
    let (found, deepest) = best?;
    let (found, deepest, even) = no_worse_than_even(planner, found, deepest, evens, depths)?;
    let (even_tabs, even) = even.map_or((vec![], None), |(tabs, f)| (tabs, Some(f)));
    tried.push(Tried {
        count,
        widths: found.picks.iter().map(|p| p.width).collect(),
        height: found.height,
        deepest,
        figures: found.figures.clone(),
        tabs: listed(&planner.placed(&found.picks, found.height), found.figures.end),
        even,
        even_tabs,
    });
    Some(found)
}

/// An evenly spaced set, in the order of its last pass, with its figures.
type Even = (Vec<Tab>, Figures);

/// The set found, or the best of some evenly spaced sets of the same height where that has the greater least margin (the search
/// uses fewer places of the bit than the figures do); and the best even set, where it is asked for or better.
fn no_worse_than_even(
    planner: &Planner,
    found: Found,
    depth: Option<f64>,
    evens: Vec<Vec<Pick>>,
    depths: &[f64],
) -> Option<(Found, Option<f64>, Option<Even>)> {
    let height = found.height;
    let least = if planner.compares() { ANY } else { found.figures.least().value };
    let mut best: Option<(Figures, Vec<Pick>)> = None;
    for picks in evens {
        let bar = best.as_ref().map_or(least, |b| b.0.least().value);
        let tabs = planner.placed(&picks, height);
        let depth = found.figures.depth;
        if planner.margins(&tabs, depth, Detail::Elastic, &|m| m.least() >= FAR * bar).is_none() {
            continue;
        }
        if let Some(figures) = planner.figures(&tabs, depth, bar) {
            best = Some((figures, picks));
        }
    }
    let Some((figures, picks)) = best else { return Some((found, depth, None)) };
    let tabs = planner.placed(&picks, height);
    if figures.least().value <= found.figures.least().value {
        return Some((found, depth, Some((listed(&tabs, figures.end), figures))));
    }
    let (depth, figures) = deepest(planner, &tabs, depths, height)?;
    let even = (listed(&tabs, figures.end), figures.clone());
    Some((Found { picks, height, figures }, depth, Some(even)))
}

/// The tabs in the order of the last pass: the pass starts beyond the first of the list and ends at it.
pub fn listed(tabs: &[SeatedTab], end: usize) -> Vec<Tab> {
    let n = tabs.len();
    (0..n).map(|i| tabs[(end + i) % n].tab.clone()).collect()
}
