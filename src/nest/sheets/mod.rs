//! The whole nest of a group: first layouts, fewer sheets, a compacted last sheet, what is left of it.

pub mod fewer;
pub mod group_nest;
pub mod remnant;
pub mod rooms;
pub mod smaller;
pub mod unload;
pub mod webbed;
