//! Congruent parts are one part drawn several times.

use super::assemble::DrawnPart;
use crate::geometry::{EdgeIndex, Point, Pose, Ring, Vector};
use crate::layout::Feature;
use std::collections::{BTreeMap, BTreeSet};

/// How far the edges of two copies may differ, mm: twice the chord error, since two copies of a curve at
/// different turns may be cut into chords differently.
pub(super) const SAME_SHAPE: f64 = 0.02;

/// Turns tried before two parts are called different.
const MOST_TURNS: usize = 64;

/// Counts parts that are the same up to a turn, features and tab-free edges included; mirrored parts are
/// different. The first drawn keeps its name, shape and place. Copies that bear one of the `wanted` names,
/// where no part would be listed by it, are a part of their own: someone speaks of them.
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

/// What no turn changes.
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

/// Whether some turn about the centroids lays `b` on `a`.
fn same(a: &DrawnPart, sa: &Signature, b: &DrawnPart, sb: &Signature, tolerance: f64) -> bool {
    let [of_a, of_b] = landmarks([(a, sa), (b, sb)], tolerance);
    let Some(&from) = of_b.first() else { return false };
    let index = Index::of(a);
    let other = Index::of(b);
    of_a.iter().take(MOST_TURNS).any(|to| {
        let turn = from.cross(*to).atan2(from.dot(*to));
        let pose = Pose::new(sa.centroid - sb.centroid.turned(turn), turn);
        index.holds(b, |p| pose.apply(p), tolerance)
            && other.holds(a, |p| pose.inverse(p), tolerance)
    })
}

/// Points that a turn must lay on one another, from the centroid: the outlines' farthest vertices. Those of a round outline
/// are many
/// and say nothing of the turn; there the middles of the farthest openings do.
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

/// A part's lines by kind, for the question whether another's lie on them.
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
