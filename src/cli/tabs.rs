//! `tabwright tabs`: shows why a part gets its tabs.

use super::args::Tabs;
use super::files::Outputs;
use super::read_job::load;
use super::terminal::{Answer, Failure, Terminal, print};
use crate::export::{CAUTION, HeldRow, held_picture, held_table, layout_json, tried_table};
use crate::flow::{PartHold, part_hold, tried_layout};
use crate::hold::{Figures, HoldPlan, HoldTask, Tried, plan_compared};
use crate::job::{Holding, Job, Prefer, most_like};
use crate::layout::Method;
use crate::units::Units;
use rayon::prelude::*;

/// Runs the command.
pub fn run(args: &Tabs, terminal: &Terminal) -> Result<Answer, Failure> {
    let loaded = load(&args.source, terminal.units)?;
    let job = &loaded.job;
    loaded.tell(terminal.units.unwrap_or(job.units), terminal);
    if args.all { all(args, terminal, job) } else { one(args, terminal, job) }
}

fn one(args: &Tabs, terminal: &Terminal, job: &Job) -> Result<Answer, Failure> {
    let units = terminal.units.unwrap_or(job.units);
    let part = find(job, args.part.as_deref())?;
    let outputs = args.output.as_deref().map(Outputs::into_folder).transpose()?;
    let held = held(job, part)?;
    print(&tried_table(&held.task(job), &held.plan, units, args.why))?;
    print(&preferences(job, &held, units))?;
    if let Some(mut outputs) = outputs {
        let name = file_name(&held.part(job).name);
        outputs.add(&format!("{name}-tried.json"), &tried(job, &held, units)?)?;
        let drawn = held_picture(&held.task(job), &held.plan, units);
        outputs.add(&format!("{name}-tabs.svg"), &drawn)?;
        outputs.publish()?;
    }
    Ok(if held.plan.hold.method == Method::None { Answer::No } else { Answer::Yes })
}

/// Every part, one row each; writes their files with `-o`.
fn all(args: &Tabs, terminal: &Terminal, job: &Job) -> Result<Answer, Failure> {
    let units = terminal.units.unwrap_or(job.units);
    let outputs = args.output.as_deref().map(Outputs::into_folder).transpose()?;
    let made: Vec<(HeldRow, String, Option<String>)> = (0..job.parts.len())
        .into_par_iter()
        .map(|i| {
            let held = held(job, i)?;
            let json = args.output.as_ref().map(|_| tried(job, &held, units)).transpose()?;
            let thickness = held.task(job).thickness;
            Ok((
                row(&held.part(job).name, &held.plan, thickness),
                file_name(&held.part(job).name),
                json,
            ))
        })
        .collect::<Result<_, Failure>>()?;
    let rows: Vec<HeldRow> = made.iter().map(|m| m.0.clone()).collect();
    print(&held_table(&rows, units))?;
    print(&format!(
        "\nMargins are strength, or a limit, divided by what is required: 1.0 or more passes. 'best places' and 'even \
         places': the same number of tabs of one size, before any is narrowed, at the places found and spaced evenly.\n{CAUTION}\n"
    ))?;
    if let Some(mut outputs) = outputs {
        for (_, name, json) in &made {
            outputs.add(&format!("{name}-tried.json"), json.as_deref().unwrap_or_default())?;
        }
        outputs.publish()?;
    }
    let good = rows.iter().all(|r| r.hold.method != Method::None);
    Ok(if good { Answer::Yes } else { Answer::No })
}

/// What strong (end-grain) and clean (long-grain) sites each cost; empty if the material has no grain.
fn preferences(job: &Job, held: &PartHold, units: Units) -> String {
    let task = held.task(job);
    if !task.material.has_grain() || held.plan.hold.method != Method::Tabs {
        return String::new();
    }
    let rows =
        [(Prefer::Strong, "prefer strong"), (Prefer::Clean, "prefer clean")].map(|(p, name)| {
            if p == job.holding.prefer {
                return row(&format!("{name}, as asked"), &held.plan, task.thickness);
            }
            let holding = Holding { prefer: p, ..job.holding.clone() };
            row(name, &plan_compared(&HoldTask { holding: &holding, ..task }), task.thickness)
        });
    format!("\n{}", held_table(&rows, units))
}

/// A hold compared with as many tabs spaced evenly.
fn row(name: &str, plan: &HoldPlan, thickness: f64) -> HeldRow {
    let hold = &plan.hold;
    let count = hold.tabs.iter().filter(|t| t.holds()).count();
    let same = |t: &&Tried| hold.method == Method::Tabs && t.count == count;
    let tried = plan.tried.iter().rfind(same);
    let of = |f: &Figures| (f.least().value, f.movement);
    HeldRow {
        part: name.into(),
        hold: hold.clone(),
        thickness,
        best: tried.map(|t| of(&t.figures)),
        even: tried.and_then(|t| t.even.as_ref()).map(of),
    }
}

fn held(job: &Job, part: usize) -> Result<PartHold, Failure> {
    part_hold(job, part)
        .ok_or_else(|| Failure::Input(format!("no group of the job has part number {part}")))
}

fn tried(job: &Job, held: &PartHold, units: Units) -> Result<String, Failure> {
    let layout = tried_layout(job, held, units);
    layout_json(&layout).map_err(|e| Failure::Input(format!("tabs tried: {e}")))
}

/// A part's name in the form of a file name.
fn file_name(part: &str) -> String {
    part.replace(|c: char| !(c.is_alphanumeric() || "-_.".contains(c)), "-")
}

/// Most names listed when no part has the name given.
const NEAR: usize = 5;

/// The part's index; a job with a single part needs no name.
fn find(job: &Job, name: Option<&str>) -> Result<usize, Failure> {
    let names = || job.parts.iter().map(|p| p.name.as_str());
    let Some(name) = name else {
        return match job.parts.len() {
            1 => Ok(0),
            _ => Err(Failure::Usage(format!(
                "name a part with --part, or use --all; the parts are: {}",
                names().collect::<Vec<_>>().join(", ")
            ))),
        };
    };
    job.parts.iter().position(|p| p.name == name).ok_or_else(|| {
        let like = most_like(name, names(), NEAR);
        let nearest =
            if like.len() < job.parts.len() { "the nearest names: " } else { "its parts: " };
        Failure::Usage(format!("the job has no part '{name}'; {nearest}{}", like.join(", ")))
    })
}
