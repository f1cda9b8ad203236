//! A plan as a table and as a picture.

pub mod picture;
pub mod table;
