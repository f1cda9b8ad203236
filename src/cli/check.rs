//! `tabwright check`: any layout file against the rules.

use super::args::{Check, Source};
use super::files::read_text;
use super::load::load;
use super::{Answer, Failure, Terminal, print};
use crate::flow::asked_of;
use crate::job::Job;
use crate::layout::{FORMAT, Layout, VERSION};
use crate::verify::{Rules, verify};
use serde::Serialize;
use std::path::Path;

/// What `--json` prints.
#[derive(Serialize)]
struct Verdict<'a> {
    good: bool,
    problems: &'a [crate::verify::Problem],
}

/// Runs the command.
pub fn run(args: &Check, _terminal: &Terminal) -> Result<Answer, Failure> {
    let layout = read_layout(&args.layout)?;
    if !(args.tolerance >= 0.0 && args.tolerance.is_finite()) {
        return Err(Failure::Usage("--tolerance must be a length in mm, not negative".into()));
    }
    let job = args.job.as_deref().map(|path| load(&Source::job_file(path))).transpose()?;
    let counts = job.as_ref().map(|loaded| counts_of(&loaded.job));
    let asked = job.as_ref().map(|loaded| asked_of(&loaded.job));
    let rules = Rules {
        tolerance: args.tolerance,
        counts: counts.as_deref(),
        asked: asked.as_ref(),
        ..Rules::default()
    };
    let problems = verify(&layout, &rules);
    if args.json {
        let verdict = Verdict { good: problems.is_empty(), problems: &problems };
        let json = serde_json::to_string_pretty(&verdict)
            .map_err(|e| Failure::Input(format!("verdict: {e}")))?;
        print(&(json + "\n"))?;
    } else if problems.is_empty() {
        let (parts, sheets) =
            (layout.sheets.iter().map(|s| s.parts.len()).sum::<usize>(), layout.sheets.len());
        print(&format!("good: {parts} parts on {sheets} sheets keep every rule\n"))?;
    } else {
        let lines: String = problems.iter().map(|p| format!("{p}\n")).collect();
        print(&format!("{lines}bad: {} rules broken\n", problems.len()))?;
    }
    Ok(if problems.is_empty() { Answer::Yes } else { Answer::No })
}

/// Reads a layout file of this format and version.
pub fn read_layout(path: &Path) -> Result<Layout, Failure> {
    let text = read_text(path)?;
    let bad = |message: String| Failure::Input(format!("{}: {message}", path.display()));
    let layout: Layout = serde_json::from_str(&text).map_err(|e| bad(e.to_string()))?;
    if layout.format != FORMAT {
        return Err(bad(format!("is no {FORMAT} file, it says '{}'", layout.format)));
    }
    if layout.version != VERSION {
        return Err(bad(format!("is of version {}, this program reads {VERSION}", layout.version)));
    }
    Ok(layout)
}

/// The copies that a job asks for, by part; spares are welcome but not owed.
fn counts_of(job: &Job) -> Vec<(String, usize)> {
    job.parts.iter().map(|p| (p.name.clone(), p.quantity)).collect()
}
