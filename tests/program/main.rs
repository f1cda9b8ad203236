//! The program as its users meet it: commands, keys, drawings in, files out.

mod commands;
mod compare;
mod doubtful_drawings;
mod export;
mod first_job;
mod folder;
mod inches;
mod interrupted;
mod job_keys;
mod keys;
mod projects;
mod remnants;
mod sample_tide_clock;
mod slips;
mod told_once;
