//! `tabwright inspect`: reports what is in the drawings.

use super::args::Inspect;
use super::bare::Bare;
use super::files::{read_text, same_file};
use super::read_job::JobSource;
use super::terminal::{Answer, Failure, Terminal, print};
use crate::drawing::{Inspection, ReadOptions, inspect, read, stated_units};
use crate::export::{hundredth, inspection_text, tell_inspection};
use crate::job::Drawings;
use crate::layout::{ALLOWANCE, LEAST_ALLOWANCE, MOST_ALLOWANCE};
use crate::units::Units;
use std::path::PathBuf;

/// Runs the command.
pub fn run(args: &Inspect, terminal: &Terminal) -> Result<Answer, Failure> {
    let sources = sources(args, terminal.units)?;
    let known = sources.iter().map(|s| s.units).collect::<Vec<_>>();
    let of_jobs = sources.iter().find_map(|s| s.job_units);
    let bare = Bare::new(of_jobs.or(terminal.units), Bare::agreed(known));
    let (bits, allowance) = (lengths(&args.bits, bare)?, allowance(args, bare)?);
    let options = options(args, bare)?;
    let mut all: Vec<(Inspection, Units)> = vec![];
    for source in sources {
        let units = terminal.units.or(source.units).unwrap_or_default();
        for drawing in source.read(&options)?.values() {
            all.push((inspect(drawing, &bits, allowance), units));
        }
    }
    if args.json {
        all.iter_mut().for_each(|(i, units)| tell_inspection(i, *units));
        let told: Vec<&Inspection> = all.iter().map(|(i, _)| i).collect();
        let json = serde_json::to_string_pretty(&told)
            .map_err(|e| Failure::Input(format!("inspect: {e}")))?;
        print(&(json + "\n"))?;
    } else {
        for (inspection, units) in &all {
            print(&inspection_text(inspection, *units))?;
        }
    }
    Ok(if all.iter().all(|(i, _)| i.good()) { Answer::Yes } else { Answer::No })
}

/// A drawing or a job file, read as text.
struct Source {
    what: Inspected,
    /// The unit of bare numbers that it gives, its own or its drawings'.
    units: Option<Units>,
    /// The unit that a job file gives.
    job_units: Option<Units>,
}

enum Inspected {
    Job(Box<JobSource>),
    Drawing { name: String, text: String },
}

/// What is to be inspected; a file that is named twice is inspected once.
fn sources(args: &Inspect, flag: Option<Units>) -> Result<Vec<Source>, Failure> {
    let mut paths: Vec<&PathBuf> = vec![];
    args.drawings.iter().for_each(|p| {
        if !paths.iter().any(|known| same_file(known, p)) {
            paths.push(p);
        }
    });
    let open = |path: &PathBuf| -> Result<Source, Failure> {
        if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("toml")) {
            let job = JobSource::of_file(path, flag)?;
            let (units, job_units) = (job.file.units.or(job.file.drawn_units), job.file.units);
            return Ok(Source { what: Inspected::Job(Box::new(job)), units, job_units });
        }
        let text = read_text(path)?;
        let units = stated_units(&text);
        let name = path.display().to_string();
        Ok(Source { what: Inspected::Drawing { name, text }, units, job_units: None })
    };
    let (mut good, mut faults) = (vec![], vec![]);
    for path in paths {
        match open(path) {
            Ok(source) => good.push(source),
            Err(failure) => faults.push(failure.to_string()),
        }
    }
    if faults.is_empty() { Ok(good) } else { Err(Failure::Input(faults.join("\n"))) }
}

impl Source {
    fn read(self, options: &ReadOptions) -> Result<Drawings, Failure> {
        match self.what {
            Inspected::Job(job) => job.drawings(),
            Inspected::Drawing { name, text } => {
                let drawing =
                    read(&text, &name, options).map_err(|e| Failure::Input(e.to_string()))?;
                Ok([(name, drawing)].into())
            }
        }
    }
}

fn allowance(args: &Inspect, bare: Bare) -> Result<f64, Failure> {
    let given = args.allowance.as_ref().map(|text| bare.length("--allowance", text));
    let allowance = given.transpose()?.unwrap_or(ALLOWANCE);
    if !(LEAST_ALLOWANCE..=MOST_ALLOWANCE).contains(&allowance) {
        let units = bare.units().unwrap_or_default();
        let [least, most] = [LEAST_ALLOWANCE, MOST_ALLOWANCE].map(|mm| hundredth(units, mm));
        return Err(Failure::Usage(format!("--allowance must be from {least} to {most}")));
    }
    Ok(allowance)
}

/// How drawings without a job file are read.
fn options(args: &Inspect, bare: Bare) -> Result<ReadOptions, Failure> {
    let mut options = ReadOptions { dpi: args.dpi, ..ReadOptions::default() };
    options.scale = args.scale.unwrap_or(1.0);
    let positive = |v: f64| v > 0.0 && v.is_finite();
    if !positive(options.scale) || !options.dpi.is_none_or(positive) {
        return Err(Failure::Usage("--dpi and --scale must be positive numbers".into()));
    }
    if let Some(join) = &args.join {
        options.join = bare.length("--join", join)?;
    }
    Ok(options)
}

fn lengths(texts: &[String], bare: Bare) -> Result<Vec<f64>, Failure> {
    texts.iter().map(|t| bare.bit("--bits", t)).collect()
}
