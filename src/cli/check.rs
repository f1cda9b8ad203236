//! `tabwright check`: checks any layout file against the rules.

use super::args::CheckArgs;
use super::files::read_text;
use super::read_job::load_with_used;
use super::terminal::{Answer, Failure, Terminal, print};
use crate::drawing::read_sheet_file;
use crate::export::{problem_line, verdict_line};
use crate::flow::Required;
use crate::layout::{Drawn, DrawnFlaw, FORMAT, Layout, VERSION};
use crate::units::FileUnit;
use crate::verify::{Problem, Rules, verify};
use serde::Serialize;
use std::path::Path;

/// What `--json` prints.
#[derive(Serialize)]
struct Verdict<'a> {
    /// The unit of its lengths.
    lengths: FileUnit,
    good: bool,
    /// Drawings beside the layout whose paths were checked.
    drawings: usize,
    problems: Vec<ToldProblem<'a>>,
}

/// A problem, put into words.
#[derive(Serialize)]
struct ToldProblem<'a> {
    #[serde(flatten)]
    problem: &'a Problem,
    message: String,
}

/// Runs the command.
pub fn run(args: &CheckArgs, terminal: &Terminal) -> Result<Answer, Failure> {
    let layout = read_layout(&args.layout)?;
    if !(args.tolerance >= 0.0 && args.tolerance.is_finite()) {
        return Err(Failure::Usage("--tolerance must not be negative".into()));
    }
    let of_job = |job: &Path| load_with_used(job, terminal.units);
    let job = args.job.as_deref().map(of_job).transpose()?;
    let required = job.as_ref().map(|loaded| Required::of(&loaded.job));
    let rules = required.as_ref().map_or(Rules::default(), Required::rules);
    let drawings = drawings(&args.layout, &layout);
    let rules =
        Rules { tolerance: args.tolerance, drawings: drawings.as_deref(), complete: true, ..rules };
    let problems = verify(&layout, &rules);
    let of_job = job.as_ref().map(|loaded| loaded.job.units);
    let units = terminal.units.or(of_job).unwrap_or(layout.units);
    let message = |problem: &Problem| problem_line(problem, units);
    let drawn = drawings.as_ref().map_or(0, Vec::len);
    if args.json {
        let told =
            problems.iter().map(|problem| ToldProblem { problem, message: message(problem) });
        let good = problems.is_empty();
        let verdict =
            Verdict { lengths: FileUnit::Mm, good, drawings: drawn, problems: told.collect() };
        let json = serde_json::to_string_pretty(&verdict)
            .map_err(|e| Failure::Input(format!("verdict: {e}")))?;
        print(&(json + "\n"))?;
    } else {
        let lines: String = problems.iter().map(|p| message(p) + "\n").collect();
        print(&format!("{lines}{}\n", verdict_line(&layout, drawn, problems.len())))?;
    }
    Ok(if problems.is_empty() { Answer::Yes } else { Answer::No })
}

/// Reads a layout file of this format and version.
pub fn read_layout(path: &Path) -> Result<Layout, Failure> {
    let text = read_text(path)?;
    let bad = |message: String| Failure::Input(format!("{}: {message}", path.display()));
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("toml")) {
        return Err(
            bad("this is a job file: give the layout.json that `nest` made from it".into()),
        );
    }
    let read = serde_json::from_str::<Layout>(&text);
    match read {
        Ok(layout) if layout.format == FORMAT && layout.version == VERSION => Ok(layout),
        Ok(_) => Err(bad(not_layout(&text, "it has another format or version"))),
        Err(error) => Err(bad(not_layout(&text, &error.to_string()))),
    }
}

/// Why this program cannot read a text as a layout; `fault` is the reader's error.
fn not_layout(text: &str, fault: &str) -> String {
    let advice = "give the layout.json that `nest` made";
    let Ok(value) = serde_json::from_str::<serde_json::Value>(text) else {
        return format!("this is not a Tabwright layout, or it is damaged ({fault}): {advice}");
    };
    if value.get("format").and_then(|f| f.as_str()) != Some(FORMAT) {
        return format!("this is not a Tabwright layout: {advice}");
    }
    match value.get("version").and_then(serde_json::Value::as_u64) {
        Some(version) if version != u64::from(VERSION) => {
            format!("this layout has version {version}; the program reads version {VERSION}")
        }
        _ => format!("this Tabwright layout has a fault: {fault}"),
    }
}

/// The sheets' drawings beside the layout; `None` if there are none. A missing one is left out: that is
/// a problem of its sheet.
fn drawings(path: &Path, layout: &Layout) -> Option<Vec<Drawn>> {
    if path == Path::new("-") {
        return None;
    }
    let folder = path.parent().unwrap_or(Path::new(""));
    let plain = |id: &str| !id.contains(['/', '\\']) && !id.is_empty();
    let of = |sheet: &crate::layout::Sheet| {
        let file = folder.join(format!("{}.svg", sheet.id));
        if !plain(&sheet.id) || !file.is_file() {
            return None;
        }
        let text = read_text(&file).map_err(|e| DrawnFlaw::Unreadable(e.to_string()));
        let read = text.and_then(|text| read_sheet_file(&text));
        Some(Drawn { sheet: sheet.id.clone(), read })
    };
    let found: Vec<Drawn> = layout.sheets.iter().filter_map(of).collect();
    (!found.is_empty()).then_some(found)
}
