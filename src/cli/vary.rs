//! `compare --vary`: the job with one thing changed at a time, each with its best stock.

use super::args::{Compare, VaryFlag};
use super::read_job::{Loaded, load_changed};
use super::terminal::{Failure, Terminal};
use crate::export::{CompareRow, GroupTable};
use crate::job::{Job, JobFile, Length};
use crate::units::Units;

/// Scales of the design that are tried.
const SCALES: [f64; 3] = [0.9, 1.0, 1.1];

/// The job with one thing changed, and what that is.
pub struct Variant {
    label: String,
    /// The changed job.
    pub loaded: Loaded,
}

/// The job in each of its variants; those that cannot be made are told on standard error.
pub fn variants(
    args: &Compare,
    what: VaryFlag,
    units: Units,
    terminal: &Terminal,
) -> Result<Vec<Variant>, Failure> {
    let mut found = vec![];
    for (label, change) in changes(args, what, units, terminal)? {
        match load_changed(&args.source, terminal.units, change) {
            Ok(loaded) => {
                for line in loaded.left_out(units) {
                    terminal.complain("note", &format!("{label}: left out: {line}"));
                }
                found.push(Variant { label, loaded });
            }
            Err(Failure::Input(why)) => {
                why.lines().for_each(|l| terminal.complain("note", &format!("{label}: {l}")));
            }
            Err(other) => return Err(other),
        }
    }
    Ok(found)
}

type Change = Box<dyn Fn(&mut JobFile)>;

/// What is changed, each with its name.
fn changes(
    args: &Compare,
    what: VaryFlag,
    units: Units,
    terminal: &Terminal,
) -> Result<Vec<(String, Change)>, Failure> {
    let mut all: Vec<(String, Change)> = vec![];
    match what {
        VaryFlag::Scale => {
            for factor in SCALES {
                let change = move |file: &mut JobFile| scale(file, factor);
                all.push((format!("{:.0} %", factor * 100.0), Box::new(change)));
            }
        }
        VaryFlag::Web => {
            let webs = match units {
                Units::Mm => ["1.5mm", "3mm"],
                Units::In => ["1/16in", "1/8in"],
            };
            all.push(("no web".into(), Box::new(|file| file.web = None)));
            for web in webs {
                let change = move |file: &mut JobFile| file.web = Some(Length::text(web));
                all.push((format!("web {web}"), Box::new(change)));
            }
        }
        VaryFlag::Hang => {
            for word in ["stock", "parts"] {
                let change = |file: &mut JobFile| file.holding.hang = Some(word.into());
                all.push((format!("hang on {word}"), Box::new(change)));
            }
        }
        VaryFlag::Method => {
            for word in ["tabs", "skin", "tape"] {
                // A part with a method of its own keeps it.
                let change = |file: &mut JobFile| file.holding.method = Some(word.into());
                all.push((word.into(), Box::new(change)));
            }
        }
        VaryFlag::Bit => {
            let mut names = vec![];
            let note = |file: &mut JobFile| {
                names = file.bits.iter().map(|b| b.name.clone()).collect();
            };
            load_changed(&args.source, terminal.units, note)?;
            for name in names {
                let label = named_bit(&name);
                let change = move |file: &mut JobFile| {
                    file.bits.retain(|b| b.name == name);
                    file.drawings.iter_mut().for_each(|d| d.bit = None);
                };
                all.push((label, Box::new(change)));
            }
        }
    }
    Ok(all)
}

/// Multiplies the scale of every drawing by `factor`.
fn scale(file: &mut JobFile, factor: f64) {
    file.reading.scale = Some(file.reading.scale.unwrap_or(1.0) * factor);
    for own in file.drawings.iter_mut().filter_map(|d| d.scale.as_mut()) {
        *own *= factor;
    }
}

/// One table for each group, with the best row of each variant. Parts that a variant leaves out count as left over.
pub fn gathered(raced: Vec<(Variant, Vec<GroupTable>)>) -> Vec<GroupTable> {
    let mut groups: Vec<GroupTable> = vec![];
    for table in raced.iter().flat_map(|r| &r.1) {
        match groups.iter_mut().find(|g| g.group == table.group) {
            Some(known) => {
                known.parts = known.parts.max(table.parts);
                known.mixes_cut_short |= table.mixes_cut_short;
            }
            None => groups.push(GroupTable { rows: vec![], least_cost: None, ..table.clone() }),
        }
    }
    for (variant, tables) in &raced {
        for table in tables {
            let bit = bit_where_it_differs(&raced, &table.group, &variant.loaded.job);
            let Some(best) = table.rows.first() else { continue };
            let Some(group) = groups.iter_mut().find(|g| g.group == table.group) else { continue };
            group.rows.push(CompareRow {
                stock: format!("{}{bit}: {}", variant.label, best.stock),
                unplaced: best.unplaced + (group.parts - table.parts),
                ..best.clone()
            });
        }
    }
    groups
}

/// `, bit '1/16'` where the variants cut the group with different bits, and the label does not name it.
fn bit_where_it_differs(raced: &[(Variant, Vec<GroupTable>)], group: &str, job: &Job) -> String {
    let Some(own) = bit_of(job, group) else { return String::new() };
    let mut others = raced.iter().filter_map(|(v, _)| bit_of(&v.loaded.job, group));
    if !others.any(|bit| bit != own) || raced.iter().any(|(v, _)| v.label == named_bit(own)) {
        return String::new();
    }
    format!(", {}", named_bit(own))
}

/// The bit that cuts a group, by its name.
fn bit_of<'a>(job: &'a Job, group: &str) -> Option<&'a str> {
    job.groups.iter().find(|g| g.name == group).map(|g| g.bit.name.as_str())
}

fn named_bit(name: &str) -> String {
    format!("bit '{name}'")
}
