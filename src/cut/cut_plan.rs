//! The plan of a sheet: order, paths, and the stock that the simulated cut leaves.

use super::anchor::{self, PartTie, WastePiece};
use super::cut_fault::CutFault;
use super::detail::{Details, Widened};
use super::order::{self, Operation, Work};
use super::path::{PartPaths, Pass, Path};
use super::ready::Ready;
use super::usable::usable;
use super::{passes, sweep, upper, whole};
use crate::geometry::Vector;
use crate::layout::Sheet;

/// How a sheet is cut, and what the cut leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPlan {
    /// The steps, first to last.
    pub order: Vec<Operation>,
    /// Travel between the cuts with the bit up, mm.
    pub travel: f64,
    /// Centre-lines, one entry per part, in the order of [`Sheet::parts`].
    pub paths: Vec<PartPaths>,
    /// Pieces of the skeleton that are not clamped: waste that comes loose, or hangs on tabs.
    pub drop_outs: Vec<WastePiece>,
    /// How each part is tied, in the order of [`Sheet::parts`].
    pub ties: Vec<PartTie>,
    /// Details drawn narrower than the bit and cut at its width.
    pub widened: Vec<Widened>,
    /// What is wrong with the cut; empty when it is good.
    pub faults: Vec<CutFault>,
}

impl CutPlan {
    /// Indices of the parts in the order their outlines are cut.
    pub fn part_order(&self) -> Vec<usize> {
        outlines(&self.order)
    }
}

fn outlines(order: &[Operation]) -> Vec<usize> {
    order.iter().filter(|o| o.work == Work::Ring(0)).map(|o| o.part).collect()
}

fn paths(ready: &Ready, faults: &mut Vec<CutFault>) -> Vec<PartPaths> {
    let of = |(i, details): (usize, &Details)| {
        if ready.usable[i] {
            passes::of_part(ready.sheet, i, details, faults)
        } else {
            PartPaths::none(i)
        }
    };
    ready.details.iter().enumerate().map(of).collect()
}

/// Indices of the parts in the order their outlines are to be cut, without the rest of the plan.
///
/// The same as [`CutPlan::part_order`] of [`plan_cut`], at a fraction of its cost.
pub fn part_order(sheet: &Sheet) -> Vec<usize> {
    let mut faults = vec![];
    let ready = Ready::new(sheet, &mut faults);
    let mut paths = paths(&ready, &mut faults);
    outlines(&order::plan(&ready, &mut paths).0)
}

/// The plan of a sheet. The through pass round each edge ends at the first of its tabs in the layout's list.
///
/// That is where the holding plan wants it to end (the layout's order of tabs is the order of the last pass, see
/// [`Hold::tabs`](crate::layout::Hold::tabs)): stock not cut yet still holds, so the last arc ends where the part is held best. A
/// sheet or part whose numbers describe no shape gives faults and no paths; `verify` names them.
///
/// Centre-lines keep at least half the bit's diameter from their part, and at most 0.0046 mm more.
pub fn plan_cut(sheet: &Sheet) -> CutPlan {
    let mut faults = vec![];
    let ready = Ready::new(sheet, &mut faults);
    let mut paths = paths(&ready, &mut faults);
    let (order, travel) = order::plan(&ready, &mut paths);
    let anchors = simulate(&ready, &paths, &outlines(&order), &mut faults);
    let parts = ready.details.iter().enumerate();
    let widened = parts.flat_map(|(i, d)| d.widened(i, &sheet.bit)).collect();
    CutPlan {
        widened,
        order,
        travel,
        paths,
        drop_outs: anchors.drop_outs,
        ties: anchors.ties,
        faults,
    }
}

/// What is wrong with a cut of the sheet along these paths, one entry per part like [`CutPlan::paths`]: the simulated cut of
/// [`plan_cut`] alone, for paths that came from elsewhere.
pub fn faults_of(sheet: &Sheet, paths: &[PartPaths]) -> Vec<CutFault> {
    let mut faults = vec![];
    let mut usable = usable(sheet, &mut faults);
    let mut all: Vec<PartPaths> = (0..sheet.parts.len()).map(PartPaths::none).collect();
    for given in paths.iter().filter(|p| p.part < sheet.parts.len()) {
        all[given.part] = given.clone();
    }
    let unsound = |p: &Path| p.points.is_empty() || !p.points.iter().all(|q| q.finite());
    for (part, of_part) in all.iter_mut().enumerate() {
        let bad =
            |p: &Pass| p.ring > sheet.parts[part].openings.len() || p.paths.iter().any(unsound);
        if usable[part] && of_part.passes.iter().any(bad) {
            faults.push(CutFault::BadPart { part });
            usable[part] = false;
        }
        if !usable[part] {
            *of_part = PartPaths::none(part);
        }
    }
    simulate(&Ready::of(sheet, usable), &all, &part_order(sheet), &mut faults);
    faults
}

/// The simulated cut along the paths, parts in the order `round`: what each part hangs on, and all faults.
fn simulate(
    ready: &Ready,
    paths: &[PartPaths],
    round: &[usize],
    faults: &mut Vec<CutFault>,
) -> anchor::Anchors {
    let left = sweep::cut(ready, paths);
    upper::left_uncut(ready, paths, faults);
    whole::gouges(ready, paths, faults);
    whole::left_standing(ready, &left, faults);
    anchor::find(ready, &left, paths, round, faults)
}
