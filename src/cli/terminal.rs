//! Settings, messages and answers that every command shares.

use super::args::{Cli, When};
use super::files;
use std::io::{IsTerminal, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Why a command gave up.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// Flags that do not go together.
    #[error("{0}")]
    Usage(String),
    /// A faulty input, with one fault on each line.
    #[error("{0}")]
    Input(String),
    /// A file that could not be read or written.
    #[error(transparent)]
    File(#[from] files::FileError),
    /// A layout that did not pass its own check.
    #[error(
        "this is a fault in Tabwright, not in the job: the layout did not pass the program's own check, so nothing was written\n{0}"
    )]
    NotVerified(String),
}

/// What a command answers: good (exit 0) or no (exit 1).
pub enum Answer {
    /// Done and good.
    Yes,
    /// It ran, and the answer is no.
    No,
}

/// Settings that every command shares.
pub struct Terminal {
    pub(super) units: Option<crate::units::Units>,
    pub(super) threads: usize,
    pub(super) quiet: bool,
    colour: bool,
    pub(super) stop: Arc<AtomicBool>,
}

impl Terminal {
    pub(super) fn new(cli: &Cli) -> Self {
        let no_color = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
        let colour = match cli.common.color {
            When::Always => true,
            When::Never => false,
            When::Auto => std::io::stderr().is_terminal() && !no_color,
        };
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        Terminal {
            units: cli.common.units.map(Into::into),
            threads: cli.common.threads.map_or(cores, usize::from),
            quiet: cli.common.quiet,
            colour,
            stop: stop_on_interrupt(),
        }
    }

    /// Prints a message on standard error, each line marked.
    pub(super) fn complain(&self, kind: &str, message: &str) {
        let (on, off) = match (self.colour, kind) {
            (true, "error") => ("\x1b[1;31m", "\x1b[0m"),
            (true, _) => ("\x1b[1;33m", "\x1b[0m"),
            _ => ("", ""),
        };
        let mut err = std::io::stderr().lock();
        for line in message.lines() {
            let _ = writeln!(err, "{on}{kind}:{off} {line}");
        }
    }
}

/// Prints text on standard output. A pipe closed by its reader, as by `| head`, is no error and does not change the answer; a full
/// disk is an error.
pub(super) fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(files::FileError::printing(&error).into())
        }
        _ => Ok(()),
    }
}

/// The first Ctrl-C asks the search to stop with its best layout; the second ends the program.
fn stop_on_interrupt() -> Arc<AtomicBool> {
    let stop = Arc::new(AtomicBool::new(false));
    let seen = Arc::clone(&stop);
    // Without a handler Ctrl-C simply ends the program; nothing half-written stays either way.
    let _ = ctrlc::set_handler(move || {
        if seen.swap(true, Ordering::SeqCst) {
            files::remove_unfilled();
            std::process::exit(130);
        }
    });
    stop
}
