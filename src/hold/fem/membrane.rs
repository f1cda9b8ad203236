//! Plane stress on quadratic triangles, orthotropic.

use super::factor::Sparse;
use super::mesh::Mesh;
use crate::geometry::{Point, Vector};
use crate::job::Material;

/// Plane-stress stiffness of the material per unit thickness, MPa, with the grain at `grain` from +x:
/// sigma = Q (eps_x, eps_y, gamma_xy).
///
/// nu_LT is given and nu_TL follows by reciprocity, so Q is symmetric. Rotation: T^-1 Q T^-T with engineering shear strain (Jones,
/// *Mechanics of Composite Materials*, ch. 2).
pub fn plane_stress(material: &Material, grain: f64) -> [[f64; 3]; 3] {
    let (el, et, g, nu) =
        (material.e_along, material.e_across, material.shear_modulus, material.poisson);
    let rest = 1.0 - nu * nu * et / el;
    let (q11, q22, q12, q66) = (el / rest, et / rest, nu * et / rest, g);
    let (s, c) = grain.sin_cos();
    let (s2, c2, sc) = (s * s, c * c, s * c);
    let a = q11 * c2 * c2 + 2.0 * (q12 + 2.0 * q66) * s2 * c2 + q22 * s2 * s2;
    let b = q11 * s2 * s2 + 2.0 * (q12 + 2.0 * q66) * s2 * c2 + q22 * c2 * c2;
    let d = (q11 + q22 - 4.0 * q66) * s2 * c2 + q12 * (s2 * s2 + c2 * c2);
    let e = (q11 - q12 - 2.0 * q66) * sc * c2 + (q12 - q22 + 2.0 * q66) * sc * s2;
    let f = (q11 - q12 - 2.0 * q66) * sc * s2 + (q12 - q22 + 2.0 * q66) * sc * c2;
    let h = (q11 + q22 - 2.0 * q12 - 2.0 * q66) * s2 * c2 + q66 * (s2 * s2 + c2 * c2);
    [[a, d, e], [d, b, f], [e, f, h]]
}

/// A membrane over a mesh: two degrees of freedom per node, x then y.
pub struct Membrane<'a> {
    /// The mesh.
    pub mesh: &'a Mesh,
    /// Stiffness from strain to stress resultant, MPa times thickness: N/mm.
    pub stiffness: [[f64; 3]; 3],
}

/// Quadrature rule of degree 2 on a triangle: points on its medians, exact for the straight-sided element's stiffness.
pub const GAUSS: [[f64; 3]; 3] = [
    [2.0 / 3.0, 1.0 / 6.0, 1.0 / 6.0],
    [1.0 / 6.0, 2.0 / 3.0, 1.0 / 6.0],
    [1.0 / 6.0, 1.0 / 6.0, 2.0 / 3.0],
];

impl Membrane<'_> {
    /// The stiffness matrix of all nodes.
    pub fn assemble(&self) -> Sparse {
        let mut k = Sparse::new(self.mesh.nodes.len(), 2);
        for t in &self.mesh.triangles {
            let [a, b, c] = [t[0], t[1], t[2]].map(|i| self.mesh.nodes[i]);
            let area = (b - a).cross(c - a) / 2.0;
            let mut ke = [[0.0; 12]; 12];
            for l in GAUSS {
                let strain = strain(&[a, b, c], &l);
                for i in 0..12 {
                    let stress = self.stress(&strain[i]);
                    for j in 0..12 {
                        ke[i][j] +=
                            area / 3.0 * (0..3).map(|m| stress[m] * strain[j][m]).sum::<f64>();
                    }
                }
            }
            let rows: [usize; 12] = std::array::from_fn(|i| 2 * t[i / 2] + i % 2);
            k.add(&rows, &ke);
        }
        k
    }

    fn stress(&self, strain: &[f64; 3]) -> [f64; 3] {
        self.stiffness.map(|row| row[0] * strain[0] + row[1] * strain[1] + row[2] * strain[2])
    }

    /// Stress resultants at a point of triangle `t` with barycentric coordinates `l`, as rows over its 12 degrees of freedom.
    pub fn stress_rows(&self, t: usize, l: &[f64; 3]) -> [[f64; 3]; 12] {
        let tri = &self.mesh.triangles[t];
        let corners = [tri[0], tri[1], tri[2]].map(|i| self.mesh.nodes[i]);
        strain(&corners, l).map(|e| self.stress(&e))
    }
}

/// Strain (eps_x, eps_y, gamma) for each of the element's 12 degrees of freedom at barycentric `l`.
fn strain(p: &[Point; 3], l: &[f64; 3]) -> [[f64; 3]; 12] {
    let slope = quadratic_slopes(p, l);
    std::array::from_fn(|i| {
        let g = slope[i / 2];
        if i % 2 == 0 { [g.x, 0.0, g.y] } else { [0.0, g.y, g.x] }
    })
}

/// Gradients of the six quadratic shape functions (three vertices, then the middles of edges 01, 12, 20).
pub fn quadratic_slopes(p: &[Point; 3], l: &[f64; 3]) -> [Point; 6] {
    let double = (p[1] - p[0]).cross(p[2] - p[0]);
    let grad: [Point; 3] =
        std::array::from_fn(|i| (p[(i + 2) % 3] - p[(i + 1) % 3]).perp() / double);
    std::array::from_fn(|i| {
        if i < 3 {
            grad[i] * (4.0 * l[i] - 1.0)
        } else {
            let (a, b) = (i - 3, (i - 2) % 3);
            (grad[a] * l[b] + grad[b] * l[a]) * 4.0
        }
    })
}
