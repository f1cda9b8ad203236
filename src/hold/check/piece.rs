//! A piece to be held, with everything independent of its tabs: places of the bit, sections, the elastic part.

use super::ligaments::thin_ligaments;
use super::offered::directions;
use crate::geometry::{Contour, Point, Vector, point};
use crate::hold::fem::compliance::{ElasticMesh, ElasticPart};
use crate::hold::model::elastic::{Bed, CondensedCompliance, ElasticBody};
use crate::hold::model::rigid::{Ground, RigidBody};
use crate::hold::model::staged::{Sides, Station, stations};
use crate::hold::part::sections::{Chord, thinned};
use crate::hold::task::HoldTask;
use crate::mechanics::{Load, line_angle, section_strength};
use std::cell::OnceCell;
use std::rc::Rc;
use std::sync::Arc;

/// Places of the bit used in the search, on the rigid part and on the elastic one.
const FIRST: usize = 16;
const QUICK: usize = 32;
/// Most places of the bit in the final figures.
const FULL: usize = 72;
/// Most places of the bit along a whole outline from which those beside a piece of waste are taken.
const MOST_BESIDE: usize = 2000;
/// Sections watched in the search and in the final figures.
const QUICK_CHORDS: usize = 5;
const FULL_CHORDS: usize = 24;
/// Sections of limbs that are also watched: as cantilevers, and as the supports of the rest where tabs sit on the limb.
const ROOTS: usize = 24;
const STEMS: usize = 16;
/// Least distance between these sections, as a share of their width; and between the others.
const CLOSE: f64 = 0.2;
const APART: f64 = 0.5;
/// A limb shorter than this takes no tab, mm.
const LEAST_LIMB: f64 = 2.0;

/// The model that a search judges by: some places of the bit, one direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// The rigid part at few places of the bit.
    First,
    /// The rigid part.
    Rigid,
    /// The elastic part.
    Elastic,
}

/// One tab of a candidate set: its site and width, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pick {
    /// Index among the sites.
    pub site: usize,
    /// mm.
    pub width: f64,
}

/// A direction that the grain may take, with the data that depend on it.
pub struct Way {
    /// The direction.
    pub grain: Option<f64>,
    /// Places of the bit without a floor yet: few, for a first look, and all.
    pub first: Vec<Station>,
    pub few: Vec<Station>,
    pub all: Vec<Station>,
    /// Mean bending strength of each section, MPa.
    pub strengths: Vec<f64>,
    /// The elastic part, once it is needed; `None` in it for a drop-out, or where the mesher fails.
    flexible: OnceCell<Option<Rc<Flexible>>>,
}

/// The elastic part with the compliance between the places of the bit, for few and for all.
pub struct Flexible {
    pub part: Arc<ElasticPart>,
    pub few: CondensedCompliance,
    pub all: CondensedCompliance,
}

/// The ring being cut of a part or of a drop-out.
pub struct Piece<'a> {
    /// The task.
    pub task: &'a HoldTask<'a>,
    /// N per mm of depth.
    pub load: Load,
    /// The ring.
    pub contour: Contour,
    /// Its ring number.
    pub ring: usize,
    /// Triangles of the elastic part.
    triangles: f64,
    /// Directions the grain may take, as lines; one `None` where there is none.
    pub grains: Vec<Option<f64>>,
    /// Sections that are watched, the weakest at any of the grain's directions first.
    pub chords: Vec<Chord>,
    /// How many of them, from the first, are apart from one another.
    pub necks: usize,
    /// One entry for each of the grain's directions.
    pub ways: Vec<Way>,
    /// On which side of the sections the places of the bit lie, by [`Detail`] and for the final figures.
    pub first_sides: Sides,
    /// For few places.
    pub few_sides: Sides,
    /// For all places.
    pub all_sides: Sides,
    /// The part's mesh, made when the elastic part is first needed.
    mesh: OnceCell<Option<ElasticMesh>>,
}

impl<'a> Piece<'a> {
    /// The piece whose ring number `ring` is `contour`, with those of `chords` that are watched.
    pub fn new(
        task: &'a HoldTask<'a>,
        contour: Contour,
        ring: usize,
        chords: &[Chord],
        triangles: f64,
    ) -> Piece<'a> {
        let (chords, necks) = watched(task, ring, chords);
        Piece { necks, ..Piece::on(task, contour, ring, chords, triangles) }
    }

    /// Waste beyond the outline, where `beside` says that it lies along the kerf's far edge: a rigid body.
    pub fn beyond(
        task: &'a HoldTask<'a>,
        contour: Contour,
        beside: &dyn Fn(Point) -> bool,
    ) -> Piece<'a> {
        let mut piece = Piece::on(task, contour, 0, vec![], 0.0);
        let kerf = task.bit.diameter;
        // Close enough that a piece as wide as the bit has a few places.
        let positions = piece.contour.spaced(kerf / 2.0, 24, MOST_BESIDE);
        for way in &mut piece.ways {
            let mut places = stations(&piece.contour, &positions, 1.0, kerf, task.sheet(way.grain));
            places.iter_mut().for_each(|s| s.at = s.at + s.out * kerf);
            places.retain(|s| beside(s.at));
            (way.first, way.few, way.all) = (places.clone(), places.clone(), places);
            way.flexible.get_or_init(|| None);
        }
        let sides = || Sides::new(&piece.contour, &piece.ways[0].all, &[], kerf / 2.0);
        (piece.first_sides, piece.few_sides, piece.all_sides) = (sides(), sides(), sides());
        piece
    }

    /// The same with its watched sections given, in this order.
    fn on(
        task: &'a HoldTask<'a>,
        contour: Contour,
        ring: usize,
        chords: Vec<Chord>,
        triangles: f64,
    ) -> Piece<'a> {
        let (grains, kerf) = (directions(task), task.bit.diameter);
        // From the ring to the piece's own edge.
        let shift = if ring == 0 { 0.0 } else { kerf };
        let [first, few, all] = [(kerf, FIRST), (kerf, QUICK), (kerf.max(0.5), FULL)]
            .map(|(d, n)| contour.spaced(d, 12, n));
        let load = Load::new(task.bit, task.material);
        let places = |positions: &[f64], grain| {
            let mut list = stations(&contour, positions, 1.0, kerf, task.sheet(grain));
            // A drop-out's own edge lies a kerf inside the opening, and it faces the other way.
            list.iter_mut().for_each(|s| s.at = s.at + s.out * shift);
            list
        };
        let way = |&grain: &Option<f64>| Way {
            grain,
            first: places(&first, grain),
            few: places(&few, grain),
            all: places(&all, grain),
            strengths: chords.iter().map(|c| strength(task, c, grain)).collect(),
            flexible: OnceCell::new(),
        };
        let ways: Vec<Way> = grains.iter().map(way).collect();
        let sides = |stations: &[Station]| Sides::new(&contour, stations, &chords, kerf / 2.0);
        let [first_sides, few_sides, all_sides] =
            [&ways[0].first, &ways[0].few, &ways[0].all].map(|places| sides(places));
        Piece {
            task,
            load,
            ring,
            triangles,
            grains,
            ways,
            first_sides,
            few_sides,
            all_sides,
            mesh: OnceCell::new(),
            contour,
            necks: chords.len(),
            chords,
        }
    }

    /// The same piece for a `task` whose grain is turned by `by` radians: its stiffness is that of this one, where that is known.
    pub fn turned<'b>(&self, task: &'b HoldTask<'b>, by: f64) -> Piece<'b> {
        let (contour, chords) = (self.contour.clone(), self.chords.clone());
        let turned = Piece::on(task, contour, self.ring, chords, self.triangles);
        let turned = Piece { necks: self.necks, ..turned };
        for way in &turned.ways {
            let before = |w: &&Way| {
                way.grain.zip(w.grain).is_some_and(|(g, own)| (g - own - by).sin().abs() < 1e-6)
            };
            if let Some(own) = self.ways.iter().find(before)
                && let Some(flexible) = own.flexible.get()
            {
                way.flexible.get_or_init(|| flexible.clone());
            }
        }
        turned
    }

    /// The elastic part for a direction of the grain, made when it is first needed.
    pub fn flexible<'b>(&'b self, way: &'b Way) -> Option<&'b Flexible> {
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
        let condensed = |stations: &[Station], chords: &[Chord]| {
            CondensedCompliance::new(&part, &self.contour, stations, chords, t.bit.diameter / 2.0)
        };
        let (few, all) = (condensed(&way.few, self.some()), condensed(&way.all, &self.chords));
        Some(Flexible { part, few, all })
    }

    /// The elastic part with its grain at `grain`.
    fn body(&self, grain: Option<f64>) -> Option<ElasticPart> {
        let t = self.task;
        let mesh = self.mesh.get_or_init(|| ElasticMesh::new(t.shape, self.triangles)).as_ref()?;
        let ligaments: Vec<Chord> =
            self.chords.iter().filter(|c| c.ligament.is_some()).cloned().collect();
        ElasticPart::new(mesh, t.sheet(grain), self.load.lift > 0.0, &ligaments)
    }

    /// Whether the mesh ran out of vertices: it is then stiffer than the part.
    pub fn is_coarse(&self) -> bool {
        let known = self.ways.iter().filter_map(|w| w.flexible.get().and_then(Option::as_ref));
        known.into_iter().any(|f| !f.part.fine)
    }

    /// The sections watched in the search.
    pub fn some(&self) -> &[Chord] {
        &self.chords[..QUICK_CHORDS.min(self.chords.len())]
    }

    /// The places that a search of this detail uses, by the grain's directions.
    pub fn grounds(&self, depth: f64, detail: Detail) -> Vec<Ground> {
        let of =
            |w: &Way| self.ground(if detail == Detail::First { &w.first } else { &w.few }, depth);
        self.ways.iter().map(of).collect()
    }

    /// Some places, with the floor of a last pass `depth` mm deep.
    pub fn ground(&self, places: &[Station], depth: f64) -> Ground {
        let t = self.task;
        let floor = |s: &Station| s.with_floor(depth, t.bit.diameter, t.thickness, t.material);
        Ground::new(places.iter().map(floor).collect())
    }

    /// The rigid piece on some places.
    pub fn rigid<'b>(
        &'b self,
        ground: &'b Ground,
        chords: &'b [Chord],
        sides: &'b Sides,
    ) -> RigidBody<'b> {
        RigidBody { contour: &self.contour, ground, chords, sides, lift: self.load.lift }
    }

    /// The elastic piece on some places.
    pub fn elastic<'b>(
        &'b self,
        flexible: &'b Flexible,
        condensed: &'b CondensedCompliance,
        ground: &'b Ground,
    ) -> ElasticBody<'b> {
        ElasticBody {
            part: &flexible.part,
            contour: &self.contour,
            stations: &ground.stations,
            condensed,
            lift: self.load.lift,
            bed: Bed::Everywhere,
        }
    }

    /// Twice the distance of the ring's farthest corner from the middle of its corners, mm.
    pub fn size(&self) -> f64 {
        let p = self.contour.points();
        let c = p.iter().fold(point(0.0, 0.0), |m, &q| m + q) / p.len() as f64;
        2.0 * p.iter().map(|q| q.distance(c)).fold(0.0, f64::max)
    }
}

/// The sections that are watched on a ring: those of the outline that split the piece, and the ligaments beside openings (statics
/// cannot determine those: the elastic part does). First the narrowest of their neighbours, the weakest at any of the grain's
/// directions first; then limbs' sections that are weaker than their neighbours as cantilevers (a limb breaks at its root, where it
/// is a little wider), and those of least resistance, independent of what hangs on them. Also the number before those.
fn watched(task: &HoldTask, ring: usize, chords: &[Chord]) -> (Vec<Chord>, usize) {
    let kerf = task.bit.diameter;
    let counts = |c: &&Chord| ring == 0 && c.from.0 == 0 && (!c.separates() || c.arm >= kerf / 2.0);
    let all: Vec<Chord> = chords.iter().filter(counts).cloned().collect();
    let grains = directions(task);
    let resists = |c: &Chord| {
        grains.iter().map(|&g| strength(task, c, g)).fold(f64::INFINITY, f64::min)
            * c.share_left()
            * c.width
            * c.width
    };
    let bears = |c: &Chord| resists(c) / c.arm.max(c.width);
    let weakest_first = |list: Vec<Chord>, by: &dyn Fn(&Chord) -> f64| {
        let mut list: Vec<(f64, Chord)> = list.into_iter().map(|c| (by(&c), c)).collect();
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
        list.into_iter().map(|(_, c)| c).collect::<Vec<Chord>>()
    };
    let mut watched = weakest_first(thinned(all.clone(), APART), &bears);
    thin_ligaments(&mut watched);
    watched.truncate(FULL_CHORDS);
    let necks = watched.len();
    let limbs: Vec<Chord> = all.into_iter().filter(Chord::separates).collect();
    let roots = thinned(weakest_first(limbs.clone(), &bears), CLOSE);
    let stems = limbs.into_iter().filter(|c| c.arm >= LEAST_LIMB).collect();
    for (more, most) in [(roots, ROOTS), (thinned(weakest_first(stems, &resists), CLOSE), STEMS)] {
        let new: Vec<Chord> =
            more.into_iter().filter(|c| !watched.contains(c)).take(most).collect();
        watched.extend(new);
    }
    (watched, necks)
}

/// Mean bending strength of a section, MPa.
fn strength(task: &HoldTask, c: &Chord, grain: Option<f64>) -> f64 {
    section_strength(task.material, grain.map_or(0.0, |g| line_angle(c.direction(), g)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape};
    use crate::hold::check::planner::Planner;
    use crate::hold::part::sites::SeatedTab;
    use crate::job::{Bit, Holding, Spiral, find_material};
    use crate::layout::{ALLOWANCE, Tab};

    fn bit() -> Bit {
        Bit {
            name: "1/16 in".into(),
            diameter: 1.5875,
            flutes: 2,
            spiral: Spiral::Straight,
            helix: 0.0,
            pass_depth: 1.5,
            feed: 1000.0,
            rpm: 18_000.0,
            allowance: ALLOWANCE,
        }
    }

    /// An angle of two legs, one 6.0 and one 6.2 mm wide: with the grain along x the second leg's section is the weaker, with it
    /// along y the first's.
    fn angle() -> Shape {
        let corners = [(0.0, 0.0), (50.0, 0.0), (50.0, 6.0), (6.2, 6.0), (6.2, 50.0), (0.0, 50.0)];
        Shape::new(Ring(corners.map(|(x, y)| point(x, y)).to_vec()), vec![])
    }

    /// Margins by the rigid part (no mesh, as where the mesher fails) of the piece turned by a quarter are those of the same piece
    /// planned with its grain there, where the weaker of its two sections stands first: in any order, each is judged with the loads
    /// on its own side. Two sections only, one across either leg, since a quick look takes the five weakest.
    #[test]
    fn a_turned_piece_keeps_the_sides_of_its_own_sections() {
        let (shape, bit, holding) = (angle(), bit(), Holding::default());
        let walnut = find_material("walnut", 3.0).unwrap();
        let quarter = std::f64::consts::FRAC_PI_2;
        let task = |grain| HoldTask {
            shape: &shape,
            thickness: 3.0,
            material: walnut,
            grain,
            bit: &bit,
            holding: &holding,
            by: Default::default(),
            features: &[],
            tab_free: &[],
            chords: None,
            landing_ok: None,
            bodies: None,
        };
        let contour = Contour::new(&shape.outline).unwrap();
        let found = crate::hold::chords(&shape, std::slice::from_ref(&contour));
        let across = |side: &dyn Fn(&Chord) -> bool| {
            let of = found.iter().filter(|c| side(c) && c.separates() && c.width < 6.3);
            of.max_by(|a, b| a.arm.total_cmp(&b.arm)).expect("a section").clone()
        };
        let sections = [across(&|c| c.middle().x > 12.0), across(&|c| c.middle().y > 12.0)];
        let planner = |task| {
            let planner = Planner::new(task, contour.clone(), 0, &sections);
            assert!(planner.mesh.set(None).is_ok() && !planner.is_elastic());
            planner
        };
        let tabs: Vec<SeatedTab> = [20.0, 120.0, 180.0]
            .map(|s| {
                let (at, out) = (contour.point(s), contour.out(s, 1.0));
                SeatedTab {
                    s,
                    tab: Tab { at, out, width: 2.0, height: 1.0, ring: 0, waste: false },
                }
            })
            .to_vec();
        let turned_grain = [quarter];
        let (along, across) = (task(&[0.0]), task(&turned_grain));
        let (first, second) = (planner(&along), planner(&across));
        assert_eq!((first.chords.len(), second.chords.len()), (2, 2));
        assert!(
            first.chords[0].middle().distance(second.chords[0].middle()) > 10.0,
            "another order"
        );
        for end in 0..3 {
            let turned = first.margins_turned(&tabs, end, 0.4, quarter).unwrap();
            let fresh = second.margins_ending(&tabs, end, 0.4, Detail::Elastic).unwrap();
            assert!((turned.part / fresh.part - 1.0).abs() < 1e-9, "{turned:?} {fresh:?}");
            assert!((turned.tabs / fresh.tabs - 1.0).abs() < 1e-9);
        }
    }
}
