//! Areas and waste: as recorded, as measured, and as drawn.

use super::super::{Part, RandomJob};
use super::Faults;
use super::measure::closed;
use super::reading::{Layout, Placed};
use geo::{Area, Euclidean, Length, Polygon};

/// The chord error, mm: an edge of length L may take or give L times this in area.
const CHORD: f64 = 0.011;

pub fn check(job: &RandomJob, layout: &Layout, faults: &mut Faults) {
    let (mut sheets, mut parts, mut placed) = (0.0, 0.0, 0);
    for sheet in &layout.sheets {
        let area = sheet.outline.unsigned_area();
        let net: f64 = sheet.parts.iter().map(|p| p.shape.unsigned_area()).sum();
        let waste = 100.0 * (1.0 - net / area);
        for (name, says, is) in [
            ("sheet_area", sheet.sheet_area, area),
            ("part_area", sheet.part_area, net),
            ("waste_percent", sheet.waste, waste),
        ] {
            let good = (says - is).abs() <= 1e-6 * is.abs().max(1.0) + 1e-3;
            faults.unless(good, "totals", || format!("{}: {name} {says}, not {is}", sheet.id));
        }
        sheets += area;
        parts += net;
        placed += sheet.parts.len() as u64;
        faults.unless(placed > 0, "totals", || format!("{} is empty", sheet.id));
        sheet.parts.iter().for_each(|p| area_as_drawn(job, p, faults));
    }
    let waste = if sheets > 0.0 { 100.0 * (1.0 - parts / sheets) } else { 0.0 };
    faults.unless((layout.waste - waste).abs() <= 2e-3, "totals", || {
        format!("the whole waste is {}, not {waste}", layout.waste)
    });
    faults.unless(layout.placed == placed, "totals", || {
        format!("parts_placed is {}, not {placed}", layout.placed)
    });
}

fn area_as_drawn(job: &RandomJob, placed: &Placed, faults: &mut Faults) {
    let Some(part) = job.parts.iter().find(|p| p.name == placed.part) else { return };
    let drawn = polygon(part);
    let edge: f64 = Euclidean.length(drawn.exterior())
        + drawn.interiors().iter().map(|r| Euclidean.length(r)).sum::<f64>();
    let (is, should) = (placed.shape.unsigned_area(), drawn.unsigned_area());
    faults.unless((is - should).abs() <= CHORD * edge, "area", || {
        format!("{} has {is} mm², it is drawn with {should}", placed.name)
    });
}

pub fn polygon(part: &Part) -> Polygon {
    Polygon::new(closed(&part.outline), part.openings.iter().map(|o| closed(o)).collect())
}
