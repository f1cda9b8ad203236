//! The elastic part: quadratic triangles in the sheet's plane, DKT plate bending out of it.

mod factor;
mod membrane;
mod mesh;
mod plate;

pub use factor::{Factor, Sparse};
pub use membrane::{Membrane, plane_stress};
pub use mesh::{Mesh, MeshSize};
pub use plate::{Plate, bending};
