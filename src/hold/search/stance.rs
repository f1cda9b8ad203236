//! A wide stance: chooses, among the sets of tabs that hold a part, a set whose tabs stand far apart and face different ways.
//!
//! In the model, two tabs side by side in the middle of an edge may hold a part as well as any others, or better: if one is lost,
//! the other has the shortest lever. But the part then turns about the two as about a single tab, and any force that the model
//! leaves out has a long lever. Practitioners set tabs far apart, and on opposite sides where there are two (common practice, no
//! source). So margin above the required one is given up for distance. Where two tabs must stand close, since a single one would
//! not bear the longer lever, a shallower last pass or higher tabs let them stand apart, and on a long part one more tab.

use super::by_count::{COMFORT, Found, best_of_count};
use super::exchange::ExchangeSearch;
use super::ladder::heights;
use super::tried::Tried;
use crate::geometry::{Point, Vector, point};
use crate::hold::check::piece::{Detail, Pick};
use crate::hold::check::planner::Planner;

/// Share of the greatest distance between tabs that is as good as all of it (set by hand).
const ENOUGH: f64 = 0.75;
/// Share that a set loses if all its tabs face one way (set by hand).
const ONE_SIDED: f64 = 0.2;
/// Share that a set loses if none of its tabs is outside, and if freeing any of them may break the part (set by hand).
const INSIDE: f64 = 0.3;
const DELICATE: f64 = 0.4;
/// Margin that a wider stance keeps, where the set has as much (set by hand).
const LEAST: f64 = 1.2;
/// Rounds in which each tab may move once, and the least gain for which one does.
const ROUNDS: usize = 2;
const GAIN: f64 = 0.02;

/// A stance below `CLOSE` is worth a shallower last pass or higher tabs where that widens it by `EASED` (set by hand).
const CLOSE: f64 = 0.65;
const EASED: f64 = 0.1;
/// On a long part it is also worth one more tab, up to `MOST` tabs, where that widens it by `WORTH` (set by hand).
const MOST: usize = 4;
const WORTH: f64 = 0.25;
/// Least size of a long part, mm: on smaller ones two tabs are a finger's width apart wherever they stand (set by hand).
const LONG: f64 = 50.0;

/// The set spread and eased; on a long part whose tabs stand close all the same with one or two tabs more, if that lets them stand
/// apart.
pub fn with_more(planner: &Planner, found: Found, depths: &[f64], tried: &mut Vec<Tried>) -> Found {
    let mut best = eased(planner, found);
    if planner.size() < LONG {
        return best;
    }
    let mut now = stance_of(planner, &best);
    for count in best.picks.len() + 1..=MOST {
        if now >= CLOSE {
            break;
        }
        let mut trial = vec![];
        let more = best_of_count(planner, count, &[best.height], depths, &mut trial)
            .filter(|m| m.figures.holds() && m.figures.depth >= best.figures.depth.min(COMFORT));
        let Some(more) = more.map(|m| eased(planner, m)) else { continue };
        let stance = stance_of(planner, &more);
        if stance >= now + WORTH {
            (best, now) = (more, stance);
            tried.append(&mut trial);
        }
    }
    best
}

/// The set spread; where its tabs stand close all the same, with a shallower last pass that costs at most one pass more, or higher
/// tabs, the least of these that lets them stand apart.
fn eased(planner: &Planner, found: Found) -> Found {
    let mut best = spread(planner, found);
    if !best.figures.holds() || best.picks.len() < 2 {
        return best;
    }
    let (height, depth) = (best.height, best.figures.depth);
    let mut now = stance_of(planner, &best);
    let higher = heights(planner.task.thickness).into_iter().filter(|h| *h > height);
    let each = std::iter::once(height).chain(higher);
    let all = each.flat_map(|h| [(h, depth), (h, depth.min(COMFORT))]);
    for (height, depth) in all.skip(1) {
        if now >= CLOSE {
            break;
        }
        let least = best.figures.least().value.min(LEAST);
        let tabs = planner.placed(&best.picks, height);
        let Some(figures) = planner.figures(&tabs, depth, least) else { continue };
        let set = spread(planner, Found { picks: best.picks.clone(), height, figures });
        let stance = stance_of(planner, &set);
        if stance >= now + EASED {
            (best, now) = (set, stance);
        }
    }
    best
}

fn stance_of(planner: &Planner, found: &Found) -> f64 {
    let (picks, depth) = (&found.picks, found.figures.depth);
    let widest = planner.widths().last().copied().unwrap_or(1.0);
    planner.search(found.height, depth, Detail::Elastic, |s| {
        s.stance(picks, s.greatest(picks.len(), widest))
    })
}

/// The set with its tabs moved apart as far as it holds: as many, as high, the last pass as deep, its least margin no lower than
/// before or than 1.2, whichever is less.
pub fn spread(planner: &Planner, found: Found) -> Found {
    if !found.figures.holds() || found.picks.len() < 2 {
        return found;
    }
    let (height, depth) = (found.height, found.figures.depth);
    let widest = planner.widths().last().copied().unwrap_or(1.0);
    let least = found.figures.least().value.min(LEAST);
    let sets =
        planner.search(height, depth, Detail::Elastic, |s| s.wider(&found.picks, widest, least));
    // A quick look may be too kind: then the one before it.
    let hold = |picks: Vec<Pick>| {
        let figures = planner.figures(&planner.placed(&picks, height), depth, least)?;
        Some(Found { picks, height, figures })
    };
    sets.into_iter().rev().find_map(hold).unwrap_or(found)
}

impl ExchangeSearch<'_> {
    /// Sets of ever wider stance that hold with a margin of `least` by a quick look: from `picks`, each tab in turn moved to the
    /// place that gives the widest.
    fn wider(&self, picks: &[Pick], width: f64, least: f64) -> Vec<Vec<Pick>> {
        let apart = self.greatest(picks.len(), width);
        let (mut picks, mut sets) = (picks.to_vec(), vec![]);
        let mut now = self.stance(&picks, apart);
        for _ in 0..ROUNDS {
            let before = now;
            for i in 0..picks.len() {
                let mut trial = picks.clone();
                let mut places: Vec<(f64, Pick)> = vec![];
                for site in 0..self.sites.len() {
                    let pick = self.pick(site, width);
                    trial[i] = pick;
                    let stance = self.stance(&trial, apart);
                    if stance > now + GAIN && self.room(&picks, Some(i), pick) {
                        places.push((stance, pick));
                    }
                }
                places.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.site.cmp(&b.1.site)));
                let holds = |pick: Pick| {
                    let mut trial = picks.clone();
                    trial[i] = pick;
                    (self.margins)(&trial, &|m| m.least() >= least).is_some()
                };
                if let Some(&(stance, pick)) = places.iter().find(|p| holds(p.1)) {
                    (now, picks[i]) = (stance, pick);
                    let mut set = picks.clone();
                    set.sort_by_key(|p| p.site);
                    sets.push(set);
                }
            }
            if now < before + GAIN {
                break;
            }
        }
        sets
    }

    /// About the greatest possible least distance between `count` tabs, mm: of two on the sites farthest apart, else evenly spaced.
    fn greatest(&self, count: usize, width: f64) -> f64 {
        if count > 2 {
            let evens = self.even(count, width, 4);
            return evens.iter().map(|set| self.least_distance(set)).fold(0.0, f64::max);
        }
        let far = |a: &Point| self.sites.iter().map(|b| b.at.distance(*a)).fold(0.0, f64::max);
        self.sites.iter().map(|s| far(&s.at)).fold(0.0, f64::max)
    }

    /// The stance of a set: 1 where its tabs stand far enough apart and face all ways.
    fn stance(&self, picks: &[Pick], greatest: f64) -> f64 {
        let apart = self.least_distance(picks) / (ENOUGH * greatest).max(1e-9);
        let out = |p: &Pick| self.contour.out(self.sites[p.site].s, p.width / 2.0);
        let sum = picks.iter().map(out).fold(point(0.0, 0.0), |sum, out| sum + out);
        let count = picks.len().max(1) as f64;
        let share =
            |of: &dyn Fn(usize) -> bool| picks.iter().filter(|p| of(p.site)).count() as f64 / count;
        let (inside, delicate) = (share(&|s| !self.outer[s]), share(&|s| self.delicate[s]));
        apart.min(1.0)
            * (1.0 - ONE_SIDED * sum.norm() / count)
            * (1.0 - INSIDE * inside)
            * (1.0 - DELICATE * delicate)
    }

    fn least_distance(&self, picks: &[Pick]) -> f64 {
        let at = |p: &Pick| self.sites[p.site].at;
        let pairs =
            picks.iter().enumerate().flat_map(|(i, a)| picks[..i].iter().map(move |b| (a, b)));
        pairs.map(|(a, b)| at(a).distance(at(b))).fold(f64::INFINITY, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Contour, Ring};
    use crate::hold::part::sites::Site;

    /// On a strip of 200 x 20 mm two tabs 20 mm apart in the middle of one edge go to opposite edges near opposite ends, and stay
    /// as near to the middle as a demand keeps them: here none of the first half may take a tab.
    #[test]
    fn two_tabs_go_apart_to_opposite_edges() {
        let contour = Contour::new(&Ring::rectangle(200.0, 20.0)).expect("a strip");
        let places: Vec<f64> = (1..20).map(|i| 10.0 * i as f64).collect();
        let lower = places.iter().map(|x| 200.0 + 20.0 + (200.0 - x));
        let site = |s: f64| Site { s, at: contour.point(s), width: 5.0, run: 10.0 };
        let sites: Vec<Site> = places.iter().copied().chain(lower).map(site).collect();
        let preference = vec![0.0; sites.len()];
        let all = |picks: &[Pick], _: &dyn Fn(&crate::hold::Margins) -> bool| {
            let right = picks.iter().all(|p| sites[p.site].at.x > 99.0);
            right.then(|| crate::hold::Margins::unlimited(crate::job::Freeing::Saw))
        };
        let any = |_: &[Pick], _: &dyn Fn(&crate::hold::Margins) -> bool| {
            Some(crate::hold::Margins::unlimited(crate::job::Freeing::Saw))
        };
        let search = |margins: &crate::hold::search::exchange::Look| {
            let s = ExchangeSearch {
                contour: &contour,
                sites: &sites,
                kerf: 3.0,
                margins,
                preference: &preference,
                outer: &[true; 38],
                delicate: &[false; 38],
            };
            let start = [Pick { site: 9, width: 5.0 }, Pick { site: 11, width: 5.0 }];
            let set = s.wider(&start, 5.0, 1.0).pop().expect("a wider set");
            let at = |i: usize| sites[set[i].site].at;
            (at(0).distance(at(1)), (at(0).y - at(1).y).abs())
        };
        // By hand: the sites farthest apart are 180 mm along and 20 mm across; three quarters of that are enough.
        let (apart, across) = search(&any);
        assert!(apart > 0.75 * 180f64.hypot(20.0) && across == 20.0, "{apart} {across}");
        let (apart, across) = search(&all);
        assert!((80.0..95.0).contains(&apart) && across == 20.0, "{apart} {across}");
    }
}
