//! The part itself: its narrow sections, what weakens them, where tabs may sit, its grain.

pub mod grained_sheet;
pub mod left;
pub mod pockets;
pub mod sections;
pub mod sites;
pub mod strongest_grain;
