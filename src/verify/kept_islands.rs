//! Checks that the tabs which keep an island of waste bear what they must.
//!
//! An island on which a part hangs must bear the worst load of the cut that runs along it last; one on which nothing hangs need
//! not come loose at the nominal load. Helping parts bear no more than their own tabs are planned for. The model is the plan's
//! simpler half ([`KeptPiece`]): the island is rigid there too, so a claim may exceed it only by where the bit is sampled.

use super::anchors::Remaining;
use super::claims::whole;
use super::finding::ClaimFinding;
use super::prepared::Prepared;
use super::problem::{Problem, What};
use super::rigid_part::{KeptPiece, MeasuredOutline, StockNumbers};
use crate::geometry::Point;
use crate::layout::{Sheet, Tab};

/// Greatest ratio of what is required to what the model gives: it gave at least 1.03 times that on 83 sound islands of the tide
/// clock, `hang = "parts"` (notebook); the rest is for where the bit is sampled (set by hand).
const KEPT: f64 = 1.1;

/// Problems of the islands that a sheet's parts keep.
pub(super) fn check(
    sheet: &Sheet,
    parts: &[Prepared],
    stock: &Remaining,
    problems: &mut Vec<Problem>,
) {
    let Some(numbers) = StockNumbers::new(sheet).filter(|_| whole(sheet)) else {
        return; // a problem of the claims already
    };
    for (piece, keepers) in stock.kept() {
        let lands = |t: &&Tab| stock.under(sheet, t) == Some(piece);
        let tabs = keepers.iter().flat_map(|&k| {
            let of_waste = parts[k].placed.hold.tabs.iter().filter(|t| t.waste);
            of_waste.filter(lands).map(move |t| (k, t))
        });
        let tabs: Vec<(usize, &Tab)> = tabs.collect();
        let Some(&(keeper, first)) = tabs.last() else { continue };
        let hold = &parts[keeper].placed.hold;
        let own = hold.tabs.iter().find(|t| t.holds());
        let kept = KeptPiece {
            edge: MeasuredOutline::new(&parts[keeper].placed.outline),
            start: own.map_or_else(Point::default, |t| t.at),
            tabs,
            borders: &|place| stock.borders(sheet, first, place),
        };
        let loads = kept.under(&numbers, hold.last_pass, hold.load_n);
        let hangs = |p: &Prepared| p.placed.hold.tabs.iter().any(|t| t.holds() && lands(&t));
        let share = if parts.iter().any(hangs) { 1.0 } else { 1.0 / sheet.cut.factor };
        let needs = numbers.rules.safety_tab_shear * share;
        let mut bad = |part: usize, found: ClaimFinding, amount: f64, limit: f64| {
            let problem = Problem::part(What::Claim, sheet, parts[part].placed, found);
            problems.push(problem.at(first.at).amount(amount, limit));
        };
        if loads.ratio.is_nan() || loads.ratio * KEPT < needs {
            bad(keeper, ClaimFinding::KeepsTooWeakly, loads.ratio, needs);
        }
        for (part, force) in loads.reach.into_iter().filter(|(part, _)| *part != keeper) {
            let bears = parts[part].placed.hold.load_n;
            if force.is_nan() || force * share > bears * KEPT {
                bad(part, ClaimFinding::HelpsTooMuch, force * share, bears);
            }
        }
    }
}
