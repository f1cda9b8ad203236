//! `tabwright begin`: writes a job file for drawings; it never overwrites a file.

use super::args::Begin;
use super::bare::Bare;
use super::files::{read_text, same_file, write_new};
use super::terminal::{Answer, Failure, Terminal, print};
use crate::drawing::{Drawing, MarkRule, MarkedBy, ReadOptions, Severity, read, stated_units};
use crate::export::{Beginning, begun_job, begun_line, drawing_fault_line};
use crate::layout::FeatureKind;
use crate::units::{Units, is_in_inches};
use std::path::{Path, PathBuf};

/// Runs the command.
pub fn run(args: &Begin, terminal: &Terminal) -> Result<Answer, Failure> {
    let mut texts: Vec<(&PathBuf, String)> = vec![];
    for path in &args.drawings {
        if !texts.iter().any(|(known, _)| same_file(known, path)) {
            texts.push((path, read_text(path)?));
        }
    }
    let stated = Bare::agreed(texts.iter().map(|(_, text)| stated_units(text)));
    // Who writes both flags in inches works in inches, whatever the pixels of a drawing are.
    let flags: Vec<&str> =
        [&args.thickness, &args.sheet].into_iter().filter_map(|f| f.as_deref()).collect();
    let inches = !flags.is_empty() && flags.iter().all(|flag| is_in_inches(flag));
    let known = terminal.units.or(stated).or(inches.then_some(Units::In));
    let units = known.unwrap_or_default();
    let bare = Bare::new(terminal.units, stated);
    if let Some(thickness) = &args.thickness {
        bare.length("--thickness", thickness)?;
    }
    if let Some(sheet) = &args.sheet {
        bare.size("--sheet", sheet)?;
    }
    let read_all = |options: &ReadOptions| -> Result<Vec<(String, Drawing)>, Failure> {
        let of = |(path, text): &(&PathBuf, String)| {
            let name = path.display().to_string();
            let drawing = read(text, &name, options).map_err(|e| Failure::Input(e.to_string()))?;
            Ok((seen_from(&args.output, path), drawing))
        };
        texts.iter().map(of).collect()
    };
    let mut drawings = read_all(&ReadOptions::default())?;
    let engraved = open_colours(&drawings);
    let named = named_groups(&drawings);
    let marks = guessed_marks(&engraved, &named);
    if !marks.is_empty() {
        let seen: Vec<_> = drawings.iter().map(|(_, d)| d.seen.clone()).collect();
        drawings = read_all(&ReadOptions { marks, ..ReadOptions::default() })?;
        // What was seen without the marks is what the file tells of.
        drawings.iter_mut().zip(seen).for_each(|((_, d), seen)| d.seen = seen);
    }
    tell_faults(&drawings, units, terminal);
    let file = args.output.display().to_string();
    let begin = Beginning {
        file: &file,
        drawings: &drawings,
        units,
        units_known: known.is_some(),
        engraved: &engraved,
        named: &named,
        material: args.material.as_deref(),
        thickness: args.thickness.as_deref(),
        sheet: args.sheet.as_deref(),
    };
    write_new(&args.output, &begun_job(&begin))?;
    print(&begun_line(&begin))?;
    let good = drawings.iter().all(|(_, d)| !d.has_errors() && !d.parts.is_empty());
    Ok(if good { Answer::Yes } else { Answer::No })
}

/// The marks that the file proposes: strokes of these colours are engravings, these groups what their names say.
fn guessed_marks(engraved: &[[u8; 3]], named: &[(FeatureKind, String)]) -> Vec<MarkRule> {
    let engraving =
        |colour: &[u8; 3]| MarkRule { by: MarkedBy::Stroke(*colour), kind: FeatureKind::Engraving };
    let group = |(kind, name): &(FeatureKind, String)| MarkRule {
        by: MarkedBy::Group(name.clone()),
        kind: *kind,
    };
    engraved.iter().map(engraving).chain(named.iter().map(group)).collect()
}

/// Colours that only open lines have, where outlines have another colour: such lines are taken for engravings.
fn open_colours(drawings: &[(String, Drawing)]) -> Vec<[u8; 3]> {
    let mut colours: Vec<([u8; 3], usize, usize)> = vec![];
    for sign in drawings.iter().flat_map(|(_, d)| &d.seen) {
        let MarkedBy::Stroke(colour) = sign.by else { continue };
        match colours.iter_mut().find(|c| c.0 == colour) {
            Some(c) => (c.1, c.2) = (c.1 + sign.elements, c.2 + sign.open),
            None => colours.push((colour, sign.elements, sign.open)),
        }
    }
    let others = colours.iter().any(|c| c.2 < c.1);
    let only_open = |c: &&([u8; 3], usize, usize)| others && c.1 == c.2;
    colours.iter().filter(only_open).map(|c| c.0).collect()
}

/// Names of groups and layers that say what their lines are.
const NAMES: [(FeatureKind, &[&str]); 3] = [
    (FeatureKind::Pocket, &["pocket", "pockets"]),
    (FeatureKind::Drill, &["drill", "drills", "drilling", "drill holes"]),
    (FeatureKind::Engraving, &["engrave", "engraving", "engravings"]),
];

/// Groups and layers whose names say what their lines are, in the order of [`NAMES`].
fn named_groups(drawings: &[(String, Drawing)]) -> Vec<(FeatureKind, String)> {
    let mut named: Vec<(FeatureKind, String)> = vec![];
    let signs = drawings.iter().flat_map(|(_, d)| &d.seen);
    let groups: Vec<&String> = signs
        .filter_map(|s| if let MarkedBy::Group(name) = &s.by { Some(name) } else { None })
        .collect();
    for (kind, words) in NAMES {
        let plain = |name: &str| name.to_lowercase().replace(['-', '_'], " ");
        for name in groups.iter().filter(|n| words.contains(&plain(n).trim())) {
            if !named.iter().any(|(_, known)| known == *name) {
                named.push((kind, name.to_string()));
            }
        }
    }
    named
}

fn tell_faults(drawings: &[(String, Drawing)], units: Units, terminal: &Terminal) {
    for (_, drawing) in drawings {
        for fault in &drawing.faults {
            let kind = if fault.severity == Severity::Error { "error" } else { "note" };
            terminal
                .complain(kind, &format!("{}: {}", drawing.name, drawing_fault_line(fault, units)));
        }
    }
}

/// The path of a drawing as a job file names it: from the job file's folder.
fn seen_from(job: &Path, drawing: &Path) -> String {
    let folder = job.parent().filter(|f| !f.as_os_str().is_empty());
    let (Some(folder), false) = (folder, drawing.is_absolute()) else {
        return drawing.to_string_lossy().into_owned();
    };
    let (Ok(from), Ok(to)) = (std::path::absolute(folder), std::path::absolute(drawing)) else {
        return drawing.to_string_lossy().into_owned();
    };
    let shared = from.components().zip(to.components()).take_while(|(a, b)| a == b).count();
    let up = from.components().skip(shared).map(|_| "..".to_string());
    let down = to.components().skip(shared).map(|c| c.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}
