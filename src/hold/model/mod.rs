//! The part on its tabs during the last pass: rigid, and elastic.

pub mod cache;
pub mod elastic;
pub mod rigid;
pub mod staged;
