//! The elastic part: quadratic triangles in the sheet's plane, DKT plate bending out of it.

pub(super) mod compliance;
pub(super) mod dense;
mod factor;
mod membrane;
mod mesh;
mod plate;
pub(super) mod section_forces;

pub use factor::{Factor, LinearForm, Sparse};
pub use membrane::{Membrane, plane_stress};
pub use mesh::{Mesh, MeshSize};
pub use plate::{Plate, bending};
