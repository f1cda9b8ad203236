//! A group of the job on one choice of stock.

use crate::geometry::{Ring, Shape};
use crate::layout::{CutTime, Fault, Sheet};

/// A group of the job with every choice of stock that was tried.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct GroupTable {
    /// The group: `walnut-6mm`.
    pub group: String,
    /// Copies to make, spares not counted.
    pub parts: usize,
    /// One row for each choice.
    pub rows: Vec<CompareRow>,
    /// Lower bound on the cost: no sheets of these sizes, alone or mixed, take all parts for less. It follows from the areas and
    /// extents of the parts, so it holds for any layout. `None` where a stock has no price, or is sold by length.
    pub least_cost: Option<f64>,
    /// Whether the search for the cheapest mix of the sheets that were tried reached its limit: there may be a cheaper one.
    pub mixes_cut_short: bool,
}

/// The group on one choice of stock.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct CompareRow {
    /// Its place in the order asked for, from 1; rows that tie share it. `None` where parts are left over or a sheet has a fault.
    pub place: Option<usize>,
    /// The stock's name; for several together `1 x panel + 2 x strip`.
    pub stock: String,
    /// The sheets used of each stock.
    pub pieces: Vec<PiecesOf>,
    /// Sheets or boards used.
    pub sheets: usize,
    /// 100 (1 - parts / sheets).
    pub waste_percent: f64,
    /// The same with the largest remnant of each sheet counted as kept.
    pub waste_after_remnants: f64,
    /// What the sheets cost; `None` where the stock has no price.
    pub price: Option<f64>,
    /// That price per copy placed.
    pub price_per_part: Option<f64>,
    /// Estimated time to cut all sheets; `None` before the cut is planned.
    pub time: Option<CutTime>,
    /// Copies that found no place.
    pub unplaced: usize,
    /// The parts that they are copies of.
    pub left_over: Vec<String>,
    /// Faults that keep a sheet from being cut as it is.
    pub faults: usize,
    /// The first of them.
    pub first_fault: Option<Fault>,
    /// Whether its tabs and its cut are planned; if not, its figures are those of its nest alone.
    pub made: bool,
    /// Its sheets, for the page.
    #[serde(skip)]
    pub drawn: Vec<SmallSheet>,
}

/// A sheet as it is drawn small, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct SmallSheet {
    /// The stock's name.
    pub stock: String,
    /// Its edge.
    pub outline: Ring,
    /// Its parts.
    pub parts: Vec<Shape>,
    /// What is worth keeping.
    pub remnants: Vec<Ring>,
}

impl SmallSheet {
    /// A sheet of a layout.
    pub fn of(sheet: &Sheet) -> Self {
        SmallSheet {
            stock: sheet.stock.clone(),
            outline: sheet.outline.clone(),
            parts: sheet.parts.iter().map(|p| p.shape()).collect(),
            remnants: sheet.remnants.iter().map(|r| r.outline.clone()).collect(),
        }
    }
}

/// How many sheets of one stock.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct PiecesOf {
    /// The stock's name.
    pub stock: String,
    /// Sheets of it.
    pub count: usize,
}

impl CompareRow {
    /// Whether it makes all parts, and no sheet has a fault.
    pub fn is_whole(&self) -> bool {
        self.unplaced == 0 && self.faults == 0
    }
}
