//! Verifying whole sheets: 10, 100 and 1,000 gears of 64 points with two tabs each.

use super::support;
use criterion::{BenchmarkId, Criterion};
use std::hint::black_box;
use tabwright::verify::{Rules, verify};

pub fn sheets(c: &mut Criterion) {
    let mut group = c.benchmark_group("verify");
    group.sample_size(10);
    for (columns, rows) in [(5, 2), (10, 10), (40, 25)] {
        let layout = support::layout(vec![support::gears(columns, rows, 64)]);
        let problems = verify(&layout, &Rules::default());
        assert_eq!(problems, []);
        group.bench_function(BenchmarkId::from_parameter(columns * rows), |b| {
            b.iter(|| verify(black_box(&layout), &Rules::default()));
        });
    }
    group.finish();
}
