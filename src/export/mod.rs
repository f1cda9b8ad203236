//! Everything the maker takes away: the layout file, a drawing of each sheet at true scale, a page to work
//! from, and the words on standard output.
//!
//! Everything here is made from [`layout`](crate::layout) and the cut's lines ([`SheetCut`]); it never
//! uses `nest`. The same input gives the same bytes.
//!
//! - [`layout_json`]: the layout file.
//! - [`sheet_svg`]: one sheet for a CAM program, true scale, named groups, plain paths.
//! - [`report_html`]: the page: every sheet's picture, the parts and why each is held as it is.
//! - [`summary`], [`compare_table`], [`held_table`] and [`tried_table`]: text for a terminal.
//! - [`GLOSSARY`]: the word list, on the page's last lines.
//! - [`tell`]: the layout's own sentences; [`problem_line`]: what the independent check found.
//!
//! Words are made here and nowhere else, from values, in the user's units.

mod arcs;
mod assumed;
mod begun;
mod buying_list;
mod columns;
mod compare;
mod drawing_faults;
mod drop_outs;
mod fault_groups;
mod faults;
mod glossary;
mod held;
mod held_picture;
mod inspection;
mod job_issues;
mod json;
mod keys;
mod label;
mod lines;
mod markup;
mod materials_table;
mod notes;
mod problems;
mod remnant_files;
mod report;
mod sheet_svg;
mod summary;
mod tell;
mod tried;
mod unplaced;
mod warned;
mod warnings;
mod why;
mod words;

pub use assumed::{Voice, assumed_lines, doubt_line};
pub use begun::{Beginning, begun_job, begun_line};
pub use buying_list::{buying_csv, buying_rows, buying_total};
pub use compare::{
    By, COMPARE_INTERRUPTED, CompareRow, GroupTable, PiecesOf, SmallSheet, compare_page,
    compare_table, placed_in_order,
};
pub use drawing_faults::{drawing_fault_line, flaw_words, scale_words, tell_inspection};
pub use faults::fault_words;
pub use glossary::{GLOSSARY, Term};
pub use held::{HeldRow, held_table};
pub use held_picture::held_picture;
pub use inspection::inspection_text;
pub use job_issues::{issue_line, left_out_line, not_length, not_size};
pub use json::layout_json;
pub use keys::{JobKey, KEYS, keys_markdown, keys_roff, keys_text, reference_toml};
pub use lines::{CutLine, LineKind, LooseWaste, SheetCut};
pub use materials_table::materials_table;
pub use problems::{problem_line, verdict_line};
pub use remnant_files::{remnant_labels, remnant_row, remnant_svg};
pub use report::{Report, report_html};
pub use sheet_svg::sheet_svg;
pub use summary::summary;
pub use tell::tell;
pub use tried::{CAUTION, HEADS, TRIED_STOCK, tried_rows, tried_table, tried_title};
pub use warnings::{kind_words, warning_words};
pub use why::{governs_words, limit_words, why_words};
pub use words::hundredth;
