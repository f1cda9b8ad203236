//! Relaxed packing: parts may overlap, and a guided local search removes the overlap.
//!
//! Overlap of a pair = the depths of its convex sums, times the pair's weight. The weights of pairs that still overlap grow after
//! each pass, which lifts the search out of local minima (Egeblad, Nielsen & Odgaard, EJOR 183, 2007; Umetani et al., International
//! Transactions in OR 16, 2009).
//!
//! A move takes up one part that overlaps. It descends from where the part lies; if overlap is left, it samples places for one of
//! the forms the part may take (at corners of no-fit regions, in holes of the layout, near by and anywhere) and descends from the
//! best of them, unless that costs far more than the part's present place.

use super::candidates::{CANDIDATES, Candidates};
use super::neighbourhood::{Neighbourhood, ScoredPlace, Scratch};
use crate::geometry::{Bounds, Point, point};
use crate::nest::placing::state::{FieldId, OnSheet, Placing, State};
use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};

/// A sampled place that costs more than this many times the best one so far is not descended from.
const WORTH: f64 = 2.0;
/// Most line minimisations in one descent.
const LINES: usize = 2;
/// Growth of an overlapping pair's weight per pass: for the shallowest and for the deepest overlap.
const GROWTH: (f64, f64) = (1.1, 1.5);
/// Share of the weight above 1 that a pair keeps in each pass in which it does not overlap.
const MEMORY: f64 = 0.98;
/// Weight of size: the overlap is depth x (area of one x area of the other) to this power. A deep overlap of large parts is long
/// too, and harder to remove than that of small parts.
const SIZE_POWER: f64 = 0.125;

/// Weights stop growing here, far above any ratio of depths that matters.
const HEAVIEST: f32 = 1e9;

/// How a separation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// No overlap is left.
    Separated,
    /// The overlap stopped falling, or the moves given were used up.
    Stalled,
}

/// A layout with its weights and random generator.
pub struct Search<'w> {
    pub state: State<'w>,
    pub rng: Xoshiro256PlusPlus,
    pub moves: u64,
    pub scratch: Scratch,
    weights: Vec<f32>,
    /// Pairs with a weight above 1.
    raised: Vec<usize>,
    /// Factor on each item's overlaps from its size.
    scale: Vec<f64>,
}

/// A pair that overlaps (`None`: the sheet's edge or keep-clear), with its depth times the factor from its sizes.
pub struct Overlap {
    pub item: usize,
    pub other: Option<usize>,
    pub depth: f64,
}

/// Number of items up to which a move considers all items on its field; beyond, only those near the item.
const FEW: usize = 150;

impl<'w> Search<'w> {
    pub fn new(state: State<'w>, seed: u64) -> Self {
        let n = state.items.len();
        // Over the mean, so that the figures stay near mm.
        let area =
            |i: usize| state.table.kinds[state.kind(i)].as_ref().map_or(1.0, |k| k.area).ln();
        let mean = (0..n).map(area).sum::<f64>() / n.max(1) as f64;
        let scale = (0..n).map(|i| (SIZE_POWER * (area(i) - mean)).exp()).collect();
        Search {
            state,
            rng: Xoshiro256PlusPlus::seed_from_u64(seed),
            moves: 0,
            scratch: Scratch::default(),
            weights: vec![1.0; n * (n + 1)],
            scale,
            raised: vec![],
        }
    }

    /// Sets every pair back to the same weight.
    pub fn forget_weights(&mut self) {
        for k in self.raised.drain(..) {
            self.weights[k] = 1.0;
        }
    }

    fn weight(&self, item: usize, other: Option<usize>) -> f64 {
        let n = self.state.items.len();
        f64::from(self.weights[item * (n + 1) + other.unwrap_or(n)]) * self.factor(item, other)
    }

    /// Factor on the overlap of a pair from its sizes.
    fn factor(&self, item: usize, other: Option<usize>) -> f64 {
        self.scale[item] * self.scale[other.unwrap_or(item)]
    }

    /// All pairs that overlap now.
    pub fn overlaps(&self) -> Vec<Overlap> {
        let mut found = vec![];
        for i in 0..self.state.items.len() {
            self.overlaps_of(i, |j| j > i, &mut found);
        }
        found
    }

    /// Adds the overlaps of one item with the sheet and with those others that `asked` accepts.
    fn overlaps_of(&self, item: usize, asked: impl Fn(usize) -> bool, found: &mut Vec<Overlap>) {
        let (state, eps) = (&self.state, self.state.table.eps);
        let Some(p) = state.places[item] else { return };
        state.views(p.of(item), state.bounds(item), |other, v| {
            if other.is_none_or(&asked) {
                let depth = v.nofit.depth(v.offset(p.at), eps) * self.factor(item, other);
                if depth > 0.0 {
                    found.push(Overlap { item, other, depth });
                }
            }
        });
    }

    /// Updates the overlaps after some items have moved.
    fn update(&self, overlaps: &mut Vec<Overlap>, moved: &[usize]) {
        let mut has_moved = vec![false; self.state.items.len()];
        moved.iter().for_each(|&i| has_moved[i] = true);
        overlaps.retain(|o| !has_moved[o.item] && o.other.is_none_or(|j| !has_moved[j]));
        for &i in moved {
            self.overlaps_of(i, |j| !has_moved[j] || j > i, overlaps);
        }
    }

    /// Moves overlapping items until nothing overlaps, the overlap stalls for `patience` passes or `most` moves are made. It ends
    /// with the layout of least overlap seen.
    pub fn separate(&mut self, patience: usize, most: u64, stop: &dyn Fn() -> bool) -> Outcome {
        let end = self.moves + most;
        let mut overlaps = self.overlaps();
        let mut best = (f64::INFINITY, self.state.places.clone());
        let mut idle: usize = 0;
        loop {
            let total: f64 = overlaps.iter().map(|o| o.depth).sum();
            if overlaps.is_empty() {
                return Outcome::Separated;
            }
            if total < best.0 {
                // Small gains must not keep a hopeless try alive.
                idle = if total < 0.98 * best.0 { 0 } else { idle + 1 };
                best = (total, self.state.places.clone());
            } else {
                idle += 1;
            }
            if idle > patience || self.moves >= end || stop() {
                self.state.restore(&best.1);
                return Outcome::Stalled;
            }
            self.raise_weights(&overlaps);
            let mut moving: Vec<usize> = overlaps
                .iter()
                .flat_map(|o| [Some(o.item), o.other])
                .flatten()
                .filter(|&i| !self.state.is_pinned(i))
                .collect();
            moving.sort_unstable();
            moving.dedup();
            self.shuffle(&mut moving);
            let mut moved = vec![];
            for item in moving {
                let from = self.state.places[item];
                self.move_item(item);
                if self.state.places[item] != from {
                    moved.push(item);
                }
            }
            self.update(&mut overlaps, &moved);
        }
    }

    fn shuffle(&mut self, items: &mut [usize]) {
        for k in (1..items.len()).rev() {
            items.swap(k, self.rng.random_range(0..=k));
        }
    }

    fn raise_weights(&mut self, overlaps: &[Overlap]) {
        let n = self.state.items.len();
        let deepest = overlaps.iter().map(|o| o.depth).fold(0.0, f64::max);
        let weights = &mut self.weights;
        self.raised.retain(|&k| {
            weights[k] = (weights[k] * MEMORY as f32).max(1.0);
            weights[k] > 1.0
        });
        let raised = &mut self.raised;
        let mut raise = |k: usize, growth: f32| {
            if weights[k] == 1.0 {
                raised.push(k);
            }
            weights[k] = (weights[k] * growth).min(HEAVIEST);
        };
        for o in overlaps {
            let growth = GROWTH.0 + (GROWTH.1 - GROWTH.0) * o.depth / deepest;
            let growth = (growth / MEMORY) as f32;
            raise(o.item * (n + 1) + o.other.unwrap_or(n), growth);
            if let Some(j) = o.other {
                raise(j * (n + 1) + o.item, growth);
            }
        }
    }

    /// The neighbourhood of an item on a sheet; near `at` only where there are many items.
    fn around(&self, who: OnSheet, at: Option<Point>) -> Option<Neighbourhood<'w>> {
        let (state, table) = (&self.state, self.state.table);
        let OnSheet { item, form, field } = who;
        let mut limits = state.limits(field, form)?;
        let at = at.filter(|_| self.state.items.len() > FEW);
        if let Some(at) = at {
            let b = table.form(form).bounds;
            let window = Bounds::of(&[at]).grown(0.5 * (b.width() + b.height()));
            limits = Bounds {
                min: point(limits.min.x.max(window.min.x), limits.min.y.max(window.min.y)),
                max: point(limits.max.x.min(window.max.x), limits.max.y.min(window.max.y)),
            };
            if limits.min.x > limits.max.x || limits.min.y > limits.max.y {
                return None;
            }
        }
        let mut around = Neighbourhood::new(limits, table.eps);
        if at.is_some() {
            let swept = state.bounds_at(form, limits.min).join(state.bounds_at(form, limits.max));
            state.views(who, swept, |other, v| around.add(v, self.weight(item, other)));
        } else {
            around.add(table.fixed(state.stock(field), form), self.weight(item, None));
            for (j, other) in state.placed_on(field).filter(|(j, _)| *j != item) {
                around.add(table.pair(other.form, other.at, form), self.weight(item, Some(j)));
            }
        }
        Some(around)
    }

    /// Takes one item up and puts it down at the best place found; stays when none is better.
    pub fn move_item(&mut self, item: usize) {
        self.moves += 1;
        let Some(here) = self.state.places[item] else { return };
        let Some(home) = self.around(here.of(item), Some(here.at)) else { return };
        let mut scratch = std::mem::take(&mut self.scratch);
        let now = home.cost(here.at, f64::INFINITY, &mut scratch);
        let mut best = (now, here);
        if now > 0.0 {
            // The way out from here first: in a dense layout it is mostly what helps.
            let spot = home.descend(ScoredPlace { cost: now, at: here.at }, LINES, &mut scratch);
            if spot.cost < best.0 {
                best = (spot.cost, Placing { at: spot.at, ..here });
            }
            if best.0 > 0.0 {
                self.look_elsewhere(item, &mut best, &mut scratch);
            }
        }
        self.scratch = scratch;
        if best.1 != here {
            self.state.put(item, best.1);
        }
    }

    /// Samples one form on one field, and descends from the best sample if that is worth it.
    fn look_elsewhere(&mut self, item: usize, best: &mut (f64, Placing), scratch: &mut Scratch) {
        let Some(who) = self.pick_form(item) else { return };
        let many = self.state.items.len() > FEW;
        let Some(limits) = self.state.limits(who.field, who.form) else { return };
        let around = if many { None } else { self.around(who, None) };
        let worth = WORTH * best.0;
        let mut spot = ScoredPlace { cost: worth, at: limits.min };
        for k in 0..CANDIDATES {
            let places = Candidates { state: &self.state, who, limits };
            let Some(at) = places.place(k, &mut self.rng) else { continue };
            let cost = match &around {
                Some(around) => around.cost(at, spot.cost, scratch),
                None => self.cost_there(item, who.at(at), spot.cost, scratch),
            };
            if cost < spot.cost {
                spot = ScoredPlace { cost, at };
                if cost == 0.0 {
                    break;
                }
            }
        }
        if spot.cost >= worth {
            return;
        }
        if spot.cost > 0.0 {
            let near = if many { self.around(who, Some(spot.at)) } else { around };
            if let Some(around) = near {
                spot = around.descend(spot, LINES, scratch);
            }
        }
        if spot.cost < best.0 {
            *best = (spot.cost, who.at(spot.at));
        }
    }

    /// Weighted overlap of an item at a place, or at least `cutoff` once the sum reaches that.
    fn cost_there(&self, item: usize, to: Placing, cutoff: f64, scratch: &mut Scratch) -> f64 {
        scratch.evaluations += 1;
        let (state, eps) = (&self.state, self.state.table.eps);
        let mut cost = 0.0;
        state.views(to.of(item), state.bounds_at(to.form, to.at), |other, v| {
            if cost < cutoff {
                let depth = v.nofit.depth(v.offset(to.at), eps);
                if depth > 0.0 {
                    cost += depth * self.weight(item, other);
                }
            }
        });
        cost
    }

    /// A random field and a form that the item may take there.
    fn pick_form(&mut self, item: usize) -> Option<OnSheet> {
        let here = self.state.places[item]?;
        let fields = self.state.fields.len();
        let field = if fields == 1 || self.rng.random_bool(0.5) {
            here.field
        } else {
            FieldId::new(self.rng.random_range(0..fields))
        };
        let forms = &self.state.table.allowed[self.state.stock(field)][self.state.kind(item)];
        if forms.is_empty() {
            return None;
        }
        Some(OnSheet { item, form: forms[self.rng.random_range(0..forms.len())], field })
    }
}
