//! The elastic part: compliance between the boundary nodes on its edge, factored once.
//!
//! The free part cannot carry a single load. It is held at three degrees of freedom that just stop it drifting; for loads in
//! balance those supports carry nothing, so `u = C f + R a` with unknown rigid motion `a` is exact.

use super::factor::{Factor, LinearForm};
use super::membrane::{Membrane, plane_stress};
use super::mesh::{Mesh, MeshSize};
use super::plate::{Plate, bending};
use super::section_forces::{bending_rows, force_rows};
use crate::geometry::{Contour, Point, Shape, Vector, point};
use crate::hold::part::grained_sheet::GrainedSheet;
use crate::hold::part::sections::Chord;
use crate::mechanics::{Frame, Vector3};

/// Number of boundary nodes round the outline, least and most; loads and tabs are weighted sums of them.
const BOUNDARY_NODES: (usize, usize) = (48, 128);
/// Target number of triangles.
pub const TRIANGLES: f64 = 700.0;
/// Parts shorter than this many thicknesses are rigid out of the plane (thin plates lack shear).
const THIN: f64 = 4.0;

/// Compliance at the boundary nodes, with the rows of rigid motion.
#[derive(Debug, Clone)]
pub struct Compliance {
    /// Degrees of freedom.
    pub size: usize,
    /// Row by row.
    c: Vec<f64>,
    /// Displacement of each degree of freedom for each rigid motion.
    pub rigid: Vec<Vector3>,
}

impl Compliance {
    /// Row `i`.
    pub fn row(&self, i: usize) -> &[f64] {
        &self.c[i * self.size..(i + 1) * self.size]
    }

    /// A body that does not bend.
    fn stiff(rigid: Vec<Vector3>) -> Compliance {
        let size = rigid.len();
        Compliance { size, c: vec![0.0; size * size], rigid }
    }
}

/// A part with its compliance.
pub struct ElasticPart {
    /// Positions of the boundary nodes on the outline, evenly spaced.
    pub boundary_nodes: Vec<f64>,
    /// Origin and scale of rigid motion.
    pub frame: Frame,
    /// In the plane: x and y of each boundary node.
    pub plane: Compliance,
    /// Out of the plane: rise and two tilts of each boundary node.
    pub out: Compliance,
    /// Sections that do not split the part, as given when it was built: three rows over the plane's degrees of freedom (force along
    /// the neck, across it, moment) and one over the others (moment out of the plane).
    pub ligaments: Vec<Ligament>,
    /// Whether its mesh is as fine as it should be.
    pub fine: bool,
    length: f64,
}

/// Forces that a load at each boundary node causes in a section that statics alone cannot determine: a ligament beside an opening.
pub struct Ligament {
    /// Force along the neck, across it, moment in the plane, by the plane's degrees of freedom.
    pub plane: [Vec<f64>; 3],
    /// Moment out of the plane, by the other degrees of freedom.
    pub out: Vec<f64>,
}

/// A part's mesh, independent of the material: the same for every direction of the grain.
pub struct ElasticMesh {
    mesh: Mesh,
    /// Positions of the boundary nodes on the outline, and the weights of each.
    boundary_nodes: Vec<f64>,
    hats: Vec<Vec<(usize, f64)>>,
    frame: Frame,
    length: f64,
}

impl ElasticMesh {
    /// The mesh of a shape with about `triangles` triangles ([`TRIANGLES`], or fewer for a first look, with proportionally fewer
    /// boundary nodes at most); `None` where it cannot be meshed.
    pub fn new(shape: &Shape, triangles: f64) -> Option<ElasticMesh> {
        let most = (BOUNDARY_NODES.1 as f64 * triangles / TRIANGLES) as usize;
        let along = (shape.outline.perimeter() / 1.5).round() as usize;
        let n = along.clamp(BOUNDARY_NODES.0, most.max(BOUNDARY_NODES.0));
        ElasticMesh::with_places(shape, triangles, n)
    }

    /// The same with the compliance kept at `n` boundary nodes.
    pub(crate) fn with_places(shape: &Shape, triangles: f64, n: usize) -> Option<ElasticMesh> {
        ElasticMesh::of_mesh(Mesh::new(shape, mesh_size(shape, triangles))?, shape, n)
    }

    fn of_mesh(mesh: Mesh, shape: &Shape, n: usize) -> Option<ElasticMesh> {
        let contour = Contour::new(&shape.outline)?;
        let length = contour.length();
        let boundary_nodes = (0..n).map(|i| (i as f64 + 0.5) * length / n as f64).collect();
        let bounds = shape.bounds();
        let frame = Frame { origin: bounds.centre(), size: bounds.width().max(bounds.height()) };
        let hats = hats(&mesh, &contour, n);
        Some(ElasticMesh { mesh, boundary_nodes, hats, frame, length })
    }
}

impl ElasticPart {
    /// The part, cut from that sheet; out of the plane only where `lift` asks for it. `None` where the mesh
    /// is not connected.
    ///
    /// Cost: one factorisation and half a solution for about 250 loads (with lift two, and 400 loads more).
    pub fn new(
        mesh: &ElasticMesh,
        GrainedSheet { thickness, material, grain }: GrainedSheet<'_>,
        lift: bool,
        ligaments: &[Chord],
    ) -> Option<ElasticPart> {
        let ElasticMesh { mesh, boundary_nodes, hats, frame, length } = mesh;
        let q = plane_stress(material, grain.unwrap_or(0.0));
        let membrane = Membrane { mesh, stiffness: q.map(|r| r.map(|v| v * thickness)) };
        let forces: Vec<LinearForm> =
            ligaments.iter().flat_map(|c| force_rows(&membrane, c)).collect();
        let (plane, mut forces) = plane(&membrane, hats, frame, &forces)?;
        let rigid = tilts(mesh, hats, frame);
        let (out, moments) = if lift && frame.size > THIN * thickness {
            let plate = Plate { mesh, stiffness: bending(&q, thickness) };
            let rows: Vec<LinearForm> = ligaments.iter().map(|c| bending_rows(&plate, c)).collect();
            bend(&plate, hats, rigid, &rows)?
        } else {
            let zero = vec![vec![0.0; rigid.len()]; ligaments.len()];
            (Compliance::stiff(rigid), zero)
        };
        let ligaments = moments
            .into_iter()
            .enumerate()
            .map(|(i, out)| Ligament {
                plane: [0, 1, 2].map(|q| std::mem::take(&mut forces[3 * i + q])),
                out,
            })
            .collect();
        Some(ElasticPart {
            boundary_nodes: boundary_nodes.clone(),
            frame: *frame,
            plane,
            out,
            ligaments,
            fine: mesh.complete,
            length: *length,
        })
    }

    /// Weights of the boundary nodes for the mean over `width` mm about `s`, and for the slope along the edge there (least
    /// squares), per mm.
    pub fn weights(&self, s: f64, width: f64) -> Vec<(usize, f64, f64)> {
        const SAMPLES: usize = 8;
        let n = self.boundary_nodes.len();
        let step = self.length / n as f64;
        let mut list: Vec<(usize, f64, f64)> = vec![];
        let squares: f64 = (0..SAMPLES).map(|k| offset(k, SAMPLES, width).powi(2)).sum();
        for k in 0..SAMPLES {
            let x = offset(k, SAMPLES, width);
            let place = ((s + x) / step - 0.5).rem_euclid(n as f64);
            let (i, f) = (place.floor(), place.fract());
            for (j, share) in [(i as usize % n, 1.0 - f), ((i as usize + 1) % n, f)] {
                match list.iter_mut().find(|e| e.0 == j) {
                    Some(e) => {
                        e.1 += share / SAMPLES as f64;
                        e.2 += share * x / squares;
                    }
                    None => list.push((j, share / SAMPLES as f64, share * x / squares)),
                }
            }
        }
        list
    }

    /// The rigid motions of a form in the plane.
    pub fn rigid(compliance: &Compliance, form: &LinearForm) -> Vector3 {
        let mut row = [0.0; 3];
        for &(i, w) in form {
            for (r, v) in row.iter_mut().zip(compliance.rigid[i]) {
                *r += w * v;
            }
        }
        row
    }
}

fn offset(k: usize, samples: usize, width: f64) -> f64 {
    width * ((k as f64 + 0.5) / samples as f64 - 0.5)
}

/// A mesh size that gives about `triangles` triangles: fine along the edge, by area inside.
fn mesh_size(shape: &Shape, triangles: f64) -> MeshSize {
    let (area, edge) = (shape.net_area(), shape.segments().map(|s| s.length()).sum::<f64>());
    // Half of the triangles by area; the edge gets as many as the other half has room for.
    let triangle = area / (triangles * 0.5);
    MeshSize {
        edge: (edge / (triangles * 0.35)).max((triangle * 1.2).sqrt().min(edge / 120.0)),
        area: triangle,
    }
}

/// For each boundary node its share of each outline node: a hat function two spacings wide, of total 1.
fn hats(mesh: &Mesh, contour: &Contour, n: usize) -> Vec<Vec<(usize, f64)>> {
    let length = contour.length();
    let step = length / n as f64;
    let mut shares: Vec<Vec<(usize, f64)>> = vec![vec![]; n];
    for e in &mesh.outline {
        let [a, b] = [e[0], e[2]].map(|i| contour.nearest(mesh.nodes[i]));
        // Along the ring the shorter way round.
        let along = (b - a + length / 2.0).rem_euclid(length) - length / 2.0;
        let pieces = (along.abs() / step * 2.0).ceil().max(1.0) as usize;
        for piece in 0..pieces {
            for (x, w) in
                [(-(0.6f64.sqrt()), 5.0 / 18.0), (0.0, 8.0 / 18.0), (0.6f64.sqrt(), 5.0 / 18.0)]
            {
                let t = (piece as f64 + (x + 1.0) / 2.0) / pieces as f64;
                let place = ((a + t * along) / step - 0.5).rem_euclid(n as f64);
                let (i, f) = (place.floor() as usize % n, place.fract());
                let weight = w * along.abs() / pieces as f64;
                let shape = [(1.0 - t) * (1.0 - 2.0 * t), 4.0 * t * (1.0 - t), t * (2.0 * t - 1.0)];
                for (control, hat) in [(i, 1.0 - f), ((i + 1) % n, f)] {
                    for (node, s) in e.iter().zip(shape) {
                        add(&mut shares[control], *node, weight * hat * s);
                    }
                }
            }
        }
    }
    for share in &mut shares {
        let total: f64 = share.iter().map(|s| s.1).sum();
        share.iter_mut().for_each(|s| s.1 /= total);
    }
    shares
}

fn add(list: &mut Vec<(usize, f64)>, node: usize, w: f64) {
    match list.iter_mut().find(|e| e.0 == node) {
        Some(e) => e.1 += w,
        None => list.push((node, w)),
    }
}

/// Compliance of the boundary nodes, and the product of each node's load with further rows over all degrees of freedom.
fn compliance(
    factor: &Factor,
    mut forms: Vec<LinearForm>,
    rigid: Vec<Vector3>,
    rows: &[LinearForm],
) -> Option<(Compliance, Vec<Vec<f64>>)> {
    let n = forms.len();
    forms.extend_from_slice(rows);
    let all = forms.len();
    let products = factor.products(&forms)?;
    let line = |i: usize| products[i * all..i * all + n].to_vec();
    let given = (n..all).map(line).collect();
    let c = (0..n).flat_map(line).collect();
    Some((Compliance { size: n, c, rigid }, given))
}

fn plane(
    body: &Membrane,
    hats: &[Vec<(usize, f64)>],
    frame: &Frame,
    rows: &[LinearForm],
) -> Option<(Compliance, Vec<Vec<f64>>)> {
    let mesh = body.mesh;
    let k = body.assemble();
    let mut fixed = vec![false; k.size];
    let (a, b) = far_pair(&mesh.nodes[..mesh.corners])?;
    let d = mesh.nodes[b] - mesh.nodes[a];
    fixed[2 * a] = true;
    fixed[2 * a + 1] = true;
    fixed[2 * b + usize::from(d.x.abs() > d.y.abs())] = true;
    let factor = k.factor(&fixed)?;
    let (x, y) = (point(1.0, 0.0), point(0.0, 1.0));
    let forms: Vec<LinearForm> = hats
        .iter()
        .flat_map(|h| [0, 1].map(|d| h.iter().map(|&(node, w)| (2 * node + d, w)).collect()))
        .collect();
    let rigid = hats
        .iter()
        .flat_map(|h| {
            let p = mean(mesh, h);
            [frame.along(p, x), frame.along(p, y)]
        })
        .collect();
    compliance(&factor, forms, rigid, rows)
}

/// Mean position of a boundary node.
fn mean(mesh: &Mesh, hat: &[(usize, f64)]) -> Point {
    hat.iter().fold(point(0.0, 0.0), |m, &(i, w)| m + mesh.nodes[i] * w)
}

/// The plate has degrees of freedom at vertices only: an edge's midpoint is shared between its ends.
fn at_vertices(mesh: &Mesh, hat: &[(usize, f64)]) -> Vec<(usize, f64)> {
    let mut list = vec![];
    for &(node, w) in hat {
        match mesh.outline.iter().find(|e| e[1] == node) {
            Some(e) => {
                add(&mut list, e[0], w / 2.0);
                add(&mut list, e[2], w / 2.0);
            }
            None => add(&mut list, node, w),
        }
    }
    list
}

fn tilts(mesh: &Mesh, hats: &[Vec<(usize, f64)>], frame: &Frame) -> Vec<Vector3> {
    hats.iter()
        .flat_map(|h| {
            let p = mean(mesh, h);
            [frame.rise(p), frame.tilt(point(1.0, 0.0)), frame.tilt(point(0.0, 1.0))]
        })
        .collect()
}

fn bend(
    plate: &Plate,
    hats: &[Vec<(usize, f64)>],
    rigid: Vec<Vector3>,
    rows: &[LinearForm],
) -> Option<(Compliance, Vec<Vec<f64>>)> {
    let mesh = plate.mesh;
    let k = plate.assemble();
    let mut fixed = vec![false; k.size];
    let (a, _) = far_pair(&mesh.nodes[..mesh.corners])?;
    for r in 0..3 {
        fixed[3 * a + r] = true;
    }
    let factor = k.factor(&fixed)?;
    let forms: Vec<LinearForm> = hats
        .iter()
        .flat_map(|h| {
            let h = at_vertices(mesh, h);
            [0, 1, 2].map(|d| h.iter().map(|&(node, w)| (3 * node + d, w)).collect())
        })
        .collect();
    compliance(&factor, forms, rigid, rows)
}

/// Two nodes far apart: the one farthest from the middle, and the one farthest from that.
fn far_pair(nodes: &[Point]) -> Option<(usize, usize)> {
    let middle = nodes.iter().fold(point(0.0, 0.0), |m, &p| m + p) / nodes.len() as f64;
    let farthest = |from: Point| {
        (0..nodes.len())
            .max_by(|&i, &j| nodes[i].distance(from).total_cmp(&nodes[j].distance(from)))
    };
    let a = farthest(middle)?;
    let b = farthest(nodes[a])?;
    (a != b).then_some((a, b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;
    use crate::job::find_material;
    use rand::{RngExt, SeedableRng, rngs::Xoshiro256PlusPlus};

    /// Compliance between two forms.
    fn between(compliance: &Compliance, a: &LinearForm, b: &LinearForm) -> f64 {
        let one = |&(i, w): &(usize, f64)| {
            let row = compliance.row(i);
            w * b.iter().map(|&(j, v)| v * row[j]).sum::<f64>()
        };
        a.iter().map(one).sum()
    }

    fn blob(seed: u64) -> Shape {
        let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
        let (a, b) = (rng.random_range(0.1..0.4), rng.random_range(0.0..6.0));
        let ring = (0..60).map(|i| {
            let t = i as f64 * std::f64::consts::TAU / 60.0;
            point(25.0 * (1.0 + a * (3.0 * t + b).cos()), 0.0).turned(t)
        });
        Shape::new(Ring(ring.collect()), vec![])
    }

    /// Maxwell: the displacement at A for a load at B is that at B for the same load at A; and a load in balance moves a free part
    /// the same however it is rotated, on one mesh rotated with it. Random outlines, seeds 1 to 5.
    #[test]
    fn reciprocity_and_turning_hold_to_rounding() {
        let maple = find_material("hard maple", 3.0).unwrap();
        for seed in 1..=5 {
            let shape = blob(seed);
            let mesh = Mesh::new(&shape, mesh_size(&shape, TRIANGLES)).unwrap();
            let turn = 0.7 + seed as f64;
            let turned =
                Mesh { nodes: mesh.nodes.iter().map(|p| p.turned(turn)).collect(), ..mesh.clone() };
            let of = |mesh: &Mesh, shape: &Shape, grain| {
                let mesh = ElasticMesh::of_mesh(mesh.clone(), shape, BOUNDARY_NODES.1).unwrap();
                let sheet = GrainedSheet { thickness: 3.0, material: maple, grain: Some(grain) };
                ElasticPart::new(&mesh, sheet, true, &[]).unwrap()
            };
            let (a, b) =
                (of(&mesh, &shape, 0.2), of(&turned, &shape.map(|p| p.turned(turn)), 0.2 + turn));
            // Two opposite loads along the line between two boundary nodes: in balance, so rigid motion does not enter.
            let n = a.boundary_nodes.len();
            for (i, j) in [(0, n / 2), (n / 4, n / 3), (5, n - 7)] {
                let squeeze = |part: &ElasticPart| {
                    let place = |k: usize| {
                        part.frame.origin
                            + point(part.plane.rigid[2 * k + 1][2], -part.plane.rigid[2 * k][2])
                                * part.frame.size
                    };
                    let d = (place(j) - place(i)).unit().unwrap();
                    let form: LinearForm =
                        vec![(2 * i, d.x), (2 * i + 1, d.y), (2 * j, -d.x), (2 * j + 1, -d.y)];
                    between(&part.plane, &form, &form)
                };
                let (u, v) = (squeeze(&a), squeeze(&b));
                assert!(u > 0.0 && (u / v - 1.0).abs() < 1e-9, "seed {seed}: {u} {v}");
            }
            // c is symmetric as it is made: so ask whole solutions, which are not.
            let stiffness = plane_stress(maple, 0.2).map(|r| r.map(|v| 3.0 * v));
            let k = Membrane { mesh: &mesh, stiffness }.assemble();
            let held: Vec<bool> = (0..k.size).map(|i| i < 2 || i == 2 * mesh.corners - 1).collect();
            let factor = k.factor(&held).unwrap();
            let unit = |i: usize| (0..k.size).map(|j| f64::from(u8::from(i == j))).collect();
            let at = [17, 140, 301, 2 * mesh.corners + 9];
            let u = factor.solve(&at.map(unit));
            let c = factor.products(&at.map(|i| vec![(i, 1.0)])).unwrap();
            for i in 0..4 {
                for j in 0..4 {
                    let (there, back) = (u[i][at[j]], u[j][at[i]]);
                    let most = u[i][at[i]].max(u[j][at[j]]);
                    assert!((there - back).abs() <= 1e-9 * most, "seed {seed}: {there} {back}");
                    assert!((there - c[4 * i + j]).abs() <= 1e-9 * most, "seed {seed}: {i} {j}");
                }
            }
        }
    }
}
