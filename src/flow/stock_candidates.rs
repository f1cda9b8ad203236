//! The job on each candidate stock alone, and on several together.

use crate::export::CompareRow;
use crate::job::{Group, Job, Stock};
use crate::layout::{Layout, Sheet};

/// One group of the job with some of its stocks.
pub struct Candidate {
    /// A job of that group and these stocks only.
    pub job: Job,
}

/// Every group with each of its stocks, in the job's order; then, if it has several, with all of them: in the
/// job's order, and largest first, the last sheet going to the smallest stock that is enough.
pub fn candidates(job: &Job) -> Vec<Candidate> {
    let with = |group: &Group, stock: Vec<Stock>| Candidate {
        job: Job { groups: vec![Group { stock, ..group.clone() }], ..job.clone() },
    };
    let mut found = vec![];
    for group in &job.groups {
        found.extend(group.stock.iter().map(|s| with(group, vec![s.clone()])));
        if group.stock.len() > 1 {
            let mut largest_first = group.stock.clone();
            largest_first.sort_by(|a, b| b.outline.area().total_cmp(&a.outline.area()));
            found.push(with(group, group.stock.clone()));
            if largest_first != group.stock {
                found.push(with(group, largest_first));
            }
        }
    }
    found
}

impl Candidate {
    /// The row of the table for this candidate's layout; `None` if one of several stocks was enough, since that stock has its own
    /// row.
    pub fn row(&self, layout: &Layout) -> Option<CompareRow> {
        let group = &self.job.groups[0];
        let of = |stock: &Stock| -> Vec<&Sheet> {
            layout.sheets.iter().filter(|s| s.stock == stock.name).collect()
        };
        let several = group.stock.len() > 1;
        let used: Vec<(&Stock, Vec<&Sheet>)> = group.stock.iter().map(|s| (s, of(s))).collect();
        let used: Vec<_> = used.into_iter().filter(|u| !several || !u.1.is_empty()).collect();
        if several && used.len() < 2 {
            return None;
        }
        let stock = match &group.stock[..] {
            [alone] => alone.name.clone(),
            _ => {
                let counts =
                    used.iter().map(|(s, sheets)| format!("{} x {}", sheets.len(), s.name));
                counts.collect::<Vec<_>>().join(" + ")
            }
        };
        let sheets: f64 = layout.sheets.iter().map(|s| s.sheet_area).sum();
        let kept: f64 = layout.sheets.iter().map(Sheet::kept_area).sum();
        let after = layout.waste_percent - if sheets > 0.0 { 100.0 * kept / sheets } else { 0.0 };
        Some(CompareRow {
            group: group.name.clone(),
            stock,
            sheets: layout.sheets.len(),
            waste_percent: layout.waste_percent,
            waste_after_remnants: after,
            price: used.iter().map(|(stock, sheets)| cost(stock, sheets)).sum(),
            unplaced: layout.unplaced.len(),
        })
    }
}

fn cost(stock: &Stock, sheets: &[&Sheet]) -> Option<f64> {
    stock.price?;
    sheets.iter().map(|sheet| price(stock, sheet)).sum()
}

/// The price of a sheet of a stock; a board of open length is priced by the metre used. `None` without a price.
pub fn price(stock: &Stock, sheet: &Sheet) -> Option<f64> {
    let metres = || sheet.outline.bounds().width() / 1000.0;
    stock.price.map(|p| if stock.open_length { p * metres() } else { p })
}
