//! Valid layouts made at once: copies at their lowest free places, in rows, in lattices, or as boxes on a skyline.

pub mod densest_lattices;
pub mod fill;
pub mod first;
pub mod lattice;
pub mod lattice_skeleton;
pub mod order_search;
pub mod rows;
pub mod skyline;
pub mod upright;
