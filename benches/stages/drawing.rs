//! How long reading and inspecting takes as drawings grow. Seeded; each bench asserts its own result.

use criterion::{BenchmarkId, Criterion, Throughput};
use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};
use std::fmt::Write;
use std::hint::black_box;
use tabwright::drawing::{ReadOptions, inspect, largest_bit, read, thinnest_neck};

/// `parts` wavy rings of `points` straight segments each, in a grid, no two alike.
fn closed_paths(parts: usize, points: usize) -> String {
    let mut svg = head(parts);
    for k in 0..parts {
        let ring = wavy_ring(k, points);
        write!(svg, "<path id=\"blob{k}-a\" fill=\"none\" stroke=\"#000\" d=\"M").unwrap();
        for (x, y) in ring {
            write!(svg, "{x:.4} {y:.4} ").unwrap();
        }
        svg.push_str("Z\"/>\n");
    }
    svg + "</svg>"
}

/// The same as one `<line>` a segment, shuffled and turned at random.
fn loose_lines(parts: usize, points: usize) -> String {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(7);
    let mut lines = Vec::new();
    for k in 0..parts {
        let ring = wavy_ring(k, points);
        for i in 0..points {
            let (mut a, mut b) = (ring[i], ring[(i + 1) % points]);
            if rng.random_bool(0.5) {
                std::mem::swap(&mut a, &mut b);
            }
            lines.push((a, b));
        }
    }
    for i in (1..lines.len()).rev() {
        lines.swap(i, rng.random_range(0..=i));
    }
    let mut svg = head(parts);
    for (a, b) in lines {
        let (x1, y1, x2, y2) = (a.0, a.1, b.0, b.1);
        writeln!(svg, "<path stroke=\"#000\" d=\"M{x1:.4} {y1:.4}L{x2:.4} {y2:.4}\"/>").unwrap();
    }
    svg + "</svg>"
}

fn head(parts: usize) -> String {
    let side = 50.0 * (parts as f64).sqrt().ceil();
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{side}mm\" height=\"{side}mm\" viewBox=\"0 0 {side} {side}\">\n"
    )
}

fn wavy_ring(k: usize, points: usize) -> Vec<(f64, f64)> {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(k as u64);
    let (r, wave, lobes) =
        (rng.random_range(12.0..18.0), rng.random_range(0.5..3.0), rng.random_range(2..9));
    let (cx, cy) = (25.0 + 50.0 * (k % 45) as f64, 25.0 + 50.0 * (k / 45) as f64);
    (0..points)
        .map(|i| {
            let a = std::f64::consts::TAU * i as f64 / points as f64;
            let r = r + wave * (f64::from(lobes) * a).sin();
            (cx + r * a.cos(), cy + r * a.sin())
        })
        .collect()
}

pub fn reading(c: &mut Criterion) {
    let mut group = c.benchmark_group("read");
    group.sample_size(10);
    for (parts, points) in [(20, 100), (200, 100), (2000, 100), (1, 20_000)] {
        let segments = (parts * points) as u64;
        group.throughput(Throughput::Elements(segments));
        for (shape, svg) in
            [("closed", closed_paths(parts, points)), ("loose", loose_lines(parts, points))]
        {
            let id = BenchmarkId::new(shape, format!("{parts}x{points}"));
            group.bench_with_input(id, &svg, |b, svg| {
                b.iter(|| {
                    let drawing =
                        read(black_box(svg), "blobs.svg", &ReadOptions::default()).unwrap();
                    assert_eq!(drawing.parts.iter().map(|p| p.copies).sum::<usize>(), parts);
                    assert!(drawing.faults.is_empty(), "{:?}", drawing.faults[0]);
                    drawing
                });
            });
        }
    }
    group.finish();
}

pub fn inspecting(c: &mut Criterion) {
    let mut group = c.benchmark_group("inspect");
    group.sample_size(10);
    for (parts, points) in [(200, 100), (2000, 100), (20, 10_000)] {
        let svg = closed_paths(parts, points);
        group.throughput(Throughput::Elements((parts * points) as u64));
        let id = BenchmarkId::new("read-and-inspect", format!("{parts}x{points}"));
        group.bench_with_input(id, &svg, |b, svg| {
            b.iter(|| {
                let drawing = read(black_box(svg), "blobs.svg", &ReadOptions::default()).unwrap();
                let report = inspect(&drawing, &[], 0.05);
                assert_eq!(report.parts.iter().map(|p| p.copies).sum::<usize>(), parts);
                // Most blobs are as wide as long, which is no neck; those of two lobes have one.
                assert!(
                    report.parts.iter().filter(|p| p.thinnest_neck.is_some()).count() * 10 > parts
                );
                report
            });
        });
    }
    group.finish();
}

pub fn one_part(c: &mut Criterion) {
    let mut group = c.benchmark_group("one part");
    for points in [100, 1000, 10_000] {
        let drawing = read(&closed_paths(1, points), "blob.svg", &ReadOptions::default()).unwrap();
        let shape = &drawing.parts[0].shape;
        group.bench_with_input(BenchmarkId::new("largest-bit", points), shape, |b, shape| {
            b.iter(|| {
                let reach = largest_bit(black_box(shape));
                assert!(reach.diameter > 1.0);
                reach
            });
        });
        group.bench_with_input(BenchmarkId::new("thinnest-neck", points), shape, |b, shape| {
            b.iter(|| {
                // As wide as it is long: none, at every density of points.
                let neck = thinnest_neck(black_box(shape));
                assert!(neck.is_none_or(|n| n.width > 1.0 && n.width < 40.0));
                neck
            });
        });
    }
    group.finish();
}
