//! The command line: the only part that touches files, the terminal and signals.

mod args;
mod bare;
mod begin;
mod check;
mod compare;
mod drawing_job;
mod files;
mod inspect;
mod nest;
mod progress;
mod read_job;
mod remnant_list;
mod tabs;
mod terminal;
mod today;
mod vary;

pub use terminal::{Answer, Failure, Terminal};

use crate::export::{KEYS, keys_roff, keys_text, materials_table};
use crate::job::{find_material, nearest, stand_in};
use args::{Cli, Command};
use clap::{CommandFactory, Parser};
use std::process::ExitCode;
use terminal::print;

/// Runs the program on the process's own arguments.
pub fn run() -> ExitCode {
    let cli = Cli::parse();
    let terminal = Terminal::new(&cli);
    // A pool that cannot be built leaves rayon's own, which is as good.
    let _ = rayon::ThreadPoolBuilder::new().num_threads(terminal.threads).build_global();
    let result = match &cli.command {
        Command::Inspect(args) => inspect::run(args, &terminal),
        Command::Nest(args) => nest::run(args, &terminal),
        Command::Tabs(args) => tabs::run(args, &terminal),
        Command::Compare(args) => compare::run(args, &terminal),
        Command::Check(args) => check::run(args, &terminal),
        Command::Begin(args) => begin::run(args, &terminal),
        Command::Keys { word } => keys(word.as_deref()),
        Command::Materials { word } => listed_materials(word.as_deref(), &terminal),
        Command::Completions { shell } => completions(*shell),
        Command::Man => man_page(),
    };
    match result {
        Ok(Answer::Yes) => ExitCode::SUCCESS,
        Ok(Answer::No) => ExitCode::from(1),
        Err(failure) => {
            terminal.complain("error", &failure.to_string());
            ExitCode::from(if matches!(failure, Failure::NotVerified(_)) { 1 } else { 2 })
        }
    }
}

/// Prints the keys of the job file.
fn keys(word: Option<&str>) -> Result<Answer, Failure> {
    let text = keys_text(word);
    if let (true, Some(word)) = (text.is_empty(), word) {
        let names = KEYS.iter().map(|k| k.name.as_str());
        let near = nearest(word, names).map_or(String::new(), |n| format!("; did you mean '{n}'?"));
        return Err(Failure::Usage(format!(
            "no key of the job file has '{word}' in its name or meaning{near}"
        )));
    }
    print(&text)?;
    Ok(Answer::Yes)
}

/// Prints the table of materials.
fn listed_materials(word: Option<&str>, terminal: &Terminal) -> Result<Answer, Failure> {
    let units = terminal.units.unwrap_or_default();
    // A word that is no row's own may be a name that the trade uses, or one for which another stands in.
    let row =
        |word: &str| find_material(word, 6.0).map(|m| (m.name.clone(), stand_in(word).is_some()));
    let mut text = materials_table(word, units);
    if let (true, Some(word)) = (text.is_empty(), word) {
        text = row(word).map_or(text, |(row, stands_in)| {
            let table = materials_table(Some(&row), units);
            match stands_in {
                true => {
                    format!("There are no figures for {word}: those of {row} are used instead.\n\n{table}")
                }
                false => table,
            }
        });
    }
    if text.is_empty() {
        let word = word.unwrap_or_default();
        return Err(Failure::Usage(format!(
            "no known material has '{word}' in its name: `tabwright materials` lists them all"
        )));
    }
    print(&text)?;
    Ok(Answer::Yes)
}

fn completions(shell: clap_complete::Shell) -> Result<Answer, Failure> {
    let mut script = vec![];
    clap_complete::generate(shell, &mut Cli::command(), "tabwright", &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(Answer::Yes)
}

fn man_page() -> Result<Answer, Failure> {
    let mut page = vec![];
    clap_mangen::Man::new(Cli::command())
        .render(&mut page)
        .map_err(|e| Failure::Input(e.to_string()))?;
    print(&(String::from_utf8_lossy(&page).into_owned() + &keys_roff()))?;
    Ok(Answer::Yes)
}
