//! From paths on the command line to a checked job: the only reader of job files and drawings.

use super::Failure;
use super::args::Source;
use super::files::read_text;
use crate::drawing::{Drawing, read};
use crate::job::{
    BitTable, DrawingTable, Drawings, Issue, Job, JobFile, Length, Size, StockTable, build,
    read_options,
};
use rayon::prelude::*;
use std::path::{Path, PathBuf};

/// A job with the warnings found on the way.
pub struct Loaded {
    /// The checked job.
    pub job: Job,
    /// What the maker should know.
    pub warnings: Vec<Issue>,
}

/// Loads a job file, or makes a job of one drawing with its stock and bit.
pub fn load(source: &Source) -> Result<Loaded, Failure> {
    let is_drawing =
        source.job.extension().is_some_and(|e| e.eq_ignore_ascii_case("svg") || e == "svgz");
    let (mut file, folder) = if is_drawing {
        (single_drawing(source)?, PathBuf::new())
    } else {
        refuse_drawing_flags(source)?;
        let text = read_text(&source.job)?;
        let file = JobFile::parse(&text).map_err(|issue| in_file(&source.job, issue))?;
        (file, source.job.parent().map(Path::to_path_buf).unwrap_or_default())
    };
    file.seed = source.seed.or(file.seed);
    let drawings = read_drawings(&file, &folder, &source.job)?;
    let (job, warnings) = build(&file, &drawings).map_err(|issues| {
        let lines = issues.0.into_iter().map(|i| in_file(&source.job, i).to_string());
        Failure::Input(lines.collect::<Vec<_>>().join("\n"))
    })?;
    Ok(Loaded { job, warnings })
}

/// The drawings of a job file, read as the job says.
pub fn job_drawings(path: &Path) -> Result<Drawings, Failure> {
    let text = read_text(path)?;
    let file = JobFile::parse(&text).map_err(|issue| in_file(path, issue))?;
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
            let options = read_options(file, *table)
                .map_err(|issues| Failure::Input(format!("{}: {issues}", job.display())))?;
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

/// The job that `nest part.svg --sheet .. --thickness .. --bit ..` means.
fn single_drawing(source: &Source) -> Result<JobFile, Failure> {
    let need = |value: &Option<String>, flag: &str| {
        value.clone().ok_or_else(|| {
            Failure::Usage(format!("a drawing without a job file needs {flag} (see --help)"))
        })
    };
    let material = source.material.clone().unwrap_or_else(|| "walnut".into());
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
            size: Some(Size(sheet)),
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

/// Flags for a single drawing beside a job file would be silently ignored: refuse them.
fn refuse_drawing_flags(source: &Source) -> Result<(), Failure> {
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
            "{flag} goes with an SVG drawing; {} is a job file and says it itself",
            source.job.display()
        ))),
        None => Ok(()),
    }
}

fn in_file(path: &Path, issue: Issue) -> Failure {
    Failure::Input(format!("{}: {issue}", path.display()))
}
