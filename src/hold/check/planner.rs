//! A piece on its tabs: where they may sit, and figures for each direction that the grain may take.

mod ending;
mod helped;

use super::by_hand::ByHand;
use super::figures::{Figures, Map, Margins};
use super::judge::Judge;
use super::offered::{open_sites, sites, sites_for_waste, widths};
use super::overhang::Overhang;
use super::piece::{Detail, Pick, Piece, Way};
use crate::geometry::{Contour, Point};
use crate::hold::fem::compliance::TRIANGLES;
use crate::hold::model::elastic::{Bed, ElasticBody};
use crate::hold::model::rigid::Ground;
use crate::hold::model::staged::{Body, FloorTie, TabSet};
use crate::hold::part::sections::Chord;
use crate::hold::part::sites::{SeatedTab, Site, is_outer};
use crate::hold::task::HoldTask;
use crate::layout::Tab;
use crate::mechanics::{Beam, line_angle};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_4;
use std::ops::Deref;
use std::rc::Rc;

pub use helped::Helper;

/// A straight run as long as this is as easy to saw and sand as a longer one, mm (set by hand).
const LONG_RUN: f64 = 20.0;
/// Amount that a long straight run, and an edge that the job prefers, each add to a site's score (set by hand).
const PREFERRED: f64 = 0.3;
/// The same of a place on the part's outside, where a sanding block lies flat: a tenth of the margin that tabs need. On a gear's
/// flank or in a joint's notch a tab that is sanded off spoils what has to fit (common practice, no source).
const OUTER: f64 = 1.0;

/// How much effort a planner makes. The default is that of the best plan: 700 triangles, and no figures for comparison.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Care {
    /// Triangles of the elastic part, about.
    pub triangles: f64,
    /// Whether evenly spaced sets get figures even where they are worse than the chosen set.
    pub compare: bool,
}

impl Default for Care {
    fn default() -> Care {
        Care { triangles: TRIANGLES, compare: false }
    }
}

/// A piece with the sites and widths that it offers to tabs. It never changes: [`Planner::cramped`], [`Planner::bridging`] and
/// [`Planner::reaching`] give new planners of the same piece, which share its mesh and its compliance.
pub struct Planner<'a> {
    piece: Rc<Piece<'a>>,
    sites: Vec<Site>,
    widths: Vec<f64>,
    overhang: Overhang,
    effort: Care,
    /// Cached beams of picks, by site, width, height and the grain's direction.
    beams: RefCell<BTreeMap<(usize, u64, u64, usize), Beam>>,
}

/// Data independent of the tabs are read as if they were the planner's own.
impl<'a> Deref for Planner<'a> {
    type Target = Piece<'a>;

    fn deref(&self) -> &Piece<'a> {
        &self.piece
    }
}

/// Whether margins are high enough to continue.
pub type Worth<'a> = &'a dyn Fn(&Margins) -> bool;

impl<'a> Planner<'a> {
    /// The planner of ring `ring`: sites that leave room for the through pass's gap, widths by the size of the piece, the overhang
    /// that the job demands (none for a drop-out), [`Care::default`]. Sections among `chords` that are not watched are left out.
    pub fn new(
        task: &'a HoldTask<'a>,
        contour: Contour,
        ring: usize,
        chords: &[Chord],
    ) -> Planner<'a> {
        Planner::with(task, contour, ring, chords, Care::default())
    }

    /// The same with a given effort.
    pub fn with(
        task: &'a HoldTask<'a>,
        contour: Contour,
        ring: usize,
        chords: &[Chord],
        effort: Care,
    ) -> Planner<'a> {
        let widths = widths(task, contour.length());
        let sites = open_sites(task, &contour, ring, &widths);
        let overhang = match ring {
            0 => Overhang::new(&contour, task.holding.max_overhang),
            _ => Overhang::default(),
        };
        let piece = Rc::new(Piece::new(task, contour, ring, chords, effort.triangles));
        Planner { piece, sites, widths, overhang, effort, beams: RefCell::default() }
    }

    /// The planner of waste beyond the outline, as far as `beside` says that it lies along the kerf's far edge: the same sites, as
    /// narrow as may be, and the waste a rigid body.
    pub fn beyond(
        task: &'a HoldTask<'a>,
        contour: Contour,
        beside: &dyn Fn(Point) -> bool,
    ) -> Planner<'a> {
        let widths = widths(task, contour.length());
        let sites = sites_for_waste(task, &contour, &widths);
        let piece = Rc::new(Piece::beyond(task, contour, beside));
        let overhang = Overhang::default();
        Planner {
            piece,
            sites,
            widths,
            overhang,
            effort: Care::default(),
            beams: RefCell::default(),
        }
    }

    /// A tab at a place of the ring.
    pub fn seated(&self, s: f64, width: f64, height: f64) -> SeatedTab {
        let (at, out) = (self.piece.contour.point(s), self.piece.contour.out(s, width / 2.0));
        SeatedTab { s, tab: Tab { at, out, width, height, ring: self.piece.ring, waste: false } }
    }

    /// A planner with cramped sites too, such as teeth's tips, where the through pass's gap reaches round a corner.
    pub fn cramped(&self) -> Planner<'a> {
        self.offering(&self.widths, 0.0)
    }

    /// A planner with sites for tabs of these widths, mm, ascending; a site has `beside` mm more of straight run than its tab.
    pub fn bridging(&self, widths: &[f64], beside: f64) -> Planner<'a> {
        self.offering(widths, beside)
    }

    /// A planner that allows an overhang of `limit` mm.
    pub fn reaching(&self, limit: f64) -> Planner<'a> {
        let overhang = self.overhang.clone().allowed(limit);
        Planner { overhang, ..self.offered(self.sites.clone()) }
    }

    /// A planner with the sites on clean edges only.
    pub fn clean(&self) -> Planner<'a> {
        self.offered(self.sites.iter().filter(|s| self.is_clean(s)).cloned().collect())
    }

    /// Whether a tab there stands on long grain: it leaves the part at more than 45 degrees to the grain, in any of its directions.
    pub fn is_clean(&self, site: &Site) -> bool {
        let out = self.piece.contour.out(site.s, site.width / 2.0);
        let to_grain = |g: f64| line_angle(out.y.atan2(out.x), g);
        self.piece.grains.iter().all(|g| g.is_some_and(|g| to_grain(g) > FRAC_PI_4))
    }

    fn offering(&self, widths: &[f64], beside: f64) -> Planner<'a> {
        let sites = sites(self.piece.task, &self.piece.contour, self.piece.ring, widths, beside);
        Planner { widths: widths.to_vec(), ..self.offered(sites) }
    }

    /// A planner with these sites.
    pub fn offered(&self, sites: Vec<Site>) -> Planner<'a> {
        Planner {
            piece: self.piece.clone(),
            sites,
            widths: self.widths.clone(),
            overhang: self.overhang.clone(),
            effort: self.effort,
            beams: RefCell::default(),
        }
    }

    /// Where tabs may sit.
    pub fn sites(&self) -> &[Site] {
        &self.sites
    }

    /// Widths to choose from, mm, ascending.
    pub fn widths(&self) -> &[f64] {
        &self.widths
    }

    /// The greatest distance of the ring from its tabs.
    pub fn overhang(&self) -> &Overhang {
        &self.overhang
    }

    /// Whether evenly spaced sets get figures even where they are worse.
    pub fn compares(&self) -> bool {
        self.effort.compare
    }

    /// Whether the part's own bending is in the figures.
    pub fn is_elastic(&self) -> bool {
        self.piece.ways.iter().all(|w| self.piece.flexible(w).is_some())
    }

    /// The tab of a pick.
    pub fn tab(&self, pick: Pick, height: f64) -> Tab {
        self.seated(self.sites[pick.site].s, pick.width, height).tab
    }

    /// Tabs with their positions on the ring.
    pub fn placed(&self, picks: &[Pick], height: f64) -> Vec<SeatedTab> {
        let seated = |&p: &Pick| SeatedTab { s: self.sites[p.site].s, tab: self.tab(p, height) };
        picks.iter().map(seated).collect()
    }

    /// Figures of tabs at the last pass's `depth`, the worst over the grain's directions: all places, both directions, the elastic
    /// part where there is one. `None` as soon as a margin is below `least`.
    pub fn figures(&self, tabs: &[SeatedTab], depth: f64, least: f64) -> Option<Figures> {
        let mut worst: Option<Figures> = None;
        for way in &self.piece.ways {
            let figures = self.full(way, tabs, depth, least)?;
            if worst.as_ref().is_none_or(|w| figures.least().value < w.least().value) {
                worst = Some(figures);
            }
        }
        worst
    }

    fn full(&self, way: &Way, tabs: &[SeatedTab], depth: f64, least: f64) -> Option<Figures> {
        let (few, all) = (self.piece.ground(&way.few, depth), self.piece.ground(&way.all, depth));
        let set = self.set(tabs, way.grain);
        let some = self.piece.some();
        match self.piece.flexible(way) {
            Some(f) => {
                let coarse =
                    ElasticBody { bed: Bed::Absent, ..self.piece.elastic(f, &f.few, &few) };
                let fine = self.piece.elastic(f, &f.all, &all);
                let rough = self.judge(way, &coarse, &few, some, depth);
                self.judge(way, &fine, &all, &self.piece.chords, depth).full(&set, &rough, least)
            }
            None => {
                let coarse = self.piece.rigid(&few, some, &self.piece.few_sides);
                let fine = self.piece.rigid(&all, &self.piece.chords, &self.piece.all_sides);
                let rough = self.judge(way, &coarse, &few, some, depth);
                self.judge(way, &fine, &all, &self.piece.chords, depth).full(&set, &rough, least)
            }
        }
    }

    /// Margin of the strength of tabs on a piece of waste, the worst over the grain's directions, the last pass starting and
    /// ending at `start` on the outline; 0 where it is not above `least`.
    pub fn strength(&self, tabs: &[SeatedTab], depth: f64, start: f64, least: f64) -> f64 {
        let of = |way: &Way| {
            let all = self.piece.ground(&way.all, depth);
            let body = self.piece.rigid(&all, &[], &self.piece.all_sides);
            let set = TabSet { start, ..self.set(tabs, way.grain) };
            self.judge(way, &body, &all, &[], depth).strength(&set, least)
        };
        self.piece.ways.iter().map(of).fold(f64::INFINITY, f64::min)
    }

    /// Margins of tabs to search by, each the worst over the grain's directions; `None` once they are not `worth` continuing.
    pub fn margins(
        &self,
        tabs: &[SeatedTab],
        depth: f64,
        detail: Detail,
        worth: &dyn Fn(&Margins) -> bool,
    ) -> Option<Margins> {
        let few = self.piece.grounds(depth, detail);
        let set = |_: usize, way: &Way| self.set(tabs, way.grain);
        self.quick(&few, depth, (detail, &[FloorTie::Forward]), worth, &set)
    }

    fn quick(
        &self,
        few: &[Ground],
        depth: f64,
        look: (Detail, &'static [FloorTie]),
        worth: &dyn Fn(&Margins) -> bool,
        set: &dyn Fn(usize, &Way) -> TabSet,
    ) -> Option<Margins> {
        let (detail, quick) = look;
        let mut margins = Margins::unlimited(self.piece.task.holding.freeing);
        for (i, way) in self.piece.ways.iter().enumerate() {
            let (few, set) = (&few[i], set(i, way));
            let sides = if detail == Detail::First {
                &self.piece.first_sides
            } else {
                &self.piece.few_sides
            };
            let bare = self.piece.rigid(few, &[], sides);
            let rough = self.judge(way, &bare, few, &[], depth);
            let flexible = if detail == Detail::Elastic { self.piece.flexible(way) } else { None };
            margins = match flexible {
                Some(f) => {
                    let bed = Bed::WhereFarthest;
                    let body = ElasticBody { bed, ..self.piece.elastic(f, &f.few, few) };
                    let own =
                        Judge { quick, ..self.judge(way, &body, few, self.piece.some(), depth) };
                    // Both ways round is asked for accuracy: then a tab goes from the elastic part too.
                    let rough = if quick.len() > 1 { &own } else { &rough };
                    own.quick(&set, rough, margins, worth)?
                }
                None => {
                    let body = self.piece.rigid(few, self.piece.some(), sides);
                    Judge { quick, ..self.judge(way, &body, few, self.piece.some(), depth) }
                        .quick(&set, &rough, margins, worth)?
                }
            };
        }
        Some(margins)
    }

    /// Movement along the outline (place and mm) and margins by tab and section, the grain its first direction and the last pass
    /// ending at tab number `end` by arc length.
    pub fn map(&self, tabs: &[SeatedTab], end: usize, depth: f64) -> (Vec<Point>, Map) {
        let way = &self.piece.ways[0];
        let all = self.piece.ground(&way.all, depth);
        let set = self.set(tabs, way.grain);
        let set = TabSet { end, start: set.s.get(end).copied().unwrap_or(0.0), ..set };
        let map = match self.piece.flexible(way) {
            Some(f) => {
                let body = self.piece.elastic(f, &f.all, &all);
                self.judge(way, &body, &all, &self.piece.chords, depth).map(&set)
            }
            None => {
                let body = self.piece.rigid(&all, &self.piece.chords, &self.piece.all_sides);
                self.judge(way, &body, &all, &self.piece.chords, depth).map(&set)
            }
        };
        (all.stations.iter().map(|s| s.at).collect(), map)
    }

    fn judge<'b>(
        &'b self,
        way: &'b Way,
        body: &'b dyn Body,
        ground: &'b Ground,
        chords: &'b [Chord],
        depth: f64,
    ) -> Judge<'b> {
        let t = self.piece.task;
        Judge {
            body,
            stations: &ground.stations,
            chords,
            necks: self.piece.necks,
            strengths: &way.strengths,
            load: &self.piece.load,
            depth,
            thickness: t.thickness,
            material: t.material,
            grain: way.grain,
            contour: &self.piece.contour,
            overhang: &self.overhang,
            freeing: t.holding.freeing,
            quick: &[FloorTie::Forward],
        }
    }

    fn set(&self, tabs: &[SeatedTab], grain: Option<f64>) -> TabSet {
        let task = self.piece.task;
        let beam = |t: &Tab| Beam::new(t, task.material, grain, task.bit.diameter, task.thickness);
        TabSet::of(tabs.iter().map(|t| (t.s, beam(&t.tab))).collect())
    }

    /// The function by which a search judges sets of picks at one tab height and depth of the last pass: their margins, each the
    /// worst over the grain's directions; `None` once they are too low to continue.
    pub fn look(
        &self,
        height: f64,
        depth: f64,
        detail: Detail,
    ) -> impl Fn(&[Pick], Worth<'_>) -> Option<Margins> {
        let few = self.piece.grounds(depth, detail);
        move |picks, worth| {
            let set = |i: usize, _: &Way| {
                let beam = |p: &Pick| (self.sites[p.site].s, self.beam(*p, height, i));
                TabSet::of(picks.iter().map(beam).collect())
            };
            self.quick(&few, depth, (detail, &[FloorTie::Forward]), worth, &set)
        }
    }

    /// The preference of each site: at most twice what a liked edge adds, and what the outside adds.
    pub fn preferences(&self) -> Vec<f64> {
        self.sites.iter().map(|s| self.preference(s)).collect()
    }

    /// The beam of a pick for the grain's direction number `way`, cached for the next set that has it.
    fn beam(&self, pick: Pick, height: f64, way: usize) -> Beam {
        let key = (pick.site, pick.width.to_bits(), height.to_bits(), way);
        let make = || {
            let (task, grain) = (self.piece.task, self.piece.ways[way].grain);
            let tab = self.tab(pick, height);
            Beam::new(&tab, task.material, grain, task.bit.diameter, task.thickness)
        };
        self.beams.borrow_mut().entry(key).or_insert_with(make).clone()
    }

    /// Whether each site is on the part's outside.
    pub fn outer(&self) -> Vec<bool> {
        self.sites.iter().map(|s| self.is_outside(s)).collect()
    }

    /// Whether freeing the lowest and widest tab at each site by hand may break the part.
    pub fn delicate(&self, height: f64) -> Vec<bool> {
        let task = self.piece.task;
        let breaks = |site: usize, way: usize| {
            let beam = self.beam(Pick { site, width: self.sites[site].width }, height, way);
            let sections = ByHand {
                necks: &self.piece.chords[..self.piece.necks],
                strengths: &self.piece.ways[way].strengths,
                thickness: task.thickness,
                contour: &self.piece.contour,
                freeing: task.holding.freeing,
            };
            sections.margin(self.sites[site].s, &beam).0 < 1.0
        };
        let ways = self.piece.ways.len();
        (0..self.sites.len()).map(|site| (0..ways).any(|way| breaks(site, way))).collect()
    }

    /// Whether a site is on the part's outside; in an opening all are as good.
    fn is_outside(&self, site: &Site) -> bool {
        self.piece.ring > 0 || is_outer(&self.piece.contour, site.s)
    }

    /// Long straight runs are easier to saw and sand, on the outside a sanding block lies flat; end grain is strong, long grain
    /// clean.
    fn preference(&self, site: &Site) -> f64 {
        let outer = self.is_outside(site);
        let straight = (site.run / LONG_RUN).min(1.0);
        let out = self.piece.contour.out(site.s, site.width / 2.0);
        let along = self
            .piece
            .grains
            .iter()
            .map(|g| g.map_or(0.5, |g| line_angle(out.y.atan2(out.x), g).cos()))
            .sum::<f64>()
            / self.piece.grains.len() as f64;
        let grain = match self.piece.task.holding.prefer {
            crate::job::Prefer::Strong => along,
            crate::job::Prefer::Clean => 1.0 - along,
        };
        PREFERRED * straight + PREFERRED * grain + if outer { OUTER } else { 0.0 }
    }
}
