//! The seeded source of every choice: the same seed draws the same job on any machine.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};

/// A stream of choices.
pub struct Chance(Xoshiro256PlusPlus);

impl Chance {
    pub fn new(seed: u64) -> Self {
        Chance(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// A number from `low` up to `high`.
    pub fn real(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.random_range(0.0..1.0)
    }

    /// The same on a log scale: as many small ones as large ones.
    pub fn spread(&mut self, low: f64, high: f64) -> f64 {
        self.real(low.ln(), high.ln()).exp()
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        self.0.random_range(low..=high)
    }

    /// Yes with probability `p`.
    pub fn yes(&mut self, p: f64) -> bool {
        self.0.random_range(0.0..1.0) < p
    }

    /// One of `from`.
    pub fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.whole(0, from.len() - 1)]
    }
}
