//! The search: parts may overlap, the overlap is removed, and so the last sheet gets shorter.

mod candidates;
pub mod goal;
pub mod neighbourhood;
mod perturb;
pub mod search;
pub mod team;
pub mod worker;
