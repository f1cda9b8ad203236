//! Mixes of stock sizes that take a group's parts at less cost than any one size.
//!
//! First comes the cheapest set of known sheets (`patterns`, `cover`). If a cheaper set is possible, the numbers of sheets that may
//! be enough are listed by area and extents (`stock_bound`), the cheapest first, filled no denser than the sheets made so far
//! suggest. The nest tries some of them, halving the list each time. A trial may spill over onto one more kind of sheet, so that it
//! always gives a layout; the sheets that it used are the mix found, and its sheets become patterns.

use super::cover::CheapestCover;
use super::patterns::Patterns;
use super::stock_bound::{Counts, Needs};
use crate::job::Stock;
use crate::nest::{Budget, Control, Nest, NestTask, Nested, NestedSheet};
use rayon::prelude::*;
use std::sync::atomic::Ordering;

/// Most trials, and how many at a time: the same on any machine, so that the answer is. Patterns come first and find most.
const TRIALS: usize = 8;
const AT_ONCE: usize = 4;
/// Most trials of roomy mixes.
const ROOMY: usize = 2;
/// Mixes of about one cost from which the roomiest are tried.
const WINDOW: usize = 24;

/// By how much the sheets of a mix may have to be fuller than the fullest sheet made so far (set by hand).
const FULLER: f64 = 0.04;

/// Most mixes that are handed on: where tabs or the cut spoil the cheapest, another may still be the best (set by hand).
const MOST: usize = 6;

/// A mix that takes all parts.
pub(super) struct Mix {
    pub cost: f64,
    /// What to nest it from.
    pub stock: Vec<Stock>,
    /// The sheets used of each, in the order of the task's stock.
    used: Vec<usize>,
    /// The nest that showed it.
    pub nested: Nested,
}

/// What is known before mixes are looked for.
pub(super) struct Alone<'a> {
    /// The nest on each stock alone, in the order of the task's stock.
    pub nested: &'a [&'a Nested],
    /// The least cost of a known choice, and the lower bound on the cost of any.
    pub known: f64,
    pub least: f64,
}

/// The mixes found that cost less than what is known, the cheapest first, one for each cost.
pub(super) struct Mixes {
    pub found: Vec<Mix>,
    /// Whether the cheapest set of the sheets known was not found out: that took too many branches.
    pub cut_short: bool,
}

/// Looks for mixes.
pub(super) fn mixes(
    task: &NestTask,
    needs: &Needs,
    alone: &Alone<'_>,
    budget: Budget,
    control: &Control<'_>,
) -> Mixes {
    let mut found = vec![];
    let nest = Nest::new(task);
    let mut patterns = Patterns::new((task, &nest), needs, budget, *control);
    for (stock, nested) in alone.nested.iter().enumerate() {
        patterns.add(nested, |_| stock);
    }
    patterns.enrich((alone.known, alone.least));
    let cheapest = |patterns: &Patterns<'_>, below: f64| {
        let CheapestCover { lots, cut_short } = patterns.cheapest((below, alone.least));
        (lots.map(|(lots, _)| mix_of(task, patterns.nested(&lots))), cut_short)
    };
    let (mix, mut cut_short) = cheapest(&patterns, alone.known);
    found.extend(mix);
    let known = found.first().map_or(alone.known, |m: &Mix| m.cost);
    if known > alone.least + 1e-9 {
        for mix in by_counts(task, needs, &Alone { known, ..*alone }, budget, control) {
            patterns.add(&mix.nested, |s| stock_named(task, &mix.stock[s].name));
            found.push(mix);
        }
        let known = found.iter().map(|m| m.cost).fold(known, f64::min);
        let mix;
        (mix, cut_short) = cheapest(&patterns, known);
        found.extend(mix);
    }
    // Of one cost the sheets with the least area.
    let area = |m: &Mix| -> f64 {
        m.used.iter().zip(&task.sheets).map(|(n, s)| *n as f64 * s.outline.area()).sum()
    };
    found.sort_by(|a, b| {
        let cost = a.cost.total_cmp(&b.cost);
        cost.then(area(a).total_cmp(&area(b))).then_with(|| a.used.cmp(&b.used))
    });
    found.dedup_by(|a, b| (a.cost - b.cost).abs() < 1e-9);
    found.truncate(MOST);
    Mixes { found, cut_short }
}

/// The mix of a layout on the task's stock.
fn mix_of(task: &NestTask, nested: Nested) -> Mix {
    let of = |s: usize| nested.sheets.iter().filter(|sheet| sheet.stock == s).count();
    let used: Vec<usize> = (0..task.sheets.len()).map(of).collect();
    let (stock, cost) = (exactly(task, &used), cost(task, &nested));
    let place = |s: usize| stock.iter().position(|k| k.name == task.sheets[s].name).unwrap_or(0);
    let sheets = nested.sheets.into_iter();
    let sheets = sheets.map(|s| NestedSheet { stock: place(s.stock), ..s }).collect();
    Mix { cost, stock, used, nested: Nested { sheets, ..nested } }
}

fn stock_named(task: &NestTask, name: &str) -> usize {
    task.sheets.iter().position(|s| s.name == name).unwrap_or(0)
}

/// The mixes found among the numbers of sheets that may be enough, and cost less than what is known.
fn by_counts(
    task: &NestTask,
    needs: &Needs,
    alone: &Alone<'_>,
    budget: Budget,
    control: &Control<'_>,
) -> Vec<Mix> {
    let mut found: Vec<Mix> = vec![];
    let known = alone.known;
    let full = alone.nested.iter().enumerate().map(|(i, n)| fullest(needs, i, n));
    let fullest = full.fold(0.0, f64::max);
    let Some(all) = needs.cheaper_than(known, (fullest + FULLER).min(1.0)) else { return vec![] };
    let room = |c: &Counts| -> f64 {
        c.counts.iter().zip(&needs.room).map(|(n, room)| *n as f64 * room).sum()
    };
    // One nest for all trials: what it finds out about the parts, their lattices above all, serves each of them.
    let by_size = NestTask { sheets: largest_first(task), ..task.clone() };
    let nest = Nest::new(&by_size);
    let mut tried = vec![false; all.len()];
    // Where one does, a cheaper one may; where none does, a dearer one may.
    let (mut low, mut high) = (0, all.len());
    let mut trials = 0;
    while low < high && trials < TRIALS && !control.stop.load(Ordering::Relaxed) {
        let middle = (low + high) / 2;
        let mut near: Vec<usize> =
            (middle.saturating_sub(WINDOW).max(low)..=middle).filter(|&i| !tried[i]).collect();
        near.sort_by(|&a, &b| room(&all[b]).total_cmp(&room(&all[a])).then(a.cmp(&b)));
        near.truncate(AT_ONCE);
        near.iter().for_each(|&i| tried[i] = true);
        trials += near.len();
        let results: Vec<Option<Mix>> = near
            .par_iter()
            .map(|&i| tried_mix((task, &nest), stock_of(task, &all[i].counts), budget, control))
            .collect();
        let best = found.iter().map(|f| f.cost).fold(known, f64::min);
        let made: Vec<Mix> =
            results.into_iter().flatten().filter(|r| r.cost < known - 1e-9).collect();
        let least = made.iter().map(|m| m.cost).fold(f64::INFINITY, f64::min);
        if least < best - 1e-9 {
            high = all.iter().position(|c| c.cost >= least - 1e-9).unwrap_or(all.len());
        } else {
            low = middle + 1;
        }
        found.extend(made);
    }
    // Tabs take room: should they spoil the cheapest mixes, the roomiest that still cost less are at hand, without the smaller
    // sheets that the nest would turn to.
    let least = found.iter().map(|f| f.cost).fold(known, f64::min);
    let mut roomy: Vec<usize> = (0..all.len()).filter(|&i| all[i].cost > least + 1e-9).collect();
    roomy.sort_by(|&a, &b| room(&all[b]).total_cmp(&room(&all[a])).then(a.cmp(&b)));
    roomy.truncate(ROOMY);
    if !control.stop.load(Ordering::Relaxed) {
        let tried =
            |&i: &usize| tried_mix((task, &nest), exactly(task, &all[i].counts), budget, control);
        let made: Vec<Option<Mix>> = roomy.par_iter().map(tried).collect();
        found.extend(made.into_iter().flatten().filter(|m| m.cost < known - 1e-9));
    }
    found
}

/// Nests the parts on this stock, by a nest of the same parts on all sizes, the largest first. `None` where parts are left over.
fn tried_mix(
    (task, by_size): (&NestTask, &Nest<'_>),
    stock: Vec<Stock>,
    budget: Budget,
    control: &Control<'_>,
) -> Option<Mix> {
    let all = largest_first(task);
    let count = |s: &Stock| stock.iter().find(|k| k.name == s.name).map_or(Some(0), |k| k.quantity);
    let sheets: Vec<Stock> = all.into_iter().map(|s| Stock { quantity: count(&s), ..s }).collect();
    let used = sheets.iter().filter(|s| s.quantity != Some(0)).map(|s| &s.name);
    // What a trial may spill over onto comes last, even where smaller sheets are on hand.
    let in_order = used.eq(stock.iter().map(|s| &s.name));
    let tried = NestTask { sheets: if in_order { sheets } else { stock.clone() }, ..task.clone() };
    let nest = if in_order { by_size.recounted(&tried) } else { Nest::new(&tried) };
    let nested = nest.improve(nest.first(), budget, control);
    let cost = cost(&tried, &nested);
    let place = |s: usize| stock.iter().position(|k| k.name == tried.sheets[s].name).unwrap_or(0);
    let sheets = nested.sheets.into_iter();
    let sheets = sheets.map(|s| NestedSheet { stock: place(s.stock), ..s }).collect();
    let nested = Nested { sheets, ..nested };
    let of =
        |kind: &Stock| nested.sheets.iter().filter(|s| stock[s.stock].name == kind.name).count();
    let used = task.sheets.iter().map(of).collect();
    nested.unplaced.is_empty().then_some(Mix { cost, stock, used, nested })
}

/// The task's stock, the largest first.
fn largest_first(task: &NestTask) -> Vec<Stock> {
    let mut sheets = task.sheets.clone();
    sheets.sort_by(|a, b| b.outline.area().total_cmp(&a.outline.area()));
    sheets
}

/// Those numbers of sheets, the largest first, then more of the smallest kind whose number is unlimited.
fn stock_of(task: &NestTask, counts: &[usize]) -> Vec<Stock> {
    let area = |s: &Stock| s.outline.area();
    let mut sheets = exactly(task, counts);
    let more = task.sheets.iter().filter(|s| s.quantity.is_none());
    if let Some(more) = more.min_by(|a, b| area(a).total_cmp(&area(b))) {
        // Each kind once: sheets are counted by its name.
        sheets.retain(|s| s.name != more.name);
        sheets.push(more.clone());
    }
    sheets
}

/// Those numbers of sheets and no others, the largest first.
fn exactly(task: &NestTask, counts: &[usize]) -> Vec<Stock> {
    let area = |s: &Stock| s.outline.area();
    let used = task.sheets.iter().zip(counts).filter(|(_, n)| **n > 0);
    let mut sheets: Vec<Stock> =
        used.map(|(s, n)| Stock { quantity: Some(*n), ..s.clone() }).collect();
    sheets.sort_by(|a, b| area(b).total_cmp(&area(a)));
    sheets
}

pub(super) fn cost(task: &NestTask, nested: &Nested) -> f64 {
    nested.sheets.iter().filter_map(|s| task.sheets[s.stock].price).sum()
}

/// How full the fullest sheet is, by what the parts on it need and what it has room for.
fn fullest(needs: &Needs, stock: usize, nested: &Nested) -> f64 {
    let of = |s: &NestedSheet| -> f64 {
        s.placed.iter().map(|p| needs.claims[p.part]).sum::<f64>() / needs.room[stock].max(1e-9)
    };
    nested.sheets.iter().map(of).fold(0.0, f64::max)
}
