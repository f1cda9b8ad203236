//! `tabwright nest`: makes the whole job.

use super::args::{NestArgs, SearchArgs};
use super::check::read_layout;
use super::files::{Outputs, read_text};
use super::progress::Bars;
use super::read_job::{STOCK_LIST, load};
use super::remnant_list::up_to_date;
use super::terminal::{Answer, Failure, Terminal, print};
use super::today::today;
use crate::export::{
    Report, SheetCut, buying_csv, layout_json, left_out_line, problem_line, remnant_labels,
    remnant_row, remnant_svg, report_html, summary, tell,
};
use crate::flow::{Made, NotVerified, Watch, drawn, make, offcuts, price, sheet_cut, slug};
use crate::job::Job;
use crate::layout::{Layout, Note, Sheet};
use crate::units::Units;
use std::path::{Path, PathBuf};

/// Runs the command.
pub fn run(args: &NestArgs, terminal: &Terminal) -> Result<Answer, Failure> {
    let loaded = load(&args.source, terminal.units)?;
    let (job, units) = (&loaded.job, terminal.units.unwrap_or(loaded.job.units));
    let (notes, left_out) = (loaded.notes(units), loaded.left_out(units));
    if args.strict && !left_out.is_empty() {
        return Err(Failure::Input(left_out.join("\n")));
    }
    left_out.iter().for_each(|fault| terminal.complain("error", fault));
    notes.iter().for_each(|note| terminal.complain("note", note));
    let notes: Vec<String> = left_out.iter().chain(&notes).cloned().collect();
    // A folder that cannot be written to is told before the search, not after it.
    let mut outputs = Outputs::into_folder(&args.output)?;
    let made = search(job, &args.search, terminal)?;
    let (mut made, drawings) = drawn(job, made, units).map_err(|found| refusal(found, units))?;
    tell(&mut made.layout, units);
    let stale = stale_sheets(&args.output, &made.layout);
    add_sheets(&made, &drawings, &mut outputs)?;
    add_papers(job, &made, &notes, units, &mut outputs)?;
    let files = outputs.publish()?;
    stale.iter().for_each(|note| terminal.complain("note", note));
    let layout = &made.layout;
    // Where parts are left over the sheets can still be cut; where a sheet has a fault nobody should cut it.
    let can_be_cut = layout.faults.is_empty() && !layout.notes.iter().any(Note::undecided);
    let kept = match &args.remnants {
        Some(folder) if can_be_cut => keep_books(folder, layout, units)?,
        Some(folder) => {
            let folder = folder.display();
            let note =
                format!("{folder}: no remnants are recorded, because the job is not ready to cut");
            terminal.complain("note", &note);
            vec![]
        }
        None => vec![],
    };
    if args.json {
        print(&json(&made)?)?;
    } else {
        if !left_out.is_empty() {
            print(&left_out_line(left_out.len()))?;
        }
        print(&summary(layout, &cut_lines(&made), units))?;
        let names: Vec<_> = files.iter().chain(&kept).map(|f| f.display().to_string()).collect();
        print(&format!("\nWritten: {}\n", names.join(", ")))?;
    }
    let ready = left_out.is_empty() && can_be_cut && layout.unplaced.is_empty();
    Ok(if ready { Answer::Yes } else { Answer::No })
}

/// Makes the job with progress on standard error.
pub fn search(job: &Job, search: &SearchArgs, terminal: &Terminal) -> Result<Made, Failure> {
    let bars = Bars::new(job, terminal);
    let show = |progress| bars.show(&progress);
    let watch = Watch { stop: &terminal.stop, progress: Some(&show) };
    let effort = search.effort(terminal.threads);
    let made = make(job, &effort, &watch);
    bars.clear();
    made.map_err(|found| refusal(found, terminal.units.unwrap_or(job.units)))
}

fn refusal(NotVerified(problems): NotVerified, units: Units) -> Failure {
    let lines = problems.iter().map(|p| problem_line(p, units));
    Failure::NotVerified(lines.collect::<Vec<_>>().join("\n"))
}

/// Writes what is left of the sheets into a folder of remnants, and marks those that the job has used.
fn keep_books(folder: &Path, layout: &Layout, units: Units) -> Result<Vec<PathBuf>, Failure> {
    let mut outputs = Outputs::into_folder(folder)?;
    let list = folder.join(STOCK_LIST);
    let known = if list.is_file() { read_text(&list)? } else { String::new() };
    let (mut found, date) = (offcuts(layout), today());
    let used: Vec<String> = layout.sheets.iter().map(|s| s.stock.clone()).collect();
    // What is left of a remnant of the same name is another piece: the row of the used one stays.
    for offcut in &mut found {
        while used.contains(&offcut.name) {
            offcut.name.push_str("-left");
        }
    }
    let rows: Vec<_> =
        found.iter().map(|o| (o.name.clone(), remnant_row(o, units, &date))).collect();
    outputs.add(STOCK_LIST, &up_to_date(&known, &rows, &used))?;
    for offcut in &found {
        if let Some(svg) = remnant_svg(offcut) {
            outputs.add(&format!("{}.svg", offcut.name), &svg)?;
        }
    }
    // Labels of an earlier job may still be to print.
    let labels = format!("labels-{}.html", slug(&layout.title));
    outputs.add(&labels, &remnant_labels(&found, units, &date))?;
    Ok(outputs.publish()?)
}

fn json(made: &Made) -> Result<String, Failure> {
    layout_json(&made.layout).map_err(|e| Failure::Input(format!("layout.json: {e}")))
}

/// Warnings about sheets that an earlier run left in the folder: nobody should cut those.
fn stale_sheets(folder: &Path, layout: &Layout) -> Vec<String> {
    let Ok(earlier) = read_layout(&folder.join("layout.json")) else { return vec![] };
    let gone = earlier.sheets.iter().filter(|e| layout.sheets.iter().all(|s| s.id != e.id));
    gone.map(|e| folder.join(format!("{}.svg", e.id)))
        .filter(|file| file.is_file())
        .map(|file| {
            format!(
                "{}: this file is from an earlier run; it is not a sheet of this one",
                file.display()
            )
        })
        .collect()
}

/// Adds the layout and the drawings of its sheets to what is written.
fn add_sheets(made: &Made, drawings: &[String], outputs: &mut Outputs) -> Result<(), Failure> {
    outputs.add("layout.json", &json(made)?)?;
    for (sheet, svg) in made.layout.sheets.iter().zip(drawings) {
        outputs.add(&format!("{}.svg", sheet.id), svg)?;
    }
    Ok(())
}

/// The cut of each sheet, in the form that `export` takes.
fn cut_lines(made: &Made) -> Vec<SheetCut> {
    made.layout.sheets.iter().zip(&made.cuts).map(|(sheet, cut)| sheet_cut(sheet, cut)).collect()
}

/// Adds what people read: the list of stock to buy, and the page.
fn add_papers(
    job: &Job,
    made: &Made,
    notes: &[String],
    units: Units,
    outputs: &mut Outputs,
) -> Result<(), Failure> {
    let layout = &made.layout;
    let cuts = cut_lines(made);
    let stock =
        |sheet: &Sheet| job.groups.iter().flat_map(|g| &g.stock).find(|s| s.name == sheet.stock);
    let prices: Vec<Option<f64>> =
        layout.sheets.iter().map(|sheet| price(stock(sheet)?, sheet)).collect();
    if let Some(list) = buying_csv(&layout.to_buy, units) {
        outputs.add("buy.csv", &list)?;
    }
    let report = Report { layout, cuts: &cuts, units, prices: &prices, notes };
    outputs.add("report.html", &report_html(&report))?;
    Ok(())
}
