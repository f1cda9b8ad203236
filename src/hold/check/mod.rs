//! The demands on a set of tabs, and their margins.

pub mod bridged;
pub mod by_hand;
pub mod figures;
pub mod judge;
pub mod ligaments;
pub mod offered;
pub mod overhang;
pub mod piece;
pub mod planner;
pub mod sensitivity;
pub mod tongues;
pub mod turn;
