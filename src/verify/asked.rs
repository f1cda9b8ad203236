//! Checks a layout against its job: copies, pins, flips, grain, and the stock that each sheet is cut from.

use super::copies::{features_differ, rings_differ};
use super::finding::{Figure, Finding, JobFinding, PartFinding, Reference};
use super::grain;
use super::prepared::Prepared;
use super::problem::{Problem, What};
use super::rules::{Asked, AskedPart, AskedStock, Rules};
use crate::geometry::{Pose, Ring, Vector, point};
use crate::layout::{Feature, Layout, Sheet};
use std::collections::BTreeMap;

/// Two thicknesses nearer than this are the same stock, mm: the resolution of rulers and callipers.
const SAME_THICKNESS: f64 = 0.05;
/// How far a rotation may be off its pin, degrees: rounding.
const TURN: f64 = 1e-4;

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
            let found = JobFinding::StockUsedUp { stock: name.into() };
            let problem = Problem::layout(What::Stock, found);
            problems.push(problem.amount(used as f64, have as f64));
        }
    }
    for note in layout.notes.iter().filter(|note| note.accepts_corners()) {
        if !asked.parts.iter().any(|p| p.name == note.part && p.rounded) {
            let found = JobFinding::CornersNotAccepted { part: note.part.clone() };
            problems.push(Problem::layout(What::Fault, found));
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
                problems.extend(part_of(sheet, number, part, wish, rules));
            }
        }
    }
}

/// Problems of a placed copy against its part.
fn part_of(
    sheet: &Sheet,
    number: usize,
    part: &Prepared,
    asked: &AskedPart,
    rules: &Rules,
) -> Vec<Problem> {
    let (placed, mut problems) = (part.placed, vec![]);
    let report =
        |what, found: Finding| Problem::part(what, sheet, placed, found).at(part.bounds.centre());
    if sheet.material != asked.material
        || (sheet.thickness - asked.thickness).abs() >= SAME_THICKNESS
    {
        let (material, asked_of) = (sheet.material.clone(), asked.material.clone());
        let found = JobFinding::OnOtherStock { material, asked: asked_of };
        problems.push(report(What::Stock, found.into()).amount(sheet.thickness, asked.thickness));
    }
    let (copies, most) = (asked.copies, asked.copies + asked.spares);
    if placed.copy == 0 || placed.copy > most || placed.spare != (placed.copy > copies) {
        let found = JobFinding::NotAskedFor { copies, spares: asked.spares };
        problems.push(report(What::Count, found.into()).amount(placed.copy as f64, most as f64));
    }
    let own = |f: &Feature| f.map(|p| placed.pose().inverse(p));
    let features: Vec<Feature> = placed.features.iter().map(own).collect();
    if features_differ(&asked.features, &features, rules.slack()) {
        let found = PartFinding::OtherFeatures { than: Reference::Job };
        problems.push(report(What::Feature, found.into()));
    }
    // A pin lays its copy as it likes.
    if let Some(pin) = placed.copy.checked_sub(1).and_then(|k| asked.pins.get(k)) {
        problems.extend(unpinned(sheet, number, part, pin, rules.slack()));
        return problems;
    }
    if placed.mirrored && !asked.mirror {
        problems.push(report(What::Flip, JobFinding::Flipped.into()));
    }
    if let Some(wish) = asked.grain.filter(|_| sheet.grain_deg.is_finite()) {
        problems.extend(grain::off(sheet, part, &wish, true));
    }
    problems
}

/// The problem of a pinned copy that does not lie where its pin puts it.
fn unpinned(
    sheet: &Sheet,
    number: usize,
    part: &Prepared,
    (on, pin): &(usize, Pose),
    slack: f64,
) -> Option<Problem> {
    let on = *on;
    let pose = part.placed.pose();
    let apart = pose.offset.distance(pin.offset);
    let turn = (pose.rotation - pin.rotation).to_degrees().rem_euclid(360.0);
    let turned = turn.min(360.0 - turn);
    // Sheets before it that stay empty are not cut, and do not count.
    let found = if number > on {
        JobFinding::PinnedOnOtherSheet { number: number + 1, pin: on + 1 }
    } else if pose.mirrored != pin.mirrored {
        JobFinding::PinnedFlipped
    } else if apart > slack {
        JobFinding::PinnedApart
    } else if turned > TURN {
        JobFinding::PinnedRotated { deg: turned }
    } else {
        return None;
    };
    let problem = Problem::part(What::Pin, sheet, part.placed, found);
    Some(problem.at(pose.offset).amount(apart, 0.0))
}

/// Whether the sheet is held down as the job says.
fn held_down(sheet: &Sheet, asked: &Asked, problems: &mut Vec<Problem>) {
    if let Some(wish) = asked.hold_down.filter(|wish| *wish != sheet.hold_down) {
        let found = JobFinding::HeldDown { by: sheet.hold_down, asked: wish };
        problems.push(Problem::sheet(What::Anchor, sheet, found));
    }
}

/// Checks the sheet against the stock whose name it carries.
fn stock_of(sheet: &Sheet, asked: &Asked, slack: f64, problems: &mut Vec<Problem>) {
    let named = asked.stock.iter().filter(|s| s.name == sheet.stock);
    let faults = named.map(|s| differences(sheet, s, slack));
    // Of several of one name it need be only one.
    match faults.min_by_key(Vec::len) {
        None => {
            let found = JobFinding::NoSuchStock { stock: sheet.stock.clone() };
            problems.push(Problem::sheet(What::Stock, sheet, found));
        }
        Some(faults) => problems.extend(faults),
    }
}

/// How a sheet differs from the stock it is cut from.
fn differences(sheet: &Sheet, stock: &AskedStock, slack: f64) -> Vec<Problem> {
    let mut found = vec![];
    let problem = |found: JobFinding| Problem::sheet(What::Stock, sheet, found);
    let name = || stock.name.clone();
    if sheet.material != stock.material {
        let (material, asked) = (sheet.material.clone(), stock.material.clone());
        found.push(problem(JobFinding::StockMaterial { stock: name(), material, asked }));
    }
    let mut number = |figure: Figure, own: f64, job: f64, tolerance: f64| {
        let same = (own - job).abs() <= tolerance;
        if !same {
            found.push(problem(JobFinding::StockFigure { stock: name(), figure }).amount(own, job));
        }
    };
    number(Figure::Thickness, sheet.thickness, stock.thickness, SAME_THICKNESS);
    number(Figure::Margin, sheet.margin, stock.margin, slack);
    number(Figure::BitDiameter, sheet.bit.diameter, stock.bit, slack);
    number(Figure::Gap, sheet.gap, stock.gap, slack);
    let grain = (sheet.grain_deg - stock.grain_deg).rem_euclid(180.0);
    if grain.min(180.0 - grain) > TURN {
        let grain = JobFinding::StockFigure { stock: name(), figure: Figure::GrainDeg };
        found.push(problem(grain).amount(sheet.grain_deg, stock.grain_deg));
    }
    let length = sheet.outline.bounds().max.x;
    let edge = if stock.open_length && length <= stock.outline.bounds().max.x {
        stock.outline.map(|p| point(if p.x > 0.0 { length } else { p.x }, p.y))
    } else {
        stock.outline.clone()
    };
    if let Some(differ) = rings_differ(&edge, &sheet.outline, slack) {
        found.push(problem(JobFinding::StockOutline { stock: name(), differ }));
    }
    let mut clamps = sheet.clamps.iter();
    let of_job = |own: &&Ring| stock.clamps.iter().any(|c| rings_differ(c, own, slack).is_none());
    if let Some(clamp) = clamps.find(|own| !of_job(own)) {
        let strange = JobFinding::StrangeClamp { stock: name() };
        found.push(problem(strange).at(clamp.bounds().centre()));
    }
    let mut left: Vec<&Ring> = sheet.keep_clear.iter().collect();
    for area in &stock.keep_clear {
        match left.iter().position(|own| rings_differ(area, own, slack).is_none()) {
            Some(i) => {
                left.swap_remove(i);
            }
            None => {
                let at = area.bounds().centre();
                found.push(problem(JobFinding::KeepClearMissing { stock: name() }).at(at));
            }
        }
    }
    found
}
