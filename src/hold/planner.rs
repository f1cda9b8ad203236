//! One piece on its tabs: sites, stations and figures for every direction the grain may take.

use super::HoldTask;
use super::beam::Beam;
use super::chord::Chord;
use super::contour::Contour;
use super::elastic::ElasticPart;
use super::elastic_body::{ElasticBody, Spots};
use super::judge::{Figures, Judge, Map};
use super::load::Load;
use super::search::{Pick, Search, tab_set};
use super::site::{Rules, Site};
use super::staged::{Body, RigidBody, Station, TabSet, stations};
use super::strength::{line_angle, section_strength};
use crate::geometry::{Point, Vector};
use crate::layout::Tab;
use std::f64::consts::PI;

/// Places of the bit tried in the search, and sites for tabs.
const QUICK: usize = 32;
const SITES: usize = 40;
/// Most places of the bit in the final figures.
const FULL: usize = 72;
/// Sections watched in the search and in the final figures.
const QUICK_CHORDS: usize = 5;
const FULL_CHORDS: usize = 24;

/// How closely the figures of a tab set are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// Rigid part, few places of the bit, one way round: to search by.
    Rigid,
    /// Elastic part, few places, one way round: to search by.
    Elastic,
    /// Elastic part, all places, both ways round: what is reported.
    Full,
}

/// The elastic part with the compliance between the places of the bit, few and all.
struct Flexible {
    part: ElasticPart,
    few: Spots,
    all: Spots,
}

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
    /// Places of the bit: few, and all.
    few: Vec<f64>,
    all: Vec<f64>,
    /// The elastic part for each of the grain's directions; `None` for a drop-out, or where the mesher gives up.
    flexible: Vec<Option<Flexible>>,
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
        let sites = sites(task, &contour, ring, &widths, kerf);
        // Sections of the outline, and walls beside openings (statics cannot tell those: the elastic part does).
        let counts = |c: &&Chord| {
            ring == 0
                && if c.separates() { c.from.0 == 0 && c.arm >= kerf / 2.0 } else { c.from.0 == 0 }
        };
        let mut chords: Vec<Chord> = chords.iter().filter(counts).cloned().collect();
        let strength = |c: &Chord| {
            let at = |g: &Option<f64>| {
                section_strength(task.material, g.map_or(0.0, |g| line_angle(c.direction(), g)))
            };
            grains.iter().map(at).fold(f64::INFINITY, f64::min) * c.width * c.width
                / c.arm.max(c.width)
        };
        chords.sort_by(|a, b| strength(a).total_cmp(&strength(b)));
        thin_walls(&mut chords);
        chords.truncate(FULL_CHORDS);
        let shift = if ring == 0 { 0.0 } else { kerf };
        let few = contour.spaced(kerf, 12, QUICK);
        let all = contour.spaced(kerf.max(0.5), 12, FULL);
        let load = Load::new(task.bit, task.material);
        let mut planner = Planner {
            task,
            load,
            contour,
            ring,
            shift,
            sites,
            widths,
            grains,
            chords,
            few,
            all,
            flexible: vec![],
        };
        planner.flexible = planner
            .grains
            .iter()
            .map(|&g| if ring == 0 { planner.flex(g) } else { None })
            .collect();
        planner
    }

    /// Takes cramped sites too, such as teeth's tips, where the through pass's gap reaches round a corner.
    pub fn cramp(&mut self) {
        self.sites = sites(self.task, &self.contour, self.ring, &self.widths, 0.0);
    }

    fn flex(&self, grain: Option<f64>) -> Option<Flexible> {
        let t = self.task;
        let walls: Vec<Chord> = self.chords.iter().filter(|c| c.wall.is_some()).cloned().collect();
        let part = ElasticPart::new(
            t.shape,
            t.thickness,
            t.material,
            grain,
            self.load.lift > 0.0,
            &walls,
        )?;
        let spots = |positions: &[f64]| {
            Spots::new(&part, &self.stations(positions, 1.0, grain), t.bit.diameter / 2.0)
        };
        let (few, all) = (spots(&self.few), spots(&self.all));
        Some(Flexible { part, few, all })
    }

    /// Whether the part's own bending is in the figures.
    pub fn is_elastic(&self) -> bool {
        self.flexible.iter().all(Option::is_some)
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
    pub fn figures(&self, tabs: &[(f64, Tab)], depth: f64, detail: Detail) -> Figures {
        let of = |i: usize| self.at_grain(tabs, depth, detail, i);
        (1..self.grains.len())
            .map(of)
            .fold(of(0), |a, b| if b.least().value < a.least().value { b } else { a })
    }

    fn at_grain(&self, tabs: &[(f64, Tab)], depth: f64, detail: Detail, i: usize) -> Figures {
        let grain = self.grains[i];
        let few = self.stations(&self.few, depth, grain);
        let some = &self.chords[..QUICK_CHORDS.min(self.chords.len())];
        let set = self.set(tabs, grain);
        let flexible =
            self.flexible.get(i).and_then(Option::as_ref).filter(|_| detail != Detail::Rigid);
        let rigid_few = self.rigid(&few, &[]);
        let rough = self.judge(&rigid_few, &few, &[], depth, grain);
        match (detail, flexible) {
            (Detail::Full, Some(f)) => {
                let all = self.stations(&self.all, depth, grain);
                let (coarse, fine) = (
                    self.elastic(f, &f.few, &few, some),
                    self.elastic(f, &f.all, &all, &self.chords),
                );
                let rough = self.judge(&coarse, &few, some, depth, grain);
                self.judge(&fine, &all, &self.chords, depth, grain).full(&set, &rough)
            }
            (Detail::Full, None) => {
                let all = self.stations(&self.all, depth, grain);
                let (coarse, fine) = (self.rigid(&few, some), self.rigid(&all, &self.chords));
                let rough = self.judge(&coarse, &few, some, depth, grain);
                self.judge(&fine, &all, &self.chords, depth, grain).full(&set, &rough)
            }
            (_, Some(f)) => {
                // The bed is left to the final figures: without it the bit lifts more, and it costs.
                let body = ElasticBody { bed: false, ..self.elastic(f, &f.few, &few, some) };
                self.judge(&body, &few, some, depth, grain).quick(&set, &rough)
            }
            (_, None) => {
                let body = self.rigid(&few, some);
                self.judge(&body, &few, some, depth, grain).quick(&set, &rough)
            }
        }
    }

    /// Movement along the outline (place and mm) and margins by tab and section, the grain its first direction.
    pub fn map(&self, tabs: &[(f64, Tab)], depth: f64) -> (Vec<Point>, Map) {
        let grain = self.grains[0];
        let all = self.stations(&self.all, depth, grain);
        let set = self.set(tabs, grain);
        let map = match self.flexible.first().and_then(Option::as_ref) {
            Some(f) => self
                .judge(
                    &self.elastic(f, &f.all, &all, &self.chords),
                    &all,
                    &self.chords,
                    depth,
                    grain,
                )
                .map(&set),
            None => self
                .judge(&self.rigid(&all, &self.chords), &all, &self.chords, depth, grain)
                .map(&set),
        };
        (all.iter().map(|s| s.at).collect(), map)
    }

    fn rigid<'b>(&'b self, stations: &'b [Station], chords: &'b [Chord]) -> RigidBody<'b> {
        RigidBody {
            contour: &self.contour,
            stations,
            chords,
            lift: self.load.lift,
            patch: self.task.bit.diameter / 2.0,
        }
    }

    fn elastic<'b>(
        &'b self,
        flexible: &'b Flexible,
        spots: &'b Spots,
        stations: &'b [Station],
        chords: &'b [Chord],
    ) -> ElasticBody<'b> {
        ElasticBody {
            part: &flexible.part,
            contour: &self.contour,
            stations,
            spots,
            chords,
            lift: self.load.lift,
            bed: true,
        }
    }

    fn judge<'b>(
        &'b self,
        body: &'b dyn Body,
        stations: &'b [Station],
        chords: &'b [Chord],
        depth: f64,
        grain: Option<f64>,
    ) -> Judge<'b> {
        let t = self.task;
        Judge {
            body,
            stations,
            chords,
            load: &self.load,
            depth,
            thickness: t.thickness,
            material: t.material,
            grain,
            contour: &self.contour,
            freeing: t.holding.freeing,
        }
    }

    fn set(&self, tabs: &[(f64, Tab)], grain: Option<f64>) -> TabSet {
        let beam = |t: &Tab| Beam::new(t, self.task.material, grain, self.task.bit.diameter);
        tab_set(tabs.iter().map(|(s, t)| (*s, beam(t))).collect())
    }

    /// The search over this piece's sites at one tab height and depth of the last pass.
    pub fn search<R>(
        &self,
        height: f64,
        depth: f64,
        detail: Detail,
        run: impl FnOnce(&Search) -> R,
    ) -> R {
        let figures = |picks: &[Pick]| self.figures(&self.placed(picks, height), depth, detail);
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

fn sites(
    task: &HoldTask,
    contour: &Contour,
    ring: usize,
    widths: &[f64],
    beside: f64,
) -> Vec<Site> {
    let kerf = task.bit.diameter;
    let rules = Rules {
        shape: task.shape,
        kerf,
        tab_free: task.tab_free,
        landing_ok: task.landing_ok,
        widths,
    };
    rules.sites(contour, ring, kerf.max(contour.length() / SITES as f64), SITES, beside)
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

/// Most walls beside openings that are watched: each costs further rows.
const WALLS: usize = 8;

/// Numbers the walls, weakest first, and drops those beyond the most.
fn thin_walls(chords: &mut Vec<Chord>) {
    let mut walls = 0;
    chords.retain_mut(|c| {
        if !c.separates() {
            c.wall = Some(walls);
            walls += 1;
        }
        c.wall.is_none_or(|w| w < WALLS)
    });
}
