//! Patterns: lots of parts, each laid on one sheet by the nest, and the cheapest set of sheets made of them.
//!
//! What a sheet of each stock may hold is guessed by area, then tried by nesting it, once for each lot. The lots to try follow from
//! the worths of the parts, by which the lots known so far are priced (column generation: Gilmore & Gomory, *A linear programming
//! approach to the cutting-stock problem, part II*, Operations Research 11, 1963, from memory): a lot is tried if its parts are
//! worth more than its sheet costs. Then one lot is fixed and the search is repeated for the remaining copies until none are left,
//! so that there are lots that fit together.

use super::area_packing::{Claim, fullest_lots};
use super::cover::{CheapestCover, Covering, Lot, Worths, cheapest_cover, worths};
use super::knapsack::most_worth;
use super::stock_bound::Needs;
use crate::job::Stock;
use crate::nest::{Budget, Control, Ended, Nest, NestPart, NestTask, Nested, NestedSheet, Placed};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::atomic::Ordering;
use std::time::Instant;

// Set by hand; benches/RESULTS.md has what they come to.

/// Most moves of a trial.
const TRIAL: u64 = 1500;
/// Most lots tried by nesting them.
const TRIALS: usize = 160;
/// Most copies squared, together, of the lots tried: a trial takes about as long as their square. 360 parts of 12 kinds on two
/// stocks took 120 s without this limit, and 88 s with it and with webs chosen otherwise.
const WORK: usize = 1_000_000;
/// Least number of rounds of new lots for one set of wanted parts; there are more rounds where there are few stocks.
const ROUNDS: usize = 4;
/// Up to this number of lots by area, all are looked at, not only those that the worths ask for.
const ALL: usize = 100;
/// A trial without a search: fillings alone.
const FILLED: Budget = Budget { moves: Some(0), time: None };

/// Lots laid on sheets, for a task whose stock all has a price.
pub(super) struct Patterns<'a> {
    task: &'a NestTask,
    /// The nest of the whole task: what it knows about the parts serves every trial.
    nest: &'a Nest<'a>,
    needs: &'a Needs,
    /// Moves of one trial.
    moves: u64,
    until: Option<Instant>,
    control: Control<'a>,
    wanted: Vec<usize>,
    lots: Vec<Lot>,
    /// How each lot is laid, in the order of the lots.
    laid: Vec<NestedSheet>,
    /// The lots tried.
    tried: BTreeSet<Lot>,
    /// How full a sheet of each stock may be, by area, for a lot to be tried.
    fill: Vec<f64>,
}

/// The task with these numbers of copies, on as many sheets of one stock as they take; parts and stock keep their numbers.
pub(super) fn on_one_stock(task: &NestTask, stock: usize, copies: &[usize]) -> NestTask {
    let part = |(part, &copies): (&NestPart, &usize)| NestPart {
        copies,
        spares: 0,
        pins: vec![],
        ..part.clone()
    };
    let sheet = |(number, sheet): (usize, &Stock)| {
        let quantity = if number == stock { None } else { Some(0) };
        Stock { quantity, ..sheet.clone() }
    };
    NestTask {
        parts: task.parts.iter().zip(copies).map(part).collect(),
        sheets: task.sheets.iter().enumerate().map(sheet).collect(),
        threads: 1,
        ..task.clone()
    }
}

impl<'a> Patterns<'a> {
    /// No lots yet. The budget's moves are those of one trial, its time that of all.
    pub fn new(
        (task, nest): (&'a NestTask, &'a Nest<'a>),
        needs: &'a Needs,
        budget: Budget,
        control: Control<'a>,
    ) -> Patterns<'a> {
        let wanted = task.parts.iter().map(|p| p.copies).collect();
        let fill = vec![1.0; task.sheets.len()];
        let (lots, laid, tried) = (vec![], vec![], BTreeSet::new());
        let until = budget.time.map(|t| Instant::now() + t);
        let moves = budget.moves.map_or(TRIAL, |m| m.min(TRIAL));
        Patterns { task, nest, needs, moves, until, control, wanted, lots, laid, tried, fill }
    }

    /// Adds the sheets of a nest; `stock` says which of the task's each one is.
    pub fn add(&mut self, nested: &Nested, stock: impl Fn(usize) -> usize) {
        for sheet in &nested.sheets {
            let mut sheet = NestedSheet { stock: stock(sheet.stock), ..sheet.clone() };
            sheet.placed.retain(|p| !p.spare);
            self.add_sheet(sheet);
        }
    }

    fn add_sheet(&mut self, sheet: NestedSheet) -> Lot {
        let mut copies = vec![0; self.wanted.len()];
        sheet.placed.iter().for_each(|p| copies[p.part] += 1);
        let lot = Lot { stock: sheet.stock, copies };
        if !sheet.placed.is_empty() && !self.lots.contains(&lot) {
            self.lots.push(lot.clone());
            self.laid.push(sheet);
        }
        lot
    }

    /// The cheapest set of sheets that costs less than `below`, nothing costing less than `least`.
    pub fn cheapest(&self, (below, least): (f64, f64)) -> CheapestCover {
        self.covered_by(&self.lots, (below, least))
    }

    fn covered_by(&self, lots: &[Lot], (below, least): (f64, f64)) -> CheapestCover {
        cheapest_cover(&Covering { below, least, ..self.covering(&self.wanted, lots) })
    }

    fn covering<'b>(&'b self, wanted: &'b [usize], lots: &'b [Lot]) -> Covering<'b> {
        let Needs { price, most, .. } = self.needs;
        Covering { wanted, lots, price, most, below: f64::INFINITY, least: 0.0 }
    }

    /// Tries new lots that may make all cheaper than `below`.
    pub fn enrich(&mut self, (below, least): (f64, f64)) {
        if let Some(all) = fullest_lots(&self.claims(), &self.needs.room, ALL) {
            self.enrich_from(&all, (below, least));
            return;
        }
        let (mut wanted, mut left) = (self.wanted.clone(), self.needs.most.clone());
        let mut cost = 0.0;
        while wanted.iter().any(|n| *n > 0) && cost < below && !self.is_over() {
            self.price_lots(&wanted);
            let Some(worths) = worths(&self.covering(&wanted, &self.lots)) else { break };
            // A free sheet is the least dear even where it has none of what is wanted: each step takes some of it.
            let helps = |lot: &Lot| {
                left[lot.stock] > 0 && lot.copies.iter().zip(&wanted).any(|(c, n)| *c.min(n) > 0)
            };
            let useful = (0..self.lots.len()).filter(|&l| helps(&self.lots[l]));
            let best = useful.min_by(|&a, &b| {
                let dear = |l: usize| worths.dearness(&self.lots[l], &wanted, &self.needs.price);
                dear(a).total_cmp(&dear(b)).then(a.cmp(&b))
            });
            let Some(best) = best else { break };
            let Lot { stock, copies } = &self.lots[best];
            wanted.iter_mut().zip(copies).for_each(|(n, c)| *n = n.saturating_sub(*c));
            left[*stock] -= 1;
            cost += self.needs.price[*stock];
        }
    }

    fn claims(&self) -> Vec<Claim> {
        let parts = self.needs.claims.iter().zip(&self.needs.fits).zip(&self.wanted);
        parts.map(|((&area, fits), &copies)| Claim { area, fits: fits.clone(), copies }).collect()
    }

    /// Tries the lots of the cheapest cover by `all`, until that cover consists of lots that have been laid.
    fn enrich_from(&mut self, all: &[Lot], (below, least): (f64, f64)) {
        let mut open: Vec<Lot> = all.to_vec();
        while !self.is_over() {
            open.retain(|lot| !self.tried.contains(lot) && !self.lots.contains(lot));
            let lots: Vec<Lot> = self.lots.iter().chain(&open).cloned().collect();
            let Some((picked, _)) = self.covered_by(&lots, (below, least)).lots else { return };
            let mut new: Vec<Lot> = picked.into_iter().map(|l| lots[l].clone()).collect();
            new.retain(|lot| open.contains(lot));
            new.sort();
            new.dedup();
            if new.is_empty() {
                return;
            }
            self.lay(new);
        }
    }

    /// Tries lots that are worth more than their sheets cost, for these parts, as long as there are any.
    fn price_lots(&mut self, wanted: &[usize]) {
        let rounds = ROUNDS.max(TRIALS / (4 * self.task.sheets.len().max(1)));
        for _ in 0..rounds {
            let Some(worths) = worths(&self.covering(wanted, &self.lots)) else { return };
            let of = |stock: usize| self.worth_a_trial(stock, wanted, &worths);
            let mut new: Vec<Lot> = (0..self.task.sheets.len()).filter_map(of).collect();
            new.retain(|lot| !self.tried.contains(lot) && !self.lots.contains(lot));
            if new.is_empty() || self.is_over() {
                return;
            }
            self.lay(new);
        }
    }

    /// The lot worth most on a sheet of that stock, if it is worth more than the sheet costs.
    fn worth_a_trial(&self, stock: usize, wanted: &[usize], worths: &Worths) -> Option<Lot> {
        let room = self.needs.room[stock] * self.fill[stock];
        let fits = |k: usize| if self.needs.fits[k][stock] { wanted[k] } else { 0 };
        let most: Vec<usize> = (0..wanted.len()).map(fits).collect();
        let copies = most_worth(&worths.copies, &self.needs.claims, &most, room);
        let price = worths.sheet(&self.needs.price, stock);
        let pays = worths.of(copies.iter().copied()) > price * (1.0 + 1e-6) + 1e-9;
        pays.then_some(Lot { stock, copies })
    }

    fn is_over(&self) -> bool {
        let late = self.until.is_some_and(|until| Instant::now() >= until);
        let copies = |lot: &Lot| lot.copies.iter().sum::<usize>();
        let work: usize = self.tried.iter().map(|lot| copies(lot).pow(2)).sum();
        late || self.tried.len() >= TRIALS
            || work >= WORK
            || self.control.stop.load(Ordering::Relaxed)
    }

    /// Nests each of these lots, and keeps what a sheet takes of it.
    fn lay(&mut self, mut lots: Vec<Lot>) {
        lots.truncate(TRIALS - self.tried.len());
        let sheets: Vec<Vec<NestedSheet>> = lots.par_iter().map(|lot| self.tried_on(lot)).collect();
        for (lot, sheets) in lots.into_iter().zip(sheets) {
            let laid: Vec<Lot> = sheets.into_iter().map(|sheet| self.add_sheet(sheet)).collect();
            // Of a lot that no sheet takes nothing is laid; it is not tried again.
            let Some(first) = laid.into_iter().next() else {
                self.tried.insert(lot);
                continue;
            };
            let area = |lot: &Lot| -> f64 {
                let parts = lot.copies.iter().zip(&self.needs.claims);
                parts.map(|(n, claim)| *n as f64 * claim).sum::<f64>()
                    / self.needs.room[lot.stock].max(1e-9)
            };
            if first != lot {
                let fill = &mut self.fill[lot.stock];
                *fill = fill.min(0.5 * (area(&first) + area(&lot)));
            }
            self.tried.insert(lot);
        }
    }

    /// A nest of the lot: on one sheet if it can be, else on as many as it takes.
    fn tried_on(&self, lot: &Lot) -> Vec<NestedSheet> {
        let task = on_one_stock(self.task, lot.stock, &lot.copies);
        let nest = self.nest.recounted(&task);
        let time = self.until.map(|t| t.saturating_duration_since(Instant::now()));
        let nested = nest.improve(nest.first(), Budget { time, ..FILLED }, &self.control);
        if nested.sheets.len() <= 1 {
            return nested.sheets;
        }
        let budget = Budget { moves: Some(self.moves), time };
        nest.improve(nest.first(), budget, &self.control).sheets
    }

    /// The layout of these lots, the fullest sheets first; copies beyond those wanted are left out of the emptiest.
    pub fn nested(&self, picked: &[usize]) -> Nested {
        let area = |l: usize| -> f64 {
            let parts = self.lots[l].copies.iter().zip(&self.needs.claims);
            parts.map(|(n, claim)| *n as f64 * claim).sum()
        };
        let full = |l: usize| area(l) / self.needs.room[self.lots[l].stock].max(1e-9);
        let mut order = picked.to_vec();
        order.sort_by(|&a, &b| full(b).total_cmp(&full(a)).then(a.cmp(&b)));
        let mut placed = vec![0; self.wanted.len()];
        let mut numbered = |p: &Placed| {
            placed[p.part] += 1;
            (placed[p.part] <= self.wanted[p.part]).then_some(Placed { copy: placed[p.part], ..*p })
        };
        let sheet = |&l: &usize| {
            let kept = self.laid[l].placed.iter().filter_map(&mut numbered).collect();
            NestedSheet { placed: kept, ..self.laid[l].clone() }
        };
        let sheets: Vec<NestedSheet> = order.iter().map(sheet).collect();
        let sheets = sheets.into_iter().filter(|s| !s.placed.is_empty()).collect();
        Nested { sheets, unplaced: vec![], ended: Ended::Budget, moves: 0, evaluations: 0 }
    }
}
