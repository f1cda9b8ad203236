//! Takes out and lists the parts that the independent check refuses, so that one faulty part does not cost
//! the maker the whole job.

use super::ordered::cut_again;
use super::settle::settle_again;
use super::soft;
use crate::cut::CutPlan;
use crate::job::{Refusal, RefusedPart};
use crate::layout::{DropOut, Fault, HoldDown, Layout, Unplaced, UnplacedKind};
use crate::verify::{
    ClaimFinding, CopyName, Finding, LayoutFinding, Problem, Safety, TabFinding, What,
};
use std::collections::BTreeMap;

/// The copies of a part that cannot be made, as not placed.
pub(super) fn not_made(part: &RefusedPart) -> impl Iterator<Item = Unplaced> + '_ {
    let kind = match &part.why {
        Refusal::Bit { reach, finest } => UnplacedKind::NoBit {
            at: [reach.at.x, reach.at.y],
            fits_mm: reach.diameter,
            bit_mm: *finest,
        },
        Refusal::Drawing { file, at } => {
            UnplacedKind::DrawingFault { file: file.clone(), at: [at.x, at.y] }
        }
    };
    (1..=part.quantity).map(move |copy| Unplaced::of(&part.name, copy, kind.clone()))
}

/// Whether the layout itself lists what `problem` reports: what is left out, a joint to decide on, a fault of the same part, or a
/// fault of the sheet.
pub(super) fn is_said(problem: &Problem, layout: &Layout) -> bool {
    let listed = matches!(
        &problem.found,
        Finding::Layout(
            LayoutFinding::NotPlaced { .. }
                | LayoutFinding::NamedFault { .. }
                | LayoutFinding::JointUndecided { .. }
        )
    );
    let of_part = |fault: &Fault, p: &CopyName| {
        (Some(&p.part), Some(p.copy)) == (fault.part.as_ref(), fault.copy)
    };
    let explains = |fault: &Fault| match fault.part {
        Some(_) => problem.part.iter().chain(&problem.other).any(|p| of_part(fault, p)),
        None => problem.part.is_none() || problem.what == What::Anchor,
    };
    listed || layout.faults.iter().any(|f| f.sheet == problem.sheet && explains(f))
}

/// The piece of waste that `verify` finds loose, by its own measure, and the layout has not listed; as long as it is wide.
pub(super) fn unlisted_waste(problem: &Problem) -> Option<DropOut> {
    let side = problem.amount.filter(|_| problem.what == What::Waste)?.sqrt();
    Some(DropOut {
        sheet: problem.sheet.clone(),
        at: problem.at?,
        size_mm: [side; 2],
        part: None,
        copy: None,
        opening: None,
    })
}

/// Lays the sheets on tape on which, by `problems`, a part's tabs land on strips too slender for clamps; returns whether there are
/// any.
pub(super) fn lay_on_tape(layout: &mut Layout, cuts: &mut [CutPlan], problems: &[Problem]) -> bool {
    let gives = |p: &&Problem| matches!(p.found, Finding::Tab(TabFinding::NoFirmLanding { .. }));
    let soft: Vec<&str> = problems.iter().filter(gives).map(|p| p.sheet.as_str()).collect();
    let mut any = false;
    for (sheet, cut) in layout.sheets.iter_mut().zip(&mut *cuts) {
        if soft.contains(&sheet.id.as_str()) && sheet.hold_down == HoldDown::Clamps {
            sheet.hold_down = HoldDown::Tape;
            *cut = cut_again(sheet);
            any = true;
        }
    }
    if any {
        layout.warnings = soft::warned_anew(&layout.warnings, &layout.sheets, cuts);
    }
    any
}

/// Lowers the claims of tabs to what `verify`'s model allows, where the tabs still hold by that model; returns whether any claim
/// was lowered. A part that bends spreads the load over its tabs otherwise than a rigid one, and a long strip more than the check
/// takes for sure.
pub(super) fn lower_claims(layout: &mut Layout, problems: &[Problem]) -> bool {
    let mut any = false;
    for problem in problems {
        let Finding::Claim(ClaimFinding::Claimed { safety, .. }) = &problem.found else { continue };
        let (Some(of), Some(says), Some(limit)) = (&problem.part, problem.amount, problem.limit)
        else {
            continue;
        };
        let sheet = layout.sheets.iter_mut().find(|s| s.id == problem.sheet);
        let mut parts = sheet.into_iter().flat_map(|s| &mut s.parts);
        let Some(part) = parts.find(|p| (&p.part, p.copy) == (&of.part, of.copy)) else { continue };
        let Some(figures) = &mut part.hold.figures else { continue };
        // As if the tabs had decided already: their margin was no lower.
        let margin = figures.least_margin * limit / says;
        let bears = limit * (1.0 - 1e-9);
        match safety {
            Safety::Tabs if margin >= 1.0 => {
                figures.tab_safety = Some(bears);
                part.hold.safety = bears.min(figures.part_safety.unwrap_or(f64::INFINITY));
            }
            Safety::TabsRepeated if margin >= 1.0 => figures.free_safety = Some(bears),
            _ => continue,
        }
        figures.least_margin = margin;
        any = true;
    }
    any
}

/// Takes the parts that `problems` name off their sheets and lists them as not placed, with the reason.
/// Returns whether any was taken: problems that name no part are left for the caller to refuse.
///
/// A changed sheet has its cut planned again; sheets left empty are dropped.
pub(super) fn take_out(layout: &mut Layout, cuts: &mut Vec<CutPlan>, problems: &[Problem]) -> bool {
    let mut refused: BTreeMap<(String, String, usize), UnplacedKind> = BTreeMap::new();
    for problem in problems {
        let Some(part) = &problem.part else { continue };
        let key = (problem.sheet.clone(), part.part.clone(), part.copy);
        refused.entry(key).or_insert_with(|| refusal(problem));
    }
    let mut taken = false;
    for (sheet, cut) in layout.sheets.iter_mut().zip(cuts.iter_mut()) {
        let count = sheet.parts.len();
        let id = sheet.id.clone();
        sheet.parts.retain(|p| {
            let Some(kind) = refused.get(&(id.clone(), p.part.clone(), p.copy)) else {
                return true;
            };
            taken = true;
            // A spare is owed to nobody.
            if !p.spare {
                layout.unplaced.push(Unplaced::of(&p.part, p.copy, kind.clone()));
            }
            false
        });
        if sheet.parts.len() < count {
            *cut = settle_again(sheet);
        }
    }
    let kept: Vec<bool> = layout.sheets.iter().map(|s| !s.parts.is_empty()).collect();
    let mut keep = kept.iter();
    layout.sheets.retain(|_| *keep.next().unwrap_or(&true));
    let mut keep = kept.iter();
    cuts.retain(|_| *keep.next().unwrap_or(&true));
    layout.total();
    taken
}

/// The rule that was broken, and by how much.
fn refusal(problem: &Problem) -> UnplacedKind {
    let rule = serde_json::to_value(problem.what).ok();
    UnplacedKind::Refused {
        rule: rule.and_then(|r| r.as_str().map(String::from)).unwrap_or_default(),
        amount: problem.amount,
        limit: problem.limit,
    }
}

#[cfg(test)]
mod tests {
    use super::super::small_job::made;
    use super::*;
    use crate::verify::{Rules, verify};

    #[test]
    fn a_part_that_the_check_refuses_is_listed_and_the_rest_stays() {
        let made = made();
        let (mut layout, mut cuts) = (made.layout, made.cuts);
        assert_eq!(layout.parts_placed, 2);
        // Off the sheet, as a fault of ours might leave it.
        let part = layout.sheets[0].parts.iter_mut().find(|p| p.part == "short").expect("placed");
        part.outline = part.outline.moved(crate::geometry::point(500.0, 0.0));
        let problems = verify(&layout, &Rules::default());
        assert!(take_out(&mut layout, &mut cuts, &problems));
        assert_eq!(layout.parts_placed, 1);
        assert_eq!(layout.unplaced[0].part, "short");
        assert_eq!(verify(&layout, &Rules::default()), vec![]);
        assert_eq!(cuts[0].paths.len(), 1);
    }

    /// Nobody asked for a spare: it is taken out and no fault of the job.
    #[test]
    fn a_spare_that_the_check_refuses_is_not_listed() {
        let made = made();
        let (mut layout, mut cuts) = (made.layout, made.cuts);
        let part = layout.sheets[0].parts.iter_mut().find(|p| p.part == "short").expect("placed");
        part.spare = true;
        part.outline = part.outline.moved(crate::geometry::point(500.0, 0.0));
        let problems = verify(&layout, &Rules::default());
        assert!(take_out(&mut layout, &mut cuts, &problems));
        assert_eq!((layout.sheets[0].parts.len(), layout.unplaced.len()), (1, 0));
    }

    /// Tabs that are said to bear a tenth more than the check's limit are said to bear that limit, their margin a tenth less; where
    /// that leaves no margin the claim stays as it is, and the part is refused.
    #[test]
    fn a_claim_is_lowered_where_the_part_still_holds() {
        let claiming = |safety: f64, margin: f64| {
            let mut layout = made().layout;
            let hold = &mut layout.sheets[0].parts[0].hold;
            hold.safety = safety;
            let figures = hold.figures.as_mut().expect("on tabs");
            (figures.tab_safety, figures.part_safety) = (Some(safety), None);
            figures.least_margin = margin;
            let rules = Rules { complete: true, ..Rules::default() };
            let problems = verify(&layout, &rules);
            (layout, problems)
        };
        let limit = claiming(1e3, 1.0).1[0].limit.expect("a limit");
        let (mut layout, problems) = claiming(1.1 * limit, 1.15);
        assert_eq!(problems.len(), 1, "{problems:?}");
        assert!(lower_claims(&mut layout, &problems));
        let rules = Rules { complete: true, ..Rules::default() };
        assert_eq!(verify(&layout, &rules), vec![]);
        let hold = &layout.sheets[0].parts[0].hold;
        let margin = hold.figures.as_ref().expect("on tabs").least_margin;
        assert!((hold.safety / limit - 1.0).abs() < 1e-6 && (margin - 1.15 / 1.1).abs() < 1e-6);
        let (mut layout, problems) = claiming(1.2 * limit, 1.15);
        assert!(!lower_claims(&mut layout, &problems));
    }
}
