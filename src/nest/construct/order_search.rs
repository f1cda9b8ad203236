//! The order in which boxes are placed, improved by swapping two of them.
//!
//! Late acceptance (Burke & Bykov, *The late acceptance hill-climbing heuristic*, EJOR 258, 2017; cited from memory): an order is
//! accepted if it is no worse than the one some steps ago. The constants are set by hand, not tuned.

use super::skyline::{Filled, Laid, Skyline};
use crate::nest::budget::clock::Clock;
use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};

/// Number of decodings back to the order compared with.
const HISTORY: usize = 200;
/// Decodings without improvement after which another first order is taken, and the number of first orders without improvement that
/// ends the search.
const STALLED: usize = 20_000;
const STARTS: usize = 12;

/// A search for the order with the densest layout.
pub struct OrderSearch {
    skyline: Skyline,
    rng: Xoshiro256PlusPlus,
    /// Least number of strips, and the least length used on the last of that many.
    bound: (usize, f64),
    /// The best decoded layout.
    pub best: Option<(Filled, Vec<Laid>)>,
    /// Orders decoded so far.
    pub made: u64,
}

impl OrderSearch {
    pub fn new(skyline: Skyline, seed: u64) -> OrderSearch {
        let area = |class: &usize| {
            let areas = skyline.sizes[*class].iter().map(|s| s.along * s.across);
            areas.fold(f64::INFINITY, f64::min)
        };
        let length = skyline.classes.iter().map(area).sum::<f64>() / skyline.strip.1;
        let strips = (length / skyline.strip.0 - 1e-9).ceil().max(1.0);
        let bound = (strips as usize, length - (strips - 1.0) * skyline.strip.0);
        let rng = Xoshiro256PlusPlus::seed_from_u64(seed);
        OrderSearch { skyline, rng, bound, best: None, made: 0 }
    }

    /// Decodes up to `drawings` orders; stops earlier if none can be better, no start has found one for long, or time is up.
    pub fn improve(&mut self, drawings: u64, clock: &Clock<'_>) {
        let (mut start, mut last) = (0, 0);
        while start <= last + STARTS && !self.is_over(drawings, clock) {
            let before = self.best.as_ref().map(|b| b.0);
            let order = self.first_order(start);
            if self.improve_order(order, drawings, clock).is_none() {
                return;
            }
            start += 1;
            if self.best.as_ref().map(|b| b.0) != before {
                last = start;
            }
        }
    }

    fn is_over(&self, drawings: u64, clock: &Clock<'_>) -> bool {
        self.made >= drawings || self.is_perfect() || clock.is_over()
    }

    /// Swaps two boxes of the order until that stalls; `None` where a box fits on no strip.
    fn improve_order(
        &mut self,
        mut order: Vec<usize>,
        drawings: u64,
        clock: &Clock<'_>,
    ) -> Option<()> {
        let n = order.len();
        let mut now = self.draw(&order)?;
        let (mut history, mut stalled) = ([now; HISTORY], 0);
        while stalled < STALLED && !self.is_over(drawings, clock) {
            stalled += 1;
            let (a, b) = (self.rng.random_range(0..n), self.rng.random_range(0..n));
            if self.skyline.classes[order[a]] == self.skyline.classes[order[b]] {
                continue;
            }
            order.swap(a, b);
            let next = self.draw(&order)?;
            let past = &mut history[self.made as usize % HISTORY];
            if next.cost() < now.cost() {
                stalled = 0;
            }
            if next.cost() <= now.cost() || next.cost() <= past.cost() {
                now = next;
            } else {
                order.swap(a, b);
            }
            *past = now;
        }
        Some(())
    }

    fn is_perfect(&self) -> bool {
        let eps = self.skyline.eps;
        self.best
            .as_ref()
            .is_some_and(|(f, _)| f.strips <= self.bound.0 && f.used <= self.bound.1 + eps)
    }

    fn draw(&mut self, order: &[usize]) -> Option<Filled> {
        self.made += 1;
        let filled = self.skyline.lay(order, self.bound.1)?;
        if self.best.as_ref().is_none_or(|b| filled < b.0) {
            self.best = Some((filled, self.skyline.laid.clone()));
        }
        Some(filled)
    }

    /// Largest first by one measure after another, then random orders.
    fn first_order(&mut self, start: usize) -> Vec<usize> {
        let n = self.skyline.classes.len();
        let mut order: Vec<usize> = (0..n).collect();
        let measure = |&i: &usize| {
            let s = self.skyline.sizes[self.skyline.classes[i]][0];
            [s.along * s.across, s.along.max(s.across), s.along + s.across, s.across][start % 4]
        };
        if start < 4 {
            order.sort_by(|a, b| measure(b).total_cmp(&measure(a)).then(a.cmp(b)));
        } else {
            (1..n).for_each(|k| order.swap(k, self.rng.random_range(0..=k)));
        }
        order
    }
}
