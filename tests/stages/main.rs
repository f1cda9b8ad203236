//! The stages one by one: drawing, hold, nest, cut, flow.

#[path = "../drawn_support/mod.rs"]
mod drawn_support;
#[path = "../hold_parts/mod.rs"]
mod hold_parts;
#[path = "../nest_support/mod.rs"]
mod nest_support;
#[path = "../recompute_support/mod.rs"]
mod recompute_support;
#[path = "../verify_support/mod.rs"]
mod verify_support;

mod arcs;
mod bit_width;
mod clefts;
mod cut;
mod cut_by_hand;
mod drawing;
mod drawing_hostile;
mod drawing_reach;
mod drawing_usvg;
mod flow_held;
mod held;
mod hold;
mod hold_bridges;
mod hold_properties;
mod kept_waste;
mod nest;
mod nest_published;
mod nest_sheets;
mod nest_webs;
mod recompute;
mod rows;
mod upright;
