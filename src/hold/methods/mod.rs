//! The ways to hold a part, in the order in which they are tried.

pub mod bridges;
pub mod brief;
pub mod fallback;
pub mod held_waste;
pub mod hold_plan;
pub mod none;
pub mod quick;
pub mod reasons;
pub mod skin;
pub mod tabs;
pub mod tape;
pub mod waste_beyond;
