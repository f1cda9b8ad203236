//! Turns paths on the command line into a checked job: the only reader of job files and drawings.

use super::args::SourceArgs;
use super::files::read_text;
use super::terminal::{Failure, Terminal};
use crate::drawing::{Drawing, read};
use crate::export::{assumed_lines, doubt_line, issue_line};
use crate::job::{
    BitTable, Doubt, DrawingTable, Drawings, Grade, Issue, Job, JobFile, Length, SizeText,
    StockTable, build, question, read_options,
};
use crate::layout::{Assumed, AssumedValue, Subject, Winding};
use crate::units::Units;
use rayon::prelude::*;
use std::path::{Path, PathBuf};

/// The material of a single drawing if `--material` does not say.
const USUAL_MATERIAL: &str = "walnut";

/// A job with the warnings found on the way.
pub struct Loaded {
    /// The checked job.
    pub job: Job,
    /// What the maker should know.
    warnings: Vec<Issue>,
    /// Values that are unusual but possible; the user is told.
    doubts: Vec<Doubt>,
}

impl Loaded {
    /// What the maker should know, one note each, in words.
    pub fn notes(&self, units: Units) -> Vec<String> {
        let doubts = self.doubts.iter().map(|d| doubt_line(d, units));
        doubts.chain(self.warnings.iter().map(|i| issue_line(i, units))).collect()
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
        let assumed = assumed.iter().map(|line| format!("assumed for {line}"));
        self.notes(units).into_iter().chain(assumed).for_each(|n| terminal.complain("note", &n));
    }
}

/// Loads a job file, or makes a job of one drawing with its stock and bit.
pub fn load(source: &SourceArgs) -> Result<Loaded, Failure> {
    let is_drawing =
        source.job.extension().is_some_and(|e| e.eq_ignore_ascii_case("svg") || e == "svgz");
    let (mut file, folder) = if is_drawing {
        (single_drawing(source)?, PathBuf::new())
    } else {
        refuse_drawing_flags(source)?;
        let text = read_text(&source.job)?;
        let file =
            JobFile::parse(&text).map_err(|issue| in_file(&source.job, &issue, Units::Mm))?;
        (file, source.job.parent().map(Path::to_path_buf).unwrap_or_default())
    };
    file.seed = source.seed.or(file.seed);
    let (refused, doubts): (Vec<Doubt>, Vec<Doubt>) =
        question(&file).into_iter().partition(|d| d.grade == Grade::Refused);
    let built = read_drawings(&file, &folder, &source.job).and_then(|drawings| {
        build(&file, &drawings).map_err(|issues| {
            let lines = issues.0.iter().map(|i| in_file(&source.job, i, file.units()).to_string());
            Failure::Input(lines.collect::<Vec<_>>().join("\n"))
        })
    });
    if !refused.is_empty() {
        let said = |d: &Doubt| format!("{}: {}", source.job.display(), doubt_line(d, file.units()));
        let lines = refused.iter().map(said).chain(built.err().map(|f| f.to_string()));
        return Err(Failure::Input(lines.collect::<Vec<_>>().join("\n")));
    }
    let (mut job, warnings) = built?;
    if is_drawing {
        assumed_by_flags(source, &mut job);
    }
    Ok(Loaded { job, warnings, doubts })
}

/// Notes the values that the flags of a single drawing leave open.
fn assumed_by_flags(source: &SourceArgs, job: &mut Job) {
    let mut assumed = vec![];
    if source.material.is_none() {
        let material = AssumedValue::Material(USUAL_MATERIAL.into());
        assumed.push(Assumed { of: Subject::Job, value: material });
    }
    for bit in job.groups.iter().map(|g| &g.bit) {
        let of = Subject::Bit(bit.name.clone());
        let spiral = AssumedValue::Spiral(Winding::Down);
        assumed.push(Assumed { of: of.clone(), value: spiral });
        assumed.push(Assumed { of, value: AssumedValue::Flutes(bit.flutes) });
    }
    assumed.append(&mut job.assumed);
    job.assumed = assumed;
}

/// Reads the drawings of a job file, as the job says.
pub fn job_drawings(path: &Path) -> Result<Drawings, Failure> {
    let text = read_text(path)?;
    let file = JobFile::parse(&text).map_err(|issue| in_file(path, &issue, Units::Mm))?;
    let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
    read_drawings(&file, &folder, path)
}

/// Reads every drawing and offcut that the job names, in parallel.
fn read_drawings(file: &JobFile, folder: &Path, job: &Path) -> Result<Drawings, Failure> {
    let tables = file.drawings.iter().map(|d| (d.file.as_str(), Some(d)));
    let offcuts = file.stock.iter().filter_map(|s| Some((s.outline.as_deref()?, None)));
    let mut wanted: Vec<(&str, Option<&DrawingTable>)> = tables.chain(offcuts).collect();
    wanted.sort_by_key(|(name, _)| *name);
    wanted.dedup_by_key(|(name, _)| *name);
    let results: Vec<Result<(String, Drawing), Failure>> = wanted
        .par_iter()
        .map(|(name, table)| {
            let path = folder.join(name);
            let text = read_text(&path)?;
            let options = read_options(file, *table).map_err(|issues| {
                let lines = issues.0.iter().map(|i| in_file(job, i, file.units()).to_string());
                Failure::Input(lines.collect::<Vec<_>>().join("\n"))
            })?;
            let drawing = read(&text, name, &options)
                .map_err(|e| Failure::Input(format!("{}: {e}", path.display())))?;
            Ok(((*name).to_string(), drawing))
        })
        .collect();
    let mut drawings = Drawings::new();
    let mut faults = vec![];
    for result in results {
        match result {
            Ok((name, drawing)) => drop(drawings.insert(name, drawing)),
            Err(failure) => faults.push(failure.to_string()),
        }
    }
    if faults.is_empty() { Ok(drawings) } else { Err(Failure::Input(faults.join("\n"))) }
}

/// The job described by `nest part.svg --sheet .. --thickness .. --bit ..`.
fn single_drawing(source: &SourceArgs) -> Result<JobFile, Failure> {
    let need = |value: &Option<String>, flag: &str| {
        value.clone().ok_or_else(|| {
            Failure::Usage(format!("a drawing without a job file needs {flag} (see --help)"))
        })
    };
    let material = source.material.clone().unwrap_or_else(|| USUAL_MATERIAL.into());
    let thickness = Length::text(&need(&source.thickness, "--thickness")?);
    let sheet = need(&source.sheet, "--sheet")?;
    let bit = need(&source.bit, "--bit")?;
    let name = source.job.to_string_lossy().into_owned();
    let title = source.job.file_stem().map(|s| s.to_string_lossy().into_owned());
    Ok(JobFile {
        title: title.unwrap_or_default(),
        bits: vec![BitTable {
            name: format!("{bit} down-spiral"),
            diameter: Length::text(&bit),
            flutes: Some(2),
            spiral: Some("down".into()),
            helix: None,
            pass_depth: None,
            feed: None,
            rpm: None,
            allowance: None,
            materials: vec![],
        }],
        stock: vec![StockTable {
            name: Some(format!("{material} {sheet}")),
            material: material.clone(),
            thickness: thickness.clone(),
            size: Some(SizeText(sheet)),
            outline: None,
            open_length: false,
            grain: None,
            quantity: None,
            price: None,
            margin: source.margin.as_deref().map(Length::text),
            keep_clear: vec![],
        }],
        corners: source.corners.clone(),
        drawings: vec![DrawingTable {
            file: name,
            material,
            thickness,
            quantity: source.quantity,
            spares: None,
            grain: None,
            grain_tolerance: None,
            mirror: false,
            bit: None,
            dpi: None,
            scale: None,
        }],
        ..JobFile::default()
    })
}

/// Refuses flags for a single drawing beside a job file, which would be silently ignored.
fn refuse_drawing_flags(source: &SourceArgs) -> Result<(), Failure> {
    let given = [
        ("--sheet", source.sheet.is_some()),
        ("--thickness", source.thickness.is_some()),
        ("--bit", source.bit.is_some()),
        ("--material", source.material.is_some()),
        ("--quantity", source.quantity.is_some()),
        ("--margin", source.margin.is_some()),
        ("--corners", source.corners.is_some()),
    ];
    match given.iter().find(|(_, given)| *given) {
        Some((flag, _)) => Err(Failure::Usage(format!(
            "{flag} is only for an SVG drawing; {} is a job file and sets it itself",
            source.job.display()
        ))),
        None => Ok(()),
    }
}

fn in_file(path: &Path, issue: &Issue, units: Units) -> Failure {
    Failure::Input(format!("{}: {}", path.display(), issue_line(issue, units)))
}
