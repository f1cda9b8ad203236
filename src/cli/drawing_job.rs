//! The job that drawings and flags describe: `nest part.svg --sheet .. --thickness .. --bit ..`.

use super::args::SourceArgs;
use super::bare::Bare;
use super::terminal::Failure;
use crate::job::{BitTable, DrawingTable, Job, JobFile, Length, SizeText, StockTable};
use crate::layout::{Assumed, AssumedValue, Subject, Winding};
use crate::units::{Units, is_in_inches};
use std::path::{Path, PathBuf};

/// The material of drawings if `--material` does not say.
const USUAL_MATERIAL: &str = "walnut";

/// Whether a path names a drawing and not a job file.
pub fn is_drawing(path: &Path) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("svg") || e.eq_ignore_ascii_case("svgz"))
}

/// The job file that drawings and flags stand for; the flags' own numbers are checked here, so that an error names the flag.
pub fn job_of_drawings(source: &SourceArgs, bare: &Bare) -> Result<JobFile, Failure> {
    let material = source.material.clone().unwrap_or_else(|| USUAL_MATERIAL.into());
    let thickness = need(&source.thickness, "--thickness")?;
    let sheet = need(&source.sheet, "--sheet")?;
    let bit = need(&source.bit, "--bit")?;
    bare.length("--thickness", thickness)?;
    bare.size("--sheet", sheet)?;
    bare.length("--bit", bit)?;
    if let Some(margin) = &source.margin {
        bare.length_or_zero("--margin", margin)?;
    }
    let lengths = [thickness, sheet, bit].into_iter().chain(source.margin.as_deref());
    // Who writes every length in inches wants to read inches too.
    let units = lengths.clone().all(is_in_inches).then_some(Units::In);
    let thickness = Length::text(thickness);
    let title = source.sources[0].file_stem().map(|s| s.to_string_lossy().into_owned());
    let drawing = |path: &PathBuf| DrawingTable {
        file: path.to_string_lossy().into_owned(),
        material: material.clone(),
        thickness: thickness.clone(),
        quantity: source.quantity,
        method: None,
        spares: None,
        grain: None,
        grain_tolerance: None,
        mirror: false,
        bit: None,
        dpi: None,
        scale: None,
    };
    Ok(JobFile {
        title: title.unwrap_or_default(),
        units,
        bits: vec![down_spiral(bit)],
        stock: vec![StockTable {
            name: Some(format!("{material} {sheet}")),
            material: material.clone(),
            thickness: thickness.clone(),
            size: Some(SizeText(sheet.into())),
            outline: None,
            open_length: false,
            grain: None,
            quantity: None,
            used: false,
            date: None,
            price: None,
            margin: source.margin.as_deref().map(Length::text),
            keep_clear: vec![],
        }],
        corners: source.corners.clone(),
        drawings: source.sources.iter().map(drawing).collect(),
        ..JobFile::default()
    })
}

/// A bit of which only the diameter is given.
fn down_spiral(diameter: &str) -> BitTable {
    BitTable {
        name: format!("{diameter} down-spiral"),
        diameter: Length::text(diameter),
        flutes: Some(2),
        spiral: Some("down".into()),
        helix: None,
        pass_depth: None,
        feed: None,
        rpm: None,
        allowance: None,
        materials: vec![],
    }
}

fn need<'a>(value: &'a Option<String>, flag: &str) -> Result<&'a str, Failure> {
    value.as_deref().ok_or_else(|| {
        Failure::Usage(format!(
            "a drawing without a job file needs {flag}: add it, or run `tabwright begin` to get a job file for your drawings"
        ))
    })
}

/// Notes the values that the flags leave open.
pub fn assumed_by_flags(source: &SourceArgs, job: &mut Job) {
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

/// Refuses flags for drawings beside a job file, which would be silently ignored.
pub fn refuse_drawing_flags(source: &SourceArgs) -> Result<(), Failure> {
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
            "{flag} is only for SVG drawings; {} is a job file and sets it itself",
            source.sources[0].display()
        ))),
        None => Ok(()),
    }
}
