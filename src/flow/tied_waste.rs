//! Ties waste between parts that would come loose and is too large to clear: a part beside it keeps it by tabs of its own, if
//! nothing else gets worse.

use super::group_made::GroupMade;
use super::islands::{Islands, Keeping};
use super::members::Member;
use super::mend::MOST_PARTS;
use super::ordered::in_order_of_cut;
use super::placed_sheet::LaidSheet;
use super::sheet_faults::{faults_of, is_sound};
use super::soft;
use crate::cut::{CutPlan, landing_on_skeleton, pockets};
use crate::geometry::Point;
use crate::job::Job;
use crate::layout::Sheet;

/// Ties the large loose waste of a finished group; once `stopped`, it is listed as it is.
pub(super) fn tie_waste(
    made: &mut GroupMade,
    job: &Job,
    members: &[Member],
    stopped: &dyn Fn() -> bool,
) {
    for (sheet, cut) in made.sheets.iter_mut().zip(&mut made.cuts) {
        let loose = too_large(sheet, cut, job);
        if loose.is_empty() || sheet.parts.len() > MOST_PARTS || stopped() {
            continue;
        }
        let tie = WasteTie { job, members };
        if let Some(tied) = tie.tied(sheet, cut, &loose) {
            (*sheet, *cut) = tied;
            continue;
        }
        // One by one, where something is wrong with all together.
        for at in loose {
            if stopped() {
                return;
            }
            if let Some(tied) = tie.tied(sheet, cut, &[at]) {
                (*sheet, *cut) = tied;
            }
        }
    }
}

/// A place on each piece between parts that comes loose and is not cleared.
fn too_large(sheet: &Sheet, cut: &CutPlan, job: &Job) -> Vec<Point> {
    let cleared = if job.holding.clear_waste { pockets(sheet, cut) } else { vec![] };
    let thrown = cut.drop_outs.iter().filter(|d| d.thrown && d.opening.is_none());
    thrown.map(|d| d.at).filter(|at| !cleared.iter().any(|p| p.contains(*at))).collect()
}

struct WasteTie<'a> {
    job: &'a Job,
    members: &'a [Member<'a>],
}

impl WasteTie<'_> {
    /// The sheet with the pieces at these places tied as far as parts beside them bear the nominal force, and its cut; `None` where
    /// none is, or anything else is worse for it.
    fn tied(&self, sheet: &Sheet, cut: &CutPlan, at: &[Point]) -> Option<(Sheet, CutPlan)> {
        let WasteTie { job, members } = *self;
        let skeleton = landing_on_skeleton(sheet);
        let whose = |part: &str| members.iter().position(|m| m.part.name == part);
        let whose = sheet.parts.iter().map(|p| whose(&p.part)).collect::<Option<Vec<usize>>>()?;
        let mut laid = LaidSheet { sheet: sheet.clone(), whose };
        let depths = skeleton.depths();
        let lands = |i: usize| sheet.parts[i].hold.tabs.iter().all(|t| skeleton.accepts(t));
        let held: Vec<bool> = (0..depths.len()).map(|i| depths[i] == 0 && lands(i)).collect();
        let mut islands = Islands::at(&skeleton, sheet, at);
        let least = 1.0 / sheet.cut.factor;
        islands.keep(&mut laid, &Keeping { job, members, held: &held, least });
        if !islands.any_kept() {
            return None;
        }
        let after = in_order_of_cut(&mut laid);
        laid.sheet.total();
        let with = laid.sheet;
        let rounded = |name: &str| members.iter().any(|m| m.part.name == name && m.part.rounded);
        let known = faults_of(sheet, cut, rounded);
        let faulty = faults_of(&with, &after, rounded).iter().any(|f| !known.contains(f));
        let softer = soft::softer(&soft::landings(sheet, cut), &soft::landings(&with, &after));
        let loose = |cut: &CutPlan| cut.drop_outs.iter().filter(|d| d.thrown).count();
        let better = loose(&after) < loose(cut) && !faulty && !softer && is_sound(&with, &after);
        better.then_some((with, after))
    }
}
