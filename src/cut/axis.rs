//! The chordal axis of a thin region: a line along its middle, with branches.

use crate::geometry::{CrossingEdge, Point, Segment, Shape, Vector, triangulation};
use spade::{HasPosition, Point2, Triangulation};
use std::collections::BTreeMap;

/// Triangles lower than this, mm, are left out.
const FLAT: f64 = 1e-6;

/// The axis as lines that together cover each of its edges once.
pub(super) struct MedialAxis {
    pub trails: Vec<Trail>,
}

/// A line along the axis.
pub(super) struct Trail {
    /// At least one point.
    pub points: Vec<Point>,
    /// Whether each end is an end of the region, not a junction.
    pub ends: [bool; 2],
}

/// The axis of a region without the branches shorter than `short` mm; `None` where its edges make no triangles.
///
/// It runs through the midpoints of the edges that two triangles share (constrained Delaunay, crate `spade`), to the far corner of
/// a triangle at an end, and to the middle of a triangle with three neighbours. Cost: about linear.
pub(super) fn axis(region: &Shape, short: f64) -> Option<MedialAxis> {
    let mut graph = Graph::of(region, short)?;
    graph.prune(short);
    let trails = graph.trails();
    (!trails.is_empty()).then_some(MedialAxis { trails })
}

/// Corners of a triangulation, by position only.
#[derive(Clone, Copy)]
struct MeshVertex(Point2<f64>);

impl HasPosition for MeshVertex {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.0
    }
}

/// Points, and which of them are joined.
#[derive(Default)]
struct Graph {
    at: Vec<Point>,
    next: Vec<Vec<usize>>,
}

impl Graph {
    fn add(&mut self, p: Point) -> usize {
        self.at.push(p);
        self.next.push(vec![]);
        self.at.len() - 1
    }

    fn join(&mut self, a: usize, b: usize) {
        self.next[a].push(b);
        self.next[b].push(a);
    }

    /// Edges are divided into pieces of at most `apart` mm: between long edges the midpoints of a triangle at an end lie half a
    /// length before it, and the line would bend there.
    fn of(region: &Shape, apart: f64) -> Option<Graph> {
        let divided = |s: Segment| {
            let n = (s.length() / apart).ceil().clamp(1.0, 1e4) as usize;
            (0..n).map(move |k| s.a.lerp(s.b, k as f64 / n as f64))
        };
        let vertex = |p: Point| MeshVertex(Point2::new(p.x, p.y));
        let rings = region.rings().map(|ring| ring.segments().flat_map(divided).map(vertex));
        let cdt = triangulation(rings, CrossingEdge::LeaveOut)?;
        let inside = |middle: Point| region.contains(middle);
        let mut graph = Graph::default();
        let mut middles: BTreeMap<usize, usize> = BTreeMap::new();
        for face in cdt.inner_faces() {
            let [a, b, c] = face.vertices().map(|v| v.position()).map(|p| Point { x: p.x, y: p.y });
            let middle = (a + b + c) / 3.0;
            // Points of one edge make triangles of rounding alone.
            let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
            if (b - a).cross(c - a).abs() <= FLAT * longest || !inside(middle) {
                continue;
            }
            let mut shared = vec![];
            let mut far = middle;
            for edge in face.adjacent_edges() {
                if edge.is_constraint_edge() {
                    continue;
                }
                let [from, to] = edge.positions().map(|p| Point { x: p.x, y: p.y });
                let key = edge.as_undirected().fix().index();
                let node = *middles.entry(key).or_insert_with(|| graph.add(from.lerp(to, 0.5)));
                shared.push(node);
                if let Some(p) = edge.opposite_position() {
                    far = Point { x: p.x, y: p.y };
                }
            }
            match shared[..] {
                [] => drop(graph.add(middle)),
                [one] => {
                    let end = graph.add(far);
                    graph.join(one, end);
                }
                [one, other] => graph.join(one, other),
                _ => {
                    let branch = graph.add(middle);
                    shared.iter().for_each(|&n| graph.join(branch, n));
                }
            }
        }
        (!graph.at.is_empty()).then_some(graph)
    }

    /// Removes branches shorter than `short`, the shortest first, while they hang on a junction.
    fn prune(&mut self, short: f64) {
        loop {
            let ends = (0..self.at.len()).filter(|&i| self.next[i].len() == 1);
            let branches = ends.filter_map(|i| self.branch(i));
            let least = branches.min_by(|a, b| a.0.total_cmp(&b.0));
            let Some((_, branch)) = least.filter(|(length, _)| *length < short) else { return };
            for pair in branch.windows(2) {
                self.part(pair[0], pair[1]);
            }
        }
    }

    fn part(&mut self, a: usize, b: usize) {
        self.next[a].retain(|&n| n != b);
        self.next[b].retain(|&n| n != a);
    }

    /// Length and points of the line from an end to the first junction; `None` where it reaches another end.
    fn branch(&self, end: usize) -> Option<(f64, Vec<usize>)> {
        let (mut line, mut length) = (vec![end], 0.0);
        let (mut before, mut here) = (end, *self.next[end].first()?);
        loop {
            length += self.at[before].distance(self.at[here]);
            line.push(here);
            match self.next[here][..] {
                [_] => return None,
                [a, b] => (before, here) = (here, if a == before { b } else { a }),
                _ => return Some((length, line)),
            }
            if line.len() > self.at.len() {
                return None; // a closed line
            }
        }
    }

    /// Lines that cover every edge once: each starts at an end and goes straight on at a junction.
    fn trails(mut self) -> Vec<Trail> {
        let degree: Vec<usize> = self.next.iter().map(Vec::len).collect();
        let mut trails = vec![];
        if let [only] = self.at[..] {
            trails.push(Trail { points: vec![only], ends: [true, true] });
        }
        loop {
            let end = (0..self.at.len()).find(|&i| self.next[i].len() == 1);
            let Some(start) =
                end.or_else(|| (0..self.at.len()).find(|&i| !self.next[i].is_empty()))
            else {
                break;
            };
            let mut line = vec![start];
            let mut here = start;
            while let Some(on) = self.straight_on(&line) {
                self.part(here, on);
                line.push(on);
                here = on;
            }
            let ends = [start, here].map(|i| degree[i] == 1);
            trails.push(Trail { points: line.iter().map(|&i| self.at[i]).collect(), ends });
        }
        trails
    }

    /// The neighbour of a line's last point that continues it with the least turn.
    fn straight_on(&self, line: &[usize]) -> Option<usize> {
        let here = *line.last()?;
        let before = line.len().checked_sub(2).map(|i| self.at[line[i]]);
        let turn = |&&n: &&usize| match before {
            Some(before) => {
                let (d, e) = (self.at[here] - before, self.at[n] - self.at[here]);
                d.cross(e).atan2(d.dot(e)).abs()
            }
            None => 0.0,
        };
        self.next[here].iter().min_by(|a, b| turn(a).total_cmp(&turn(b))).copied()
    }
}
