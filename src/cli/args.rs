//! The command line: flags as typed, with their help.

use crate::export::By;
use crate::flow::Effort;
use crate::units::Units;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;
use std::time::Duration;

/// The table of exit codes, with the meaning of 1 for this command.
fn exit_codes(no: &str) -> String {
    format!(
        "Exit codes:\n  0  done and good\n  1  it ran, and the answer is no: {no}\n  \
         2  bad usage, bad input or a file that cannot be read: no file was changed; or output that cannot be written: no \
         file is half written\n  \
         130  stopped by a second Ctrl-C; no file was changed"
    )
}

const ANY_NO: &str = "see the help of begin, inspect, nest, tabs, compare and check";
const INSPECT_NO: &str = "a drawing has a fault or no part, or one of --bits does not cut a part";
const NEST_NO: &str = "a part is left out because its drawing has a fault, or is left over; a sheet has a fault that keeps it from being cut as it is (an \
    opening or outline not cut through, a part cut into or not separated, stock left standing, a tab wider or \
    narrower than planned, a part or a tab that hangs on stock that comes loose, a part whose tabs all land on \
    strips of stock that bend away, a part that nothing holds, no room for the clamps that the job asks for); a joint with inside corners that the bit leaves round and that you have not accepted \
    (the files are written and say which); or the layout failed the program's own check (no file was changed)";
const BEGIN_NO: &str = "a drawing has a fault or no part; the file is written";
const TABS_NO: &str = "nothing holds the part, or, with --all, one of the parts";
const COMPARE_NO: &str =
    "no stock, alone or mixed with others, takes all parts of a group without a fault";
const CHECK_NO: &str =
    "the layout, or a drawing of its sheets, breaks a rule, or the layout names a fault";

/// Turns drawings of many small flat parts into sheets that a desktop CNC router can cut.
#[derive(Debug, Parser)]
#[command(name = "tabwright", version, propagate_version = true, after_help = exit_codes(ANY_NO))]
pub struct Cli {
    #[command(subcommand)]
    pub command: Command,
    #[command(flatten)]
    pub common: Common,
}

#[derive(Debug, Args)]
pub struct Common {
    /// Units of the output, and of bare numbers if the job sets no units [default: the job's, else the drawing's, else mm]
    #[arg(long, global = true, value_name = "UNITS")]
    pub units: Option<UnitsFlag>,
    /// Worker threads; the result is the same at any number [default: all cores]
    #[arg(long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// Show no progress on standard error
    #[arg(short, long, global = true)]
    pub quiet: bool,
    /// Colour in messages; NO_COLOR is respected
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub color: When,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitsFlag {
    /// Millimetres
    Mm,
    /// Inches, as fractions where possible
    In,
}

impl From<UnitsFlag> for Units {
    fn from(flag: UnitsFlag) -> Self {
        match flag {
            UnitsFlag::Mm => Units::Mm,
            UnitsFlag::In => Units::In,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum When {
    /// On a terminal only
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Reports what is in drawings: true size, thinnest neck, the largest bit that can cut each part, faults
    #[command(after_help = exit_codes(INSPECT_NO))]
    Inspect(Inspect),
    /// Makes the whole job: sheets nested, held, checked and drawn at true scale
    #[command(after_help = format!("{NEST_EXAMPLES}\n\n{}", exit_codes(NEST_NO)))]
    Nest(NestArgs),
    /// Shows why a part gets its tabs: one row for each count tried, with what limits it
    #[command(after_help = format!("{TABS_EXAMPLES}\n\n{}", exit_codes(TABS_NO)))]
    Tabs(Tabs),
    /// Compares stock sizes, each alone and several together: sheets, waste, waste after remnants, cost, time to cut
    #[command(after_help = format!("{COMPARE_EXAMPLES}\n\n{}", exit_codes(COMPARE_NO)))]
    Compare(Compare),
    /// Checks any layout file, independently of how it was made
    #[command(after_help = exit_codes(CHECK_NO))]
    Check(CheckArgs),
    /// Writes a job file for your drawings, complete and commented: it runs as it is, and is easy to change
    #[command(after_help = format!("{BEGIN_EXAMPLES}\n\n{}", exit_codes(BEGIN_NO)))]
    Begin(Begin),
    /// Explains the keys of the job file, each with its default and an example
    Keys {
        /// Show only tables and keys with this word in their names or meanings, such as bit, stock, margin or remnant
        #[arg(value_name = "WORD")]
        word: Option<String>,
    },
    /// Lists the known materials with their figures
    Materials {
        /// Show only materials with this word in their names, with the sources of their figures
        #[arg(value_name = "WORD")]
        word: Option<String>,
    },
    /// Writes a completion script for your shell to standard output
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// Writes the man page (roff) to standard output
    Man,
}

const NEST_EXAMPLES: &str = "\
Examples:
  tabwright nest samples/tide-clock/job.toml -o out
  tabwright nest samples/one-drawing/part.svg --sheet 12x24in --thickness 1/8in --bit 1/16in -o out";

const TABS_EXAMPLES: &str = "\
Examples:
  tabwright tabs samples/tide-clock/job.toml --part minute-hand --why -o out
  tabwright tabs samples/tide-clock/job.toml --all -o out";

const COMPARE_EXAMPLES: &str = "\
Examples:
  tabwright compare samples/tide-clock/job.toml
  tabwright compare samples/tide-clock/job.toml --group walnut --sizes 12x12in@8,12x24in@14,6x48in@12 --by cost";

const BEGIN_EXAMPLES: &str = "\
Examples:
  tabwright begin samples/one-drawing/part.svg -o my-job.toml
  tabwright begin box.svg lid.svg --material 'birch plywood' --thickness 1/4in --sheet 24x12in";

#[derive(Debug, Args)]
pub struct Begin {
    /// SVG drawings
    #[arg(required = true, value_name = "DRAWING")]
    pub drawings: Vec<PathBuf>,
    /// The job file to write; it must not exist yet
    #[arg(short, long, value_name = "FILE", default_value = "job.toml")]
    pub output: PathBuf,
    /// Material of sheets and parts; correct it in the file [default: birch plywood]
    #[arg(long, value_name = "NAME")]
    pub material: Option<String>,
    /// Thickness of sheets and parts; correct it in the file [default: 1/4in or 6mm]
    #[arg(long, value_name = "LENGTH")]
    pub thickness: Option<String>,
    /// Sheet size; correct it in the file [default: the smallest usual size that takes the largest part]
    #[arg(long, value_name = "SIZE")]
    pub sheet: Option<String>,
}

#[derive(Debug, Args)]
pub struct Inspect {
    /// SVG drawings (`-` is standard input), or a job file, whose drawings are read with its marks
    #[arg(required = true, value_name = "DRAWING")]
    pub drawings: Vec<PathBuf>,
    /// Bits to try, by diameter: 1/16in,1/8in
    #[arg(long, value_name = "DIAMETERS", value_delimiter = ',')]
    pub bits: Vec<String>,
    /// A slot, hole or gap narrower than a bit by at most this is still cut, at the bit's width [default: 0.05mm]
    #[arg(long, value_name = "LENGTH")]
    pub allowance: Option<String>,
    /// Pixels per inch for drawings without a physical unit [default: 96]
    #[arg(long, value_name = "N")]
    pub dpi: Option<f64>,
    /// Scale factor of every drawing [default: 1]
    #[arg(long, value_name = "FACTOR")]
    pub scale: Option<f64>,
    /// Free ends of lines closer together than this are joined [default: 0.05mm]
    #[arg(long, value_name = "LENGTH")]
    pub join: Option<String>,
    /// Machine-readable output
    #[arg(long)]
    pub json: bool,
}

/// A job file, or drawings with their stock and bit.
#[derive(Debug, Args)]
pub struct SourceArgs {
    /// Job file (TOML), or SVG drawings with --sheet, --thickness and --bit
    #[arg(required = true, value_name = "JOB")]
    pub sources: Vec<PathBuf>,
    /// Sheet size, length x width: 12x24in, 300x600mm
    #[arg(long, value_name = "SIZE", help_heading = "Drawings without a job file")]
    pub sheet: Option<String>,
    /// Thickness of the sheet
    #[arg(long, value_name = "LENGTH", help_heading = "Drawings without a job file")]
    pub thickness: Option<String>,
    /// Diameter of the bit (a two-flute down-spiral)
    #[arg(long, value_name = "LENGTH", help_heading = "Drawings without a job file")]
    pub bit: Option<String>,
    /// Material of the sheet [default: walnut]
    #[arg(long, value_name = "NAME", help_heading = "Drawings without a job file")]
    pub material: Option<String>,
    /// Copies of everything drawn [default: 1]
    #[arg(long, value_name = "N", help_heading = "Drawings without a job file")]
    pub quantity: Option<usize>,
    /// Distance kept from the sheet's edge [default: 6mm]
    #[arg(long, value_name = "LENGTH", help_heading = "Drawings without a job file")]
    pub margin: Option<String>,
    /// `rounded`: inside corners may keep the bit's radius, including those of joints and sharp clefts
    #[arg(long, value_name = "HOW", value_parser = ["rounded"], help_heading = "Drawings without a job file")]
    pub corners: Option<String>,
    /// Seed of every random choice [default: the job's, else 1]
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
}

impl SourceArgs {
    /// The arguments for a job file without flags.
    pub fn job_file(path: &std::path::Path) -> Self {
        SourceArgs {
            sources: vec![path.into()],
            sheet: None,
            thickness: None,
            bit: None,
            material: None,
            quantity: None,
            margin: None,
            corners: None,
            seed: None,
        }
    }
}

/// How long to search.
#[derive(Debug, Args)]
pub struct SearchArgs {
    /// Moves to try per group; the default suits a job of a hundred parts
    #[arg(long, value_name = "N")]
    pub moves: Option<u64>,
    /// Search for this many seconds instead; results may then differ from run to run. With several hundred parts, the last
    /// tabs, the cut and the check take a few seconds more
    #[arg(long, value_name = "SECONDS", value_parser = positive_seconds)]
    pub seconds: Option<f64>,
}

impl SearchArgs {
    /// The effort of a search on `threads` threads: its moves, or its seconds.
    pub fn effort(&self, threads: usize) -> Effort {
        Effort { moves: self.moves, time: self.seconds.map(Duration::from_secs_f64), threads }
    }
}

fn positive_seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(s) if s > 0.0 && s <= 1e6 => Ok(s),
        _ => Err("give a time in seconds, above 0 and up to 1,000,000".into()),
    }
}

#[derive(Debug, Args)]
pub struct NestArgs {
    #[command(flatten)]
    pub source: SourceArgs,
    #[command(flatten)]
    pub search: SearchArgs,
    /// Make nothing if any part must be left out because its drawing has a fault or no bit cuts it
    #[arg(long)]
    pub strict: bool,
    /// Folder for layout.json, the SVG sheets and report.html; made if absent
    #[arg(short, long, value_name = "DIR", default_value = "out")]
    pub output: PathBuf,
    /// Folder of remnants: adds what is left of each sheet to it (stock.toml, drawings, labels to print) and marks the
    /// remnants that this job used; give it once, with the run that you cut
    #[arg(long, value_name = "DIR")]
    pub remnants: Option<PathBuf>,
    /// Print the layout as JSON on standard output instead of the summary
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct Tabs {
    #[command(flatten)]
    pub source: SourceArgs,
    /// The part's name
    #[arg(long, value_name = "NAME", conflicts_with = "all")]
    pub part: Option<String>,
    /// Every part of the job, one row each: the places found, compared with the same number of tabs spaced evenly
    #[arg(long)]
    pub all: bool,
    /// Folder for NAME-tried.json, a layout file with every set of tabs that was judged and its figures, and for
    /// NAME-tabs.svg, the part with its tabs, stress and movement (not with --all); made if absent
    #[arg(short, long, value_name = "DIR")]
    pub output: Option<PathBuf>,
    /// Explain why each count was rejected
    #[arg(long, conflicts_with = "all")]
    pub why: bool,
}

#[derive(Debug, Args)]
pub struct Compare {
    #[command(flatten)]
    pub source: SourceArgs,
    #[command(flatten)]
    pub search: SearchArgs,
    /// Sizes to try in addition to the job's stock: length along the grain x width, @ price if known: 12x12in@8,12x24in@14
    #[arg(long, value_name = "SIZES", value_delimiter = ',')]
    pub sizes: Vec<String>,
    /// Only this group: its name in the tables, or a word of that name, such as walnut
    #[arg(long, value_name = "NAME")]
    pub group: Option<String>,
    /// Folder for compare.html, which shows each choice with its figures and small pictures of its sheets; made if absent
    #[arg(short, long, value_name = "DIR")]
    pub output: Option<PathBuf>,
    /// Change one thing at a time and show the best stock for each: each bit alone; no web and two webs; 90, 100 and 110 % scale
    #[arg(long, value_name = "WHAT")]
    pub vary: Option<VaryFlag>,
    /// What to sort by [default: cost where the stock has prices, else waste]
    #[arg(long, value_name = "WHAT")]
    pub by: Option<ByFlag>,
    /// Machine-readable output
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum VaryFlag {
    /// Each bit on hand alone
    Bit,
    /// The stock left between two kerfs
    Web,
    /// The scale of every drawing
    Scale,
    /// What parts may hang on: stock only, or also waste that a part cut later holds
    Hang,
    /// How parts are held, where that is strong enough: tabs, a skin or tape
    Method,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ByFlag {
    /// What the stock costs, then waste after remnants
    Cost,
    /// Waste, then waste after remnants, then cost
    Waste,
    /// The number of sheets, then cost
    Sheets,
}

impl From<ByFlag> for By {
    fn from(flag: ByFlag) -> Self {
        match flag {
            ByFlag::Cost => By::Cost,
            ByFlag::Waste => By::Waste,
            ByFlag::Sheets => By::Sheets,
        }
    }
}

#[derive(Debug, Args)]
pub struct CheckArgs {
    /// Layout file; `-` is standard input
    #[arg(value_name = "LAYOUT")]
    pub layout: PathBuf,
    /// Also check counts, shapes and features against this job
    #[arg(long, value_name = "JOB")]
    pub job: Option<PathBuf>,
    /// By how much a rule may be broken before it counts as broken, mm
    #[arg(long, value_name = "MM", default_value_t = 1e-6)]
    pub tolerance: f64,
    /// Machine-readable output
    #[arg(long)]
    pub json: bool,
}
