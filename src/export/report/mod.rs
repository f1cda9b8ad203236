//! The page to work from: one self-contained HTML file, no scripts, that prints.
//!
//! In the order a maker needs it: the totals, what to mind, then sheet by sheet the picture with the numbers
//! of the order of cut on it, and the table of parts with the reason for every tab. Pictures
//! come first and carry the numbers; the words are for looking up.

mod buying;
mod front;
mod given;
mod legend;
mod marks;
mod measures;
mod page;
mod picture;
mod sheet_section;
mod strips;
mod table;
mod tenths;
mod tone;

pub use given::Report;
pub use page::report_html;
