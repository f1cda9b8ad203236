//! Forms: a part in one of the orientations it may take, split into convex pieces.

use super::convex::pieces;
use super::simplify::outward;
use crate::geometry::{
    Bounds, Point, Pose, Ring, Segment, Shape, Vector, grow_within, point, shrink, shrink_within,
    union,
};
use crate::nest::nest_task::NestPart;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// How a part lies, except for the place: its orientation, and the hold used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeldOrientation {
    pub rotation: f64,
    pub mirrored: bool,
    pub hold: usize,
}

impl HeldOrientation {
    /// The pose with the part's origin at `offset`.
    pub fn at(self, offset: Point) -> Pose {
        Pose { offset, rotation: self.rotation, mirrored: self.mirrored }
    }

    /// The held orientation of a pose with a hold.
    pub fn of(pose: Pose, hold: usize) -> HeldOrientation {
        HeldOrientation { rotation: pose.rotation, mirrored: pose.mirrored, hold }
    }
}

/// A part in one orientation, its own origin at (0, 0).
#[derive(Debug, Clone)]
pub struct OrientedPart {
    pub kind: usize,
    pub orientation: HeldOrientation,
    /// The part's material, covered by convex pieces.
    pub material: Vec<Vec<Point>>,
    /// The same with every opening filled, for parts that can enter none of them.
    filled: Vec<Vec<Point>>,
    /// Bounds of the openings that stay open.
    openings: Vec<Bounds>,
    /// Stock that must stay: first outside the outline, then in openings.
    pub landings: Vec<Vec<Point>>,
    /// How many of these landings lie outside the outline.
    outer: usize,
    /// True bounds of the part.
    pub part_bounds: Bounds,
    /// Bounds of the landings.
    pub landing_bounds: Bounds,
    /// Bounds of part and landings, as simplified.
    pub bounds: Bounds,
}

/// A part, split into convex pieces in its own frame.
#[derive(Debug, Clone)]
pub struct PartKind {
    pub shape: Shape,
    pub area: f64,
    material: Vec<Vec<Point>>,
    filled: Vec<Vec<Point>>,
    openings: Vec<Ring>,
    /// Landings by hold; one empty entry where the part has no holds.
    holds: Vec<Landings>,
}

/// The stock that one hold needs.
#[derive(Debug, Clone, Default)]
struct Landings {
    /// First the landings outside the outline, then those in openings.
    rings: Vec<Vec<Point>>,
    /// How many lie outside.
    outer: usize,
}

impl Landings {
    fn new(rings: &[Ring], outline: &Ring) -> Landings {
        let hulls = rings.iter().map(super::convex::hull).filter(|h| h.len() >= 3);
        let inside = |hull: &Vec<Point>| hull.iter().all(|&p| outline.contains(p));
        let (inner, outer): (Vec<_>, Vec<_>) = hulls.partition(inside);
        Landings { outer: outer.len(), rings: outer.into_iter().chain(inner).collect() }
    }
}

impl OrientedPart {
    /// The material and the landings that `other` must avoid, the gap apart: openings that it cannot enter are filled, and landings
    /// in them are left out.
    pub fn facing(&self, other: &OrientedPart, gap: f64) -> (&[Vec<Point>], &[Vec<Point>]) {
        let b = &other.part_bounds;
        // A hair of slack: too much room for an opening is only slower.
        let room = |extent: f64| extent * (1.0 + 1e-9) - 2.0 * gap;
        let enters = |o: &Bounds| b.width() <= room(o.width()) && b.height() <= room(o.height());
        if self.openings.iter().any(enters) {
            (&self.material, &self.landings)
        } else {
            self.filled()
        }
    }

    /// The material with every opening filled, and the landings outside the outline.
    pub fn filled(&self) -> (&[Vec<Point>], &[Vec<Point>]) {
        let material = if self.filled.is_empty() { &self.material } else { &self.filled };
        (material, &self.landings[..self.outer])
    }
}

/// Price of one more convex piece, as a share of the room taken: the cost of a pair test is the product of both counts.
const PIECE_PRICE: f64 = 0.003;

impl PartKind {
    /// The part in convex pieces; `None` when it encloses no area or is not finite.
    ///
    /// `smallest` is the least width of any part of the problem, mm: notches and openings that only something narrower could enter
    /// are filled.
    pub fn new(part: &NestPart, gap: f64, smallest: f64) -> Option<PartKind> {
        let shape = Shape::new(part.shape.outline.clone(), part.shape.openings.clone());
        let finite = shape.rings().flat_map(|r| &r.0).all(|p| p.finite());
        let size = shape.bounds().width().max(shape.bounds().height());
        if !finite || shape.outline.0.len() < 3 || shape.net_area() <= 1e-12 * size * size {
            return None;
        }
        let mut holds: Vec<Landings> =
            part.holds.iter().map(|rings| Landings::new(rings, &shape.outline)).collect();
        if holds.is_empty() {
            holds.push(Landings::default());
        }
        let simpler = simplified(&shape, gap, size, smallest);
        let full = Shape::new(simpler.outline.clone(), vec![]);
        Some(PartKind {
            material: pieces(&simpler),
            filled: if simpler.openings.is_empty() { vec![] } else { pieces(&full) },
            openings: simpler.openings,
            holds,
            area: shape.net_area(),
            shape,
        })
    }

    /// The kind in an orientation.
    pub fn form(&self, kind: usize, orientation: HeldOrientation) -> OrientedPart {
        let pose = orientation.at(point(0.0, 0.0));
        let hold = &self.holds[orientation.hold];
        let place =
            |ring: &Vec<Point>| Ring(ring.iter().map(|&p| pose.apply(p)).collect()).positive().0;
        let material: Vec<_> = self.material.iter().map(place).collect();
        let filled = self.filled.iter().map(place).collect();
        let openings = self.openings.iter().map(|r| pose.apply_ring(r).bounds()).collect();
        let landings: Vec<_> = hold.rings.iter().map(place).collect();
        let landing_bounds = landings.iter().flatten().fold(Bounds::EMPTY, |b, &p| b.with(p));
        let part_bounds = pose.apply_ring(&self.shape.outline).bounds();
        let bounds =
            material.iter().flatten().fold(landing_bounds.join(part_bounds), |b, &p| b.with(p));
        OrientedPart {
            kind,
            orientation,
            material,
            filled,
            openings,
            landings,
            outer: hold.outer,
            part_bounds,
            landing_bounds,
            bounds,
        }
    }

    /// The orientations to try on a sheet with that grain, each distinct shape once: a few rotations over the whole range with each
    /// hold, `most` together; or, when the part's orientations are already known, those and a step to either side.
    pub fn orientations(
        &self,
        part: &NestPart,
        grain: f64,
        (few, most): (usize, usize),
        known: Option<&Known>,
    ) -> Vec<HeldOrientation> {
        let turns = &part.turns;
        let mut tried: Vec<HeldOrientation> = vec![];
        let add = |tried: &mut Vec<HeldOrientation>, new: HeldOrientation, distinct: bool| {
            if !tried.iter().any(|old| *old == new || (distinct && self.looks_same(*old, new))) {
                tried.push(new);
            }
        };
        if let Some(known) = known.filter(|_| turns.tolerance > 0.0) {
            for step in [0.0, known.step, -known.step] {
                for s in &known.orientations {
                    let rotation =
                        if step == 0.0 { s.rotation } else { (s.rotation + step).rem_euclid(TAU) };
                    if is_allowed(part, grain, rotation, s.mirrored) {
                        add(&mut tried, HeldOrientation { rotation, ..*s }, step != 0.0);
                    }
                }
            }
        } else {
            for o in &turns.orientations {
                let base = o.rotation + grain;
                let t = turns.tolerance;
                let angles: Vec<f64> = match () {
                    () if turns.any() => self.free_angles(base),
                    () if t > 0.0 => vec![base, base - t, base + t],
                    () => vec![base],
                };
                for angle in angles {
                    let rotation = angle.rem_euclid(TAU);
                    add(
                        &mut tried,
                        HeldOrientation { rotation, mirrored: o.mirrored, hold: 0 },
                        true,
                    );
                }
            }
            tried.truncate(few.max(1));
            let turns = tried.clone();
            for hold in 1..self.holds.len() {
                turns.iter().for_each(|s| add(&mut tried, HeldOrientation { hold, ..*s }, true));
            }
        }
        tried.truncate(most.max(1));
        tried
    }

    /// Angles for a part that may take any: its longest edges upright and level, then steps between.
    fn free_angles(&self, base: f64) -> Vec<f64> {
        let hull = super::convex::hull(&self.shape.outline);
        let mut edges: Vec<Segment> = Ring(hull).segments().collect();
        edges.sort_by(|a, b| b.length().total_cmp(&a.length()));
        let mut angles: Vec<f64> = vec![];
        let mut add = |angle: f64| {
            let near = |a: &f64| ((a - angle + PI).rem_euclid(TAU) - PI).abs() < 0.05;
            if !angles.iter().any(near) {
                angles.push(angle.rem_euclid(TAU));
            }
        };
        for quarter in 0..4 {
            add(base + FRAC_PI_2 * quarter as f64);
        }
        for edge in edges.iter().take(2) {
            let d = edge.b - edge.a;
            for quarter in 0..4 {
                add(FRAC_PI_2 * quarter as f64 - d.y.atan2(d.x));
            }
        }
        for step in 0..8 {
            add(base + PI / 4.0 * step as f64);
        }
        angles
    }

    /// Extents of the part in an orientation, mm.
    pub fn extents(&self, orientation: HeldOrientation) -> Point {
        let b = orientation.at(point(0.0, 0.0)).apply_ring(&self.shape.outline).bounds();
        b.max - b.min
    }

    /// For a part that may take any angle but fits at none of those tried: up to a dozen whole degrees at which it fits a sheet of
    /// that size.
    pub fn fitting_turns(&self, part: &NestPart, size: Point) -> Vec<HeldOrientation> {
        let mirrors = |m: bool| part.turns.orientations.iter().any(|o| o.mirrored == m);
        let mut fitting = vec![];
        for mirrored in [false, true].into_iter().filter(|&m| mirrors(m)) {
            let turned = |degrees: i32| {
                let rotation = f64::from(degrees).to_radians();
                HeldOrientation { rotation, mirrored, hold: 0 }
            };
            let fits = |degrees: &i32| {
                let e = self.extents(turned(*degrees));
                e.x <= size.x && e.y <= size.y
            };
            let degrees: Vec<i32> = (0..360).filter(fits).collect();
            let step = degrees.len().div_ceil(12).max(1);
            let start = (degrees.len() / 2) % step;
            fitting.extend(degrees.iter().skip(start).step_by(step).map(|&d| turned(d)));
        }
        fitting
    }

    fn looks_same(&self, a: HeldOrientation, b: HeldOrientation) -> bool {
        if a == b {
            return true;
        }
        let placed = |s: HeldOrientation| {
            let pose = s.at(point(0.0, 0.0));
            let mut points: Vec<Point> =
                self.shape.rings().flat_map(|r| &r.0).map(|&p| pose.apply(p)).collect();
            let min = Bounds::of(&points).min;
            points.extend(self.holds[s.hold].rings.iter().flatten().map(|&p| pose.apply(p)));
            points.iter_mut().for_each(|p| *p = *p - min);
            points
        };
        let (pa, pb) = (placed(a), placed(b));
        let size = Bounds::of(&pa).width() + Bounds::of(&pa).height();
        let close = |p: &Point, q: &Point| p.distance(*q) <= 1e-10 * size;
        pa.len() <= 64 && pa.len() == pb.len() && pa.iter().all(|p| pb.iter().any(|q| close(p, q)))
    }
}

/// Orientations of a kind in a layout, their angles to be refined by steps of `step` radians.
#[derive(Debug, Clone, Default)]
pub struct Known {
    pub orientations: Vec<HeldOrientation>,
    pub step: f64,
}

/// Whether a part may lie at that rotation on a sheet with that grain.
fn is_allowed(part: &NestPart, grain: f64, rotation: f64, mirrored: bool) -> bool {
    part.turns.orientations.iter().any(|o| {
        let off = (rotation - o.rotation - grain + PI).rem_euclid(TAU) - PI;
        o.mirrored == mirrored && (part.turns.any() || off.abs() <= part.turns.tolerance + 1e-12)
    })
}

/// The shape, simplified as far as it pays.
///
/// Each extra piece makes every pair test dearer, and each mm² of growth is lost to the neighbours: the tolerance chosen makes the
/// room taken (the shape grown by the gap), raised by [`PIECE_PRICE`] per piece, least.
fn simplified(shape: &Shape, gap: f64, size: f64, smallest: f64) -> Shape {
    if gap <= 0.0 {
        return outward(shape, 0.0, 0.0);
    }
    // First finely, so that the offsets and the coarser tries need not start from thousands of vertices.
    let fine = outward(shape, gap / 200.0, gap);
    let closed = outward(&closed(&fine, gap, smallest), gap / 50.0, gap);
    // Through a narrower mouth, such as the spaces between teeth, only a sharp tip could come.
    let wide = 2.0 * gap + smallest / 4.0;
    // A fiftieth of the gap is under what a router repeats to.
    let (mut tolerance, most) = (gap / 50.0, (gap / 4.0).max(0.01 * size));
    let mut best: Option<(f64, Shape)> = None;
    while tolerance <= most {
        let mut few = false;
        for mouth in [0.0, wide] {
            let simpler = outward(&bridged(&closed, tolerance, mouth), tolerance, gap);
            if best.as_ref().is_some_and(|b| b.1 == simpler) {
                continue;
            }
            let count = pieces(&simpler).len();
            // Arcs are coarse here: only what shapes need more than each other counts.
            let room: f64 = grow_within(std::slice::from_ref(&simpler), gap, gap / 16.0)
                .iter()
                .map(Shape::net_area)
                .sum();
            let price = room * (1.0 + PIECE_PRICE * count as f64);
            few = few || count <= 2;
            if best.as_ref().is_none_or(|b| price < b.0) {
                best = Some((price, simpler));
            }
        }
        if few {
            break;
        }
        tolerance *= 2.0;
    }
    best.map_or_else(|| outward(shape, 0.0, gap), |b| b.1)
}

/// The shape with notches of its outline closed along the hull where they are up to `depth` mm deep or up to `mouth` mm wide.
fn bridged(shape: &Shape, depth: f64, mouth: f64) -> Shape {
    let points = &shape.outline.0;
    let hull = super::convex::hull(&shape.outline);
    let corners: Vec<usize> = (0..points.len()).filter(|&i| hull.contains(&points[i])).collect();
    let mut kept = vec![];
    for (k, &from) in corners.iter().enumerate() {
        let to = if k + 1 < corners.len() { corners[k + 1] } else { corners[0] + points.len() };
        let side = Segment::new(points[from], points[to % points.len()]);
        let chain: Vec<Point> = (from + 1..to).map(|i| points[i % points.len()]).collect();
        let deepest = chain.iter().map(|&p| side.distance_to_point(p)).fold(0.0, f64::max);
        kept.push(side.a);
        if deepest > depth && side.length() > mouth {
            kept.extend(chain);
        }
    }
    if kept.len() < 3 { shape.clone() } else { Shape::new(Ring(kept), shape.openings.clone()) }
}

/// Tolerance of the closing's arcs, as a share of the gap: far below what a router repeats to, and the cost of the offsets depends
/// on the number of chords.
const CLOSING_ARCS: f64 = 0.01;

/// The shape with every region filled that no other part can enter.
///
/// Notches: closing by a disc of the gap (grow, then shrink by it) does not change where the gap's disc may roll, so nothing is
/// lost. Openings stay open only where, the gap off the edge, there is room as wide as the smallest part.
fn closed(shape: &Shape, gap: f64, smallest: f64) -> Shape {
    let roomy = |opening: &&Ring| {
        let b = opening.bounds();
        if b.width().min(b.height()) <= 2.0 * gap {
            return false;
        }
        let inside = Shape::new((*opening).clone().positive(), vec![]);
        shrink(&[inside], gap).iter().any(|room| {
            let b = room.bounds();
            b.width().max(b.height()) >= smallest && room.net_area() >= smallest * smallest / 4.0
        })
    };
    let openings: Vec<Ring> = shape.openings.iter().filter(roomy).cloned().collect();
    let open = Shape::new(shape.outline.clone(), openings);
    // It may fall short of the shape's own edge by what two offsets can be off by.
    let arcs = CLOSING_ARCS * gap;
    let grown = grow_within(std::slice::from_ref(&open), gap, arcs);
    let filled = shrink_within(&grown, gap + 3.0 * arcs, arcs);
    let all: Vec<Shape> = std::iter::once(open.clone()).chain(filled).collect();
    let largest = union(&all).into_iter().max_by(|a, b| a.net_area().total_cmp(&b.net_area()));
    match largest {
        // Rounding alone is no gain: straight edges must stay exactly where they are.
        Some(filled) if filled.net_area() > open.net_area() * (1.0 + 1e-6) => {
            snapped(&filled, &open)
        }
        _ => open,
    }
}

/// The shape with each vertex that is one of `exact`'s, except for the rounding of booleans, moved back there.
fn snapped(shape: &Shape, exact: &Shape) -> Shape {
    let size = exact.bounds().width() + exact.bounds().height();
    let reach = 1e-7 * size;
    let mut known: Vec<Point> = exact.rings().flat_map(|r| &r.0).copied().collect();
    known.sort_by(|a, b| a.x.total_cmp(&b.x));
    shape.map(|p| {
        let first = known.partition_point(|q| q.x < p.x - reach);
        let mut near = known[first..].iter().take_while(|q| q.x <= p.x + reach);
        near.find(|q| q.distance(p) <= reach).copied().unwrap_or(p)
    })
}
