//! The finite elements against textbook cases.

use super::factor::Sparse;
use super::membrane::{Membrane, plane_stress};
use super::mesh::{Mesh, MeshSize};
use super::plate::{Plate, bending};
use crate::geometry::{Point, Ring, Shape, Vector, point};
use crate::job::{Material, find_material};
use std::f64::consts::FRAC_PI_6;

fn isotropic(e: f64, nu: f64) -> [[f64; 3]; 3] {
    let q = e / (1.0 - nu * nu);
    [[q, nu * q, 0.0], [nu * q, q, 0.0], [0.0, 0.0, q * (1.0 - nu) / 2.0]]
}

/// Solves K u = f with given displacements at some rows.
fn solve(k: &Sparse, load: &[f64], held: &[(usize, f64)]) -> Vec<f64> {
    let mut fixed = vec![false; k.size];
    let mut given = vec![0.0; k.size];
    for &(row, u) in held {
        fixed[row] = true;
        given[row] = u;
    }
    let moved = k.times(&given);
    let rhs: Vec<f64> = load.iter().zip(&moved).map(|(f, m)| f - m).collect();
    let mut u = k.factor(&fixed).unwrap().solve(&[rhs]).pop().unwrap();
    for &(row, v) in held {
        u[row] = v;
    }
    u
}

/// A regular mesh of a block: each cell split in two, the diagonals alternating.
fn block(nx: usize, ny: usize, map: impl Fn(f64, f64) -> Point) -> Mesh {
    let at = |i: usize, j: usize| i * (ny + 1) + j;
    let points: Vec<Point> = (0..=nx)
        .flat_map(|i| (0..=ny).map(move |j| (i as f64 / nx as f64, j as f64 / ny as f64)))
        .map(|(x, y)| map(x, y))
        .collect();
    let mut triangles = vec![];
    for i in 0..nx {
        for j in 0..ny {
            let (a, b, c, d) = (at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
            if (i + j) % 2 == 0 {
                triangles.extend([[a, b, c], [a, c, d]]);
            } else {
                triangles.extend([[a, b, d], [b, c, d]]);
            }
        }
    }
    Mesh::of_triangles(&points, &triangles).unwrap()
}

/// Consistent load of a traction on the outline's edges that `on` selects: Simpson's rule.
fn traction(mesh: &Mesh, on: impl Fn(Point) -> bool, t: impl Fn(Point) -> Point) -> Vec<f64> {
    let mut f = vec![0.0; 2 * mesh.nodes.len()];
    // Three Gauss points on each edge, exact to the fifth degree.
    let rule = [(-(0.6f64.sqrt()), 5.0 / 9.0), (0.0, 8.0 / 9.0), (0.6f64.sqrt(), 5.0 / 9.0)];
    for e in &mesh.outline {
        let p = e.map(|i| mesh.nodes[i]);
        if !p.iter().all(|&q| on(q)) {
            continue;
        }
        let half = p[0].distance(p[2]) / 2.0;
        for (x, w) in rule {
            let shape = [x * (x - 1.0) / 2.0, 1.0 - x * x, x * (x + 1.0) / 2.0];
            let at = p[0] * shape[0] + p[1] * shape[1] + p[2] * shape[2];
            for (node, n) in e.iter().zip(shape) {
                f[2 * node] += t(at).x * n * w * half;
                f[2 * node + 1] += t(at).y * n * w * half;
            }
        }
    }
    f
}

/// Patch test: a linear displacement on the boundary of any mesh is reproduced exactly inside, for any material.
#[test]
fn patch_test_in_the_plane_is_exact() {
    let maple = find_material("hard maple", 6.0).unwrap();
    let shape = Shape::new(
        Ring(vec![point(0.0, 0.0), point(31.0, 3.0), point(27.0, 22.0), point(-3.0, 17.0)]),
        vec![Ring::circle_around(point(12.0, 10.0), 4.0, 0.05)],
    );
    let mesh = Mesh::new(&shape, MeshSize { edge: 3.0, area: 6.0 }).unwrap();
    let field =
        |p: Point| point(1e-3 * (2.0 + 3.0 * p.x - p.y), 1e-3 * (-1.0 + 0.5 * p.x + 2.0 * p.y));
    let body = Membrane { mesh: &mesh, stiffness: plane_stress(maple, FRAC_PI_6) };
    // All around the outline is given; the opening's rim bears the constant stress as a traction instead.
    let strain = [3e-3, 2e-3, -0.5e-3];
    let s = body.stiffness.map(|r| r[0] * strain[0] + r[1] * strain[1] + r[2] * strain[2]);
    let k = body.assemble();
    let exact: Vec<f64> = mesh.nodes.iter().flat_map(|&p| [field(p).x, field(p).y]).collect();
    let balance = k.times(&exact);
    let on_rim: std::collections::BTreeSet<usize> =
        mesh.outline.iter().flatten().copied().collect();
    let held: Vec<(usize, f64)> =
        on_rim.iter().flat_map(|&i| [2 * i, 2 * i + 1]).map(|r| (r, exact[r])).collect();
    let u = solve(&k, &opening_load(&mesh, &balance, &on_rim), &held);
    let worst = u.iter().zip(&exact).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    assert!(worst < 1e-12, "{worst}");
    // And the interior is in balance under constant stress: no node off any rim bears a force.
    let rim_points: f64 = s.iter().map(|v| v.abs()).sum();
    for (i, p) in mesh.nodes.iter().enumerate() {
        if shape.segments().all(|seg| seg.distance_to_point(*p) > 0.2) {
            assert!(balance[2 * i].hypot(balance[2 * i + 1]) < 1e-10 * rim_points);
        }
    }
}

/// The forces that the exact field needs at nodes off the outline: only the traction on the opening.
fn opening_load(mesh: &Mesh, balance: &[f64], rim: &std::collections::BTreeSet<usize>) -> Vec<f64> {
    let centre = point(12.0, 10.0);
    let mut f = vec![0.0; balance.len()];
    for (i, p) in mesh.nodes.iter().enumerate() {
        if !rim.contains(&i) && p.distance(centre) < 4.3 {
            f[2 * i] = balance[2 * i];
            f[2 * i + 1] = balance[2 * i + 1];
        }
    }
    f
}

/// Timoshenko & Goodier, Theory of Elasticity: cantilever under a parabolic end shear, exact displacements
/// given at the root; P 1000, E 3e7, nu 0.3, D 12, L 48: u_y(L, 0) = 0.0089.
#[test]
fn timoshenko_cantilever() {
    let (p, e, nu, d, l) = (1000.0, 3e7, 0.3, 12.0, 48.0);
    let i = f64::powi(d, 3) / 12.0;
    let exact = |q: Point| {
        let (x, y) = (q.x, q.y);
        point(
            -p * y / (6.0 * e * i) * ((6.0 * l - 3.0 * x) * x + (2.0 + nu) * (y * y - d * d / 4.0)),
            p / (6.0 * e * i)
                * (3.0 * nu * y * y * (l - x)
                    + (4.0 + 5.0 * nu) * d * d * x / 4.0
                    + (3.0 * l - x) * x * x),
        )
    };
    assert!((exact(point(l, 0.0)).y - 0.0089).abs() < 1e-15);
    let mesh = block(8, 4, |x, y| point(l * x, d * (y - 0.5)));
    let body = Membrane { mesh: &mesh, stiffness: isotropic(e, nu) };
    let load = traction(
        &mesh,
        |q| (q.x - l).abs() < 1e-9,
        |q| point(0.0, p / (2.0 * i) * (d * d / 4.0 - q.y * q.y)),
    );
    let held: Vec<(usize, f64)> = (0..mesh.nodes.len())
        .filter(|&n| mesh.nodes[n].x.abs() < 1e-9)
        .flat_map(|n| [(2 * n, exact(mesh.nodes[n]).x), (2 * n + 1, exact(mesh.nodes[n]).y)])
        .collect();
    let u = solve(&body.assemble(), &load, &held);
    let at =
        |x: f64, y: f64| mesh.nodes.iter().position(|q| q.distance(point(x, y)) < 1e-9).unwrap();
    let tip = u[2 * at(l, 0.0) + 1];
    assert!((tip / 0.0089 - 1.0).abs() < 0.01, "{tip}");
    let half = u[2 * at(l / 2.0, 0.0) + 1];
    assert!((half / 0.00285 - 1.0).abs() < 0.01, "{half}");
    eprintln!(
        "Timoshenko cantilever: tip {tip:.8} (exact 0.00890000), middle {half:.8} (exact 0.00285000)"
    );
}

/// Cook 1974: tapered panel, E 1, nu 1/3, unit shear on the right edge; v at the middle of the right edge
/// 23.96 (9-node elements 64 x 64 give 23.965).
#[test]
fn cooks_membrane() {
    let map = |x: f64, y: f64| point(48.0 * x, 44.0 * x + (44.0 - 28.0 * x) * y);
    let run = |mesh: &Mesh| {
        let body = Membrane { mesh, stiffness: isotropic(1.0, 1.0 / 3.0) };
        let load = traction(mesh, |q| (q.x - 48.0).abs() < 1e-9, |_| point(0.0, 1.0 / 16.0));
        let held: Vec<(usize, f64)> = (0..mesh.nodes.len())
            .filter(|&n| mesh.nodes[n].x.abs() < 1e-9)
            .flat_map(|n| [(2 * n, 0.0), (2 * n + 1, 0.0)])
            .collect();
        let u = solve(&body.assemble(), &load, &held);
        let near = (0..mesh.nodes.len()).min_by(|&a, &b| {
            let to = |n: usize| mesh.nodes[n].distance(point(48.0, 52.0));
            to(a).total_cmp(&to(b))
        });
        u[2 * near.unwrap() + 1]
    };
    let regular = run(&block(16, 16, map));
    assert!((regular / 23.96 - 1.0).abs() < 0.01, "{regular}");
    // The same by the mesher, at the density of a part: its longest side over about 14.
    let ring = Ring(vec![point(0.0, 0.0), point(48.0, 44.0), point(48.0, 60.0), point(0.0, 44.0)]);
    let mesh = Mesh::new(&Shape::new(ring, vec![]), MeshSize { edge: 4.0, area: 4.0 }).unwrap();
    let free = run(&mesh);
    assert!((free / 23.96 - 1.0).abs() < 0.01, "{free}");
    eprintln!(
        "Cook: regular 16 x 16 {regular:.4}, mesher's {} triangles {free:.4} (converged 23.96)",
        mesh.triangles.len()
    );
}

/// Plates of side 1 with D = 1: coefficients of P a^2/D or q a^4/D.
struct Square {
    mesh: Mesh,
    k: Sparse,
}

impl Square {
    fn new(n: usize, nu: f64) -> Square {
        let mesh = block(n, n, point);
        let stiffness = [[1.0, nu, 0.0], [nu, 1.0, 0.0], [0.0, 0.0, (1.0 - nu) / 2.0]];
        let k = Plate { mesh: &mesh, stiffness }.assemble();
        Square { mesh, k }
    }

    fn at(&self, x: f64, y: f64) -> usize {
        (0..self.mesh.corners).find(|&i| self.mesh.nodes[i].distance(point(x, y)) < 1e-9).unwrap()
    }

    fn held(&self, rows: impl Fn(Point) -> [bool; 3]) -> Vec<(usize, f64)> {
        (0..self.mesh.corners)
            .flat_map(|i| {
                let r = rows(self.mesh.nodes[i]);
                (0..3).filter(move |&j| r[j]).map(move |j| (3 * i + j, 0.0))
            })
            .collect()
    }

    fn point_load(&self, x: f64, y: f64) -> Vec<f64> {
        let mut f = vec![0.0; self.k.size];
        f[3 * self.at(x, y)] = 1.0;
        f
    }

    /// Uniform load: a third of each triangle's load at each vertex.
    fn uniform(&self) -> Vec<f64> {
        let mut f = vec![0.0; self.k.size];
        for t in &self.mesh.triangles {
            let [a, b, c] = [t[0], t[1], t[2]].map(|i| self.mesh.nodes[i]);
            let third = (b - a).cross(c - a) / 6.0;
            (0..3).for_each(|i| f[3 * t[i]] += third);
        }
        f
    }
}

fn edge(v: f64) -> bool {
    !(1e-9..=1.0 - 1e-9).contains(&v)
}

/// Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, tables 8, 23, 35, 37 (23 and 37 as other texts quote them), and
/// point supports from converged conforming elements (bicubic, computed independently with numpy).
#[test]
fn square_plates() {
    let s = Square::new(24, 0.3);
    let simple = s.held(|p| [edge(p.x) || edge(p.y), edge(p.x), edge(p.y)]);
    let clamped = s.held(|p| [edge(p.x) || edge(p.y); 3]);
    let corners = s.held(|p| [edge(p.x) && edge(p.y), false, false]);
    let middle = |v: f64| (v - 0.5).abs() < 1e-9;
    let mids = s.held(|p| [(edge(p.x) && middle(p.y)) || (edge(p.y) && middle(p.x)), false, false]);
    let cantilever = s.held(|p| [p.x < 1e-9; 3]);
    let centre = s.point_load(0.5, 0.5);
    let cases = [
        ("simply supported, centre", &simple, &centre, (0.5, 0.5), 0.01160, 0.01),
        ("clamped, centre", &clamped, &centre, (0.5, 0.5), 0.00561, 0.01),
        ("simply supported, uniform", &simple, &s.uniform(), (0.5, 0.5), 0.004062, 0.01),
        ("clamped, uniform", &clamped, &s.uniform(), (0.5, 0.5), 0.001265, 0.01),
        ("four corners, centre", &corners, &centre, (0.5, 0.5), 0.03914, 0.02),
        ("four corners, mid edge", &corners, &centre, (1.0, 0.5), 0.022913, 0.02),
        ("four corners, uniform", &corners, &s.uniform(), (0.5, 0.5), 0.025506, 0.02),
        ("four corners, uniform, mid edge", &corners, &s.uniform(), (1.0, 0.5), 0.017747, 0.02),
        ("four mid edges, centre", &mids, &centre, (0.5, 0.5), 0.01303, 0.02),
        ("four mid edges, free corner", &mids, &centre, (0.0, 0.0), -0.00320, 0.02),
        (
            "cantilever, middle of free edge",
            &cantilever,
            &s.point_load(1.0, 0.5),
            (1.0, 0.5),
            0.3615,
            0.01,
        ),
        ("its corner", &cantilever, &s.point_load(1.0, 0.5), (1.0, 1.0), 0.3295, 0.01),
        ("cantilever, free corner", &cantilever, &s.point_load(1.0, 1.0), (1.0, 1.0), 0.4911, 0.01),
        ("its edge's middle", &cantilever, &s.point_load(1.0, 1.0), (1.0, 0.5), 0.3295, 0.01),
    ];
    for (name, held, load, (x, y), expected, tolerance) in cases {
        let u = solve(&s.k, load, held);
        let w = u[3 * s.at(x, y)];
        eprintln!("{name:34} {w:.6} (expected {expected}, {:+.2} %)", 100.0 * (w / expected - 1.0));
        assert!((w / expected - 1.0).abs() < tolerance, "{name}: {w} against {expected}");
    }
}

/// Constant curvature is reproduced exactly on any mesh (the plate's patch test).
#[test]
fn patch_test_of_the_plate_is_exact() {
    let maple = find_material("hard maple", 6.0).unwrap();
    let ring = Ring(vec![point(0.0, 0.0), point(31.0, 3.0), point(27.0, 22.0), point(-3.0, 17.0)]);
    let mesh = Mesh::new(&Shape::new(ring, vec![]), MeshSize { edge: 4.0, area: 8.0 }).unwrap();
    let stiffness = bending(&plane_stress(maple, 0.5), 3.0);
    let k = Plate { mesh: &mesh, stiffness }.assemble();
    let (a, b, c) = (2e-4, -1e-4, 3e-4);
    let exact: Vec<f64> = mesh.nodes[..mesh.corners]
        .iter()
        .flat_map(|p| {
            let (wx, wy) = (2.0 * a * p.x + c * p.y, 2.0 * b * p.y + c * p.x);
            [a * p.x * p.x + b * p.y * p.y + c * p.x * p.y, wy, -wx]
        })
        .collect();
    let rim: std::collections::BTreeSet<usize> = mesh.outline.iter().map(|e| e[0]).collect();
    let held: Vec<(usize, f64)> =
        rim.iter().flat_map(|&i| [3 * i, 3 * i + 1, 3 * i + 2]).map(|r| (r, exact[r])).collect();
    let u = solve(&k, &vec![0.0; k.size], &held);
    let worst = u.iter().zip(&exact).map(|(x, y)| (x - y).abs()).fold(0.0, f64::max);
    assert!(worst < 1e-11, "{worst}");
}

/// E_T = E_L, G = E/2(1+nu) is the isotropic law at any grain angle; rotating the grain by 90 degrees swaps x and y.
#[test]
fn orthotropic_law_turns_and_has_its_isotropic_limit() {
    let maple = find_material("hard maple", 6.0).unwrap();
    let same = Material {
        e_across: maple.e_along,
        shear_modulus: maple.e_along / 2.6,
        poisson: 0.3,
        ..maple.clone()
    };
    let expected = isotropic(maple.e_along, 0.3);
    for grain in [0.0, 0.4, 1.3] {
        let q = plane_stress(&same, grain);
        for i in 0..3 {
            for j in 0..3 {
                assert!((q[i][j] - expected[i][j]).abs() < 1e-9 * maple.e_along);
            }
        }
    }
    let (q, r) = (plane_stress(maple, 0.3), plane_stress(maple, 0.3 + std::f64::consts::FRAC_PI_2));
    assert!(
        (q[0][0] - r[1][1]).abs() < 1e-8
            && (q[0][2] + r[1][2]).abs() < 1e-8
            && (q[2][2] - r[2][2]).abs() < 1e-8
    );
    // Compliance along x is 1/E_theta.
    let e = crate::mechanics::modulus_at(maple, 0.3);
    let det = |m: &[[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let compliance = (q[1][1] * q[2][2] - q[1][2] * q[2][1]) / det(&q);
    assert!((compliance * e - 1.0).abs() < 1e-9);
}
