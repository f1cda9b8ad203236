//! A finished group: its sheets, their cuts, and what is left over.

use super::members::Member;
use super::rank::Rank;
use super::sheet_prices::paid_for;
use super::soft;
use crate::cut::{CutPlan, plan_cut};
use crate::hold::HoldPlan;
use crate::job::Group;
use crate::layout::{HoldDown, Layout, PlacedPart, Sheet, Unplaced, Warning};
use crate::nest::{CopyOf, Ended};
use crate::verify::{Rules, What, verify};

/// A finished group.
#[derive(Clone)]
pub(super) struct GroupMade {
    pub(super) sheets: Vec<Sheet>,
    pub(super) cuts: Vec<CutPlan>,
    pub(super) unplaced: Vec<Unplaced>,
    pub(super) warnings: Vec<Warning>,
    pub(super) holds: Vec<HoldPlan>,
    pub(super) moves: u64,
    pub(super) ended: Ended,
}

impl GroupMade {
    /// A group of which nothing was made.
    pub(super) fn nothing(members: &[Member]) -> GroupMade {
        GroupMade {
            sheets: vec![],
            cuts: vec![],
            unplaced: vec![],
            warnings: vec![],
            holds: members.iter().map(|m| m.hold.clone()).collect(),
            moves: 0,
            ended: Ended::Budget,
        }
    }

    /// Whether `verify` finds an anchor for all that the group hangs on, by its own measure.
    pub(super) fn is_anchored(&self) -> bool {
        let rules = Rules { complete: true, ..Rules::default() };
        verify(&Layout::of_sheets(&self.sheets), &rules).iter().all(|p| p.what != What::Anchor)
    }

    /// The copies that are not cut free because nothing holds them where they lie.
    pub(super) fn not_held(&self, members: &[Member]) -> Vec<CopyOf> {
        let parts = self.sheets.iter().flat_map(|s| &s.parts).filter(|p| !p.hold.cuts_free());
        parts.filter_map(|p| copy_of(p, members)).collect()
    }

    /// The copies whose tabs all land on strips that bend away.
    pub(super) fn softly_held(&self, members: &[Member]) -> Vec<CopyOf> {
        self.on_soft_stock().filter_map(|p| copy_of(p, members)).collect()
    }

    /// Lays sheets on tape where a part has no firm landing on a sheet held by clamps, unless tape holds less of it: pieces may be
    /// large enough for a clamp and too small for tape.
    pub(super) fn tape_what_gives(&mut self) {
        for (sheet, cut) in self.sheets.iter_mut().zip(&mut self.cuts) {
            if (0..sheet.parts.len()).any(|i| soft::no_firm_landing(sheet, cut, i).is_some()) {
                let taped = Sheet { hold_down: HoldDown::Tape, ..sheet.clone() };
                let planned = plan_cut(&taped);
                if planned.faults.len() <= cut.faults.len() {
                    (*sheet, *cut) = (taped, planned);
                }
            }
        }
        self.warnings = soft::warned_anew(&self.warnings, &self.sheets, &self.cuts);
    }

    fn on_soft_stock(&self) -> impl Iterator<Item = &PlacedPart> {
        let sheets = self.sheets.iter().zip(&self.cuts);
        sheets.flat_map(|(sheet, cut)| {
            let soft = |i: &usize| soft::no_firm_landing(sheet, cut, *i).is_some();
            (0..sheet.parts.len()).filter(soft).map(|i| &sheet.parts[i])
        })
    }

    /// Its rank, given how many copies lost their tabs.
    pub(super) fn rank(&self, group: &Group, lost: usize) -> Rank {
        let paid = paid_for(&group.stock, self.sheets.iter());
        let without = (lost, self.on_soft_stock().count());
        Rank::of_made(&self.sheets, paid, self.unplaced.len(), without)
    }
}

fn copy_of(placed: &PlacedPart, members: &[Member]) -> Option<CopyOf> {
    Some((members.iter().position(|m| m.part.name == placed.part)?, placed.copy))
}
