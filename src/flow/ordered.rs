//! A sheet with its parts in the order of cut.

use super::placed_sheet::LaidSheet;
use crate::cut::{CutPlan, part_order, plan_cut};
use crate::layout::PlacedPart;

/// Sorts the parts (and the list of their members) in the order their outlines are cut, and plans the cut.
pub(super) fn in_order_of_cut(laid: &mut LaidSheet) -> CutPlan {
    let LaidSheet { sheet, whose } = laid;
    let order = part_order(sheet);
    let parts: Vec<(PlacedPart, usize)> = sheet.parts.drain(..).zip(whose.drain(..)).collect();
    let mut parts: Vec<Option<(PlacedPart, usize)>> = parts.into_iter().map(Some).collect();
    let mut sorted: Vec<_> = order.iter().filter_map(|&i| parts.get_mut(i)?.take()).collect();
    // Parts the plan could not use keep their place at the end.
    sorted.extend(parts.into_iter().flatten());
    (sheet.parts, *whose) = sorted.into_iter().unzip();
    plan_cut(sheet)
}
