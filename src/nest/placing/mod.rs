//! A layout in the making: which copy lies where, on which sheets.

pub mod portable_layout;
pub mod state;
