//! Choice of places and widths: exchange search on the figures that are reported.

use super::beam::Beam;
use super::contour::Contour;
use super::judge::Figures;
use super::site::{Site, apart};
use super::staged::TabSet;

/// One tab of a candidate set: its site and width, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pick {
    /// Index among the sites.
    pub site: usize,
    /// mm.
    pub width: f64,
}

/// What the search works on.
pub struct Search<'a> {
    /// The ring that is cut.
    pub contour: &'a Contour,
    /// Where tabs may sit.
    pub sites: &'a [Site],
    /// The bit's diameter, mm.
    pub kerf: f64,
    /// The figures of a set of picks, quickly.
    pub figures: &'a dyn Fn(&[Pick]) -> Figures,
    /// Share of the score that a site's preference may decide, by site: 0 to 1, larger is preferred.
    pub preference: &'a [f64],
}

/// Margins above this are nearly as good as each other: movement decides then.
const ENOUGH: f64 = 1.6;
/// Rounds of exchange from one start; it ends sooner when nothing improves.
const ROUNDS: usize = 4;
/// Starts: even spacing at as many offsets.
const STARTS: usize = 3;

impl Search<'_> {
    /// Sets of `count` tabs spaced as evenly as the sites allow, one an offset, each as wide as `width` allows.
    pub fn even(&self, count: usize, width: f64, offsets: usize) -> Vec<Vec<Pick>> {
        let length = self.contour.length();
        let mut sets: Vec<Vec<Pick>> = vec![];
        for k in 0..offsets {
            let mut picks: Vec<Pick> = vec![];
            for i in 0..count {
                let s = (i as f64 + k as f64 / offsets as f64) * length / count as f64;
                let nearest = (0..self.sites.len())
                    .filter(|&j| self.room(&picks, usize::MAX, self.pick(j, width)))
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

    /// The best set of `count` tabs found, with its figures; `None` where so many do not fit.
    ///
    /// From each start every tab in turn is tried at every other site, as wide as fits and half as wide;
    /// the best exchange is kept, until none improves.
    pub fn best(&self, count: usize, width: f64) -> Option<(Vec<Pick>, Figures)> {
        let mut best: Option<(f64, Vec<Pick>, Figures)> = None;
        for start in self.even(count, width, STARTS) {
            let (score, picks, figures) = self.exchange(start, width, usize::MAX, ROUNDS);
            if best.as_ref().is_none_or(|b| score > b.0) {
                best = Some((score, picks, figures));
            }
        }
        best.map(|(_, picks, figures)| (picks, figures))
    }

    /// Improves the best of some sets by exchanges with sites at most `reach` places away, one round: where
    /// figures cost more.
    pub fn refine(&self, starts: &[Vec<Pick>], width: f64, reach: usize) -> Option<Vec<Pick>> {
        let scored = starts.iter().map(|s| (self.score(s, &(self.figures)(s)), s));
        let (_, best) = scored.max_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(self.exchange(best.clone(), width, reach, 1).1)
    }

    fn exchange(
        &self,
        mut picks: Vec<Pick>,
        width: f64,
        reach: usize,
        rounds: usize,
    ) -> (f64, Vec<Pick>, Figures) {
        let mut figures = (self.figures)(&picks);
        let mut score = self.score(&picks, &figures);
        for _ in 0..rounds {
            let before = score;
            for i in 0..picks.len() {
                let mut found: Option<(f64, Pick, Figures)> = None;
                for site in 0..self.sites.len() {
                    let wide = self.pick(site, width);
                    let away = site.abs_diff(picks[i].site);
                    let near = away.min(self.sites.len() - away) <= reach;
                    if !near || wide == picks[i] || !self.room(&picks, i, wide) {
                        continue;
                    }
                    let mut trial = picks.clone();
                    trial[i] = wide;
                    let f = (self.figures)(&trial);
                    let s = self.score(&trial, &f);
                    if s > found.as_ref().map_or(score, |b| b.0) + 1e-9 {
                        found = Some((s, wide, f));
                    }
                }
                if let Some((s, pick, f)) = found {
                    picks[i] = pick;
                    (score, figures) = (s, f);
                }
            }
            if score <= before + 1e-9 {
                break;
            }
        }
        picks.sort_by_key(|p| p.site);
        (score, picks, figures)
    }

    /// Narrows tabs one after the other while `good` accepts the set: less to cut and sand.
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

    fn pick(&self, site: usize, width: f64) -> Pick {
        Pick { site, width: self.sites[site].width.min(width) }
    }

    fn room(&self, picks: &[Pick], except: usize, new: Pick) -> bool {
        let s = self.sites[new.site].s;
        picks.iter().enumerate().all(|(i, p)| {
            i == except
                || apart(self.contour, (self.sites[p.site].s, p.width), (s, new.width), self.kerf)
        })
    }

    fn score(&self, picks: &[Pick], f: &Figures) -> f64 {
        let preferred =
            picks.iter().map(|p| self.preference[p.site]).sum::<f64>() / picks.len().max(1) as f64;
        // Tabs first, then the part; beyond what is enough a reserve and less movement count for little.
        let tabs = f.of_tabs();
        10.0 * tabs.min(ENOUGH)
            + 3.0 * f.part.value.min(1.2)
            + 2.0 * f.free_by_hand.value.min(1.2)
            + (tabs.clamp(ENOUGH, 8.0) / ENOUGH).ln()
            + f.motion.value.clamp(0.1, 20.0).ln()
            + preferred
    }
}

/// The set of beams for the picks, in the order of arc length.
pub fn tab_set(mut tabs: Vec<(f64, Beam)>) -> TabSet {
    tabs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let strong = |b: &Beam| b.stiffness.shear * b.strength.normal;
    let end =
        (0..tabs.len()).fold(0, |m, i| if strong(&tabs[i].1) > strong(&tabs[m].1) { i } else { m });
    let start = tabs.get(end).map_or(0.0, |t| t.0);
    TabSet {
        s: tabs.iter().map(|t| t.0).collect(),
        beams: tabs.into_iter().map(|t| t.1).collect(),
        end,
        start,
    }
}
