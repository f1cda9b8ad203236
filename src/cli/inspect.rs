//! `tabwright inspect`: reports what is in the drawings.

use super::args::Inspect;
use super::files::read_text;
use super::read_job::job_drawings;
use super::terminal::{Answer, Failure, Terminal, print};
use crate::drawing::{Inspection, ReadOptions, inspect, read};
use crate::export::{hundredth, inspection_text, not_length, tell_inspection};
use crate::layout::{ALLOWANCE, LEAST_ALLOWANCE, MOST_ALLOWANCE};
use crate::units::{Units, parse_length};
use std::path::Path;

/// Runs the command.
pub fn run(args: &Inspect, terminal: &Terminal) -> Result<Answer, Failure> {
    let units = terminal.units.unwrap_or_default();
    let bits = lengths(&args.bits, units)?;
    let allowance = match &args.allowance {
        Some(text) => length(text, units)?,
        None => ALLOWANCE,
    };
    if !(LEAST_ALLOWANCE..=MOST_ALLOWANCE).contains(&allowance) {
        let [least, most] = [LEAST_ALLOWANCE, MOST_ALLOWANCE].map(|mm| hundredth(units, mm));
        return Err(Failure::Usage(format!("--allowance must be from {least} to {most}")));
    }
    let mut options = ReadOptions { dpi: args.dpi, ..ReadOptions::default() };
    options.scale = args.scale.unwrap_or(1.0);
    let positive = |v: f64| v > 0.0 && v.is_finite();
    if !positive(options.scale) || !options.dpi.is_none_or(positive) {
        return Err(Failure::Usage("--dpi and --scale must be positive numbers".into()));
    }
    if let Some(join) = &args.join {
        options.join = length(join, units)?;
    }
    let mut all: Vec<Inspection> = vec![];
    for path in &args.drawings {
        if path.extension().is_some_and(|e| e == "toml") {
            let drawings = job_drawings(path)?;
            all.extend(drawings.values().map(|drawing| inspect(drawing, &bits, allowance)));
        } else {
            all.push(one(path, &options, &bits, allowance)?);
        }
    }
    if args.json {
        all.iter_mut().for_each(|i| tell_inspection(i, units));
        let json = serde_json::to_string_pretty(&all)
            .map_err(|e| Failure::Input(format!("inspect: {e}")))?;
        print(&(json + "\n"))?;
    } else {
        for inspection in &all {
            print(&inspection_text(inspection, units))?;
        }
    }
    Ok(if all.iter().all(Inspection::good) { Answer::Yes } else { Answer::No })
}

fn one(
    path: &Path,
    options: &ReadOptions,
    bits: &[f64],
    allowance: f64,
) -> Result<Inspection, Failure> {
    let text = read_text(path)?;
    let name = path.display().to_string();
    let drawing =
        read(&text, &name, options).map_err(|e| Failure::Input(format!("{name}: {e}")))?;
    Ok(inspect(&drawing, bits, allowance))
}

fn lengths(texts: &[String], units: Units) -> Result<Vec<f64>, Failure> {
    texts.iter().map(|t| length(t, units)).collect()
}

fn length(text: &str, units: Units) -> Result<f64, Failure> {
    match parse_length(text, units) {
        Ok(mm) if mm > 0.0 => Ok(mm),
        Ok(_) => Err(Failure::Usage(format!("'{text}' must be above zero"))),
        Err(e) => Err(Failure::Usage(not_length(&e.text, units))),
    }
}
