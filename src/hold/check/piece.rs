//! One piece on its tabs: sites, stations and figures for every direction the grain may take.

mod bridging;
mod ending;
mod offered;
mod walls;

use super::figures::{Figures, Map, Margins};
use super::judge::Judge;
use super::overhang::Overhang;
use crate::geometry::{Contour, Point, Vector};
use crate::hold::fem::compliance::{ElasticMesh, ElasticPart, TRIANGLES};
use crate::hold::model::elastic::{Bed, ElasticBody, Spots};
use crate::hold::model::rigid::{Ground, RigidBody};
use crate::hold::model::staged::{Body, Pass, Sides, Station, TabSet, stations};
use crate::hold::part::sections::Chord;
use crate::hold::part::sites::Site;
use crate::hold::search::exchange::{Pick, Search, tab_set};
use crate::hold::task::HoldTask;
use crate::layout::Tab;
use crate::mechanics::{Beam, Load, line_angle, section_strength};
pub use offered::directions;
use offered::{sites, widths};
use std::cell::{OnceCell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;
use walls::thin_walls;

/// Places of the bit tried in the search on the rigid part and on the elastic one.
const FIRST: usize = 16;
const QUICK: usize = 32;
/// Most places of the bit in the final figures.
const FULL: usize = 72;
/// Sections watched in the search and in the final figures.
const QUICK_CHORDS: usize = 5;
const FULL_CHORDS: usize = 24;

/// What a search judges by: some places of the bit, one way round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// The rigid part at few places of the bit.
    First,
    /// The rigid part.
    Rigid,
    /// The elastic part.
    Elastic,
}

/// A direction that the grain may take, and what goes with it.
struct Way {
    grain: Option<f64>,
    /// Places of the bit with no floor yet: for a first look, few, and all.
    first: Vec<Station>,
    few: Vec<Station>,
    all: Vec<Station>,
    /// Mean bending strength of each section, MPa.
    strengths: Vec<f64>,
    /// The elastic part, once it is asked for; `None` in it for a drop-out, or where the mesher gives up.
    flexible: OnceCell<Option<Rc<Flexible>>>,
}

/// The elastic part with the compliance between the places of the bit, few and all.
struct Flexible {
    part: Arc<ElasticPart>,
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
    /// How far the ring may stand from its tabs; a drop-out's is not asked.
    pub overhang: Overhang,
    /// Whether evenly spaced sets get figures even where they are worse.
    pub compare: bool,
    /// Triangles of the elastic part.
    pub triangles: f64,
    /// Directions the grain may take, as lines; one `None` where there is none.
    pub grains: Vec<Option<f64>>,
    /// Sections that cut the piece in two, the weakest at any of the grains first.
    pub chords: Vec<Chord>,
    /// One for each of the grain's directions.
    ways: Vec<Way>,
    /// Where they lie to the sections.
    first_sides: Sides,
    few_sides: Sides,
    all_sides: Sides,
    /// The part's mesh, made when it is first bent.
    mesh: OnceCell<Option<ElasticMesh>>,
    /// Beams of picks met before, by site, width, height and the grain's direction.
    beams: RefCell<BTreeMap<(usize, u64, u64, usize), Beam>>,
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
        let strength_at = |c: &Chord, grain: Option<f64>| {
            section_strength(task.material, grain.map_or(0.0, |g| line_angle(c.direction(), g)))
        };
        let strength = |c: &Chord| {
            grains.iter().map(|&g| strength_at(c, g)).fold(f64::INFINITY, f64::min)
                * c.share_left()
                * c.width
                * c.width
                / c.arm.max(c.width)
        };
        chords.sort_by(|a, b| strength(a).total_cmp(&strength(b)));
        thin_walls(&mut chords);
        chords.truncate(FULL_CHORDS);
        let overhang = match ring {
            0 => Overhang::new(&contour, task.holding.max_overhang),
            _ => Overhang::default(),
        };
        let shift = if ring == 0 { 0.0 } else { kerf };
        let [first, few, all] = [(kerf, FIRST), (kerf, QUICK), (kerf.max(0.5), FULL)]
            .map(|(d, n)| contour.spaced(d, 12, n));
        let load = Load::new(task.bit, task.material);
        let places = |positions: &[f64], grain| {
            let mut list =
                stations(&contour, positions, 1.0, kerf, task.thickness, task.material, grain);
            // A drop-out's own edge lies a kerf inside the opening, and it faces the other way.
            list.iter_mut().for_each(|s| s.at = s.at + s.out * shift);
            list
        };
        let way = |&grain: &Option<f64>| Way {
            grain,
            first: places(&first, grain),
            few: places(&few, grain),
            all: places(&all, grain),
            strengths: chords.iter().map(|c| strength_at(c, grain)).collect(),
            flexible: OnceCell::new(),
        };
        let ways: Vec<Way> = grains.iter().map(way).collect();
        let sides = |stations: &[Station]| Sides::new(&contour, stations, &chords, kerf / 2.0);
        let [first_sides, few_sides, all_sides] =
            [&ways[0].first, &ways[0].few, &ways[0].all].map(|places| sides(places));
        Planner {
            task,
            load,
            ring,
            shift,
            sites,
            widths,
            overhang,
            compare: false,
            triangles: TRIANGLES,
            grains,
            ways,
            first_sides,
            few_sides,
            all_sides,
            mesh: OnceCell::new(),
            beams: RefCell::default(),
            contour,
            chords,
        }
    }

    /// Takes cramped sites too, such as teeth's tips, where the through pass's gap reaches round a corner; whether there
    /// are any.
    pub fn cramp(&mut self) -> bool {
        let cramped = sites(self.task, &self.contour, self.ring, &self.widths, 0.0);
        let more = cramped != self.sites;
        self.sites = cramped;
        self.beams.take();
        more
    }

    fn flexible<'b>(&'b self, way: &'b Way) -> Option<&'b Flexible> {
        way.flexible.get_or_init(|| self.flex(way).map(Rc::new)).as_deref()
    }

    fn flex(&self, way: &Way) -> Option<Flexible> {
        let t = self.task;
        if self.ring > 0 {
            return None;
        }
        let part = match t.bodies {
            Some(b) => b.body(&self.grains, way.grain, self.triangles, || self.body(way.grain))?,
            None => Arc::new(self.body(way.grain)?),
        };
        let spots = |stations: &[Station], chords: &[Chord]| {
            Spots::new(&part, &self.contour, stations, chords, t.bit.diameter / 2.0)
        };
        let (few, all) = (spots(&way.few, self.some()), spots(&way.all, &self.chords));
        Some(Flexible { part, few, all })
    }

    /// The part as it bends with its grain at `grain`.
    fn body(&self, grain: Option<f64>) -> Option<ElasticPart> {
        let t = self.task;
        let mesh = self.mesh.get_or_init(|| ElasticMesh::new(t.shape, self.triangles)).as_ref()?;
        let walls: Vec<Chord> = self.chords.iter().filter(|c| c.wall.is_some()).cloned().collect();
        ElasticPart::new(mesh, t.thickness, t.material, grain, self.load.lift > 0.0, &walls)
    }

    /// Whether the part's own bending is in the figures.
    pub fn is_elastic(&self) -> bool {
        self.ways.iter().all(|w| self.flexible(w).is_some())
    }

    /// The sections watched in the search.
    fn some(&self) -> &[Chord] {
        &self.chords[..QUICK_CHORDS.min(self.chords.len())]
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

    /// The places that a search of this detail looks at, by the grain's directions.
    fn grounds(&self, depth: f64, detail: Detail) -> Vec<Ground> {
        let of =
            |w: &Way| self.ground(if detail == Detail::First { &w.first } else { &w.few }, depth);
        self.ways.iter().map(of).collect()
    }

    fn ground(&self, places: &[Station], depth: f64) -> Ground {
        let t = self.task;
        let floor = |s: &Station| s.with_floor(depth, t.bit.diameter, t.thickness, t.material);
        Ground::new(places.iter().map(floor).collect())
    }

    /// Figures of tabs at the last pass's `depth`, the worst over the grain's directions: all places, both ways round,
    /// the elastic part where there is one. `None` as soon as a margin is found under `least`.
    pub fn figures(&self, tabs: &[(f64, Tab)], depth: f64, least: f64) -> Option<Figures> {
        let mut worst: Option<Figures> = None;
        for way in &self.ways {
            let figures = self.full(way, tabs, depth, least)?;
            if worst.as_ref().is_none_or(|w| figures.least().value < w.least().value) {
                worst = Some(figures);
            }
        }
        worst
    }

    fn full(&self, way: &Way, tabs: &[(f64, Tab)], depth: f64, least: f64) -> Option<Figures> {
        let (few, all) = (self.ground(&way.few, depth), self.ground(&way.all, depth));
        let set = self.set(tabs, way.grain);
        let some = self.some();
        match self.flexible(way) {
            Some(f) => {
                let coarse = ElasticBody { bed: Bed::Absent, ..self.elastic(f, &f.few, &few) };
                let fine = self.elastic(f, &f.all, &all);
                let rough = self.judge(way, &coarse, &few, some, depth);
                self.judge(way, &fine, &all, &self.chords, depth).full(&set, &rough, least)
            }
            None => {
                let coarse = self.rigid(&few, some, &self.few_sides);
                let fine = self.rigid(&all, &self.chords, &self.all_sides);
                let rough = self.judge(way, &coarse, &few, some, depth);
                self.judge(way, &fine, &all, &self.chords, depth).full(&set, &rough, least)
            }
        }
    }

    /// Margins of tabs to search by, each the worst over the grain's directions; `None` once they are not `worth`
    /// going on with.
    pub fn margins(
        &self,
        tabs: &[(f64, Tab)],
        depth: f64,
        detail: Detail,
        worth: &dyn Fn(&Margins) -> bool,
    ) -> Option<Margins> {
        let few = self.grounds(depth, detail);
        let set = |_: usize, way: &Way| self.set(tabs, way.grain);
        self.quick(&few, depth, (detail, &[Pass::Forward]), worth, &set)
    }

    fn quick(
        &self,
        few: &[Ground],
        depth: f64,
        look: (Detail, &'static [Pass]),
        worth: &dyn Fn(&Margins) -> bool,
        set: &dyn Fn(usize, &Way) -> TabSet,
    ) -> Option<Margins> {
        let (detail, quick) = look;
        let mut margins = Margins::unlimited(self.task.holding.freeing);
        for (i, way) in self.ways.iter().enumerate() {
            let (few, set) = (&few[i], set(i, way));
            let sides = if detail == Detail::First { &self.first_sides } else { &self.few_sides };
            let bare = self.rigid(few, &[], sides);
            let rough = self.judge(way, &bare, few, &[], depth);
            let flexible = if detail == Detail::Elastic { self.flexible(way) } else { None };
            margins = match flexible {
                Some(f) => {
                    let bed = Bed::WhereFarthest;
                    let body = ElasticBody { bed, ..self.elastic(f, &f.few, few) };
                    let own = Judge { quick, ..self.judge(way, &body, few, self.some(), depth) };
                    // Both ways round is asked for accuracy: then a tab goes from the elastic part too.
                    let rough = if quick.len() > 1 { &own } else { &rough };
                    own.quick(&set, rough, margins, worth)?
                }
                None => {
                    let body = self.rigid(few, self.some(), sides);
                    Judge { quick, ..self.judge(way, &body, few, self.some(), depth) }
                        .quick(&set, &rough, margins, worth)?
                }
            };
        }
        Some(margins)
    }

    /// Movement along the outline (place and mm) and margins by tab and section, the grain its first direction.
    pub fn map(&self, tabs: &[(f64, Tab)], depth: f64) -> (Vec<Point>, Map) {
        let way = &self.ways[0];
        let all = self.ground(&way.all, depth);
        let set = self.set(tabs, way.grain);
        let map = match self.flexible(way) {
            Some(f) => {
                let body = self.elastic(f, &f.all, &all);
                self.judge(way, &body, &all, &self.chords, depth).map(&set)
            }
            None => {
                let body = self.rigid(&all, &self.chords, &self.all_sides);
                self.judge(way, &body, &all, &self.chords, depth).map(&set)
            }
        };
        (all.stations.iter().map(|s| s.at).collect(), map)
    }

    fn rigid<'b>(
        &'b self,
        ground: &'b Ground,
        chords: &'b [Chord],
        sides: &'b Sides,
    ) -> RigidBody<'b> {
        RigidBody { contour: &self.contour, ground, chords, sides, lift: self.load.lift }
    }

    fn elastic<'b>(
        &'b self,
        flexible: &'b Flexible,
        spots: &'b Spots,
        ground: &'b Ground,
    ) -> ElasticBody<'b> {
        ElasticBody {
            part: &flexible.part,
            contour: &self.contour,
            stations: &ground.stations,
            spots,
            lift: self.load.lift,
            bed: Bed::Everywhere,
        }
    }

    fn judge<'b>(
        &'b self,
        way: &'b Way,
        body: &'b dyn Body,
        ground: &'b Ground,
        chords: &'b [Chord],
        depth: f64,
    ) -> Judge<'b> {
        let t = self.task;
        Judge {
            body,
            stations: &ground.stations,
            chords,
            strengths: &way.strengths,
            load: &self.load,
            depth,
            thickness: t.thickness,
            material: t.material,
            grain: way.grain,
            contour: &self.contour,
            overhang: &self.overhang,
            freeing: t.holding.freeing,
            quick: &[Pass::Forward],
        }
    }

    fn set(&self, tabs: &[(f64, Tab)], grain: Option<f64>) -> TabSet {
        let task = self.task;
        let beam = |t: &Tab| Beam::new(t, task.material, grain, task.bit.diameter, task.thickness);
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
        let few = self.grounds(depth, detail);
        let margins = |picks: &[Pick], worth: &dyn Fn(&Margins) -> bool| {
            let set = |i: usize, _: &Way| {
                let beam = |p: &Pick| (self.sites[p.site].s, self.beam(*p, height, i));
                tab_set(picks.iter().map(beam).collect())
            };
            self.quick(&few, depth, (detail, &[Pass::Forward]), worth, &set)
        };
        let preference: Vec<f64> = self.sites.iter().map(|s| self.preference(s)).collect();
        run(&Search {
            contour: &self.contour,
            sites: &self.sites,
            kerf: self.task.bit.diameter,
            margins: &margins,
            preference: &preference,
        })
    }

    /// The beam of a pick with the grain its direction number `way`, kept for the next set that has it.
    fn beam(&self, pick: Pick, height: f64, way: usize) -> Beam {
        let key = (pick.site, pick.width.to_bits(), height.to_bits(), way);
        let make = || {
            let (task, grain) = (self.task, self.ways[way].grain);
            let tab = self.tab(pick, height);
            Beam::new(&tab, task.material, grain, task.bit.diameter, task.thickness)
        };
        self.beams.borrow_mut().entry(key).or_insert_with(make).clone()
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

    /// Twice the greatest distance of the outline's points from their mean, mm.
    pub fn size(&self) -> f64 {
        let p = self.contour.points();
        let c = p.iter().fold(crate::geometry::point(0.0, 0.0), |m, &q| m + q) / p.len() as f64;
        2.0 * p.iter().map(|q| q.distance(c)).fold(0.0, f64::max)
    }
}
