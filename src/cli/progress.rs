//! Progress on standard error, hidden if that is not a terminal or with `--quiet`.

use super::terminal::Terminal;
use crate::flow::GroupProgress;
use crate::job::Job;
use crate::units::Units;
use indicatif::{MultiProgress, ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{IsTerminal, Write};

/// One progress bar for each group.
pub struct Bars {
    bars: Vec<ProgressBar>,
    shown: bool,
    units: Units,
}

impl Bars {
    /// Bars for the groups of a job.
    pub fn new(job: &Job, terminal: &Terminal) -> Self {
        let shown = !terminal.quiet && std::io::stderr().is_terminal();
        let many = MultiProgress::with_draw_target(if shown {
            ProgressDrawTarget::stderr()
        } else {
            ProgressDrawTarget::hidden()
        });
        let style = ProgressStyle::with_template("{prefix:>24} {bar:24} {msg}")
            .unwrap_or_else(|_| ProgressStyle::default_bar());
        let bar = |name: &str| {
            let bar = many.add(ProgressBar::new(1000)).with_style(style.clone());
            bar.set_prefix(name.to_string());
            bar
        };
        let units = terminal.units.unwrap_or(job.units);
        Bars { bars: job.groups.iter().map(|g| bar(&g.name)).collect(), shown, units }
    }

    /// Shows how far a group is.
    pub fn show(&self, progress: &GroupProgress) {
        if let (true, Some(bar)) = (self.shown, self.bars.get(progress.group)) {
            let search = &progress.search;
            if let Some(of) = search.of.filter(|of| *of > 0) {
                bar.set_position(1000 * search.moves.min(of) / of);
            }
            let sheets = search.sheets;
            let length = self.units.show(search.length.round());
            bar.set_message(format!("sheet {sheets}, {length} of it in use"));
        }
    }

    /// Removes the bars.
    pub fn clear(&self) {
        for bar in &self.bars {
            bar.finish_and_clear();
        }
    }
}

/// One bar for a race of choices, and the first answer as soon as it is known.
pub struct RaceBar {
    bar: ProgressBar,
    told: bool,
}

impl RaceBar {
    /// A bar for choices whose number is not known yet.
    pub fn new(terminal: &Terminal) -> Self {
        let shown = !terminal.quiet && std::io::stderr().is_terminal();
        let target =
            if shown { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
        let style = ProgressStyle::with_template("{pos:>4} of {len} {bar:24} {msg}")
            .unwrap_or_else(|_| ProgressStyle::default_bar());
        let bar = ProgressBar::with_draw_target(Some(0), target).with_style(style);
        RaceBar { bar, told: !terminal.quiet }
    }

    /// Tells the first answer, from quick layouts.
    pub fn first(&self, table: impl Fn() -> String) {
        if self.told {
            let table = table();
            let head = "First answer, from quick layouts; the search goes on (Ctrl-C ends it and shows the best so far):";
            self.bar.suspend(|| {
                // Whoever closed standard error wants no progress.
                let _ = writeln!(std::io::stderr().lock(), "{head}\n{table}");
            });
        }
    }

    /// Adds a group with this number of choices to the bar's length.
    pub fn length(&self, choices: usize) {
        self.bar.inc_length(choices as u64);
    }

    /// Shows that a choice has been made in full.
    pub fn made(&self, group: &str, stock: &str, sheets: usize) {
        self.bar.inc(1);
        self.bar.set_message(format!("{group} on {stock}: {sheets} used"));
    }

    /// Removes the bar.
    pub fn clear(&self) {
        self.bar.finish_and_clear();
    }
}
