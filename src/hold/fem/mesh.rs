//! Triangles over the part: constrained Delaunay with refinement (crate `spade`).

use crate::geometry::{Contour, CrossingEdge, Point, Segment, Shape, Vector, point, triangulation};
use spade::{AngleLimit, Point2, RefinementParameters, Triangulation};
use std::collections::BTreeMap;

/// Least angle asked of the refinement, degrees: below about 30 it is certain to end.
const ANGLE: f64 = 25.0;

/// Most vertices the refinement may add.
const MOST: usize = 4000;

/// How far an edge of the mesh may leave the outline, as a share of its length.
const SAGITTA: f64 = 0.03;

/// Enough points along the rings: a wheel with many teeth is followed more coarsely until it has no more.
const RING_POINTS: usize = 320;
/// The coarsest allowance for following a ring, as [`SAGITTA`].
const COARSEST: f64 = 0.12;

/// How fine a mesh is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeshSize {
    /// Longest edge along the outline, mm.
    pub edge: f64,
    /// Largest triangle, mm^2.
    pub area: f64,
}

/// Quadratic triangles: vertices first, then the middles of edges.
#[derive(Debug, Clone)]
pub struct Mesh {
    /// All nodes; the first `corners` are the triangles' vertices.
    pub nodes: Vec<Point>,
    /// Number of vertices.
    pub corners: usize,
    /// Three vertices, then the midpoints of edges 01, 12, 20.
    pub triangles: Vec<[usize; 6]>,
    /// The outline's edges in order: vertex, midpoint, vertex.
    pub outline: Vec<[usize; 3]>,
    /// Whether it is as fine everywhere as was asked; if not, the most vertices were used up first.
    pub complete: bool,
}

impl Mesh {
    /// A mesh of the shape; `None` where its rings cross or have no size.
    ///
    /// Outlines are followed by edges up to `size.edge` long that leave them by at most 3 % of their length (up to 12 % where there
    /// are very many corners); the refinement makes them shorter in narrow places (Ruppert, Chew). Angles are 25 degrees or more,
    /// sharp corners of the outline excepted.
    pub fn new(shape: &Shape, size: MeshSize) -> Option<Mesh> {
        Mesh::within(shape, size, MOST)
    }

    /// The same with at most `most` vertices besides those of the rings.
    fn within(shape: &Shape, size: MeshSize, most: usize) -> Option<Mesh> {
        let contours: Vec<Contour> = shape.rings().map(Contour::new).collect::<Option<_>>()?;
        let mut sagitta = SAGITTA;
        let mut rings = followed(&contours, size.edge, sagitta);
        while rings.iter().map(Vec::len).sum::<usize>() > RING_POINTS && sagitta < COARSEST {
            sagitta *= 2.0;
            rings = followed(&contours, size.edge, sagitta);
        }
        let vertices = rings.iter().map(|ring| ring.iter().map(|p| Point2::new(p.x, p.y)));
        let mut cdt = triangulation(vertices, CrossingEdge::Refuse)?;
        let parameters = RefinementParameters::<f64>::new()
            .exclude_outer_faces(true)
            .with_angle_limit(AngleLimit::from_deg(ANGLE))
            .with_min_required_area(size.edge * size.edge * 1e-2)
            .with_max_allowed_area(size.area)
            .with_max_additional_vertices(most);
        let refined = cdt.refine(parameters);
        let outside: std::collections::BTreeSet<usize> =
            refined.excluded_faces.iter().map(|f| f.index()).collect();
        let nodes: Vec<Point> =
            cdt.vertices().map(|v| point(v.position().x, v.position().y)).collect();
        let corners: Vec<[usize; 3]> = cdt
            .inner_faces()
            .filter(|f| !outside.contains(&f.fix().index()))
            .map(|f| f.vertices().map(|v| v.fix().index()))
            .collect();
        let complete = refined.refinement_complete;
        Some(Mesh { complete, ..Mesh::of_triangles(&nodes, &corners)? })
    }

    /// The quadratic mesh on linear triangles; unused nodes are dropped. `None` where there are none.
    pub fn of_triangles(points: &[Point], triangles: &[[usize; 3]]) -> Option<Mesh> {
        let mut number = vec![None; points.len()];
        let mut nodes = vec![];
        let mut fresh: Vec<[usize; 3]> = vec![];
        for t in triangles {
            let [a, b, c] = t.map(|i| points[i]);
            let area = (b - a).cross(c - a);
            if area == 0.0 {
                continue;
            }
            let turned = if area > 0.0 { *t } else { [t[0], t[2], t[1]] };
            fresh.push(turned.map(|i| {
                *number[i].get_or_insert_with(|| {
                    nodes.push(points[i]);
                    nodes.len() - 1
                })
            }));
        }
        let corners = nodes.len();
        let mut middles: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        let mut used: BTreeMap<(usize, usize), (usize, [usize; 3])> = BTreeMap::new();
        let mut quadratic = vec![];
        for &[a, b, c] in &fresh {
            let mut middle = |i: usize, j: usize| {
                let m = *middles.entry((i.min(j), i.max(j))).or_insert_with(|| {
                    nodes.push((nodes[i] + nodes[j]) / 2.0);
                    nodes.len() - 1
                });
                used.entry((i.min(j), i.max(j))).or_insert((0, [i, m, j])).0 += 1;
                m
            };
            let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
            quadratic.push([a, b, c, ab, bc, ca]);
        }
        let rim: Vec<[usize; 3]> = used.values().filter(|e| e.0 == 1).map(|e| e.1).collect();
        let outline = outline(&nodes, &rim)?;
        Some(Mesh { nodes, corners, triangles: quadratic, outline, complete: true })
    }

    /// Area of the mesh, mm².
    #[cfg(test)]
    pub fn area(&self) -> f64 {
        self.triangles
            .iter()
            .map(|t| {
                let [a, b, c] = [t[0], t[1], t[2]].map(|i| self.nodes[i]);
                (b - a).cross(c - a) / 2.0
            })
            .sum()
    }
}

fn followed(contours: &[Contour], edge: f64, sagitta: f64) -> Vec<Vec<Point>> {
    contours.iter().map(|c| follow(c, edge, sagitta)).collect()
}

/// Points along a ring: its corners, curves as chords, straight edges divided.
fn follow(contour: &Contour, edge: f64, sagitta: f64) -> Vec<Point> {
    let corners = contour.points();
    let n = corners.len();
    let mut kept = vec![0];
    let mut i = 0;
    while i < n {
        // The farthest corner reached by a chord no longer than `edge` that stays near the corners passed over.
        let mut j = i + 1;
        while j < n {
            let next = j + 1;
            let chord = Segment::new(corners[i], corners[next % n]);
            let length = chord.length();
            let off =
                (i + 1..next).map(|k| chord.distance_to_point(corners[k])).fold(0.0, f64::max);
            if length > edge || off > sagitta * length {
                break;
            }
            j = next;
        }
        i = j;
        if i < n {
            kept.push(i);
        }
    }
    let mut points = vec![];
    for (k, &a) in kept.iter().enumerate() {
        let b = kept.get(k + 1).copied().unwrap_or(n) % n;
        let (p, q) = (corners[a], corners[b]);
        let parts = (p.distance(q) / edge).ceil().max(1.0) as usize;
        points.extend((0..parts).map(|m| p.lerp(q, m as f64 / parts as f64)));
    }
    points
}

/// The boundary loop with the largest area, edges in order.
fn outline(nodes: &[Point], rim: &[[usize; 3]]) -> Option<Vec<[usize; 3]>> {
    let mut next: BTreeMap<usize, [usize; 3]> = BTreeMap::new();
    for e in rim {
        next.insert(e[0], *e);
    }
    let mut best: Option<(f64, Vec<[usize; 3]>)> = None;
    while let Some((&start, _)) = next.first_key_value() {
        let mut ring = vec![];
        let mut at = start;
        while let Some(e) = next.remove(&at) {
            at = e[2];
            ring.push(e);
        }
        let o = nodes[ring[0][0]];
        let area: f64 = ring.iter().map(|e| (nodes[e[0]] - o).cross(nodes[e[2]] - o)).sum();
        if best.as_ref().is_none_or(|b| area > b.0) {
            best = Some((area, ring));
        }
    }
    best.map(|b| b.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;

    /// A plate 40 mm square in triangles of 1 mm² has over 1600: with 50 vertices it stays coarser, and reports it.
    #[test]
    fn a_mesh_that_runs_out_of_vertices_says_so() {
        let shape = Shape::new(Ring::rectangle(40.0, 40.0), vec![]);
        let size = MeshSize { edge: 4.0, area: 1.0 };
        let whole = Mesh::new(&shape, size).unwrap();
        assert!(whole.complete && whole.triangles.len() > 1600);
        let coarse = Mesh::within(&shape, size, 50).unwrap();
        assert!(!coarse.complete && coarse.triangles.len() < 400, "{}", coarse.triangles.len());
        assert!((coarse.area() - 1600.0).abs() < 1e-9);
    }

    #[test]
    fn mesh_covers_a_ring_and_follows_its_outline() {
        let shape = Shape::new(
            Ring::circle_around(point(0.0, 0.0), 30.0, 0.01),
            vec![Ring::circle_around(point(0.0, 0.0), 22.0, 0.01)],
        );
        let mesh = Mesh::new(&shape, MeshSize { edge: 3.0, area: 8.0 }).unwrap();
        assert!((mesh.area() / shape.net_area() - 1.0).abs() < 0.01, "{}", mesh.area());
        let length: f64 =
            mesh.outline.iter().map(|e| mesh.nodes[e[0]].distance(mesh.nodes[e[2]])).sum();
        assert!((length / shape.outline.perimeter() - 1.0).abs() < 0.005);
        assert!(
            mesh.triangles.len() > 200 && mesh.triangles.len() < 2000,
            "{}",
            mesh.triangles.len()
        );
    }

    #[test]
    fn a_crossing_outline_gets_no_mesh() {
        let bow = Ring(vec![point(0.0, 0.0), point(10.0, 9.0), point(10.0, 0.0), point(0.0, 11.3)]);
        let shape = Shape { outline: bow, openings: vec![] };
        assert!(Mesh::new(&shape, MeshSize { edge: 2.0, area: 4.0 }).is_none());
    }
}
