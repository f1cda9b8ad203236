//! What makes one layout of a group better than another.

use super::placed_sheet::LaidSheet;
use crate::layout::Sheet;
use std::cmp::Reverse;

/// The rank of a layout: less is better, compared field by field in this order.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Rank {
    /// Copies without a place.
    unplaced: usize,
    /// What the sheets cost, in hundredths, where the group has several stocks with prices.
    paid: u64,
    sheets: usize,
    /// Copies that lost their tabs.
    without_tabs: usize,
    spares: Reverse<usize>,
    /// Stock used, in whole mm².
    stock: u64,
}

impl Rank {
    /// The rank of these sheets, given the copies left over and the copies whose tabs found no stock.
    pub(super) fn of(sheets: &[LaidSheet], unplaced: usize, without_tabs: usize) -> Rank {
        let parts = sheets.iter().flat_map(|laid| &laid.sheet.parts);
        Rank {
            unplaced,
            paid: 0,
            sheets: sheets.len(),
            without_tabs,
            spares: Reverse(parts.filter(|p| p.spare).count()),
            stock: stock_used(sheets.iter().map(|s| &s.sheet)) as u64,
        }
    }

    /// The same for sheets that cost so much.
    pub(super) fn paying(self, paid: u64) -> Rank {
        Rank { paid, ..self }
    }

    /// Whether every copy is placed, and held by what it was planned for.
    pub(super) fn keeps_all(&self) -> bool {
        self.unplaced == 0 && self.without_tabs == 0
    }

    /// The same with that many more copies that lost their tabs.
    pub(super) fn without(self, lost: usize) -> Rank {
        Rank { without_tabs: self.without_tabs + lost, ..self }
    }

    /// The same with its stock divided by `worth`.
    pub(super) fn at_a_discount(self, worth: f64) -> Rank {
        Rank { stock: (self.stock as f64 / worth) as u64, ..self }
    }

    /// The rank of a finished group: a part that is not cut free counts as left over, one whose tabs all land on strips that bend
    /// away as without tabs; spares no longer count.
    pub(super) fn of_made(sheets: &[Sheet], unplaced: usize, on_soft_stock: usize) -> Rank {
        let parts = sheets.iter().flat_map(|s| &s.parts);
        Rank {
            unplaced: unplaced + parts.filter(|p| !p.hold.cuts_free()).count(),
            paid: 0,
            sheets: sheets.len(),
            without_tabs: on_soft_stock,
            spares: Reverse(0),
            stock: stock_used(sheets.iter()) as u64,
        }
    }
}

/// Stock used, mm², less each sheet's remnant that is worth keeping.
pub(super) fn stock_used<'a>(sheets: impl Iterator<Item = &'a Sheet>) -> f64 {
    sheets.map(|s| s.outline.area() - s.kept_area()).sum()
}

#[cfg(test)]
mod tests {
    use super::super::small_job::made;
    use super::*;
    use crate::geometry::Ring;
    use crate::layout::Remnant;

    /// The two parts of the job on its panel of 200 x 120 mm, with a remnant of that length, one of them a spare or not.
    fn sheet(remnant: f64, spare: bool) -> LaidSheet {
        let mut sheet = made().layout.sheets.swap_remove(0);
        sheet.remnants = vec![Remnant { outline: Ring::rectangle(remnant, 120.0) }];
        sheet.parts[0].spare = spare;
        LaidSheet { sheet, whose: vec![0, 1] }
    }

    /// The order of `GroupTask::make`: copies placed, cost, sheets, tabs, spares, stock.
    #[test]
    fn tabs_come_before_spares_and_spares_before_stock() {
        let (long, short) = (100.0, 40.0);
        let both = [sheet(long, false).sheet, sheet(short, true).sheet];
        assert_eq!(stock_used(both.iter()), 12_000.0 + 19_200.0);
        let of = |sheets: &[LaidSheet], left: usize, lost: usize| Rank::of(sheets, left, lost);
        let best_first = [
            of(&[sheet(long, true)], 0, 0),
            of(&[sheet(short, true)], 0, 0),
            of(&[sheet(long, false)], 0, 0),
            of(&[sheet(long, true)], 0, 1),
            of(&[sheet(long, true), sheet(long, true)], 0, 0),
            of(&[sheet(long, true)], 0, 0).paying(100),
            of(&[sheet(long, true)], 1, 0),
        ];
        assert!(best_first.is_sorted_by(|a, b| a < b), "{best_first:#?}");
    }
}
