//! One piece on its tabs: sites, stations and figures for every direction the grain may take.

use super::HoldTask;
use super::beam::Beam;
use super::chord::Chord;
use super::contour::Contour;
use super::judge::{Figures, Judge};
use super::load::Load;
use super::search::{Pick, Search, tab_set};
use super::site::{Rules, Site};
use super::staged::{RigidBody, Station, TabSet, stations};
use super::strength::{line_angle, section_strength};
use crate::geometry::Vector;
use crate::layout::Tab;
use std::f64::consts::PI;

/// Places of the bit tried in the search, and sites for tabs.
const QUICK: usize = 32;
const SITES: usize = 40;
/// Most places of the bit in the final figures (still spaced at most a bit's diameter up to 1.2 m of edge).
const FULL: usize = 400;
/// Sections watched in the search and in the final figures.
const QUICK_CHORDS: usize = 5;
const FULL_CHORDS: usize = 32;

/// The ring being cut of a part or of a drop-out, with all that does not depend on the tabs.
pub struct Planner<'a> {
    /// What is asked.
    pub task: &'a HoldTask<'a>,
    /// N per mm of depth.
    pub load: Load,
    /// The ring.
    pub contour: Contour,
    /// Its number.
    pub ring: usize,
    /// From the ring to the piece's own edge: 0 for the part, the kerf for a drop-out.
    pub shift: f64,
    /// Where tabs may sit.
    pub sites: Vec<Site>,
    /// Widths to choose from, mm, ascending.
    pub widths: Vec<f64>,
    /// Directions the grain may take, as lines; one `None` where there is none.
    pub grains: Vec<Option<f64>>,
    /// Sections that cut the piece in two, the weakest at any of the grains first.
    pub chords: Vec<Chord>,
}

impl<'a> Planner<'a> {
    /// The planner of ring `ring`; sections among `chords` that do not fall the piece in two are left out.
    pub fn new(
        task: &'a HoldTask<'a>,
        contour: Contour,
        ring: usize,
        chords: &[Chord],
    ) -> Planner<'a> {
        let grains = directions(task);
        let kerf = task.bit.diameter;
        let widths = widths(task, contour.length());
        let rules = Rules {
            shape: task.shape,
            kerf,
            tab_free: task.tab_free,
            landing_ok: task.landing_ok,
            widths: &widths,
        };
        let step = kerf.max(contour.length() / SITES as f64);
        let sites = rules.sites(&contour, ring, step, SITES);
        let mut chords: Vec<Chord> = chords
            .iter()
            .filter(|c| c.separates() && c.from.0 == ring && ring == 0 && c.arm >= kerf / 2.0)
            .cloned()
            .collect();
        let strength = |c: &Chord| {
            let at = |g: &Option<f64>| {
                section_strength(task.material, g.map_or(0.0, |g| line_angle(c.direction(), g)))
            };
            grains.iter().map(at).fold(f64::INFINITY, f64::min) * c.width * c.width
                / c.arm.max(c.width)
        };
        chords.sort_by(|a, b| strength(a).total_cmp(&strength(b)));
        chords.truncate(FULL_CHORDS);
        let shift = if ring == 0 { 0.0 } else { kerf };
        Planner {
            task,
            load: Load::new(task.bit, task.material),
            contour,
            ring,
            shift,
            sites,
            widths,
            grains,
            chords,
        }
    }

    /// The tab of a pick.
    pub fn tab(&self, pick: Pick, height: f64) -> Tab {
        let s = self.sites[pick.site].s;
        Tab {
            at: self.contour.point(s),
            out: self.contour.out(s, pick.width / 2.0),
            width: pick.width,
            height,
            ring: self.ring,
        }
    }

    /// Tabs with their positions on the ring.
    pub fn placed(&self, picks: &[Pick], height: f64) -> Vec<(f64, Tab)> {
        picks.iter().map(|&p| (self.sites[p.site].s, self.tab(p, height))).collect()
    }

    fn positions(&self, step: f64, most: usize) -> Vec<f64> {
        self.contour.spaced(step, 12, most)
    }

    fn stations(&self, positions: &[f64], depth: f64, grain: Option<f64>) -> Vec<Station> {
        let kerf = self.task.bit.diameter;
        let mut list = stations(&self.contour, positions, depth, kerf, self.task.material, grain);
        for s in &mut list {
            // A drop-out's own edge lies a kerf inside the opening, and it faces the other way.
            s.at = s.at + s.out * self.shift;
        }
        list
    }

    /// Figures of tabs at the last pass's `depth`, the worst over the grain's directions.
    pub fn full(&self, tabs: &[(f64, Tab)], depth: f64) -> Figures {
        self.worst(
            tabs,
            depth,
            &self.positions(self.task.bit.diameter.max(0.5), FULL),
            FULL_CHORDS,
            true,
        )
    }

    /// The same, coarser: for the search.
    pub fn quick(&self, tabs: &[(f64, Tab)], depth: f64) -> Figures {
        self.worst(tabs, depth, &self.positions(self.task.bit.diameter, QUICK), QUICK_CHORDS, false)
    }

    fn worst(
        &self,
        tabs: &[(f64, Tab)],
        depth: f64,
        positions: &[f64],
        chords: usize,
        full: bool,
    ) -> Figures {
        let of = |grain: Option<f64>| {
            let stations = self.stations(positions, depth, grain);
            let chords = &self.chords[..chords.min(self.chords.len())];
            let body = RigidBody {
                contour: &self.contour,
                stations: &stations,
                chords,
                lift: self.load.lift,
                patch: self.task.bit.diameter / 2.0,
            };
            let judge = Judge {
                body: &body,
                stations: &stations,
                chords,
                load: &self.load,
                depth,
                thickness: self.task.thickness,
                material: self.task.material,
                grain,
            };
            let set = self.set(tabs, grain);
            if full { judge.full(&set) } else { judge.quick(&set) }
        };
        let first = of(self.grains[0]);
        self.grains[1..]
            .iter()
            .map(|&g| of(g))
            .fold(first, |a, b| if b.least().value < a.least().value { b } else { a })
    }

    fn set(&self, tabs: &[(f64, Tab)], grain: Option<f64>) -> TabSet {
        let beam = |t: &Tab| Beam::new(t, self.task.material, grain, self.task.bit.diameter);
        tab_set(tabs.iter().map(|(s, t)| (*s, beam(t))).collect())
    }

    /// The search over this piece's sites at one tab height and depth of the last pass.
    pub fn search<R>(&self, height: f64, depth: f64, run: impl FnOnce(&Search) -> R) -> R {
        let figures = |picks: &[Pick]| self.quick(&self.placed(picks, height), depth);
        let preference: Vec<f64> = self.sites.iter().map(|s| self.preference(s)).collect();
        run(&Search {
            contour: &self.contour,
            sites: &self.sites,
            kerf: self.task.bit.diameter,
            figures: &figures,
            preference: &preference,
        })
    }

    /// Long straight runs are easier to saw and sand; end grain is strong, long grain clean.
    fn preference(&self, site: &Site) -> f64 {
        let straight = (site.run / 20.0).min(1.0);
        let out = self.contour.out(site.s, site.width / 2.0);
        let along = self
            .grains
            .iter()
            .map(|g| g.map_or(0.5, |g| line_angle(out.y.atan2(out.x), g).cos()))
            .sum::<f64>()
            / self.grains.len() as f64;
        let grain = match self.task.holding.prefer {
            crate::job::Prefer::Strong => along,
            crate::job::Prefer::Clean => 1.0 - along,
        };
        0.3 * straight + 0.3 * grain
    }

    /// Centre and size of what is held: for words.
    pub fn size(&self) -> f64 {
        let p = self.contour.points();
        let c = p.iter().fold(crate::geometry::point(0.0, 0.0), |m, &q| m + q) / p.len() as f64;
        2.0 * p.iter().map(|q| q.distance(c)).fold(0.0, f64::max)
    }
}

/// The grain's directions as lines, each once.
fn directions(task: &HoldTask) -> Vec<Option<f64>> {
    if !task.material.has_grain() || task.grain.is_empty() {
        // Grain unknown in a material that has one: judge both ways of the sheet.
        return if task.material.has_grain() {
            vec![Some(0.0), Some(PI / 2.0)]
        } else {
            vec![None]
        };
    }
    let mut list: Vec<f64> = task.grain.iter().map(|g| g.rem_euclid(PI)).collect();
    list.sort_by(f64::total_cmp);
    list.dedup_by(|b, a| (*b - *a) < 1e-6);
    if list.len() > 1 && PI - list[list.len() - 1] + list[0] < 1e-6 {
        list.pop();
    }
    list.into_iter().map(Some).collect()
}

/// Widths to choose from by the size of the part: to 3 mm for tiny ones, 6 for hand-sized, 8 and more for
/// larger (common practice, no source), within the job's limits.
fn widths(task: &HoldTask, length: f64) -> Vec<f64> {
    let by_size = if length < 80.0 {
        3.0
    } else if length < 400.0 {
        6.0
    } else {
        8.0
    };
    let (least, most) = (task.holding.min_width.max(0.5), task.holding.max_width.min(by_size));
    let mut list: Vec<f64> = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0]
        .into_iter()
        .filter(|w| *w >= least && *w <= most.max(least))
        .collect();
    if list.is_empty() {
        list.push(least);
    }
    list
}
