//! Places and widths of tabs: exchange search on the reported figures.
//!
//! The search runs on the rigid part, then makes one full round of exchanges on the elastic part. Reported figures are always those
//! of the elastic part, in both directions of the pass. A part that allows several directions of grain is searched by the worst of
//! each margin over them. A set is dropped as soon as it cannot win. That is exact: as a set is evaluated its margins only fall,
//! and the score falls with them.

use crate::geometry::Contour;
use crate::hold::check::figures::Margins;
use crate::hold::check::piece::{Detail, Pick};
use crate::hold::check::planner::Planner;
use crate::hold::part::sites::{Site, apart};

/// The margins of a set; `None` as soon as the second argument rejects the margins so far.
pub type Look<'a> = dyn Fn(&[Pick], &dyn Fn(&Margins) -> bool) -> Option<Margins> + 'a;

/// The inputs of the search.
pub struct ExchangeSearch<'a> {
    /// The ring that is cut.
    pub contour: &'a Contour,
    /// Where tabs may sit.
    pub sites: &'a [Site],
    /// The bit's diameter, mm.
    pub kerf: f64,
    /// The margins of a set of picks, quickly; `None` once they are too low to continue.
    pub margins: &'a Look<'a>,
    /// What each site adds to a set's score, as the mean of its picks: larger is better.
    pub preference: &'a [f64],
    /// Whether each site is on the part's outside.
    pub outer: &'a [bool],
    /// Whether freeing a tab there by hand may break the part.
    pub delicate: &'a [bool],
}

/// Margins above this are nearly equal: movement decides then.
const ENOUGH: f64 = 1.6;
/// Rounds of exchange from one start; the search ends sooner when nothing improves.
const ROUNDS: usize = 4;
/// Starts: evenly spaced sets at this many offsets.
const STARTS: usize = 3;

impl Planner<'_> {
    /// Runs a search over this piece's sites at one tab height and depth of the last pass.
    pub fn search<R>(
        &self,
        height: f64,
        depth: f64,
        detail: Detail,
        run: impl FnOnce(&ExchangeSearch) -> R,
    ) -> R {
        run(&ExchangeSearch {
            contour: &self.contour,
            sites: self.sites(),
            kerf: self.task.bit.diameter,
            margins: &self.look(height, depth, detail),
            preference: &self.preferences(),
            outer: &self.outer(),
            delicate: &self.delicate(height),
        })
    }
}

impl ExchangeSearch<'_> {
    /// Sets of `count` tabs spaced as evenly as the sites allow, one per offset, each tab as wide as `width` allows.
    pub fn even(&self, count: usize, width: f64, offsets: usize) -> Vec<Vec<Pick>> {
        let length = self.contour.length();
        let mut sets: Vec<Vec<Pick>> = vec![];
        for k in 0..offsets {
            let mut picks: Vec<Pick> = vec![];
            for i in 0..count {
                let s = (i as f64 + k as f64 / offsets as f64) * length / count as f64;
                let nearest = (0..self.sites.len())
                    .filter(|&j| self.room(&picks, None, self.pick(j, width)))
                    .min_by(|&a, &b| {
                        self.contour
                            .apart(self.sites[a].s, s)
                            .total_cmp(&self.contour.apart(self.sites[b].s, s))
                    });
                if let Some(j) = nearest {
                    picks.push(self.pick(j, width));
                }
            }
            if picks.len() == count {
                picks.sort_by_key(|p| p.site);
                sets.push(picks);
            }
        }
        sets
    }

    /// The best set of `count` tabs found; `None` where that many do not fit.
    ///
    /// From each of several evenly spaced sets every tab in turn is tried at every other site, as wide as fits; the best exchange
    /// is kept, until none improves.
    pub fn best(&self, count: usize, width: f64) -> Option<Vec<Pick>> {
        let mut best: Option<(f64, Vec<Pick>)> = None;
        for start in self.even(count, width, STARTS) {
            let (score, picks) = self.exchange(start, width, None, ROUNDS);
            if best.as_ref().is_none_or(|b| score > b.0) {
                best = Some((score, picks));
            }
        }
        best.map(|b| b.1)
    }

    /// Improves the best of some sets by one round of exchanges with sites at most `reach` places away (all where `None`), for
    /// models whose figures cost more.
    pub fn refine(
        &self,
        starts: &[Vec<Pick>],
        width: f64,
        reach: Option<usize>,
    ) -> Option<Vec<Pick>> {
        let mut best: Option<(f64, &Vec<Pick>)> = None;
        for start in starts {
            let bar = best.map_or(f64::NEG_INFINITY, |b| b.0);
            if let Some(score) = self.score_above(start, bar) {
                best = Some((score, start));
            }
        }
        Some(self.exchange(best?.1.clone(), width, reach, 1).1)
    }

    fn exchange(
        &self,
        mut picks: Vec<Pick>,
        width: f64,
        reach: Option<usize>,
        rounds: usize,
    ) -> (f64, Vec<Pick>) {
        let mut score = self.score_above(&picks, f64::NEG_INFINITY).unwrap_or(f64::NEG_INFINITY);
        // A tab whose sites were all tried since the others last changed need not be tried again.
        let (count, mut settled) = (picks.len(), 0);
        for i in (0..count).cycle().take(rounds * count) {
            match self.exchange_one(&picks, i, width, reach, score) {
                Some((s, pick)) => {
                    picks[i] = pick;
                    (score, settled) = (s, 1);
                }
                None => settled += 1,
            }
            if settled == count {
                break;
            }
        }
        picks.sort_by_key(|p| p.site);
        (score, picks)
    }

    /// The best other site of tab `i` that scores more than `score`.
    fn exchange_one(
        &self,
        picks: &[Pick],
        i: usize,
        width: f64,
        reach: Option<usize>,
        score: f64,
    ) -> Option<(f64, Pick)> {
        let mut found: Option<(f64, Pick)> = None;
        let mut trial = picks.to_vec();
        for site in 0..self.sites.len() {
            let wide = self.pick(site, width);
            let away = site.abs_diff(picks[i].site);
            let near = reach.is_none_or(|most| away.min(self.sites.len() - away) <= most);
            if !near || wide == picks[i] || !self.room(picks, Some(i), wide) {
                continue;
            }
            trial[i] = wide;
            let bar = found.map_or(score, |b| b.0) + 1e-9;
            if let Some(s) = self.score_above(&trial, bar) {
                found = Some((s, wide));
            }
        }
        found
    }

    /// The set with tab `i` moved to the best of some sites; `None` where no site has room.
    pub fn moved(
        &self,
        picks: &[Pick],
        i: usize,
        width: f64,
        among: &dyn Fn(usize) -> bool,
    ) -> Option<Vec<Pick>> {
        let mut best: Option<(f64, Vec<Pick>)> = None;
        for site in (0..self.sites.len()).filter(|s| among(*s)) {
            let pick = self.pick(site, width);
            if !self.room(picks, Some(i), pick) {
                continue;
            }
            let mut trial = picks.to_vec();
            trial[i] = pick;
            let bar = best.as_ref().map_or(f64::NEG_INFINITY, |b| b.0);
            if let Some(score) = self.score_above(&trial, bar) {
                best = Some((score, trial));
            }
        }
        let mut picks = best?.1;
        picks.sort_by_key(|p| p.site);
        Some(picks)
    }

    /// The score of a set where it is more than `bar`. Margins only fall as a set is evaluated, and the score with them, so most
    /// sets are dropped early.
    fn score_above(&self, picks: &[Pick], bar: f64) -> Option<f64> {
        let preferred =
            picks.iter().map(|p| self.preference[p.site]).sum::<f64>() / picks.len().max(1) as f64;
        let margins = (self.margins)(picks, &|m| score(m) + preferred > bar)?;
        Some(score(&margins) + preferred)
    }

    /// Narrows one tab after another while `good` accepts the set: less to cut and sand.
    pub fn narrow(
        &self,
        picks: &[Pick],
        widths: &[f64],
        good: &dyn Fn(&[Pick]) -> bool,
    ) -> Vec<Pick> {
        let mut picks = picks.to_vec();
        for i in 0..picks.len() {
            for &w in widths.iter().rev().filter(|w| **w < picks[i].width).collect::<Vec<_>>() {
                let mut trial = picks.clone();
                trial[i].width = w;
                if !good(&trial) {
                    break;
                }
                picks = trial;
            }
        }
        picks
    }

    pub(super) fn pick(&self, site: usize, width: f64) -> Pick {
        Pick { site, width: self.sites[site].width.min(width) }
    }

    pub(super) fn room(&self, picks: &[Pick], except: Option<usize>, new: Pick) -> bool {
        let s = self.sites[new.site].s;
        picks.iter().enumerate().all(|(i, p)| {
            let at = self.sites[p.site].s;
            Some(i) == except || apart(self.contour, (at, p.width), (s, new.width), self.kerf)
        })
    }
}

/// Weights in a set's score of the margins of the tabs, of the part and of freeing by hand (set by hand).
const WEIGHTS: [f64; 3] = [10.0, 3.0, 2.0];
/// Margin of the part and of freeing by hand that is enough (set by hand).
const ENOUGH_OF_PART: f64 = 1.2;
/// Margin of tabs beyond which more has no value, and the least and greatest margin of movement that count (set by hand).
const MOST_OF_TABS: f64 = 8.0;
const MOTION: (f64, f64) = (0.1, 20.0);

/// The score of a set: it never rises when a margin falls.
fn score(m: &Margins) -> f64 {
    // Tabs first, then the part; beyond what is enough a reserve and less movement count for little.
    let tabs = m.of_tabs();
    WEIGHTS[0] * tabs.min(ENOUGH)
        + WEIGHTS[1] * m.part.min(ENOUGH_OF_PART)
        + WEIGHTS[2] * m.by_hand.min(ENOUGH_OF_PART)
        + (tabs.clamp(ENOUGH, MOST_OF_TABS) / ENOUGH).ln()
        + m.motion.clamp(MOTION.0, MOTION.1).ln()
}
