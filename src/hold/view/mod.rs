//! A plan as a picture shows it.

pub mod part_map;
