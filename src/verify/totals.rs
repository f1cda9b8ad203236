//! Checks the records: areas, waste and counts agree with the geometry.

use super::finding::{LayoutFinding, Record};
use super::problem::{Problem, What};
use super::rules::Rules;
use crate::layout::{Layout, Sheet, waste_percent};
use std::collections::{BTreeMap, BTreeSet};

/// How far a recorded area may be off, as a fraction of itself; at least [`AREA`] mm².
const AREA_RELATIVE: f64 = 1e-6;
const AREA: f64 = 0.01;
/// How far a recorded waste may be off, percent: figures with two decimals pass.
const PERCENT: f64 = 0.0051;

/// Problems of the figures of one sheet.
pub(super) fn check_sheet(sheet: &Sheet, problems: &mut Vec<Problem>) {
    let mut measured = sheet.clone();
    measured.total();
    let mut must = |figure: Record, recorded: f64, measured: f64, tolerance: f64| {
        let agrees = (recorded - measured).abs() <= tolerance;
        if !agrees {
            let problem = Problem::sheet(What::Record, sheet, LayoutFinding::Recorded { figure });
            problems.push(problem.amount(recorded, measured));
        }
    };
    let area = |a: f64| AREA.max(AREA_RELATIVE * a);
    must(Record::SheetArea, sheet.sheet_area, measured.sheet_area, area(measured.sheet_area));
    must(Record::PartArea, sheet.part_area, measured.part_area, area(measured.part_area));
    must(Record::WastePercent, sheet.waste_percent, measured.waste_percent, PERCENT);
}

/// Problems of the whole layout's figures and counts.
pub(super) fn check_layout(layout: &Layout, rules: &Rules, problems: &mut Vec<Problem>) {
    let placed: usize = layout.sheets.iter().map(|s| s.parts.len()).sum();
    if layout.parts_placed != placed {
        let found = LayoutFinding::Recorded { figure: Record::PartsPlaced };
        let problem = Problem::layout(What::Record, found);
        problems.push(problem.amount(layout.parts_placed as f64, placed as f64));
    }
    // From the outlines, so that a wrong sheet is not reported twice in other words.
    let parts: f64 =
        layout.sheets.iter().flat_map(|s| &s.parts).map(|p| p.shape().net_area()).sum();
    let sheets: f64 = layout.sheets.iter().map(|s| s.outline.area()).sum();
    let waste = waste_percent(parts, sheets);
    let agrees = (layout.waste_percent - waste).abs() <= PERCENT;
    if !agrees {
        let found = LayoutFinding::Recorded { figure: Record::WastePercent };
        problems.push(Problem::layout(What::Record, found).amount(layout.waste_percent, waste));
    }
    left_over(layout, problems);
    counts(layout, rules, problems);
}

/// Checks that a copy is listed as not placed once, and only if it is not placed.
fn left_over(layout: &Layout, problems: &mut Vec<Problem>) {
    let asked = layout.sheets.iter().flat_map(|s| &s.parts).filter(|p| !p.spare);
    let placed: BTreeSet<(&str, usize)> = asked.map(|p| (p.part.as_str(), p.copy)).collect();
    let mut left: BTreeSet<(&str, usize)> = BTreeSet::new();
    for (part, copy) in layout.unplaced.iter().map(|u| (u.part.as_str(), u.copy)) {
        let (name, number) = (part.to_string(), copy);
        let found = if placed.contains(&(part, copy)) {
            LayoutFinding::PlacedAndLeft { name, number }
        } else if !left.insert((part, copy)) {
            LayoutFinding::LeftTwice { name, number }
        } else {
            continue;
        };
        problems.push(Problem::layout(What::Count, found));
    }
}

/// Checks that every copy that the job asks for is placed or listed as not placed.
fn counts(layout: &Layout, rules: &Rules, problems: &mut Vec<Problem>) {
    let mut found: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let asked = layout.sheets.iter().flat_map(|s| &s.parts).filter(|p| !p.spare);
    for part in asked {
        found.entry(&part.part).or_default().0 += 1;
    }
    for left in &layout.unplaced {
        found.entry(&left.part).or_default().1 += 1;
    }
    let Some(counts) = rules.counts else { return };
    for (name, wanted) in counts {
        let (placed, left) = found.remove(name.as_str()).unwrap_or_default();
        if placed + left != *wanted {
            let (name, asked) = (name.clone(), *wanted);
            let found = LayoutFinding::WrongCount { name, asked, placed, left };
            let problem = Problem::layout(What::Count, found);
            problems.push(problem.amount((placed + left) as f64, *wanted as f64));
        }
    }
    for (name, _) in found {
        let found = LayoutFinding::NoSuchPart { name: name.into() };
        problems.push(Problem::layout(What::Count, found));
    }
}
