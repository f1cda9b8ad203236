//! Every stage measured alone; each bench asserts its own result. One program, for the library is linked into each.
//!
//! `cargo bench --bench stages -- hold` measures those with `hold` in their name; `-- --test` runs each once.

mod cut;
mod drawing;
mod hold;
mod nest;
mod verify;

#[path = "../../tests/hold_parts/mod.rs"]
mod hold_parts;
#[path = "../nest_support/mod.rs"]
mod nest_support;
#[path = "../../tests/verify_support/mod.rs"]
mod support;

use criterion::{criterion_group, criterion_main};

criterion_group!(
    benches,
    drawing::reading,
    drawing::inspecting,
    drawing::one_part,
    hold::judging,
    hold::plans,
    nest::stages,
    cut::sheets,
    verify::sheets,
);
criterion_main!(benches);
