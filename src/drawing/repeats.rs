//! Counts congruent parts as one part drawn several times.

use super::assemble::DrawnPart;
use crate::geometry::{EdgeIndex, Point, Pose, Ring, Segment, Vector};
use crate::layout::Feature;
use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::TAU;

/// How far the edges of two copies may differ, mm: twice the chord error, since two copies of a curve at
/// different rotations may be cut into chords differently.
pub(super) const SAME_SHAPE: f64 = 0.02;

/// Rotations tried before two parts are called different.
const MOST_TURNS: usize = 64;

/// Highest order of the moments by which a rotation is found: gears with more teeth are compared by their vertices.
const MOST_ORDER: usize = 24;

/// Counts parts that are the same up to a rotation, features and tab-free edges included; mirrored parts are
/// different. The first drawn keeps its name, shape and place. Copies that bear one of the `wanted` names
/// are a part of their own if no part would otherwise be listed by it: the user mentions them.
pub(super) fn count(parts: Vec<DrawnPart>, tolerance: f64, wanted: &[String]) -> Vec<DrawnPart> {
    let signs: Vec<Signature> = parts.iter().map(Signature::of).collect();
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|&i, &j| signs[i].area.total_cmp(&signs[j].area).then(i.cmp(&j)));
    let mut first_of: Vec<usize> = (0..parts.len()).collect();
    for (k, &i) in order.iter().enumerate() {
        if first_of[i] != i {
            continue;
        }
        for &j in &order[k + 1..] {
            if signs[j].area - signs[i].area > tolerance * (signs[i].perimeter + signs[j].perimeter)
            {
                break;
            }
            if first_of[j] == j
                && signs[i].may_equal(&signs[j], tolerance)
                && same(&parts[i], &signs[i], &parts[j], &signs[j], tolerance)
            {
                first_of[j] = i;
            }
        }
    }
    // The group's name is that of its first in the drawing.
    let mut leader: BTreeMap<(usize, Option<&str>), usize> = BTreeMap::new();
    for i in (0..parts.len()).rev() {
        leader.insert((first_of[i], None), i);
    }
    let listed: BTreeSet<&str> = leader.values().map(|&i| parts[i].name.as_str()).collect();
    let own_name = |i: usize| {
        let name = parts[i].name.as_str();
        (!listed.contains(name) && wanted.iter().any(|w| w == name)).then_some(name)
    };
    let mut copies = vec![0; parts.len()];
    for i in 0..parts.len() {
        copies[*leader.entry((first_of[i], own_name(i))).or_insert(i)] += 1;
    }
    parts
        .into_iter()
        .zip(copies)
        .filter(|(_, n)| *n > 0)
        .map(|(part, copies)| DrawnPart { copies, ..part })
        .collect()
}

/// The measures of a part that no rotation changes.
struct Signature {
    area: f64,
    perimeter: f64,
    openings: usize,
    features: usize,
    centroid: Point,
    /// Distance of the outline's farthest vertex from the centroid.
    reach: f64,
}

impl Signature {
    fn of(part: &DrawnPart) -> Self {
        let outline = &part.shape.outline;
        let centroid = outline.centroid();
        Signature {
            area: part.shape.net_area(),
            perimeter: part.shape.rings().map(Ring::perimeter).sum(),
            openings: part.shape.openings.len(),
            features: part.features.iter().map(|f| f.rings.len() + f.lines.len()).sum::<usize>()
                + part.tab_free.len(),
            centroid,
            reach: outline.0.iter().map(|p| p.distance(centroid)).fold(0.0, f64::max),
        }
    }

    fn may_equal(&self, other: &Signature, tolerance: f64) -> bool {
        self.openings == other.openings
            && self.features == other.features
            && (self.perimeter - other.perimeter).abs() <= 0.01 * self.perimeter + tolerance
            && (self.reach - other.reach).abs() <= 2.0 * tolerance
    }
}

/// Whether some rotation about the centroids lays `b` on `a`.
fn same(a: &DrawnPart, sa: &Signature, b: &DrawnPart, sb: &Signature, tolerance: f64) -> bool {
    let [of_a, of_b] = landmarks([(a, sa), (b, sb)], tolerance);
    let index = Index::of(a);
    let other = Index::of(b);
    let of_landmarks = of_b.first().into_iter().flat_map(|from| {
        of_a.iter().take(MOST_TURNS).map(|to| from.cross(*to).atan2(from.dot(*to)))
    });
    let mut turns = turns([(a, sa), (b, sb)]).into_iter().chain(of_landmarks);
    turns.any(|turn| {
        let pose = Pose::new(sa.centroid - sb.centroid.turned(turn), turn);
        index.holds(b, |p| pose.apply(p), tolerance)
            && other.holds(a, |p| pose.inverse(p), tolerance)
    })
}

/// Points that a rotation must lay on one another, from the centroid: the outlines' farthest vertices. A round outline has
/// many of those, and they do not tell the rotation; there the middles of the farthest openings do.
fn landmarks(parts: [(&DrawnPart, &Signature); 2], tolerance: f64) -> [Vec<Point>; 2] {
    let farthest = |vectors: Vec<Point>| -> Vec<Point> {
        let reach = vectors.iter().map(|v| v.norm()).fold(0.0, f64::max);
        let far = |v: &Point| reach > 10.0 * tolerance && reach - v.norm() <= 2.0 * tolerance;
        vectors.into_iter().filter(far).collect()
    };
    let vertices = parts
        .map(|(part, s)| farthest(part.shape.outline.0.iter().map(|&p| p - s.centroid).collect()));
    if vertices.iter().all(|v| v.len() <= MOST_TURNS) {
        return vertices;
    }
    let middles = parts.map(|(part, s)| {
        farthest(part.shape.openings.iter().map(|o| o.centroid() - s.centroid).collect())
    });
    if middles.iter().any(Vec::is_empty) { vertices } else { middles }
}

/// Rotations that lay the area of `b`, features included, on that of `a`, however their curves are cut into chords.
///
/// A rotation by t multiplies the moment of order n, the integral of (x + i y)^n about the centroid, by e^(i n t), so the
/// two moments give t up to an nth of a full rotation. The order that gives it best is used, since chords may be off: the second
/// for a rectangle, the fourth for a square, for a round plate the order of the pattern of its holes.
fn turns([(a, sa), (b, sb)]: [(&DrawnPart, &Signature); 2]) -> Vec<f64> {
    let reach = sa.reach.max(1e-9);
    let tells = |n: usize, m: Point| n as f64 * m.norm();
    let best = (1..=MOST_ORDER)
        .map(|n| (n, moment(a, sa.centroid, reach, n)))
        .max_by(|x, y| tells(x.0, x.1).total_cmp(&tells(y.0, y.1)).then(y.0.cmp(&x.0)));
    let Some((n, of_a)) = best else { return vec![] };
    let of_b = moment(b, sb.centroid, reach, n);
    let first = of_b.cross(of_a).atan2(of_b.dot(of_a));
    (0..n).map(|k| (first + TAU * k as f64) / n as f64).collect()
}

/// The moment of order `n` about `centre`, lengths in units of `reach`.
///
/// Over the triangle between the centre and the edge from p to q it is 2 A sum(p^k q^(n - k)) / ((n + 1)(n + 2)), where A is its
/// signed area.
fn moment(part: &DrawnPart, centre: Point, reach: f64, n: usize) -> Point {
    let times = |a: Point, b: Point| Point { x: a.x * b.x - a.y * b.y, y: a.x * b.y + a.y * b.x };
    let over = |s: Segment| {
        let (p, q) = ((s.a - centre) / reach, (s.b - centre) / reach);
        // Horner: the sum for n is q times that for n - 1, and p^n.
        let (mut sum, mut power) = (Point { x: 1.0, y: 0.0 }, Point { x: 1.0, y: 0.0 });
        for _ in 0..n {
            power = times(power, p);
            sum = times(sum, q) + power;
        }
        sum * (p.cross(q) / ((n + 1) * (n + 2)) as f64)
    };
    let marks = part.features.iter().flat_map(|f| &f.rings);
    let marked = marks.map(|r| {
        let whole = r.segments().map(over).fold(Point { x: 0.0, y: 0.0 }, |m, v| m + v);
        whole * r.signed_area().signum()
    });
    part.shape.segments().map(over).chain(marked).fold(Point { x: 0.0, y: 0.0 }, |m, v| m + v)
}

/// A part's lines by kind, to ask whether another part's lie on them.
struct Index {
    shape: EdgeIndex,
    features: Vec<(Feature, EdgeIndex)>,
    tab_free: EdgeIndex,
}

impl Index {
    fn of(part: &DrawnPart) -> Self {
        let features = part
            .features
            .iter()
            .map(|f| (f.clone(), EdgeIndex::of_rings(f.rings.iter().chain(&f.lines))));
        Index {
            shape: EdgeIndex::new(&part.shape),
            features: features.collect(),
            tab_free: EdgeIndex::of_rings(part.tab_free.iter()),
        }
    }

    fn holds(&self, part: &DrawnPart, pose: impl Fn(Point) -> Point, tolerance: f64) -> bool {
        let on = |index: &EdgeIndex, p: Point| {
            index.nearest(pose(p)).is_some_and(|n| n.distance <= tolerance)
        };
        let points = |r: &Ring| r.0.clone();
        part.shape.rings().all(|r| {
            let middle = |i: usize| r.0[i].lerp(r.0[(i + 1) % r.0.len()], 0.5);
            (0..r.0.len()).all(|i| on(&self.shape, r.0[i]) && on(&self.shape, middle(i)))
        }) && part.features.iter().all(|f| {
            f.rings.iter().chain(&f.lines).flat_map(points).all(|p| {
                self.features.iter().any(|(mine, index)| mine.kind == f.kind && on(index, p))
            })
        }) && part.tab_free.iter().flat_map(points).all(|p| on(&self.tab_free, p))
    }
}
