//! The elastic part: quadratic triangles in the sheet's plane, DKT plate bending out of it.

pub(super) mod cholesky;
pub(super) mod compliance;
pub(super) mod dense;
mod factor;
mod membrane;
mod mesh;
mod plate;
pub(super) mod section_forces;
#[cfg(test)]
mod tests;

pub(super) use factor::LinearForm;
