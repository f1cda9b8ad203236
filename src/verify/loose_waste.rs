//! Checks that large waste stays in place, is cleared by a pocket, or is listed in the layout as loose.

use super::anchors::Remaining;
use super::finding::SheetFinding;
use super::problem::{Problem, What};
use crate::geometry::{Point, Ring};
use crate::layout::{DropOut, Sheet};

/// Area from which the bit can throw a piece, mm² (common practice, no source), and a share more: pieces are eased.
const THROWN: f64 = 150.0;
const SLACK: f64 = 0.05;

/// Problems of a sheet's loose waste.
pub(super) fn check(
    sheet: &Sheet,
    listed: &[DropOut],
    stock: &Remaining,
    problems: &mut Vec<Problem>,
) {
    for (piece, area, at) in stock.loose() {
        let is_here = |d: &&DropOut| {
            d.sheet == sheet.id && stock.piece_at(Point { x: d.at[0], y: d.at[1] }) == Some(piece)
        };
        // A pocket that clears a piece reaches into the kerfs all round it.
        let clears = |pocket: &Ring| pocket.contains(at) && pocket.area() >= area;
        let cleared = sheet.cleared.iter().any(clears);
        if area < THROWN * (1.0 + SLACK) || cleared || listed.iter().any(|d| is_here(&d)) {
            continue;
        }
        let problem = Problem::sheet(What::Waste, sheet, SheetFinding::LooseWaste);
        problems.push(problem.at(at).amount(area, THROWN));
    }
}
