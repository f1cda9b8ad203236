//! Forces across a section, from the finite elements, for sections that statics alone cannot determine.

use super::factor::LinearForm;
use super::membrane::Membrane;
use super::mesh::Mesh;
use super::plate::Plate;
use crate::geometry::{Point, Vector};
use crate::hold::part::sections::Chord;

/// Gauss-Legendre points and weights on -1..1, five points (exact to degree 9).
const GAUSS: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189),
    (-0.538_469_310_105_683, 0.478_628_670_499_366),
    (0.0, 0.568_888_888_888_889),
    (0.538_469_310_105_683, 0.478_628_670_499_366),
    (0.906_179_845_938_664, 0.236_926_885_056_189),
];
/// Pieces that a section is cut into: about one per element.
const PIECES: usize = 4;

/// Force along the neck, force across it and moment in the plane, as rows over the membrane's degrees of freedom.
///
/// N = int sigma_nn t ds, V = int sigma_nt t ds, M = int x sigma_nn t ds about the section's middle.
pub fn force_rows(body: &Membrane, chord: &Chord) -> [LinearForm; 3] {
    let mut rows = [vec![], vec![], vec![]];
    let (n, t) = (chord.normal(), chord.normal().perp());
    along(body.mesh, chord, |triangle, l, weight, offset| {
        let stress = body.stress_rows(triangle, l);
        for (k, [sx, sy, sxy]) in stress.into_iter().enumerate() {
            let pull = Point { x: sx * n.x + sxy * n.y, y: sxy * n.x + sy * n.y };
            let row = 2 * body.mesh.triangles[triangle][k / 2] + k % 2;
            rows[0].push((row, weight * pull.dot(n)));
            rows[1].push((row, weight * pull.dot(t)));
            rows[2].push((row, weight * offset.cross(pull)));
        }
    });
    rows
}

/// Bending moment about the section's own line, as a row over the plate's degrees of freedom.
pub fn bending_rows(plate: &Plate, chord: &Chord) -> LinearForm {
    let mut row = vec![];
    let n = chord.normal();
    along(plate.mesh, chord, |triangle, l, weight, _| {
        for (k, [mx, my, mxy]) in plate.moment_rows(triangle, l).into_iter().enumerate() {
            let normal = mx * n.x * n.x + my * n.y * n.y + 2.0 * mxy * n.x * n.y;
            row.push((3 * plate.mesh.triangles[triangle][k / 3] + k % 3, weight * normal));
        }
    });
    row
}

/// Calls `at` for each integration point of a section: triangle, barycentric position, weight, position from the middle.
fn along(mesh: &Mesh, chord: &Chord, mut at: impl FnMut(usize, &[f64; 3], f64, Point)) {
    for piece in 0..PIECES {
        for (x, w) in GAUSS {
            let f = (piece as f64 + (x + 1.0) / 2.0) / PIECES as f64;
            let p = chord.a.lerp(chord.b, f);
            if let Some((triangle, l)) = find(mesh, p) {
                at(triangle, &l, w / 2.0 * chord.width / PIECES as f64, p - chord.middle());
            }
        }
    }
}

/// The triangle that contains `p` (or comes nearest to it), with the barycentric coordinates.
fn find(mesh: &Mesh, p: Point) -> Option<(usize, [f64; 3])> {
    let place = |t: &[usize; 6]| {
        let [a, b, c] = [t[0], t[1], t[2]].map(|i| mesh.nodes[i]);
        let double = (b - a).cross(c - a);
        [
            (b - p).cross(c - p) / double,
            (c - p).cross(a - p) / double,
            (a - p).cross(b - p) / double,
        ]
    };
    let least = |l: &[f64; 3]| l[0].min(l[1]).min(l[2]);
    let all = mesh.triangles.iter().map(place).enumerate();
    let holds = all.clone().find(|(_, l)| least(l) >= 0.0);
    holds.or_else(|| all.max_by(|a, b| least(&a.1).total_cmp(&least(&b.1))))
}
