//! Parts as the nest sees them: covered by convex pieces, in each orientation that they may take.

pub mod convex;
pub mod form;
pub mod least_width;
pub mod simplify;
