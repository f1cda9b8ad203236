//! `tabwright compare`: the job on each stock size alone, and on several together.

use super::args::Compare;
use super::files::Outputs;
use super::progress::RaceBar;
use super::read_job::load;
use super::terminal::{Answer, Failure, Terminal, print};
use super::vary::{gathered, variants};
use crate::export::{
    By, COMPARE_INTERRUPTED, CompareRow, GroupTable, compare_page, compare_table, not_size,
    problem_line,
};
use crate::flow::{NotVerified, Offer, RaceStep, RaceWatch, Size, offers, race};
use crate::geometry::Ring;
use crate::job::{Group, Job, Stock};
use crate::units::{FileUnit, Units, parse_size};
use serde::Serialize;
use std::sync::atomic::Ordering;

/// What `--json` prints.
#[derive(Serialize)]
struct Compared<'a> {
    /// The unit of its lengths.
    lengths: FileUnit,
    by: By,
    /// Whether it was stopped before the choices were worked out.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    interrupted: bool,
    groups: &'a [GroupTable],
}

/// Runs the command.
pub fn run(args: &Compare, terminal: &Terminal) -> Result<Answer, Failure> {
    let loaded = load(&args.source, terminal.units)?;
    let job = &loaded.job;
    let units = terminal.units.unwrap_or(job.units);
    loaded.tell(units, terminal);
    let sizes: Vec<Size> =
        args.sizes.iter().map(|s| size(s, units)).collect::<Result<_, Failure>>()?;
    larger_than_bed(job, &sizes, units, terminal);
    let bar = RaceBar::new(terminal);
    let outputs = args.output.as_deref().map(Outputs::into_folder).transpose()?;
    let by = args.by.map(By::from);
    let step = |step: RaceStep<'_>| match step {
        RaceStep::First(table) => bar.first(|| {
            let table = std::slice::from_ref(table);
            compare_table(table, by.unwrap_or_else(|| By::usual(table)), units)
        }),
        RaceStep::Nested { choices } => bar.length(choices),
        RaceStep::Made { group, row } => bar.made(group, &row.stock, row.sheets),
    };
    let watch = RaceWatch { stop: &terminal.stop, step: &step };
    let effort = args.search.effort(terminal.threads);
    let raced = |job: &Job| -> Result<Vec<GroupTable>, Failure> {
        let chosen = chosen(job, args.group.as_deref())?;
        let choices: Vec<(usize, Vec<Offer>)> =
            chosen.iter().map(|&i| (i, offers(job, &job.groups[i], &sizes))).collect();
        race(job, &choices, by, &effort, &watch).map_err(|NotVerified(problems)| {
            let lines = problems.iter().map(|p| problem_line(p, units));
            Failure::NotVerified(lines.collect::<Vec<_>>().join("\n"))
        })
    };
    let tables = match args.vary {
        None => raced(job),
        Some(what) => {
            let variants = variants(args, what, units, terminal)?.into_iter();
            let each = variants.map(|v| raced(&v.loaded.job).map(|tables| (v, tables)));
            each.collect::<Result<Vec<_>, Failure>>().map(gathered)
        }
    };
    bar.clear();
    let groups = tables?;
    let tables = Tables {
        groups: &groups,
        by: by.unwrap_or_else(|| By::usual(&groups)),
        units,
        interrupted: terminal.stop.load(Ordering::Relaxed),
    };
    tables.written(args, &job.title, outputs)?;
    // Good where all can be made, and each group has a stock, or several together, that takes all of it.
    let whole = |table: &GroupTable| table.rows.iter().any(CompareRow::is_whole);
    Ok(if job.refused.is_empty() && groups.iter().all(whole) { Answer::Yes } else { Answer::No })
}

/// The tables as they are told.
struct Tables<'a> {
    groups: &'a [GroupTable],
    by: By,
    units: Units,
    interrupted: bool,
}

impl Tables<'_> {
    /// Writes the page, if a folder is asked for, and prints the tables.
    fn written(&self, args: &Compare, job: &str, outputs: Option<Outputs>) -> Result<(), Failure> {
        let title = match self.interrupted {
            true => format!("{job}: {COMPARE_INTERRUPTED}"),
            false => job.to_owned(),
        };
        let mut written = vec![];
        if let Some(mut outputs) = outputs {
            let page = compare_page(&title, self.groups, self.by, self.units);
            outputs.add("compare.html", &page)?;
            written = outputs.publish()?;
        }
        if args.json {
            return print(&self.json()?);
        }
        if self.interrupted {
            print(&format!("{COMPARE_INTERRUPTED}\n"))?;
        }
        print(&compare_table(self.groups, self.by, self.units))?;
        written.iter().try_for_each(|file| print(&format!("\nWritten: {}\n", file.display())))
    }

    /// The tables for programs.
    fn json(&self) -> Result<String, Failure> {
        let (by, interrupted) = (self.by, self.interrupted);
        let compared = Compared { lengths: FileUnit::Mm, by, interrupted, groups: self.groups };
        let text = serde_json::to_string_pretty(&compared);
        text.map(|t| t + "\n").map_err(|e| Failure::Input(format!("compare: {e}")))
    }
}

/// A size with its price: `12x24in@17`.
fn size(text: &str, units: Units) -> Result<Size, Failure> {
    let (size, price) = match text.split_once('@') {
        Some((size, price)) => (size.trim(), Some(price.trim())),
        None => (text.trim(), None),
    };
    let (length, width) = parse_size(size, units)
        .map_err(|e| Failure::Usage(format!("--sizes: {}", not_size(&e.text, units))))?;
    if !(length > 0.0 && width > 0.0) {
        return Err(Failure::Usage(format!(
            "--sizes: both lengths of '{size}' must be above zero"
        )));
    }
    let price = match price.map(|p| (p, p.parse::<f64>())) {
        None => None,
        Some((_, Ok(price))) if price >= 0.0 && price.is_finite() => Some(price),
        Some((written, _)) => {
            return Err(Failure::Usage(format!(
                "--sizes: '{written}' is not a price: write it as a plain number, such as {size}@17.50"
            )));
        }
    };
    Ok(Size { name: size.into(), size: [length, width], price })
}

/// The groups to compare.
fn chosen(job: &Job, wanted: Option<&str>) -> Result<Vec<usize>, Failure> {
    let all = 0..job.groups.len();
    let Some(wanted) = wanted else { return Ok(all.collect()) };
    let word = wanted.to_lowercase();
    let named = |g: &Group| g.name == word || g.name == wanted;
    let exact: Vec<usize> = all.clone().filter(|&i| named(&job.groups[i])).collect();
    let has = |g: &Group| g.name.contains(&word) || g.label.to_lowercase().contains(&word);
    let some: Vec<usize> = all.filter(|&i| has(&job.groups[i])).collect();
    match (exact.is_empty(), some.is_empty()) {
        (false, _) => Ok(exact),
        (true, false) => Ok(some),
        (true, true) => {
            let names: Vec<&str> = job.groups.iter().map(|g| g.name.as_str()).collect();
            Err(Failure::Usage(format!(
                "no group has '{wanted}' in its name; the job's groups: {}",
                names.join(", ")
            )))
        }
    }
}

/// Notes which of the sizes are larger than the machine's bed.
fn larger_than_bed(job: &Job, sizes: &[Size], units: Units, terminal: &Terminal) {
    let Some(bed) = job.bed else { return };
    for size in sizes {
        let outline = Ring::rectangle(size.size[0], size.size[1]);
        let Some(any) = job.groups.first() else { continue };
        let stock = Stock::plain(&any.label, any.thickness, outline);
        if bed.takes(&stock).is_none() {
            let [length, width] = bed.size.map(|mm| units.show(mm));
            let line = format!(
                "{} is not compared: it is larger than the bed, which takes {length} by {width}",
                size.name
            );
            terminal.complain("note", &line);
        }
    }
}
