//! The choice of tabs: how many, how high, where, and how deep the last pass.

pub mod by_count;
pub mod clean;
pub mod exchange;
pub mod ladder;
pub mod stance;
pub mod tried;
