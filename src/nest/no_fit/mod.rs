//! Where two parts come too near each other, and where a part leaves its sheet.

pub mod mask;
pub mod no_fit_table;
pub mod nofit;
