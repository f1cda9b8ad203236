//! A sheet with its parts in the order of cut.

use super::placed_sheet::LaidSheet;
use crate::cut::{CutPlan, part_order, plan_cut};
use crate::layout::Sheet;

/// Sorts the parts (and the list of their members) in the order their outlines are cut, and plans the cut.
pub(super) fn in_order_of_cut(laid: &mut LaidSheet) -> CutPlan {
    let order = part_order(&laid.sheet);
    laid.sort(&order);
    plan_cut(&laid.sheet)
}

/// The same for a sheet alone.
pub(super) fn cut_again(sheet: &mut Sheet) -> CutPlan {
    let order = part_order(sheet);
    let mut parts: Vec<_> = sheet.parts.drain(..).map(Some).collect();
    let sorted = order.iter().filter_map(|&i| parts.get_mut(i)?.take());
    sheet.parts.extend(sorted);
    sheet.parts.extend(parts.into_iter().flatten());
    plan_cut(sheet)
}
