//! `tabwright compare`: the job on each stock size alone, and on several together.

use super::args::Compare;
use super::nest::search;
use super::read_job::load;
use super::terminal::{Answer, Failure, Terminal, print};
use crate::export::{CompareRow, compare_table};
use crate::flow::candidates;
use crate::job::Group;

/// Runs the command.
pub fn run(args: &Compare, terminal: &Terminal) -> Result<Answer, Failure> {
    let loaded = load(&args.source, terminal.units)?;
    let job = &loaded.job;
    loaded.tell(terminal.units.unwrap_or(job.units), terminal);
    let mut rows: Vec<CompareRow> = vec![];
    for candidate in candidates(job) {
        let made = search(&candidate.job, &args.search, terminal)?;
        let known = |row: &CompareRow| {
            rows.iter().any(|r| (&r.group, &r.stock) == (&row.group, &row.stock))
        };
        let row = candidate.row(&made.layout).filter(|row| !known(row));
        rows.extend(row);
    }
    if args.json {
        let json = serde_json::to_string_pretty(&rows)
            .map_err(|e| Failure::Input(format!("compare: {e}")))?;
        print(&(json + "\n"))?;
    } else {
        print(&compare_table(&rows))?;
    }
    // Good where each group has a stock, or several together, that takes all of it.
    let whole = |group: &Group| rows.iter().any(|r| r.group == group.name && r.unplaced == 0);
    Ok(if job.groups.iter().all(whole) { Answer::Yes } else { Answer::No })
}
