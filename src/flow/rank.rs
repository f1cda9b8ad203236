//! What makes one layout of a group better than another.

use super::placed_sheet::LaidSheet;
use crate::layout::Sheet;
use std::cmp::Reverse;

/// The rank of a layout: less is better, compared field by field in this order.
///
/// A copy that lost its tabs counts as much stock again as its share of the copies (set by hand): to cut a skin of each with a
/// knife is a lot of work, and one part on a skin is better than another sheet for it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Rank {
    /// Copies without a place.
    unplaced: usize,
    /// What the sheets cost, with the share of lost tabs, in 1/100,000; 0 unless the group has several stocks with prices.
    paid: u64,
    /// Their number, with the share of lost tabs, in thousandths.
    sheets: u64,
    /// Copies that lost their tabs, or all of whose tabs land softly.
    without_tabs: usize,
    spares: Reverse<usize>,
    /// Stock used, in whole mm².
    stock: u64,
}

impl Rank {
    /// The rank of these sheets, which cost `paid` (in hundredths), given the copies left over and the copies whose tabs
    /// found no stock.
    pub(super) fn of(
        sheets: &[LaidSheet],
        paid: u64,
        unplaced: usize,
        without_tabs: usize,
    ) -> Rank {
        let parts = || sheets.iter().flat_map(|laid| &laid.sheet.parts);
        let (copies, spares) = (parts().count(), parts().filter(|p| p.spare).count());
        let spares = Reverse(spares);
        let stock = stock_used(sheets.iter().map(|s| &s.sheet)) as u64;
        let sheets = weighed(sheets.len() as u64, without_tabs, copies);
        let paid = weighed(paid, without_tabs, copies);
        Rank { unplaced, paid, sheets, without_tabs, spares, stock }
    }

    /// Whether every copy is placed, and held by what it was planned for.
    pub(super) fn keeps_all(&self) -> bool {
        self.unplaced == 0 && self.without_tabs == 0
    }

    /// The same with its stock divided by `worth`.
    pub(super) fn at_a_discount(self, worth: f64) -> Rank {
        Rank { stock: (self.stock as f64 / worth) as u64, ..self }
    }

    /// The rank of a finished group: a part that is not cut free counts as left over, one whose tabs all land on strips that bend
    /// away as without tabs, but at no cost; spares no longer count.
    pub(super) fn of_made(
        sheets: &[Sheet],
        paid: u64,
        unplaced: usize,
        (lost, on_soft_stock): (usize, usize),
    ) -> Rank {
        let parts = || sheets.iter().flat_map(|s| &s.parts);
        let copies = parts().count();
        Rank {
            unplaced: unplaced + parts().filter(|p| !p.hold.cuts_free()).count(),
            paid: weighed(paid, lost, copies),
            sheets: weighed(sheets.len() as u64, lost, copies),
            without_tabs: lost + on_soft_stock,
            spares: Reverse(0),
            stock: stock_used(sheets.iter()) as u64,
        }
    }
}

/// An amount of stock, in thousandths, and as much again as the share of the copies that lost their tabs.
fn weighed(amount: u64, lost: usize, copies: usize) -> u64 {
    amount * 1000 + amount * 1000 * lost as u64 / (copies as u64).max(1)
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
        let of = |sheets: &[LaidSheet], left: usize, lost: usize| Rank::of(sheets, 0, left, lost);
        let best_first = [
            of(&[sheet(long, true)], 0, 0),
            of(&[sheet(short, true)], 0, 0),
            of(&[sheet(long, false)], 0, 0),
            of(&[sheet(long, true)], 0, 1),
            of(&[sheet(long, true), sheet(long, true)], 0, 0),
            Rank::of(&[sheet(long, true)], 100, 0, 0),
            of(&[sheet(long, true)], 1, 0),
        ];
        assert!(best_first.is_sorted_by(|a, b| a < b), "{best_first:#?}");
        // One of two copies on a skin counts as half the stock again, here 2.43: both on tabs may cost 2.40, not 2.44.
        let (skin, tabs) = ([sheet(long, true)], [sheet(long, true), sheet(long, true)]);
        let cheap = Rank::of(&skin, 162, 0, 1);
        assert!(Rank::of(&tabs, 240, 0, 0) < cheap && cheap < Rank::of(&tabs, 244, 0, 0));
    }
}
