//! A layout on the sheets that cost least, where a job has several stocks: the nest of the job starts from it.
//!
//! The nest itself opens sheets in the order of the job's stock and does not ask what they cost.

use super::patterns::Patterns;
use super::sheet_prices::sheet_prices;
use super::stock_bound::Needs;
use crate::job::Stock;
use crate::nest::{Budget, Control, Nest, NestTask, Nested};
use rayon::prelude::*;

/// Fillings without a search.
const FILLED: Budget = Budget { moves: Some(0), time: None };

/// A layout of all copies on the cheapest set of sheets found, if it costs less than `first` or that leaves copies over; `None`
/// where the prices are not known, or a part is pinned to a sheet.
pub(super) fn cheapest_start(
    task: &NestTask,
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
    let mut patterns = Patterns::new(&task, &needs, task.budget, *control);
    patterns.add(first, |stock| stock);
    let nested: Vec<Nested> =
        (0..prices.len()).into_par_iter().map(|stock| alone(&task, stock, control)).collect();
    nested.iter().enumerate().for_each(|(stock, nested)| patterns.add(nested, |_| stock));
    patterns.enrich((known, least));
    let (lots, _) = patterns.cheapest((known, least)).lots?;
    Some(patterns.nested(&lots))
}

/// All parts on as many sheets of one stock as it takes, by fillings without a search.
fn alone(task: &NestTask, stock: usize, control: &Control<'_>) -> Nested {
    let sheets = vec![Stock { quantity: None, ..task.sheets[stock].clone() }];
    let task = NestTask { sheets, threads: 1, ..task.clone() };
    let nest = Nest::new(&task);
    nest.improve(nest.first(), FILLED, control)
}
