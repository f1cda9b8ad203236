//! Data for pictures of a plan.

pub mod part_map;
