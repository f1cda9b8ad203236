//! `tabwright compare`: the job on each stock size alone.

use super::args::Compare;
use super::load::load;
use super::nest::search;
use super::{Answer, Failure, Terminal, print};
use crate::export::{CompareRow, compare_table};
use crate::flow::stock_rows;

/// Runs the command.
pub fn run(args: &Compare, terminal: &Terminal) -> Result<Answer, Failure> {
    let job = load(&args.source)?.job;
    let mut rows: Vec<CompareRow> = vec![];
    for candidate in stock_rows(&job) {
        let made = search(&candidate.job, &args.search, terminal)?;
        rows.push(candidate.row(&made.layout));
    }
    if args.json {
        let json = serde_json::to_string_pretty(&rows)
            .map_err(|e| Failure::Input(format!("compare: {e}")))?;
        print(&(json + "\n"))?;
    } else {
        print(&compare_table(&rows))?;
    }
    Ok(Answer::Yes)
}
