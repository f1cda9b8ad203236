//! The whole sample job as a maker waits for it: time for reading, holds, first layouts and the end; memory.
//!
//! `cargo bench --bench job -- [--threads N] [--test] [JOB.toml]`; `--test` (for CI) searches by few moves. The first
//! layouts count as there when each group has one: every part on a sheet, gaps and landings kept.

mod nest_support;

use nest_support::peak_mb;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};
use tabwright::drawing::read;
use tabwright::flow::{Effort, GroupProgress, Watch, make, part_hold};
use tabwright::job::{Drawings, Job, JobFile, build, read_options};
use tabwright::layout::Method;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let (mut threads, mut moves, mut path) =
        (2, None, PathBuf::from("samples/tide-clock/job.toml"));
    let mut args = std::env::args().skip(1);
    while let Some(arg) = args.next() {
        match arg.as_str() {
            "--threads" => threads = args.next().and_then(|s| s.parse().ok()).unwrap_or(2),
            "--test" => moves = Some(200),
            "--bench" => {}
            _ => path = arg.into(),
        }
    }
    rayon::ThreadPoolBuilder::new().num_threads(threads).build_global()?;
    let start = Instant::now();
    let job = load(&path)?;
    println!("{:<28}{:>8.3} s", "drawings read", start.elapsed().as_secs_f64());
    let firsts: Mutex<Vec<Option<Duration>>> = Mutex::new(vec![None; job.groups.len()]);
    let seen = |p: GroupProgress| {
        if let Ok(mut firsts) = firsts.lock() {
            firsts[p.group].get_or_insert(start.elapsed());
        }
    };
    let stop = AtomicBool::new(false);
    let watch = Watch { stop: &stop, progress: Some(&seen) };
    let made = make(&job, &Effort { moves, time: None, threads }, &watch)?;
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
