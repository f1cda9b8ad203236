//! A layout against its job: copies, pins, flips, grain, and the stock that each sheet is cut from.
//!
//! What the job asks for comes as plain values, so that this stage need not know the job's types.

use super::Rules;
use super::copies::{features_differ, rings_differ};
use super::grain;
use super::prepared::Prepared;
use super::problem::{Problem, What, mm, trimmed};
use crate::geometry::{Pose, Ring, Vector, point};
use crate::layout::{Feature, HoldDown, Layout, PartGrain, Sheet};
use std::collections::BTreeMap;

/// Two thicknesses nearer than this are the same stock, mm: what rulers and callipers read.
const SAME_THICKNESS: f64 = 0.05;
/// How far a turn may be off its pin, degrees: rounding.
const TURN: f64 = 1e-4;

/// What a job asks for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Asked {
    /// Its parts.
    pub parts: Vec<AskedPart>,
    /// The stock it may use.
    pub stock: Vec<AskedStock>,
    /// What holds the sheets down, where the job says.
    pub hold_down: Option<HoldDown>,
}

/// A part as the job asks for it.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedPart {
    /// Its name.
    pub name: String,
    /// The material's name, as sheets have it.
    pub material: String,
    /// mm.
    pub thickness: f64,
    /// Copies to make; they are numbered from 1.
    pub copies: usize,
    /// Extra copies that are welcome; their numbers go on.
    pub spares: usize,
    /// Whether it may be flipped.
    pub mirror: bool,
    /// The direction along the grain; `None` where any will do.
    pub grain: Option<PartGrain>,
    /// Where the first copies must lie: number of the sheet among those of the material and thickness (from 0; an empty
    /// sheet before it is not cut, so the copy may lie on an earlier number), and pose.
    pub pins: Vec<(usize, Pose)>,
    /// What is drawn in it, in its own frame.
    pub features: Vec<Feature>,
}

/// Stock as the job describes it, with the bit and the gap of the parts it serves.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedStock {
    /// Its name in the job.
    pub name: String,
    /// Its material's name, as sheets have it.
    pub material: String,
    /// mm.
    pub thickness: f64,
    /// How many there are; `None` for as many as needed.
    pub quantity: Option<usize>,
    /// Its edge, mm.
    pub outline: Ring,
    /// Sold by length along x: a sheet may be shorter.
    pub open_length: bool,
    /// Least distance from a part to the edge, mm.
    pub margin: f64,
    /// Clamps, screws, knots.
    pub keep_clear: Vec<Ring>,
    /// Those that hold the sheet down.
    pub clamps: Vec<Ring>,
    /// Direction of the grain, degrees.
    pub grain_deg: f64,
    /// Diameter of the bit, mm.
    pub bit: f64,
    /// Least distance between parts, mm.
    pub gap: f64,
}

/// Problems of the whole layout against what was asked.
pub(super) fn check(
    layout: &Layout,
    prepared: &[(Vec<Prepared>, Vec<Problem>)],
    rules: &Rules,
    problems: &mut Vec<Problem>,
) {
    let Some(asked) = rules.asked else { return };
    let mut used: BTreeMap<&str, usize> = BTreeMap::new();
    for sheet in &layout.sheets {
        *used.entry(&sheet.stock).or_default() += 1;
        stock_of(sheet, asked, rules.slack(), problems);
        held_down(sheet, asked, problems);
    }
    for (name, used) in used {
        let named: Vec<&AskedStock> = asked.stock.iter().filter(|s| s.name == name).collect();
        // Several entries of one name add up; one without a number is as many as needed.
        let have: Option<usize> = named.iter().map(|s| s.quantity).sum();
        if let Some(have) = have.filter(|&have| used > have && !named.is_empty()) {
            let message = format!("{name}: {used} sheets are cut from it, the job has {have}");
            let problem = Problem::layout(What::Stock, message);
            problems.push(problem.amount(used as f64, have as f64));
        }
    }
    // Number of each sheet among those of its material and thickness.
    let mut kinds: Vec<(&str, f64, usize)> = vec![];
    for (sheet, (parts, _)) in layout.sheets.iter().zip(prepared) {
        let same = |k: &&mut (&str, f64, usize)| k.0 == sheet.material && k.1 == sheet.thickness;
        let number = match kinds.iter_mut().find(same) {
            Some(kind) => {
                kind.2 += 1;
                kind.2
            }
            None => {
                kinds.push((&sheet.material, sheet.thickness, 0));
                0
            }
        };
        for part in parts {
            // A part that the job does not have is named by the counts.
            if let Some(wish) = asked.parts.iter().find(|a| a.name == part.placed.part) {
                part_of(sheet, number, part, wish, rules, problems);
            }
        }
    }
}

/// A placed copy against its part.
fn part_of(
    sheet: &Sheet,
    number: usize,
    part: &Prepared,
    asked: &AskedPart,
    rules: &Rules,
    problems: &mut Vec<Problem>,
) {
    let placed = part.placed;
    let report = |what, message: String| {
        Problem::part(what, sheet, placed, message).at(part.bounds.centre())
    };
    if sheet.material != asked.material
        || (sheet.thickness - asked.thickness).abs() >= SAME_THICKNESS
    {
        let (own, wish) = (mm(sheet.thickness), mm(asked.thickness));
        let message = format!(
            "lies on {} of {own}, the job asks for {} of {wish}",
            sheet.material, asked.material
        );
        problems.push(report(What::Stock, message).amount(sheet.thickness, asked.thickness));
    }
    let (copies, most) = (asked.copies, asked.copies + asked.spares);
    if placed.copy == 0 || placed.copy > most || placed.spare != (placed.copy > copies) {
        let (owed, spares) = (asked.copies, asked.spares);
        let message = format!("is not among the {owed} copies and {spares} spares of the job");
        problems.push(report(What::Count, message).amount(placed.copy as f64, most as f64));
    }
    let own = |f: &Feature| f.map(|p| placed.pose().inverse(p));
    let features: Vec<Feature> = placed.features.iter().map(own).collect();
    if features_differ(&asked.features, &features, rules.slack()) {
        let message = "does not carry the features of the job's part".to_string();
        problems.push(report(What::Feature, message));
    }
    // A pin lays its copy as it likes.
    if let Some((on, pin)) = placed.copy.checked_sub(1).and_then(|k| asked.pins.get(k)) {
        problems.extend(unpinned(sheet, number, part, *on, pin, rules.slack()));
        return;
    }
    if placed.mirrored && !asked.mirror {
        problems.push(report(What::Flip, "is flipped, the job does not allow it".into()));
    }
    if let Some(wish) = asked.grain.filter(|_| sheet.grain_deg.is_finite()) {
        problems.extend(grain::off(sheet, part, &wish, ", as the job asks"));
    }
}

/// The problem of a pinned copy that does not lie where its pin puts it.
fn unpinned(
    sheet: &Sheet,
    number: usize,
    part: &Prepared,
    on: usize,
    pin: &Pose,
    slack: f64,
) -> Option<Problem> {
    let pose = part.placed.pose();
    let apart = pose.offset.distance(pin.offset);
    let turn = (pose.rotation - pin.rotation).to_degrees().rem_euclid(360.0);
    let turned = turn.min(360.0 - turn);
    // Sheets before it that stay empty are not cut, and do not count.
    let why = if number > on {
        format!("it lies on sheet {}, not sheet {}", number + 1, on + 1)
    } else if pose.mirrored != pin.mirrored {
        "it is flipped".to_string()
    } else if apart > slack {
        format!("it lies {} from it", mm(apart))
    } else if turned > TURN {
        format!("it is turned by {} degrees from it", trimmed(turned))
    } else {
        return None;
    };
    let message = format!("is not where its pin puts it: {why}");
    let problem = Problem::part(What::Pin, sheet, part.placed, message);
    Some(problem.at(pose.offset).amount(apart, 0.0))
}

/// The sheet is held down as the job says.
fn held_down(sheet: &Sheet, asked: &Asked, problems: &mut Vec<Problem>) {
    let word = |h: HoldDown| match h {
        HoldDown::Clamps => "clamps",
        HoldDown::Tape => "tape",
    };
    if let Some(wish) = asked.hold_down.filter(|wish| *wish != sheet.hold_down) {
        let (own, wish) = (word(sheet.hold_down), word(wish));
        let message = format!("is held down by {own}, the job asks for {wish}");
        problems.push(Problem::sheet(What::Anchor, sheet, message));
    }
}

/// The sheet against the stock whose name it carries.
fn stock_of(sheet: &Sheet, asked: &Asked, slack: f64, problems: &mut Vec<Problem>) {
    let named = asked.stock.iter().filter(|s| s.name == sheet.stock);
    let faults = named.map(|s| differences(sheet, s, slack));
    // Of several of one name it need be only one.
    match faults.min_by_key(Vec::len) {
        None => {
            let message = format!("is cut from '{}', the job has no such stock", sheet.stock);
            problems.push(Problem::sheet(What::Stock, sheet, message));
        }
        Some(faults) => problems.extend(faults),
    }
}

/// How a sheet differs from the stock it is cut from.
fn differences(sheet: &Sheet, stock: &AskedStock, slack: f64) -> Vec<Problem> {
    let mut found = vec![];
    let problem = |message: String| Problem::sheet(What::Stock, sheet, message);
    if sheet.material != stock.material {
        let (own, job) = (&sheet.material, &stock.material);
        found.push(problem(format!("is of {own}, '{}' is {job} in the job", stock.name)));
    }
    let mut number = |name: &str, own: f64, job: f64, tolerance: f64| {
        let same = (own - job).abs() <= tolerance;
        if !same {
            let message =
                format!("{name} is {}, the job has {} for '{}'", mm(own), mm(job), stock.name);
            found.push(problem(message).amount(own, job));
        }
    };
    number("thickness", sheet.thickness, stock.thickness, SAME_THICKNESS);
    number("margin", sheet.margin, stock.margin, slack);
    number("bit diameter", sheet.bit.diameter, stock.bit, slack);
    number("gap", sheet.gap, stock.gap, slack);
    let grain = (sheet.grain_deg - stock.grain_deg).rem_euclid(180.0);
    if grain.min(180.0 - grain) > TURN {
        let (own, job) = (trimmed(sheet.grain_deg), trimmed(stock.grain_deg));
        let message =
            format!("its grain lies at {own} degrees, the job has {job} for '{}'", stock.name);
        found.push(problem(message).amount(sheet.grain_deg, stock.grain_deg));
    }
    let length = sheet.outline.bounds().max.x;
    let edge = if stock.open_length && length <= stock.outline.bounds().max.x {
        stock.outline.map(|p| point(if p.x > 0.0 { length } else { p.x }, p.y))
    } else {
        stock.outline.clone()
    };
    if let Some(by) = rings_differ(&edge, &sheet.outline, slack) {
        let message = format!("its outline is not that of '{}': they differ by {by}", stock.name);
        found.push(problem(message));
    }
    let mut clamps = sheet.clamps.iter();
    let of_job = |own: &&Ring| stock.clamps.iter().any(|c| rings_differ(c, own, slack).is_none());
    if let Some(clamp) = clamps.find(|own| !of_job(own)) {
        let message = format!("a clamp on the sheet is none of '{}'", stock.name);
        found.push(problem(message).at(clamp.bounds().centre()));
    }
    let mut left: Vec<&Ring> = sheet.keep_clear.iter().collect();
    for area in &stock.keep_clear {
        match left.iter().position(|own| rings_differ(area, own, slack).is_none()) {
            Some(i) => {
                left.swap_remove(i);
            }
            None => {
                let at = area.bounds().centre();
                let message = format!("a keep-clear area of '{}' is not on the sheet", stock.name);
                found.push(problem(message).at(at));
            }
        }
    }
    found
}
