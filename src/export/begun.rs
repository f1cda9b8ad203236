//! A job file for drawings, complete and commented, which runs as it is and is easy to change.

use super::columns::{Align, columns};
use super::words::{count, fine, size};
use crate::drawing::{Drawing, MarkedBy, SeenMark, largest_bit};
use crate::layout::FeatureKind;
use crate::units::Units;
use std::fmt::Write;

/// The data that a first job file is made from.
pub struct Beginning<'a> {
    /// The job file's name.
    pub file: &'a str,
    /// The drawings, read with the guessed marks, each with its file as the job names it.
    pub drawings: &'a [(String, Drawing)],
    /// The unit of bare numbers.
    pub units: Units,
    /// Whether the drawings state that unit, or `--units` gives it; else it is a guess.
    pub units_known: bool,
    /// Stroke colours of open lines that are taken for engravings.
    pub engraved: &'a [[u8; 3]],
    /// Groups and layers whose names say what their lines are: pockets, holes to drill, engravings.
    pub named: &'a [(FeatureKind, String)],
    /// The material, as a user names it.
    pub material: Option<&'a str>,
    /// The thickness, as written.
    pub thickness: Option<&'a str>,
    /// The sheet's size, as written.
    pub sheet: Option<&'a str>,
}

/// The usual material of a first job; the user is asked to fill in another.
const MATERIAL: &str = "birch plywood";

/// Bits that desktop routers are used with, largest first: as written in an inch job and in a mm job, with their diameter in mm.
const BITS: [[(&str, f64); 4]; 2] = [
    [("6mm", 6.0), ("3mm", 3.0), ("1.5mm", 1.5), ("1mm", 1.0)],
    [("1/4in", 6.35), ("1/8in", 3.175), ("1/16in", 1.5875), ("1/32in", 0.79375)],
];

/// Sheets on sale, smallest first: as written, and their sides in mm.
const SHEETS: [[(&str, f64, f64); 4]; 2] = [
    [
        ("600x300mm", 600.0, 300.0),
        ("600x600mm", 600.0, 600.0),
        ("1200x600mm", 1200.0, 600.0),
        ("2440x1220mm", 2440.0, 1220.0),
    ],
    [
        ("24x12in", 609.6, 304.8),
        ("24x24in", 609.6, 609.6),
        ("48x24in", 1219.2, 609.6),
        ("96x48in", 2438.4, 1219.2),
    ],
];

/// Room that a sheet must have beside its largest part, mm: two margins and two kerfs.
const ROOM: f64 = 25.0;

/// The text of the job file; `tabwright nest` makes it as it stands.
pub fn begun_job(begin: &Beginning) -> String {
    let in_inches = usize::from(begin.units == Units::In);
    let material = text(begin.material.unwrap_or(MATERIAL));
    let thickness = text(begin.thickness.unwrap_or(["6mm", "1/4in"][in_inches]));
    let files: Vec<&str> = begin.drawings.iter().map(|(file, _)| file.as_str()).collect();
    let mut out = format!(
        "# A job file for Tabwright, begun from {}. Text behind a # is a comment.\n\
         # To make the job:       tabwright nest {} -o out\n\
         # Every key, explained:  tabwright keys\n\
         title = {}\n",
        files.join(", "),
        begin.file,
        text(title(files.first().copied().unwrap_or("")))
    );
    let unit = if begin.units == Units::In { ("in", "inches") } else { ("mm", "mm") };
    let from = match begin.units_known {
        true => format!("units of bare numbers and of all output: {}", unit.1),
        false => {
            "FILL IN mm or in: no drawing states its size in mm or inches, so the scale is also a guess"
                .into()
        }
    };
    let _ = write!(out, "units = \"{}\"  # {from}\n\n{}\n", unit.0, marks(begin));
    out += &bit_tables(begin);
    let sheet = begin.sheet.unwrap_or_else(|| sheet(begin, &SHEETS[in_inches]));
    let _ = write!(
        out,
        "# Stock on hand or to be bought.\n[[stock]]\n\
         material = {material}  # FILL IN: `tabwright materials` lists the names\n\
         thickness = {thickness}  # FILL IN: measure it\n\
         size = {}  # FILL IN: length x width; the grain runs along the length\n\
         # quantity = 1  # if absent, as many as needed\n\n",
        text(sheet)
    );
    for (file, drawing) in begin.drawings {
        let _ = write!(
            out,
            "[[drawing]]\nfile = {}\nmaterial = {material}  # FILL IN, as in [[stock]]\n\
             thickness = {thickness}  # FILL IN, as in [[stock]]\nquantity = 1  # sets of all that is drawn\n{}\n",
            text(file),
            parts(drawing, begin.units)
        );
    }
    if let Some(part) = begin.drawings.iter().find_map(|(_, d)| d.parts.first()) {
        let _ = write!(
            out,
            "# Settings for one part:\n# [[part]]\n# name = {}\n# quantity = 2\n",
            text(&part.name)
        );
    }
    out
}

/// The bits on hand, as tables of the job file.
fn bit_tables(begin: &Beginning) -> String {
    let in_inches = usize::from(begin.units == Units::In);
    let mut out = String::from(
        "# Bits on hand: the largest that reaches all parts of a material and thickness is used.\n",
    );
    for (diameter, _) in bits(begin, &BITS[in_inches]) {
        let _ = write!(
            out,
            "[[bit]]\nname = \"{diameter} down-spiral\"\ndiameter = \"{diameter}\"\nflutes = 2\nspiral = \"down\"\n\
             # feed = \"{}\"  # if absent, 2 % of the diameter per tooth\n\n",
            ["1500 mm/min", "60 in/min"][in_inches]
        );
    }
    out
}

/// What was written, and what to do next.
pub fn begun_line(begin: &Beginning) -> String {
    let file = begin.file;
    let kinds = begin.drawings.iter().map(|(_, d)| d.parts.len()).sum();
    let unit = if begin.units == Units::In { "inches" } else { "mm" };
    let from = if begin.units_known {
        ""
    } else {
        " (a guess: no drawing states its size in inches or mm)"
    };
    format!(
        "Written: {file}: {} of part in {}, numbers in {unit}{from}\n\
         Next: fill in material, thickness and sheet where it says FILL IN, then run\n  tabwright nest {file} -o out\n",
        count(kinds, "kind"),
        count(begin.drawings.len(), "drawing")
    )
}

/// The lines that were seen, and the marks guessed from them.
fn marks(begin: &Beginning) -> String {
    let mut seen: Vec<SeenMark> = vec![];
    for sign in begin.drawings.iter().flat_map(|(_, d)| &d.seen) {
        match seen.iter_mut().find(|s| s.by == sign.by) {
            Some(known) => {
                known.elements += sign.elements;
                known.open += sign.open;
            }
            None => seen.push(sign.clone()),
        }
    }
    let rows: Vec<Vec<String>> = seen.iter().map(seen_row).collect();
    let mut out = String::from("# Lines seen in the drawings:\n");
    out += &commented(&columns(&[Align::Left, Align::Left], &rows));
    let _ = write!(
        out,
        "# All solid lines are cut edges, except lines with a mark: pocket, drill, engraving, mark, tab-free or ignore, such as\n\
         # pocket = {{ stroke = \"#0000ff\", depth = \"{}\" }}\n[marks]\n",
        if begin.units == Units::In { "1/16in" } else { "2mm" }
    );
    out + &guessed(begin)
}

/// The marks guessed, a line for each kind.
fn guessed(begin: &Beginning) -> String {
    let mut out = String::new();
    for kind in [FeatureKind::Pocket, FeatureKind::Drill, FeatureKind::Engraving] {
        let of_kind = begin.named.iter().filter(|(k, _)| *k == kind);
        let names: Vec<String> = of_kind.map(|(_, name)| text(name)).collect();
        let open = if kind == FeatureKind::Engraving { begin.engraved } else { &[] };
        let colours: Vec<String> = open.iter().map(|c| format!("\"{}\"", hex(*c))).collect();
        let signs: Vec<String> = [("group", &names), ("stroke", &colours)]
            .into_iter()
            .filter(|(_, list)| !list.is_empty())
            .map(|(sign, list)| format!("{sign} = [{}]", list.join(", ")))
            .collect();
        let because = match (names.is_empty(), colours.is_empty()) {
            (true, true) => continue,
            (false, _) => "by the name of the group",
            (true, false) => "because they are open lines",
        };
        let _ = writeln!(
            out,
            "{} = {{ {} }}  # a guess, {because}: write ignore instead of {} to leave them out",
            kind.name(),
            signs.join(", "),
            kind.name()
        );
    }
    out
}

fn seen_row(sign: &SeenMark) -> Vec<String> {
    let what = match &sign.by {
        MarkedBy::Stroke(colour) => format!("stroke = \"{}\"", hex(*colour)),
        MarkedBy::Group(name) => format!("group = {}", text(name)),
        MarkedBy::Dash => "dash = true".into(),
    };
    let open = match sign.open {
        0 => String::new(),
        n => format!(", {n} with open ends"),
    };
    let left = if sign.by == MarkedBy::Dash {
        ", left out as construction lines unless marked"
    } else {
        ""
    };
    vec![what, format!("{}{open}{left}", count(sign.elements, "element"))]
}

fn hex([r, g, b]: [u8; 3]) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// The drawing's parts as a comment.
fn parts(drawing: &Drawing, units: Units) -> String {
    if drawing.parts.is_empty() {
        return "# No part was found in it: `tabwright inspect` says why.\n".into();
    }
    let mut rows =
        vec![["part", "drawn", "size", "largest bit that cuts it"].map(String::from).to_vec()];
    for part in &drawing.parts {
        let bounds = part.shape.bounds();
        let reach = largest_bit(&part.shape);
        let bit = reach.limit.map_or("any".into(), |_| fine(units, reach.diameter));
        let drawn = format!("{} ×", part.copies);
        rows.push(vec![
            part.name.clone(),
            drawn,
            size(units, bounds.width(), bounds.height()),
            bit,
        ]);
    }
    use Align::{Left, Right};
    format!("# Its parts:\n{}", commented(&columns(&[Left, Right, Right, Right], &rows)))
}

/// The usual bits down to the first that reaches all parts.
fn bits(begin: &Beginning, usual: &'static [(&'static str, f64)]) -> Vec<(&'static str, f64)> {
    let parts = begin.drawings.iter().flat_map(|(_, d)| &d.parts);
    let reach: Vec<_> = parts.map(|p| largest_bit(&p.shape)).collect();
    let reaches = |d: f64| reach.iter().all(|r| r.passes(d, crate::layout::ALLOWANCE));
    // Two at least: the second is there when the first breaks on a thinner sheet.
    let last = usual.iter().position(|&(_, d)| reaches(d)).map_or(usual.len(), |i| i + 1);
    usual[..last.clamp(2, usual.len())].to_vec()
}

/// The smallest usual sheet that takes the largest part.
fn sheet(begin: &Beginning, usual: &'static [(&'static str, f64, f64)]) -> &'static str {
    let parts = begin.drawings.iter().flat_map(|(_, d)| &d.parts);
    let sides = parts.map(|p| (p.shape.bounds().width(), p.shape.bounds().height()));
    let most = sides.fold((0.0, 0.0), |(long, short): (f64, f64), (w, h)| {
        (long.max(w.max(h)), short.max(w.min(h)))
    });
    let takes = |s: &&(&str, f64, f64)| most.0 + ROOM <= s.1 && most.1 + ROOM <= s.2;
    usual.iter().find(takes).unwrap_or(&usual[usual.len() - 1]).0
}

/// A file's name without folder and extension.
fn title(file: &str) -> &str {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

/// A text as it stands in TOML, whose strings are those of JSON.
fn text(text: &str) -> String {
    serde_json::to_string(text).unwrap_or_default()
}

/// Each line as a comment.
fn commented(lines: &str) -> String {
    lines.lines().map(|l| format!("#{l}\n")).collect()
}
