//! The part on its tabs while the last pass goes round: rigid, and elastic.

pub mod cache;
pub mod elastic;
pub mod rigid;
pub mod staged;
