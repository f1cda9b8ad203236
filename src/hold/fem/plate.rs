//! Thin plates in bending: the discrete Kirchhoff triangle (DKT), orthotropic.

use super::factor::Sparse;
use super::membrane::{GAUSS, quadratic_slopes};
use super::mesh::Mesh;
use crate::geometry::{Point, Vector};

/// Bending stiffness from the plane-stress stiffness: D = Q t^3/12, N mm.
pub fn bending(plane_stress: &[[f64; 3]; 3], thickness: f64) -> [[f64; 3]; 3] {
    plane_stress.map(|row| row.map(|q| q * thickness.powi(3) / 12.0))
}

/// A plate over a mesh's vertices: three degrees of freedom each, w (rise), theta_x = dw/dy, theta_y = -dw/dx.
pub struct Plate<'a> {
    /// The mesh; the midpoints of its edges carry no degree of freedom.
    pub mesh: &'a Mesh,
    /// Stiffness from curvatures (w_xx, w_yy, 2 w_xy) to moments, N mm.
    pub stiffness: [[f64; 3]; 3],
}

impl Plate<'_> {
    /// The stiffness matrix of all vertices.
    ///
    /// Batoz, Bathe & Ho, *Int. J. Numer. Meth. Eng.* 15 (1980): the slopes are quadratic over the triangle; at the midpoint of an
    /// edge the slope along it is that of the cubic through the ends, and the slope across it the mean of theirs. Thin plates only
    /// (no shear).
    pub fn assemble(&self) -> Sparse {
        let mut k = Sparse::new(self.mesh.corners, 3);
        for t in &self.mesh.triangles {
            let p = [t[0], t[1], t[2]].map(|i| self.mesh.nodes[i]);
            let area = (p[1] - p[0]).cross(p[2] - p[0]) / 2.0;
            let slopes = slopes(&p);
            let mut ke = [[0.0; 9]; 9];
            for l in GAUSS {
                let curve = curvature(&p, &l, &slopes);
                for i in 0..9 {
                    let moment = self.moment(&curve[i]);
                    for j in 0..9 {
                        ke[i][j] +=
                            area / 3.0 * (0..3).map(|m| moment[m] * curve[j][m]).sum::<f64>();
                    }
                }
            }
            let rows: [usize; 9] = std::array::from_fn(|i| 3 * t[i / 3] + i % 3);
            k.add(&rows, &ke);
        }
        k
    }

    fn moment(&self, curve: &[f64; 3]) -> [f64; 3] {
        self.stiffness.map(|row| row[0] * curve[0] + row[1] * curve[1] + row[2] * curve[2])
    }

    /// Moments at a point of triangle `t` with barycentric coordinates `l`, as rows over its 9 degrees of freedom.
    pub fn moment_rows(&self, t: usize, l: &[f64; 3]) -> [[f64; 3]; 9] {
        let tri = &self.mesh.triangles[t];
        let p = [tri[0], tri[1], tri[2]].map(|i| self.mesh.nodes[i]);
        curvature(&p, l, &slopes(&p)).map(|c| self.moment(&c))
    }
}

/// Slopes (dw/dx, dw/dy) at the six nodes for each of the nine degrees of freedom.
fn slopes(p: &[Point; 3]) -> [[Point; 9]; 6] {
    let zero = Point { x: 0.0, y: 0.0 };
    let mut at = [[zero; 9]; 6];
    for i in 0..3 {
        at[i][3 * i + 1] = Point { x: 0.0, y: 1.0 };
        at[i][3 * i + 2] = Point { x: -1.0, y: 0.0 };
    }
    for e in 0..3 {
        let (i, j) = (e, (e + 1) % 3);
        let side = p[j] - p[i];
        let length = side.norm();
        let t = side / length;
        // Along the edge minus a quarter of both ends' slopes, across it half of them.
        at[3 + e] = std::array::from_fn(|f| {
            let both = at[i][f] + at[j][f];
            t * (-both.dot(t) / 4.0) + t.perp() * (both.dot(t.perp()) / 2.0)
        });
        at[3 + e][3 * i] = at[3 + e][3 * i] - t * (1.5 / length);
        at[3 + e][3 * j] = at[3 + e][3 * j] + t * (1.5 / length);
    }
    at
}

/// Curvatures (w_xx, w_yy, 2 w_xy) for each degree of freedom at barycentric `l`.
fn curvature(p: &[Point; 3], l: &[f64; 3], slopes: &[[Point; 9]; 6]) -> [[f64; 3]; 9] {
    let grad = quadratic_slopes(p, l);
    std::array::from_fn(|f| {
        let mut k = [0.0; 3];
        for (g, s) in grad.iter().zip(slopes) {
            k[0] += g.x * s[f].x;
            k[1] += g.y * s[f].y;
            k[2] += g.y * s[f].x + g.x * s[f].y;
        }
        k
    })
}
