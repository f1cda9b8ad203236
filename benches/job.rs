//! The whole sample job as a maker waits for it: time for reading, holds, first layouts and the end; memory.
//!
//! `cargo bench --bench job -- [--threads N] [--test] [--price] [JOB.toml]`; `--test` (for CI) searches by few moves. The first
//! layouts count as there when each group has one: every part on a sheet, gaps and landings kept. `--price` prints instead what holding
//! costs: the stock that each group takes with tabs, hanging on stock or on parts, against the same parts on tape, which may lie a
//! bit's diameter apart.

mod nest_support;

use nest_support::peak_mb;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};
use tabwright::drawing::read;
use tabwright::flow::{Effort, GroupProgress, Watch, make, part_hold};
use tabwright::job::{Drawings, Hang, HoldBy, Job, JobFile, build, read_options};
use tabwright::layout::Method;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let (mut threads, mut moves, mut path) =
        (2, None, PathBuf::from("samples/tide-clock/job.toml"));
    let mut price = false;
    let mut args = std::env::args().skip(1);
    while let Some(arg) = args.next() {
        match arg.as_str() {
            "--threads" => threads = args.next().and_then(|s| s.parse().ok()).unwrap_or(2),
            "--test" => moves = Some(200),
            "--price" => price = true,
            "--bench" => {}
            _ => path = arg.into(),
        }
    }
    rayon::ThreadPoolBuilder::new().num_threads(threads).build_global()?;
    let start = Instant::now();
    let job = load(&path)?;
    println!("{:<28}{:>8.3} s", "drawings read", start.elapsed().as_secs_f64());
    let effort = Effort { moves, time: None, threads };
    if price {
        return price_of_holding(job, &effort);
    }
    let firsts: Mutex<Vec<Option<Duration>>> = Mutex::new(vec![None; job.groups.len()]);
    let seen = |p: GroupProgress| {
        if let Ok(mut firsts) = firsts.lock() {
            firsts[p.group].get_or_insert(start.elapsed());
        }
    };
    let stop = AtomicBool::new(false);
    let watch = Watch { stop: &stop, progress: Some(&seen) };
    let made = make(&job, &effort, &watch)?;
    let end = start.elapsed();
    let last = firsts.lock().ok().and_then(|f| f.iter().flatten().max().copied());
    // `make` has had the layout verified; that nothing is missing from it is another matter.
    let copies: usize = job.parts.iter().map(|p| p.quantity).sum();
    let parts = || made.layout.sheets.iter().flat_map(|s| &s.parts);
    assert_eq!(parts().filter(|p| !p.spare).count(), copies, "{:?}", made.layout.unplaced);
    assert!(parts().all(|p| p.hold.method != Method::None), "a part that nothing holds");
    assert!(last.is_some_and(|first| first < end), "first layouts before the last ones");
    println!("{:<28}{:>8.3} s", "first layout of every group", last.unwrap_or(end).as_secs_f64());
    println!("{:<28}{:>8.3} s", "whole job", end.as_secs_f64());
    println!("{:<28}{:>8}", "sheets", made.layout.sheets.len());
    println!("{:<28}{:>8.0} MB", "peak memory", peak_mb());
    let mut holds: Vec<(f64, &str)> = (0..job.parts.len())
        .map(|i| {
            let start = Instant::now();
            std::hint::black_box(part_hold(&job, i));
            (start.elapsed().as_secs_f64(), job.parts[i].name.as_str())
        })
        .collect();
    holds.sort_by(|a, b| b.0.total_cmp(&a.0));
    println!("{:<28}{:>8.3} s on one thread", "all holds", holds.iter().map(|h| h.0).sum::<f64>());
    for (time, name) in &holds[..holds.len().min(5)] {
        println!("  {name:<26}{time:>8.3} s");
    }
    Ok(())
}

/// Prints for each group the stock that it takes, less the largest remnant of each sheet, and what it takes more than on tape.
fn price_of_holding(mut job: Job, effort: &Effort) -> Result<(), Box<dyn std::error::Error>> {
    let stop = AtomicBool::new(false);
    let watch = Watch { stop: &stop, progress: None };
    let mut taken = vec![];
    for (hang, by) in
        [(Hang::Stock, HoldBy::Tape), (Hang::Stock, HoldBy::Tabs), (Hang::Parts, HoldBy::Tabs)]
    {
        job.holding.hang = hang;
        job.parts.iter_mut().for_each(|p| p.hold_by = by);
        let made = make(&job, effort, &watch)?;
        let mut stock: BTreeMap<(String, u64), f64> = BTreeMap::new();
        for sheet in &made.layout.sheets {
            let group = (sheet.material.clone(), sheet.thickness.to_bits());
            *stock.entry(group).or_default() += sheet.outline.area() - sheet.kept_area();
        }
        let loose = made.layout.drop_outs.len();
        taken.push((stock, made.layout.unplaced.len() + made.layout.faults.len(), loose));
    }
    println!(
        "{:<28}{:>12}{:>24}{:>24}",
        "stock taken, cm2", "on tape", "tabs on stock", "tabs on parts"
    );
    for ((material, thickness), plain) in &taken[0].0 {
        let name = format!("{material} {:.2} mm", f64::from_bits(*thickness));
        print!("{name:<28}{:>12.1}", plain / 100.0);
        for (stock, ..) in &taken[1..] {
            let area = stock.get(&(material.clone(), *thickness)).copied().unwrap_or(f64::NAN);
            print!("{:>14.1}{:>8.1} %", area / 100.0, 100.0 * (area / plain - 1.0));
        }
        println!();
    }
    for (what, of) in [("faults, parts left over", 0), ("loose pieces", 1)] {
        let counts: Vec<usize> = taken.iter().map(|t| if of == 0 { t.1 } else { t.2 }).collect();
        println!("{what:<28}{:>12}{:>24}{:>24}", counts[0], counts[1], counts[2]);
    }
    Ok(())
}

fn load(path: &PathBuf) -> Result<Job, Box<dyn std::error::Error>> {
    let file = JobFile::parse(&std::fs::read_to_string(path)?).map_err(|e| format!("{e:?}"))?;
    let mut drawings = Drawings::new();
    for drawing in &file.drawings {
        let options = read_options(&file, Some(drawing)).map_err(|e| format!("{e:?}"))?;
        let text = std::fs::read_to_string(path.with_file_name(&drawing.file))?;
        let drawn = read(&text, &drawing.file, &options).map_err(|e| format!("{e:?}"))?;
        drawings.insert(drawing.file.clone(), drawn);
    }
    Ok(build(&file, &drawings).map_err(|e| format!("{e:?}"))?.0)
}
