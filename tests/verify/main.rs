//! What `verify` finds, in layouts and in the drawings beside them, and what it lets pass.

#[path = "../check_support/mod.rs"]
mod check_support;
#[path = "../drawn_support/mod.rs"]
mod drawn_support;
#[path = "../verify_support/mod.rs"]
mod verify_support;

mod anchors;
mod check_anchors;
mod check_drawings;
mod claims;
mod grain;
mod kept_islands;
mod mutations;
mod oracle;
mod published;
mod rules;
