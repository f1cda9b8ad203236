//! A sheet with its parts in the order of cut.

use super::placed_sheet::LaidSheet;
use crate::cut::{CutPlan, part_order, plan_cut};

/// Sorts the parts (and the list of their members) in the order their outlines are cut, and plans the cut.
pub(super) fn in_order_of_cut(laid: &mut LaidSheet) -> CutPlan {
    let order = part_order(&laid.sheet);
    laid.sort(&order);
    plan_cut(&laid.sheet)
}
