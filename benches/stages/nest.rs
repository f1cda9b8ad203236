//! The nest by stage: the first layout, and a fixed number of moves of the search.

use super::nest_support::{D, kinds, sheet, with_landings};
use criterion::Criterion;
use std::sync::atomic::AtomicBool;
use tabwright::nest::{Budget, Control, NestTask, nest};

fn problem(copies: usize, moves: u64) -> NestTask {
    let parts =
        kinds().into_iter().map(|(name, shape)| with_landings(name, shape, copies)).collect();
    NestTask {
        parts,
        sheets: vec![sheet(600.0, 300.0)],
        kerf: D,
        gap: D,
        seed: 1,
        budget: Budget { moves: Some(moves), time: None },
        threads: 1,
    }
}

pub fn stages(c: &mut Criterion) {
    let mut group = c.benchmark_group("nest");
    group.sample_size(10);
    for (name, copies, moves) in [
        ("first layout, 20 parts", 1, 0),
        ("first layout, 200 parts", 10, 0),
        ("1000 moves, 40 parts", 2, 1000),
    ] {
        let p = problem(copies, moves);
        group.bench_function(name, |b| {
            b.iter(|| {
                let stop = AtomicBool::new(moves == 0);
                let nested = nest(&p, &Control { stop: &stop, progress: None });
                assert!(nested.unplaced.is_empty());
                nested.sheets.len()
            });
        });
    }
    group.finish();
}
