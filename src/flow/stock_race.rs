//! Races the choices of stock for a group: a first layout of each at once, then a nest of each, then the rest of the flow (tabs,
//! cut, checks) only for choices that may still be the best.
//!
//! Everything that does not depend on the stock, above all the holds of the parts, is planned once for all choices.

use super::effort::{Effort, Watch};
use super::group_task::GroupTask;
use super::members::{Member, members};
use super::mixes::{Alone, mixes};
use super::offer::{Offer, price};
use super::placed_sheet::sheets_of;
use super::sides::best_members;
use super::stock_bound::Needs;
use super::{NotVerified, finished};
use crate::export::{By, CompareRow, GroupTable, PiecesOf, SmallSheet, placed_in_order};
use crate::job::{Group, Job, Stock};
use crate::layout::{CutTime, Layout, waste_percent};
use crate::nest::{Budget, Control, Nest, NestTask, Nested};
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// The first layouts: the best of several fillings, nothing moved.
const FIRST: Budget = Budget { moves: Some(0), time: None };

/// Share of its sheets that a search may save over a first layout (set by hand).
const SAVED: f64 = 0.15;

/// Moves for a trial of a mix.
const TRIAL: u64 = 1500;

/// Choices made in full at a time: the same number on any machine, so that the answer is the same too.
const AT_ONCE: usize = 2;

/// Shares of a time limit: for nesting each choice, and for mixes; the rest is for the whole way.
const NESTS: f64 = 0.3;
const MIXES: f64 = 0.2;

/// Who watches the race, and may stop it.
pub struct RaceWatch<'a> {
    /// Set to stop with what is known.
    pub stop: &'a AtomicBool,
    /// Called at each step, from any thread.
    pub step: &'a (dyn Fn(RaceStep<'_>) + Sync),
}

/// A step of the race.
pub enum RaceStep<'a> {
    /// Every choice of a group has a first layout.
    First(&'a GroupTable),
    /// Every choice, and every mix found, has been nested; at most this many are made in full.
    Nested {
        /// The number of choices.
        choices: usize,
    },
    /// A choice went the whole way.
    Made {
        /// The group's name.
        group: &'a str,
        /// What it came to.
        row: &'a CompareRow,
    },
}

/// Races the choices of each group, listed with the group's number, by what the rows are to be sorted by (if `None`, by cost where
/// there are prices, else by waste).
///
/// # Errors
/// [`NotVerified`] when a layout fails the independent check.
pub fn race(
    job: &Job,
    choices: &[(usize, Vec<Offer>)],
    by: Option<By>,
    effort: &Effort,
    watch: &RaceWatch,
) -> Result<Vec<GroupTable>, NotVerified> {
    let mut tables = vec![];
    let start = Instant::now();
    for (done, (number, offers)) in choices.iter().enumerate() {
        let Some(group) = job.groups.get(*number) else { continue };
        let left = effort
            .time
            .map(|t| t.saturating_sub(start.elapsed()) / (choices.len() - done).max(1) as u32);
        let effort = Effort { time: left, ..*effort };
        tables.push(Race { group, job, by, effort, watch, start: Instant::now() }.run(offers)?);
    }
    Ok(tables)
}

/// The job with that group alone, on this stock. What no stock lets it make, a part that no bit cuts, is left aside.
fn with_stock(job: &Job, group: &Group, stock: Vec<Stock>) -> Job {
    Job { groups: vec![Group { stock, ..group.clone() }], refused: vec![], ..job.clone() }
}

/// The race of one group.
struct Race<'a> {
    group: &'a Group,
    job: &'a Job,
    by: Option<By>,
    effort: Effort,
    watch: &'a RaceWatch<'a>,
    start: Instant,
}

/// A choice with what is known of it.
struct Runner {
    /// The group alone, on the stock of this choice.
    job: Job,
    row: CompareRow,
    /// Its layout, if the race found it as a mix of several sizes.
    mix: Option<Nested>,
}

impl Race<'_> {
    fn run(&self, offers: &[Offer]) -> Result<GroupTable, NotVerified> {
        let base = with_stock(self.job, self.group, self.group.stock.clone());
        let held = members(&base);
        let first = |offer: &Offer| {
            let job = with_stock(self.job, self.group, offer.stock.clone());
            let row = row_of_nest(&job, &held, &self.nested(&job, &held, FIRST).1);
            Runner { job, row, mix: None }
        };
        let mut field: Vec<Runner> = offers.par_iter().map(first).collect();
        (self.watch.step)(RaceStep::First(&self.table(&field, None)));
        let held = best_members(&base, &held, || self.is_over());
        let (mut bound, mut cut_short) = (None, false);
        if !self.is_over() {
            let budget = self.budget(self.effort.moves, NESTS, field.len());
            let close = self.close(&field);
            let searched = |(r, close): (&Runner, &bool)| {
                self.nested(&r.job, &held, if *close { budget } else { FIRST })
            };
            let nested: Vec<(NestTask, Nested)> =
                field.par_iter().zip(&close).map(searched).collect();
            for (runner, (_, nested)) in field.iter_mut().zip(&nested) {
                runner.row = row_of_nest(&runner.job, &held, nested);
            }
            (bound, cut_short) = self.mixed(&mut field, &held, &nested);
        }
        (self.watch.step)(RaceStep::Nested { choices: field.len() });
        self.make(&mut field, &held)?;
        // Other mixes are told only where none went the whole way.
        let by = self.by(&field);
        let mut best: Option<usize> = None;
        for (i, r) in field.iter().enumerate().filter(|(_, r)| r.mix.is_some()) {
            if best.is_none_or(|b| by.is_less(&r.row, &field[b].row)) {
                best = Some(i);
            }
        }
        let told = |i: usize, r: &Runner| r.mix.is_none() || r.row.made || best == Some(i);
        let field: Vec<Runner> =
            field.into_iter().enumerate().filter(|(i, r)| told(*i, r)).map(|r| r.1).collect();
        Ok(GroupTable { mixes_cut_short: cut_short, ..self.table(&field, bound) })
    }

    /// Whether each choice may still be the best after a search, by its first layout: where cost decides, a search is taken to save
    /// a sheet, or `SAVED` of them, at most.
    fn close(&self, field: &[Runner]) -> Vec<bool> {
        let whole = field.iter().map(|r| &r.row).filter(|r| r.is_whole());
        let known = whole.filter_map(|r| r.price).fold(f64::INFINITY, f64::min);
        let by_cost = matches!(self.by(field), By::Cost);
        let close = |row: &CompareRow| match row.price.filter(|_| row.is_whole() && by_cost) {
            Some(price) => price - price * SAVED.max(1.0 / row.sheets.max(1) as f64) < known - 1e-9,
            None => true,
        };
        field.iter().map(|r| close(&r.row) || r.row.price == Some(known)).collect()
    }

    /// The nest of a choice within a budget.
    fn nested(&self, job: &Job, held: &[Member], budget: Budget) -> (NestTask, Nested) {
        let task = GroupTask::new(job, 0, &mut held.iter().cloned(), &self.effort);
        let nest: Nest<'_> = task.nest();
        let control = Control { stop: self.watch.stop, progress: None };
        let nested = nest.improve(nest.first(), budget, &control);
        (task.nest_task().clone(), nested)
    }

    /// The budget of each search when this number of searches run side by side.
    fn budget(&self, moves: Option<u64>, share: f64, searches: usize) -> Budget {
        let turns = searches.div_ceil(rayon::current_num_threads()).max(1) as u32;
        let time = self.effort.time.map(|t| t.mul_f64(share) / turns);
        Budget { moves: if time.is_some() { self.effort.moves } else { moves }, time }
    }

    /// Adds the mixes that cost less than any of the choices; returns the least cost of any mix by area alone, and whether the
    /// search for the cheapest was cut short.
    fn mixed(
        &self,
        field: &mut Vec<Runner>,
        held: &[Member],
        nested: &[(NestTask, Nested)],
    ) -> (Option<f64>, bool) {
        let single = |r: &Runner| r.job.groups[0].stock.len() == 1;
        let stock = |r: &Runner| r.job.groups[0].stock[0].clone();
        let priced = |s: &Stock| s.price.is_some() && !s.open_length;
        let sheets: Vec<Stock> = field.iter().filter(|r| single(r)).map(stock).collect();
        // A board sold by length, or stock without a price, may always be cheaper.
        let all = sheets.iter().all(priced);
        let sheets: Vec<Stock> = sheets.into_iter().filter(priced).collect();
        let Some((task, _)) = nested.first() else { return (None, false) };
        let task = NestTask { sheets, ..task.clone() };
        let needs = Needs::new(&task);
        let whole = field.iter().filter(|r| r.row.is_whole());
        let known = whole.filter_map(|r| r.row.price).fold(f64::INFINITY, f64::min);
        if !known.is_finite() || task.sheets.is_empty() {
            return (None, false);
        }
        let bound = needs.least_cost(known);
        let alone = field.iter().zip(nested).filter(|(r, _)| single(r) && priced(&stock(r)));
        let alone: Vec<&Nested> = alone.map(|(_, n)| &n.1).collect();
        let mut cut_short = false;
        if task.sheets.len() > 1 && bound < known - 1e-9 {
            let moves = self.effort.moves.map_or(TRIAL, |m| m.min(TRIAL));
            let budget = self.budget(Some(moves), MIXES, 8);
            let control = Control { stop: self.watch.stop, progress: None };
            let alone = Alone { nested: &alone, known, least: bound };
            let mixes = mixes(&task, &needs, &alone, budget, &control);
            cut_short = mixes.cut_short;
            for mix in mixes.found {
                let job = with_stock(self.job, self.group, mix.stock);
                let row = row_of_nest(&job, held, &mix.nested);
                field.push(Runner { row, job, mix: Some(mix.nested) });
            }
        }
        (all.then_some(bound), cut_short)
    }

    /// Takes choices the whole way, those first that look best by their nest, as long as one may still be the best: tabs take room,
    /// they give none.
    fn make(&self, field: &mut [Runner], held: &[Member]) -> Result<(), NotVerified> {
        let by = self.by(field);
        let mut order: Vec<usize> = (0..field.len()).collect();
        order.sort_by(|&a, &b| by.compare(&field[a].row, &field[b].row));
        let rest = self.left() / order.len().div_ceil(rayon::current_num_threads()).max(1) as u32;
        let effort = Effort { time: self.effort.time.map(|_| rest), ..self.effort };
        let mut best: Option<CompareRow> = None;
        for batch in order.chunks(AT_ONCE) {
            let may_win = |row: &CompareRow| best.as_ref().is_none_or(|b| !by.is_less(b, row));
            let batch: Vec<usize> =
                batch.iter().copied().filter(|&i| may_win(&field[i].row)).collect();
            if batch.is_empty() || self.is_over() {
                break;
            }
            let made = |&i: &usize| -> Result<(usize, CompareRow), NotVerified> {
                let Runner { job, mix, row: nest } = &field[i];
                let mut row = self.made(job, mix.as_ref(), held, &effort)?;
                // What a mix has no room for once its tabs are planned, another layout of the same sheets may have.
                if mix.is_some() && (!row.is_whole() || row.price > nest.price) && !self.is_over() {
                    let again = self.made(job, None, held, &effort)?;
                    if again.is_whole() && (!row.is_whole() || by.is_less(&again, &row)) {
                        row = again;
                    }
                }
                (self.watch.step)(RaceStep::Made { group: &self.group.name, row: &row });
                Ok((i, row))
            };
            let rows: Result<Vec<_>, NotVerified> = batch.par_iter().map(made).collect();
            for (i, row) in rows? {
                if row.is_whole() && best.as_ref().is_none_or(|b| by.is_less(&row, b)) {
                    best = Some(row.clone());
                }
                field[i].row = row;
            }
        }
        Ok(())
    }

    /// The group made the whole way, from a mix as it is laid or from its own first layout.
    fn made(
        &self,
        job: &Job,
        mix: Option<&Nested>,
        held: &[Member],
        effort: &Effort,
    ) -> Result<CompareRow, NotVerified> {
        let mut task = GroupTask::new(job, 0, &mut held.iter().cloned(), effort);
        if let Some(mix) = mix {
            task = task.starting_from(mix.clone());
        }
        let nest = task.nest();
        let watch = Watch { stop: self.watch.stop, progress: None };
        let made = task.make(job, &nest, nest.first(), effort, &watch);
        Ok(row_of(&job.groups[0], &finished(job, vec![made])?.layout))
    }

    /// The time left; zero if moves, not time, limit the search.
    fn left(&self) -> Duration {
        self.effort.time.map_or(Duration::ZERO, |t| t.saturating_sub(self.start.elapsed()))
    }

    fn by(&self, field: &[Runner]) -> By {
        let priced = field.iter().any(|r| r.row.price.is_some());
        self.by.unwrap_or(if priced { By::Cost } else { By::Waste })
    }

    fn is_over(&self) -> bool {
        let late = self.effort.time.is_some_and(|t| self.start.elapsed() >= t);
        late || self.watch.stop.load(Ordering::Relaxed)
    }

    /// The rows, one for each set of sheets used, in order.
    fn table(&self, field: &[Runner], least_cost: Option<f64>) -> GroupTable {
        let by = self.by(field);
        let mut rows: Vec<CompareRow> = vec![];
        for row in field.iter().map(|r| &r.row) {
            // Of several stocks together one may have been enough: that one has its own row.
            match rows.iter_mut().find(|r| r.stock == row.stock && r.pieces == row.pieces) {
                Some(known) if by.is_less(row, known) => *known = row.clone(),
                Some(_) => {}
                None => rows.push(row.clone()),
            }
        }
        let parts = self.group.parts.iter().map(|&i| self.job.parts[i].quantity).sum();
        let mut table = GroupTable {
            group: self.group.name.clone(),
            parts,
            rows,
            least_cost,
            mixes_cut_short: false,
        };
        placed_in_order(std::slice::from_mut(&mut table), by);
        table
    }
}

/// The row of a nest alone; its tabs and its cut are not planned on it.
fn row_of_nest(job: &Job, held: &[Member], nested: &Nested) -> CompareRow {
    let group = &job.groups[0];
    let refused: usize = held.iter().filter(|m| m.refused.is_some()).map(|m| m.part.quantity).sum();
    let unplaced = nested.unplaced.len() + refused;
    let net = |n: &Nested| -> f64 {
        let placed = n.sheets.iter().flat_map(|s| &s.placed);
        placed.map(|p| held[p.part].part.shape.net_area()).sum()
    };
    let (mut area, mut kept, mut cost) = (0.0, 0.0, Some(0.0));
    let mut used = vec![0; group.stock.len()];
    for sheet in &nested.sheets {
        let stock = &group.stock[sheet.stock];
        let bounds = stock.outline.bounds();
        let length = sheet.length.unwrap_or(bounds.width());
        area += match sheet.length {
            Some(length) => length * bounds.height(),
            None => stock.outline.area(),
        };
        kept += sheet.remnants.iter().map(|r| r.area()).fold(0.0, f64::max);
        let piece = stock.price.map(|p| if stock.open_length { p * length / 1000.0 } else { p });
        cost = cost.zip(piece).map(|(sum, p)| sum + p);
        used[sheet.stock] += 1;
    }
    let parts = net(nested);
    let placed: usize = nested.sheets.iter().map(|s| s.placed.len()).sum();
    let waste = [waste_percent(parts, area), waste_percent(parts + kept, area)];
    let figures = Figured { waste, price: cost, placed, unplaced };
    let refused = held.iter().filter(|m| m.refused.is_some()).map(|m| &m.part.name);
    let left = nested.unplaced.iter().map(|u| &held[u.part].part.name).chain(refused);
    let left_over = once_each(left);
    let sheets = sheets_of(job, group, held, nested);
    let drawn = sheets.iter().map(|laid| SmallSheet::of(&laid.sheet)).collect();
    CompareRow { drawn, left_over, ..row(group, &used, figures) }
}

/// The row of a finished layout.
fn row_of(group: &Group, layout: &Layout) -> CompareRow {
    let count = |stock: &Stock| layout.sheets.iter().filter(|s| s.stock == stock.name).count();
    let used: Vec<usize> = group.stock.iter().map(count).collect();
    let of = |name: &str| group.stock.iter().find(|s| s.name == name);
    let prices = layout.sheets.iter().map(|sheet| price(of(&sheet.stock)?, sheet));
    let area: f64 = layout.sheets.iter().map(|s| s.sheet_area).sum();
    let kept: f64 = layout.sheets.iter().map(|s| s.kept_area() + s.part_area).sum();
    let waste = [layout.waste_percent, waste_percent(kept, area)];
    let (placed, unplaced) = (layout.parts_placed, layout.unplaced.len());
    let figures = Figured { waste, price: prices.sum(), placed, unplaced };
    let times = layout.cut_times.iter().map(|t| t.time);
    let time = times.reduce(|a: CutTime, b| a + b);
    let faults = layout.faults.len();
    let first_fault = layout.faults.first().cloned();
    let left_over = once_each(layout.unplaced.iter().map(|u| &u.part));
    let drawn = layout.sheets.iter().map(SmallSheet::of).collect();
    let row = row(group, &used, figures);
    CompareRow { time, faults, first_fault, left_over, made: true, drawn, ..row }
}

/// The names in their order, each once.
fn once_each<'a>(names: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut once: Vec<String> = vec![];
    for name in names {
        if !once.contains(name) {
            once.push(name.clone());
        }
    }
    once
}

/// The figures of a layout.
struct Figured {
    /// Before and after remnants, percent.
    waste: [f64; 2],
    price: Option<f64>,
    placed: usize,
    unplaced: usize,
}

/// The row of a layout whose cut is not planned, of that many sheets of each stock.
fn row(group: &Group, used: &[usize], figures: Figured) -> CompareRow {
    let several = group.stock.len() > 1;
    let all = group.stock.iter().zip(used).filter(|(_, n)| !several || **n > 0);
    let pieces: Vec<PiecesOf> =
        all.map(|(s, n)| PiecesOf { stock: s.name.clone(), count: *n }).collect();
    let stock = match &pieces[..] {
        [alone] => alone.stock.clone(),
        _ => {
            let counts = pieces.iter().map(|p| format!("{} x {}", p.count, p.stock));
            counts.collect::<Vec<_>>().join(" + ")
        }
    };
    let Figured { waste: [waste_percent, waste_after_remnants], price, placed, unplaced } = figures;
    let price = price.filter(|_| used.iter().any(|n| *n > 0));
    CompareRow {
        place: None,
        stock,
        sheets: used.iter().sum(),
        pieces,
        waste_percent,
        waste_after_remnants,
        price,
        price_per_part: price.filter(|_| placed > 0).map(|p| p / placed as f64),
        time: None,
        unplaced,
        left_over: vec![],
        faults: 0,
        first_fault: None,
        made: false,
        drawn: vec![],
    }
}
