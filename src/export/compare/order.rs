//! The order of the rows, and which of them tie.

use super::row::{CompareRow, GroupTable};
use std::cmp::Ordering;

/// What the rows are sorted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum By {
    /// Cost, then waste after remnants.
    Cost,
    /// Waste, then waste after remnants, then cost.
    Waste,
    /// Sheets, then cost, then waste after remnants.
    Sheets,
}

/// A row's place among others: less is better. Figures count as far as the table shows them: whole cents, tenths of a percent.
pub(super) type PlaceKey = (usize, [u64; 3]);

impl By {
    /// Cost where the stock has prices, else waste.
    pub fn usual(tables: &[GroupTable]) -> By {
        let priced = tables.iter().flat_map(|t| &t.rows).any(|r| r.price.is_some());
        if priced { By::Cost } else { By::Waste }
    }

    /// The order of two rows.
    pub fn compare(self, row: &CompareRow, other: &CompareRow) -> Ordering {
        self.key(row).cmp(&self.key(other))
    }

    /// Whether a row comes before another.
    pub fn is_less(self, row: &CompareRow, other: &CompareRow) -> bool {
        self.key(row) < self.key(other)
    }

    /// The row's key: first whether it makes all parts.
    pub(super) fn key(self, row: &CompareRow) -> PlaceKey {
        let tenths = |percent: f64| (percent.max(0.0) * 10.0).round() as u64;
        let cents = row.price.map_or(u64::MAX, |p| (p * 100.0).round() as u64);
        let (waste, after) = (tenths(row.waste_percent), tenths(row.waste_after_remnants));
        let class = row.unplaced * 1000 + row.faults;
        let by = match self {
            By::Cost => [cents, after, waste],
            By::Waste => [waste, after, cents],
            By::Sheets => [row.sheets as u64, cents, after],
        };
        (class, by)
    }
}

/// Sorts each group's rows and gives them their places; rows that tie share one.
pub fn placed_in_order(tables: &mut [GroupTable], by: By) {
    for table in tables {
        table.rows.sort_by_key(|row| by.key(row));
        let mut last: Option<(PlaceKey, usize)> = None;
        for (i, row) in table.rows.iter_mut().enumerate() {
            let key = by.key(row);
            let place = match last {
                Some((before, place)) if before == key => place,
                _ => i + 1,
            };
            last = Some((key, place));
            row.place = row.is_whole().then_some(place);
        }
    }
}
