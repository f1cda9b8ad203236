//! `tabwright tabs`: why a part gets its tabs.

use super::args::Tabs;
use super::files::Outputs;
use super::load::load;
use super::{Answer, Failure, Terminal, print};
use crate::flow::part_hold;
use crate::hold::{picture, table};
use crate::job::Job;
use crate::layout::Method;
use std::path::Path;

/// Runs the command.
pub fn run(args: &Tabs, terminal: &Terminal) -> Result<Answer, Failure> {
    let job = load(&args.source)?.job;
    let units = terminal.units.unwrap_or(job.units);
    let index = find(&job, args.part.as_deref())?;
    let held = part_hold(&job, index)
        .ok_or_else(|| Failure::Input(format!("no group of the job has part number {index}")))?;
    print(&table(&held.task(&job), &held.plan, units, args.why))?;
    if let Some(path) = &args.output {
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
        let name = name.ok_or_else(|| Failure::Usage("-o needs a file name".into()))?;
        let mut outputs = Outputs::into_folder(folder)?;
        outputs.add(&name, &picture(&held.task(&job), &held.plan, units))?;
        outputs.publish()?;
    }
    Ok(if held.plan.hold.method == Method::None { Answer::No } else { Answer::Yes })
}

/// The part's index; the only part needs no name.
fn find(job: &Job, name: Option<&str>) -> Result<usize, Failure> {
    let names = || job.parts.iter().map(|p| p.name.as_str());
    let Some(name) = name else {
        return match job.parts.len() {
            1 => Ok(0),
            _ => Err(Failure::Usage(format!(
                "which part? --part NAME, one of: {}",
                names().collect::<Vec<_>>().join(", ")
            ))),
        };
    };
    job.parts.iter().position(|p| p.name == name).ok_or_else(|| {
        let hint = crate::job::nearest(name, names())
            .map_or_else(String::new, |near| format!("; did you mean '{near}'?"));
        Failure::Usage(format!("the job has no part '{name}'{hint}"))
    })
}
