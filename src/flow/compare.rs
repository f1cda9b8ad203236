//! The job on each candidate stock alone, one at a time.

use crate::export::CompareRow;
use crate::job::{Group, Job, Stock};
use crate::layout::Layout;

/// One group of the job with one of its stocks.
pub struct Candidate {
    /// A job of that group and stock only.
    pub job: Job,
}

/// Every group with each of its stocks, in the job's order.
pub fn stock_rows(job: &Job) -> Vec<Candidate> {
    let with = |group: &Group, stock: &Stock| Candidate {
        job: Job {
            groups: vec![Group { stock: vec![stock.clone()], ..group.clone() }],
            ..job.clone()
        },
    };
    job.groups.iter().flat_map(|g| g.stock.iter().map(move |s| with(g, s))).collect()
}

impl Candidate {
    /// The row of the table for this candidate's layout.
    pub fn row(&self, layout: &Layout) -> CompareRow {
        let group = &self.job.groups[0];
        let stock = &group.stock[0];
        let sheets: f64 = layout.sheets.iter().map(|s| s.sheet_area).sum();
        let kept: f64 = layout
            .sheets
            .iter()
            .map(|s| s.remnants.iter().map(|r| r.outline.area()).fold(0.0, f64::max))
            .sum();
        let after = layout.waste_percent - if sheets > 0.0 { 100.0 * kept / sheets } else { 0.0 };
        let metres: f64 = layout.sheets.iter().map(|s| s.outline.bounds().width() / 1000.0).sum();
        let amount = if stock.open_length { metres } else { layout.sheets.len() as f64 };
        CompareRow {
            group: group.name.clone(),
            stock: stock.name.clone(),
            sheets: layout.sheets.len(),
            waste_percent: layout.waste_percent,
            waste_after_remnants: after,
            price: stock.price.map(|p| p * amount),
            unplaced: layout.unplaced.len(),
        }
    }
}
