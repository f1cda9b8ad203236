//! Tabwright turns a maker's drawings of many small flat parts into sheets that a desktop CNC router can cut.
//!
//! One pipeline, with a folder for each stage; each stage is a public function that can be used alone:
//!
//! ```text
//! drawings + job file -> drawing -> job -> hold -> nest -> cut -> verify -> export
//!                        outlines   parts  tab     placed  order,  independent SVG, JSON,
//!                        in mm      per    sites   sheets  paths,  checks      HTML, text
//!                                   group                  simulated cut
//! ```
//!
//! [`geometry`] serves all stages; [`layout`] is the plain data that everything after the nest reads.
//! The library does no I/O and never prints: only `cli` touches files and the terminal. `verify`
//! uses `geometry` and `layout` only; `export` never uses `nest`.

#![warn(missing_docs)]
#![cfg_attr(
    not(test),
    warn(clippy::print_stdout, clippy::print_stderr, clippy::unwrap_used, clippy::panic)
)]

pub mod cli;
pub mod cut;
pub mod drawing;
pub mod export;
pub mod flow;
pub mod geometry;
pub mod hold;
pub mod job;
pub mod layout;
pub mod mechanics;
pub mod memo;
pub mod nest;
pub mod units;
pub mod verify;
