//! Turns paths on the command line into a checked job: the only reader of job files and drawings.

use super::args::SourceArgs;
use super::bare::Bare;
use super::drawing_job::{assumed_by_flags, is_drawing, job_of_drawings, refuse_drawing_flags};
use super::files::{FileError, beside, read_text, same_file};
use super::terminal::{Failure, Terminal};
use crate::drawing::{Drawing, read, stated_units};
use crate::export::{Voice, assumed_lines, doubt_line, issue_line};
use crate::job::{
    Doubt, Drawings, Grade, Issue, IssueKind, Issues, Job, JobFile, StockList, StockTable, build,
    nearest, question, read_options,
};
use crate::layout::{Assumed, Subject};
use crate::units::Units;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The list of the stock in a folder of remnants.
pub const STOCK_LIST: &str = "stock.toml";

/// A job with the warnings found on the way.
pub struct Loaded {
    /// The checked job.
    pub job: Job,
    /// What the maker should know.
    warnings: Vec<Issue>,
    /// Values that are unusual but possible; the user is told.
    doubts: Vec<Doubt>,
    /// Lists of remnants that the job names and that do not exist yet.
    no_list: Vec<PathBuf>,
    voice: Voice,
}

impl Loaded {
    /// What the maker should know, one note each, in words.
    pub fn notes(&self, units: Units) -> Vec<String> {
        let doubts = self.doubts.iter().map(|d| doubt_line(d, units, self.voice));
        let warnings = self.warnings.iter().map(|i| issue_line(&named(i, self.voice), units));
        let no_list = self.no_list.iter().map(|path| {
            format!("stock-from: there is no {} yet, so no remnants are used", path.display())
        });
        once_each(doubts.chain(warnings).chain(no_list))
    }

    /// What is left out of the job, and why, one line each.
    pub fn left_out(&self, units: Units) -> Vec<String> {
        let lines = self.job.left_out.iter().map(|i| issue_line(&named(i, self.voice), units));
        once_each(lines)
    }

    /// Prints on standard error what the maker should know, and what is assumed about the job, its bits in use and its
    /// stock: for commands whose answer has no place for it.
    pub fn tell(&self, units: Units, terminal: &Terminal) {
        let used = |a: &&Assumed| match &a.of {
            Subject::Bit(name) => self.job.groups.iter().any(|g| g.bit.name == *name),
            _ => true,
        };
        let assumed: Vec<Assumed> = self.job.assumed.iter().filter(used).cloned().collect();
        let assumed = assumed_lines(&assumed, units);
        let assumed = assumed.iter().map(|line| format!("assumed: {line}"));
        self.left_out(units).iter().for_each(|fault| terminal.complain("error", fault));
        self.notes(units).into_iter().chain(assumed).for_each(|n| terminal.complain("note", &n));
    }
}

/// A job file with the texts of the drawings that it names.
pub struct JobSource {
    /// The file, its unit of bare numbers found.
    pub file: JobFile,
    texts: BTreeMap<String, String>,
    /// Lists of remnants that the file names and that do not exist yet.
    no_list: Vec<PathBuf>,
    /// What errors are about: the job file, or the drawings.
    path: PathBuf,
    voice: Voice,
    /// Units of messages.
    units: Units,
}

/// Loads a job file, or makes a job of drawings with their stock and bit.
pub fn load(source: &SourceArgs, flag: Option<Units>) -> Result<Loaded, Failure> {
    loaded(source, JobSource::open(source, flag)?)
}

/// Loads a job and applies a change to its file.
pub fn load_changed(
    source: &SourceArgs,
    flag: Option<Units>,
    mut change: impl FnMut(&mut JobFile),
) -> Result<Loaded, Failure> {
    let mut read = JobSource::open(source, flag)?;
    change(&mut read.file);
    loaded(source, read)
}

/// Loads a job file with all its stock, also stock that is used up: a layout may have been cut from it.
pub fn load_with_used(path: &Path, flag: Option<Units>) -> Result<Loaded, Failure> {
    loaded(&SourceArgs::job_file(path), JobSource::with_used(path, flag)?)
}

fn loaded(source: &SourceArgs, read: JobSource) -> Result<Loaded, Failure> {
    let (refused, doubts): (Vec<Doubt>, Vec<Doubt>) =
        question(&read.file).into_iter().partition(|d| d.grade == Grade::Refused);
    let built = read
        .drawings()
        .and_then(|drawings| build(&read.file, &drawings).map_err(|issues| read.faults(&issues)));
    if !refused.is_empty() {
        let lines = refused.iter().map(|d| read.line(&doubt_line(d, read.units, read.voice)));
        let built = built.err().map(|f| f.to_string());
        let built = built.iter().flat_map(|f| f.lines()).map(String::from);
        return Err(Failure::Input(once_each(lines.chain(built)).join("\n")));
    }
    let (mut job, warnings) = built?;
    if read.voice == Voice::Flags {
        assumed_by_flags(source, &mut job);
    }
    Ok(Loaded { job, warnings, doubts, no_list: read.no_list, voice: read.voice })
}

impl JobSource {
    /// Reads the job file, or makes one of drawings and flags, and finds its unit of bare numbers.
    pub fn open(source: &SourceArgs, flag: Option<Units>) -> Result<Self, Failure> {
        let first = source.sources[0].clone();
        let (drawn, files): (Vec<PathBuf>, Vec<PathBuf>) =
            source.sources.iter().cloned().partition(|p| is_drawing(p));
        if let Some(job) = files.first().filter(|_| source.sources.len() > 1) {
            return Err(Failure::Usage(format!(
                "{} is not an SVG drawing: name one job file, or SVG drawings only",
                job.display()
            )));
        }
        let again = |(i, path): &(usize, &PathBuf)| drawn[..*i].iter().any(|p| same_file(p, path));
        if let Some((_, path)) = drawn.iter().enumerate().find(again) {
            return Err(Failure::Usage(format!(
                "{} is named twice: name it once, and use --quantity for more copies",
                path.display()
            )));
        }
        let mut read = if drawn.is_empty() {
            refuse_drawing_flags(source)?;
            JobSource::of_file(&first, flag)?
        } else {
            let texts = texts_of(
                &source.sources.iter().map(|p| p.to_string_lossy()).collect::<Vec<_>>(),
                Path::new(""),
                |_, error| error.to_string(),
            )?;
            let stated = Bare::agreed(texts.values().map(|t| stated_units(t)));
            let mut file = job_of_drawings(source, &Bare::new(flag, stated))?;
            (file.units, file.drawn_units) = (flag.or(file.units), stated);
            let units = file.units();
            JobSource { file, texts, no_list: vec![], path: first, voice: Voice::Flags, units }
        };
        read.file.seed = source.seed.or(read.file.seed);
        Ok(read)
    }

    /// Reads a job file and its drawings' texts.
    pub fn of_file(path: &Path, flag: Option<Units>) -> Result<Self, Failure> {
        JobSource::of_file_where(path, flag, |stock| !stock.used)
    }

    /// The same, with used-up stock taken as stock on hand.
    fn with_used(path: &Path, flag: Option<Units>) -> Result<Self, Failure> {
        let mut read = JobSource::of_file_where(path, flag, |_| true)?;
        read.file.stock.iter_mut().for_each(|s| s.used = false);
        Ok(read)
    }

    fn of_file_where(
        path: &Path,
        flag: Option<Units>,
        is_stock: fn(&StockTable) -> bool,
    ) -> Result<Self, Failure> {
        let text = read_text(path)?;
        let mut file = JobFile::parse(&text).map_err(|issue| {
            let line = issue_line(&issue, flag.unwrap_or_default());
            Failure::Input(format!("{}: {line}", path.display()))
        })?;
        let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
        let lists = file.stock_from.iter().flat_map(|f| &f.0);
        let lists = lists.map(|name| folder.join(name).join(STOCK_LIST));
        let no_list = lists.filter(|path| !path.exists()).collect();
        let remnants = remnants(&file, &folder, flag)?;
        file.stock.splice(0..0, remnants);
        file.stock.retain(is_stock);
        let names = file.drawings.iter().map(|d| d.file.as_str());
        let offcuts = file.stock.iter().filter_map(|s| s.outline.as_deref());
        let told = |name: &str, error: FileError| match error.is_missing() {
            true => no_such_file(path, &text, &folder, name),
            false => error.to_string(),
        };
        let texts = texts_of(&names.chain(offcuts).collect::<Vec<_>>(), &folder, told)?;
        file.units = file.units.or(flag);
        if file.units.is_none() {
            file.drawn_units = Bare::agreed(texts.values().map(|t| stated_units(t)));
        }
        let units = flag.unwrap_or(file.units());
        let (path, voice) = (path.into(), Voice::JobFile);
        Ok(JobSource { file, texts, no_list, path, voice, units })
    }

    /// Reads every drawing and offcut that the job names, in parallel.
    pub fn drawings(&self) -> Result<Drawings, Failure> {
        let file = &self.file;
        let table = |name: &str| file.drawings.iter().find(|d| d.file == name);
        let results: Vec<Result<(String, Drawing), Failure>> = self
            .texts
            .par_iter()
            .map(|(name, text)| {
                let options = read_options(file, table(name)).map_err(|i| self.faults(&i))?;
                let drawing =
                    read(text, name, &options).map_err(|e| Failure::Input(e.to_string()))?;
                Ok((name.clone(), drawing))
            })
            .collect();
        let mut drawings = Drawings::new();
        let mut faults = vec![];
        for result in results {
            match result {
                Ok((name, drawing)) => drop(drawings.insert(name, drawing)),
                Err(failure) => faults.extend(failure.to_string().lines().map(String::from)),
            }
        }
        if faults.is_empty() {
            Ok(drawings)
        } else {
            Err(Failure::Input(once_each(faults.into_iter()).join("\n")))
        }
    }

    fn faults(&self, issues: &Issues) -> Failure {
        let lines =
            issues.0.iter().map(|i| self.line(&issue_line(&named(i, self.voice), self.units)));
        Failure::Input(once_each(lines).join("\n"))
    }

    /// A message with the job file's name; a message about drawings and flags names its own place.
    fn line(&self, message: &str) -> String {
        match self.voice {
            Voice::JobFile => format!("{}: {message}", self.path.display()),
            Voice::Flags => message.into(),
        }
    }
}

/// The stock in the folders of remnants that the job names; paths of its drawings are relative to the job's folder.
fn remnants(
    file: &JobFile,
    folder: &Path,
    flag: Option<Units>,
) -> Result<Vec<StockTable>, Failure> {
    let mut all = vec![];
    for name in file.stock_from.iter().flat_map(|f| &f.0) {
        let path = folder.join(name).join(STOCK_LIST);
        // The folder of a first job's remnants has none yet.
        if !path.exists() {
            continue;
        }
        let list = StockList::parse(&read_text(&path)?).map_err(|issue| {
            let line = issue_line(&issue, flag.unwrap_or_default());
            Failure::Input(format!("{}: {line}", path.display()))
        })?;
        // What is left of another job's own material is none of this job's.
        let known = list.stock.into_iter().filter(|s| file.knows(&s.material));
        all.extend(known.map(|s| StockTable {
            outline: s.outline.map(|o| Path::new(name).join(o).to_string_lossy().into_owned()),
            ..s
        }));
    }
    Ok(all)
}

/// An issue at the flag or the drawing that it comes from, where no job file was written.
fn named(issue: &Issue, voice: Voice) -> Issue {
    let of_material =
        matches!(issue.kind, IssueKind::UnknownMaterial { .. } | IssueKind::StandIn { .. });
    if of_material && voice == Voice::Flags {
        return Issue { place: "--material".into(), ..issue.clone() };
    }
    let Some((what, name)) = issue.place.split_once(" '").filter(|_| voice == Voice::Flags) else {
        let job = voice == Voice::Flags && issue.place == "job";
        return Issue {
            place: if job { String::new() } else { issue.place.clone() },
            ..issue.clone()
        };
    };
    let place = match what {
        "bit" => "--bit".into(),
        "stock" => "--sheet".into(),
        "drawing" => name.trim_end_matches('\'').into(),
        _ => issue.place.clone(),
    };
    Issue { place, ..issue.clone() }
}

/// The message about a missing file: the job file, the line that names the missing one, and the most similar name.
fn no_such_file(job: &Path, text: &str, folder: &Path, name: &str) -> String {
    let quoted = [format!("\"{name}\""), format!("'{name}'")];
    let named = |line: &str| quoted.iter().any(|q| line.contains(q.as_str()));
    let line = text.lines().position(named);
    let line = line.map_or(String::new(), |n| format!("line {}: ", n + 1));
    let (job, path) = (job.display(), folder.join(name));
    let file = path.file_name().map_or(name.into(), |f| f.to_string_lossy());
    let others = beside(&path);
    let meant = nearest(&file, others.iter().map(String::as_str));
    let meant = meant.map(|near| Path::new(name).with_file_name(near).display().to_string());
    let what = match meant {
        Some(near) => format!("; did you mean {near}?"),
        None => ": check its name and folder".into(),
    };
    format!("{job}: {line}{}: there is no such file{what}", path.display())
}

/// The texts of the files, each read once. All files that cannot be read are reported together, in the words of `told`.
fn texts_of(
    names: &[impl AsRef<str>],
    folder: &Path,
    told: impl Fn(&str, FileError) -> String,
) -> Result<BTreeMap<String, String>, Failure> {
    let mut texts = BTreeMap::new();
    let mut faults = vec![];
    for name in names.iter().map(AsRef::as_ref) {
        if texts.contains_key(name) {
            continue;
        }
        match read_text(&folder.join(name)) {
            Ok(text) => drop(texts.insert(name.to_string(), text)),
            Err(error) => faults.push(told(name, error)),
        }
    }
    if faults.is_empty() {
        Ok(texts)
    } else {
        Err(Failure::Input(once_each(faults.into_iter()).join("\n")))
    }
}

/// The lines in order, each once.
fn once_each(lines: impl Iterator<Item = String>) -> Vec<String> {
    let mut kept: Vec<String> = vec![];
    lines.for_each(|line| {
        if !kept.contains(&line) {
            kept.push(line);
        }
    });
    kept
}
