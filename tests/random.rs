//! Random jobs through the whole program, judged by a second implementation made of general-purpose libraries.
//!
//! Sixty jobs always run. For more of them, to hunt a fault:
//! `TABWRIGHT_RANDOM=1000..2000 TABWRIGHT_RANDOM_KEEP=folder cargo test --test random -- --ignored --nocapture`
//! keeps the folders of jobs with faults and prints what was found, kind by kind.

mod drawn_support;
mod random_support;

use random_support::judge::{Fault, Run, faults};
use random_support::{RandomJob, random_job, spoil};
use rayon::prelude::*;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The same seed gives the same job, so that a fault can be looked at again.
#[test]
fn a_seed_always_draws_the_same_job() {
    for seed in 0..20 {
        assert_eq!(random_job(seed).files, random_job(seed).files);
    }
}

#[test]
fn sixty_random_jobs_pass_a_second_implementation() {
    let judged: Vec<Judged> = (0..60).into_par_iter().map(|seed| judged(seed, None)).collect();
    let bad: Vec<String> = judged.iter().flat_map(|j| j.lines()).collect();
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    // What they try, so that a generator gone dull is noticed.
    let count = |code| judged.iter().filter(|j| j.code == Some(code)).count();
    assert!(count(0) > 30, "only {} jobs are good", count(0));
}

/// Jobs that once were called good with a fault, or whose good layouts `check` refused: tabs that bear less than required at the
/// rotation a part got (18, 48), a tab that fills its notch (1257), holds on the bed that a floating part would not bear (2143,
/// 2151, 2215), a tab's gap round a bend (2265), parts drawn twice, rotated, that were not seen as copies (2051, 2137, 3443, 3476,
/// 3693), a film between teeth that a bit just fits (3072), a line that wandered in the round end of a slot as wide as the bit
/// (2255), a part that no bit cuts and that no list named (6165), an offcut as wide as high that a rounding made higher (6251), a
/// part that bends where `check` took it for rigid (6276).
#[test]
fn jobs_that_once_had_a_fault_have_none() {
    let seeds = [
        18u64, 48, 1257, 2143, 2151, 2215, 2265, 2051, 2137, 2255, 3072, 3443, 3476, 3693, 6165,
        6251, 6276,
    ];
    let judged: Vec<Judged> = seeds.into_par_iter().map(|seed| judged(seed, None)).collect();
    let bad: Vec<String> = judged.iter().flat_map(|j| j.lines()).collect();
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

/// Tests the judge itself: a file spoiled in one way fails the rule about it.
#[test]
fn what_is_spoiled_is_found() {
    let job = random_job(SPOILED);
    let folder = tempfile::tempdir().expect("a temporary folder");
    job.write(folder.path());
    let run = run(folder.path());
    let out = folder.path().join("out");
    assert!(faults(&job, &run, &out).is_empty());
    let layout = std::fs::read_to_string(out.join("layout.json")).expect("a layout");
    for (kind, spoil) in spoil::LAYOUTS {
        let mut spoiled: Value = serde_json::from_str(&layout).expect("it is JSON");
        spoil(&mut spoiled);
        std::fs::write(out.join("layout.json"), spoiled.to_string()).expect("written");
        let found = faults(&job, &run, &out);
        assert!(found.iter().any(|f| f.kind == kind), "{kind}: {found:?}");
    }
    std::fs::write(out.join("layout.json"), &layout).expect("written");
    let layout: Value = serde_json::from_str(&layout).expect("it is JSON");
    let sheet = layout["sheets"][0]["id"].as_str().expect("an id");
    let drawing = out.join(format!("{sheet}.svg"));
    let svg = std::fs::read_to_string(&drawing).expect("the sheet");
    for (kind, spoil) in spoil::DRAWINGS {
        std::fs::write(&drawing, spoil(&svg)).expect("written");
        let found = faults(&job, &run, &out);
        assert!(found.iter().any(|f| f.kind == kind), "{kind}: {found:?}");
    }
}

/// A good job of several parts held by tabs, an opening among them.
const SPOILED: u64 = 15;

#[test]
#[ignore = "as many jobs as TABWRIGHT_RANDOM says"]
fn as_many_random_jobs_as_wanted_pass_a_second_implementation() {
    let wanted = std::env::var("TABWRIGHT_RANDOM").unwrap_or("60..200".into());
    let (from, to) = wanted.split_once("..").expect("a range: 1000..2000");
    let (from, to): (u64, u64) = (from.parse().expect("a seed"), to.parse().expect("a seed"));
    let keep = std::env::var("TABWRIGHT_RANDOM_KEEP").ok().map(PathBuf::from);
    let told = |seed| {
        let judged = judged(seed, keep.as_deref());
        println!("seed {seed}: exit {:?}", judged.code);
        judged.lines().iter().for_each(|l| println!("{l}"));
        judged
    };
    let judged: Vec<Judged> = (from..to).into_par_iter().map(told).collect();
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    let mut codes: BTreeMap<Option<i32>, usize> = BTreeMap::new();
    for j in &judged {
        *codes.entry(j.code).or_default() += 1;
        j.faults.iter().for_each(|f| *kinds.entry(f.kind).or_default() += 1);
    }
    println!("{} jobs, exit codes {codes:?}, faults {kinds:?}", judged.len());
    assert!(kinds.is_empty(), "{kinds:?}");
}

struct Judged {
    seed: u64,
    code: Option<i32>,
    faults: Vec<Fault>,
}

impl Judged {
    fn lines(&self) -> Vec<String> {
        let line = |f: &Fault| format!("seed {}: {}: {}", self.seed, f.kind, f.what);
        self.faults.iter().map(line).collect()
    }
}

/// Runs a job through the program and judges the result; keeps the folder if there is a fault.
fn judged(seed: u64, keep: Option<&Path>) -> Judged {
    let job = random_job(seed);
    let folder = tempfile::tempdir().expect("a temporary folder");
    job.write(folder.path());
    let run = run(folder.path());
    let faults = faults(&job, &run, &folder.path().join("out"));
    if let Some(keep) = keep.filter(|_| !faults.is_empty()) {
        put_away(&job, folder.path(), &keep.join(seed.to_string()));
    }
    Judged { seed, code: run.code, faults }
}

fn run(folder: &Path) -> Run {
    let nest = ["nest", "job.toml", "-o", "out", "--moves", "100", "--threads", "1", "--quiet"];
    let nest = tabwright(folder, &nest);
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let check = folder.join("out/layout.json").exists().then(|| {
        let check = ["check", "out/layout.json", "--job", "job.toml", "--threads", "1", "--json"];
        tabwright(folder, &check)
    });
    let verdict: Value =
        check.as_ref().and_then(|c| serde_json::from_slice(&c.stdout).ok()).unwrap_or_default();
    let anchors = verdict["problems"].as_array().into_iter().flatten();
    Run {
        code: nest.status.code(),
        said: text(&nest.stdout),
        complained: text(&nest.stderr),
        anchors: anchors.filter(|p| p["what"] == "anchor").map(|p| p.to_string()).collect(),
        check: check.and_then(|c| c.status.code()),
    }
}

fn tabwright(folder: &Path, args: &[&str]) -> Output {
    let program = env!("CARGO_BIN_EXE_tabwright");
    Command::new(program).args(args).current_dir(folder).output().expect("the program starts")
}

fn put_away(job: &RandomJob, from: &Path, to: &Path) {
    std::fs::create_dir_all(to.join("out")).expect("a folder to keep jobs in");
    job.write(to);
    for entry in std::fs::read_dir(from.join("out")).into_iter().flatten().flatten() {
        let _ = std::fs::copy(entry.path(), to.join("out").join(entry.file_name()));
    }
}
