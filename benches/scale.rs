//! How cost grows: time to the first valid layout, density at fixed time, memory.
//!
//! `cargo bench --bench scale -- [--seconds S] [N...]`: n copies drawn in turn from kinds like the tide
//! clock's, each with four landings, on sheets of 600 x 300 mm; then from the open instances on one
//! strip. Prints the growth exponent of the first layout's time. `--test` (for CI) runs 30 and 100 parts. Every run
//! asserts that each copy lies on a sheet, and that no two come nearer than the bit.

mod nest_support;

use nest_support::{D, kinds, peak_mb, sheet, with_landings};
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};
use tabwright::geometry::{Shape, shape_distance};
use tabwright::nest::{Budget, Control, NestTask, Nested, Placed, nest};

fn main() {
    let (mut seconds, mut counts) = (0.0, vec![]);
    let mut args = std::env::args().skip(1);
    while let Some(arg) = args.next() {
        match arg.as_str() {
            "--seconds" => seconds = args.next().and_then(|s| s.parse().ok()).unwrap_or(0.0),
            "--bench" => {}
            "--test" => counts = vec![30, 100],
            n => counts.extend(n.parse::<usize>().ok()),
        }
    }
    if counts.is_empty() {
        counts = vec![30, 100, 300, 1000, 3000];
    }
    println!(
        "{:>6}{:>12}{:>10}{:>10}{:>10}{:>10}{:>9}",
        "n", "first s", "sheets", "density", "searched", "moves", "peak MB"
    );
    let mut points = vec![];
    for &n in &counts {
        let problem = clock_parts(n, seconds);
        let stopped = AtomicBool::new(true);
        let start = Instant::now();
        let first = nest(&problem, &Control { stop: &stopped, progress: None });
        let time = start.elapsed().as_secs_f64();
        points.push(((n as f64).ln(), time.ln()));
        check(&problem, &first);
        let searched = (seconds > 0.0)
            .then(|| nest(&problem, &Control { stop: &AtomicBool::new(false), progress: None }));
        searched.iter().for_each(|s| check(&problem, s));
        println!(
            "{n:>6}{time:>12.3}{:>10}{:>10.2}{:>10.2}{:>10}{:>9.0}",
            first.sheets.len(),
            density(&problem, &first),
            searched.as_ref().map_or(f64::NAN, |s| density(&problem, s)),
            searched.as_ref().map_or(0, |s| s.moves),
            peak_mb()
        );
    }
    if points.len() > 1 {
        println!("growth exponent of the first layout: {:.2}", slope(&points));
    }
}

fn clock_parts(n: usize, seconds: f64) -> NestTask {
    let kinds = kinds();
    let count = kinds.len();
    let parts = kinds
        .into_iter()
        .enumerate()
        .map(|(k, (name, shape))| {
            with_landings(name, shape, n / count + usize::from(k < n % count))
        })
        .filter(|p| p.copies > 0)
        .collect();
    NestTask {
        parts,
        sheets: vec![sheet(600.0, 300.0)],
        kerf: D,
        gap: D,
        seed: 1,
        budget: Budget { moves: None, time: Some(Duration::from_secs_f64(seconds.max(1.0))) },
        threads: 2,
    }
}

/// Every copy lies once, on its sheet within the margin, a bit's diameter from every other.
fn check(problem: &NestTask, nested: &Nested) {
    let wanted: usize = problem.parts.iter().map(|p| p.copies).sum();
    let placed: usize = nested.sheets.iter().map(|s| s.placed.len()).sum();
    assert_eq!((placed, nested.unplaced.len()), (wanted, 0), "copies placed, and left over");
    for sheet in &nested.sheets {
        let stock = &problem.sheets[sheet.stock];
        let inner = stock.outline.bounds().grown(1e-6 - stock.margin);
        let shape = |p: &Placed| p.pose.apply_shape(&problem.parts[p.part].shape);
        let shapes: Vec<Shape> = sheet.placed.iter().map(shape).collect();
        for (i, a) in shapes.iter().enumerate() {
            let b = a.bounds();
            let within = b.min.x >= inner.min.x && b.max.x <= inner.max.x;
            assert!(within && b.min.y >= inner.min.y && b.max.y <= inner.max.y, "{b:?}");
            let nearest = shapes[..i].iter().map(|o| shape_distance(a, o, D)).fold(D, f64::min);
            assert!(nearest > D - 1e-3, "{nearest} mm between two parts");
        }
    }
}

/// Net area over the sheets' area, the last counted as far as it is used, percent.
fn density(problem: &NestTask, nested: &Nested) -> f64 {
    let (mut parts, mut sheets) = (0.0, 0.0);
    for (i, sheet) in nested.sheets.iter().enumerate() {
        let shapes = sheet.placed.iter().map(|p| p.pose.apply_shape(&problem.parts[p.part].shape));
        let (mut x, mut y) = (0.0f64, 0.0f64);
        for shape in shapes {
            parts += shape.net_area();
            x = x.max(shape.bounds().max.x + 6.0);
            y = y.max(shape.bounds().max.y + 6.0);
        }
        let whole = problem.sheets[sheet.stock].outline.bounds();
        let last = i + 1 == nested.sheets.len();
        sheets += if last {
            (x * whole.height()).min(y * whole.width())
        } else {
            whole.width() * whole.height()
        };
    }
    100.0 * parts / sheets
}

/// Least-squares slope.
fn slope(points: &[(f64, f64)]) -> f64 {
    let n = points.len() as f64;
    let (mx, my) =
        (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
    let over: f64 = points.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum();
    over / points.iter().map(|p| (p.0 - mx).powi(2)).sum::<f64>()
}
