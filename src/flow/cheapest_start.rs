//! A layout on the sheets that cost least, where a job has several stocks: the nest of the job starts from it.
//!
//! The nest itself opens sheets in the order of the job's stock and does not ask what they cost.

use super::patterns::{Patterns, on_one_stock};
use super::sheet_prices::sheet_prices;
use super::stock_bound::Needs;
use crate::job::Stock;
use crate::nest::{Budget, Control, Nest, NestTask, Nested};
use rayon::prelude::*;

/// Fillings without a search.
const FILLED: Budget = Budget { moves: Some(0), time: None };

/// A layout of all copies on the cheapest set of sheets found, if it costs less than `first` or that leaves copies over; `None`
/// where the prices are not known, or a part is pinned to a sheet.
///
/// `nest` is one of the same parts on the same stock.
pub(super) fn cheapest_start(
    task: &NestTask,
    nest: &Nest<'_>,
    first: &Nested,
    control: &Control<'_>,
) -> Option<Nested> {
    if task.parts.iter().any(|p| !p.pins.is_empty()) {
        return None;
    }
    let prices = sheet_prices(&task.sheets)?;
    let priced =
        task.sheets.iter().zip(&prices).map(|(s, p)| Stock { price: Some(*p), ..s.clone() });
    let task = NestTask { sheets: priced.collect(), ..task.clone() };
    let cost: f64 = first.sheets.iter().map(|s| prices[s.stock]).sum();
    let known = if first.unplaced.is_empty() { cost } else { f64::INFINITY };
    let needs = Needs::new(&task);
    let least = if known.is_finite() { needs.least_cost(known) } else { 0.0 };
    if least >= known - 1e-9 {
        return None;
    }
    let nest = nest.recounted(&task);
    let mut patterns = Patterns::new((&task, &nest), &needs, task.budget, *control);
    patterns.add(first, |stock| stock);
    let copies: Vec<usize> = task.parts.iter().map(|p| p.copies).collect();
    // All parts on as many sheets of one stock as it takes, by fillings without a search.
    let alone = |stock: usize| {
        let task = on_one_stock(&task, stock, &copies);
        let nest = nest.recounted(&task);
        nest.improve(nest.first(), Budget { time: task.budget.time, ..FILLED }, control)
    };
    let nested: Vec<Nested> = (0..prices.len()).into_par_iter().map(alone).collect();
    nested.iter().for_each(|nested| patterns.add(nested, |stock| stock));
    patterns.enrich((known, least));
    let (lots, _) = patterns.cheapest((known, least)).lots?;
    Some(patterns.nested(&lots))
}

#[cfg(test)]
mod tests {
    use super::super::by_hand;
    use super::*;
    use std::sync::atomic::AtomicBool;

    /// Twelve plates 50 mm high and 30 to 85 wide, 690 mm in all, in two rows to a sheet. Two large panels of 300 x 100 take them
    /// for 20; one, and a free piece of 140 x 100 of which there is one, have 880 mm of row, for 10. The free piece alone has 280.
    #[test]
    fn a_free_piece_saves_a_panel() {
        let widths: Vec<_> = (0..12).map(|k| (30.0 + 5.0 * k as f64, 50.0, 1)).collect();
        let sheets = [(300.0, 100.0, 10.0), (150.0, 100.0, 6.0), (140.0, 100.0, 0.0)];
        let mut task = by_hand::task(&widths, &sheets, 0.0);
        task.sheets[2].quantity = Some(1);
        let stop = AtomicBool::new(false);
        let control = Control { stop: &stop, progress: None };
        let nest = Nest::new(&task);
        let on_first = on_one_stock(&task, 0, &[1; 12]);
        let alone = nest.recounted(&on_first);
        let first = alone.improve(alone.first(), FILLED, &control);
        assert_eq!((first.sheets.len(), first.unplaced.len()), (2, 0));
        let found = cheapest_start(&task, &nest, &first, &control).expect("a cheaper one");
        let mut stocks: Vec<usize> = found.sheets.iter().map(|s| s.stock).collect();
        stocks.sort_unstable();
        assert_eq!(stocks, [0, 2]);
        assert_eq!(found.sheets.iter().map(|s| s.placed.len()).sum::<usize>(), 12);
    }
}
