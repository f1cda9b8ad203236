//! Checks grain: a part's named direction lies along its sheet's grain, either way round.

use super::finding::PartFinding;
use super::prepared::Prepared;
use super::problem::{Problem, What};
use crate::layout::{PartGrain, PlacedPart, Sheet};

/// How far a direction may be off beyond its tolerance, degrees: rounding of a rotation.
const ROUNDING: f64 = 1e-4;

/// Problems of the directions that the layout itself gives.
pub(super) fn check(sheet: &Sheet, parts: &[Prepared], problems: &mut Vec<Problem>) {
    if !sheet.grain_deg.is_finite() {
        return; // already a problem of the sheet
    }
    for part in parts {
        let Some(grain) = &part.placed.grain else { continue };
        if !(grain.deg.is_finite() && (0.0..=180.0).contains(&grain.tolerance_deg)) {
            let (deg, tolerance_deg) = (grain.deg, grain.tolerance_deg);
            let found = PartFinding::GrainNotFinite { deg, tolerance_deg };
            problems.push(Problem::part(What::Number, sheet, part.placed, found));
            continue;
        }
        problems.extend(off(sheet, part, grain, false));
    }
}

/// The problem of a part whose direction `grain` is too far off its sheet's grain; `of_job` if the job requires it.
pub(super) fn off(
    sheet: &Sheet,
    part: &Prepared,
    grain: &PartGrain,
    of_job: bool,
) -> Option<Problem> {
    let angle = angle_to_grain(sheet, part.placed, grain.deg);
    if angle <= grain.tolerance_deg + ROUNDING {
        return None;
    }
    let found = PartFinding::OffGrain { deg: grain.deg, sheet_deg: sheet.grain_deg, of_job };
    let problem = Problem::part(What::Grain, sheet, part.placed, found).at(part.bounds.centre());
    Some(problem.amount(angle, grain.tolerance_deg))
}

/// The angle between a part's own direction where it lies and its sheet's grain, degrees from 0 to 90: a grain line has
/// no sense.
///
/// A flip takes the direction g to 180 - g; the rotation then adds its own angle, +x towards +y like every angle of the file.
fn angle_to_grain(sheet: &Sheet, placed: &PlacedPart, deg: f64) -> f64 {
    let flipped = if placed.mirrored { 180.0 - deg } else { deg };
    let off = (flipped + placed.rotation_deg - sheet.grain_deg).rem_euclid(180.0);
    off.min(180.0 - off)
}
