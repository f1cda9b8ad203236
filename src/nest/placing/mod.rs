//! A layout in the making: which copy lies where, on which sheets.

pub mod compact_down;
pub mod item;
pub mod portable_layout;
pub mod sheet_axis;
pub mod state;
