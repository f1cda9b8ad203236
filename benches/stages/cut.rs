//! Planning and simulating the cut of whole sheets: 10, 100 and 1,000 gears with two tabs each.

use super::support;
use criterion::{BenchmarkId, Criterion};
use std::hint::black_box;
use tabwright::cut::{landing_on_skeleton, plan_cut};

pub fn sheets(c: &mut Criterion) {
    let mut group = c.benchmark_group("cut");
    group.sample_size(10);
    for (columns, rows) in [(5, 2), (10, 10), (40, 25)] {
        let mut sheet = support::gears(columns, rows, 64);
        // Only a sixteenth's bit enters all spaces of these teeth; the kerfs are narrower than the gaps.
        sheet.bit.diameter = 1.5875;
        let plan = plan_cut(&sheet);
        assert!(plan.faults.is_empty(), "{:?}", plan.faults);
        let size = columns * rows;
        group.bench_function(BenchmarkId::new("plan", size), |b| {
            b.iter(|| plan_cut(black_box(&sheet)));
        });
        let skeleton = landing_on_skeleton(&sheet);
        let tabs: Vec<_> = sheet.parts.iter().flat_map(|p| &p.hold.tabs).collect();
        assert!(tabs.iter().all(|t| skeleton.accepts(t)));
        group.bench_function(BenchmarkId::new("skeleton", size), |b| {
            b.iter(|| landing_on_skeleton(black_box(&sheet)));
        });
        group.bench_function(BenchmarkId::new("landings of all tabs", size), |b| {
            b.iter(|| tabs.iter().filter(|t| skeleton.accepts(t)).count());
        });
    }
    group.finish();
}
