//! The places that a move tries away from the item's present one.

use crate::geometry::{Bounds, Point, point};
use crate::nest::placing::state::{OnSheet, State};
use rand::RngExt;
use rand::rngs::Xoshiro256PlusPlus;

/// Numbers of places tried in one move: at corners of no-fit regions, in holes of the layout, near the present place and anywhere.
/// They are few: in a dense layout most moves that help descend from where the item lies. Chosen by the time to a density
/// (benches/NOTEBOOK.md, November 26).
const CONTACTS: usize = 8;
const HOLES: usize = 6;
const NEARBY: usize = 4;
const ANYWHERE: usize = 1;
/// The total number of places.
pub const CANDIDATES: usize = CONTACTS + HOLES + NEARBY + ANYWHERE;

/// Points sampled to find one in a hole: an eighth of a dense layout is free.
const LOOKS: usize = 12;

/// The places that an item may try in a form on a sheet.
pub struct Candidates<'s, 'w> {
    pub state: &'s State<'w>,
    pub who: OnSheet,
    /// Where the form's origin may lie.
    pub limits: Bounds,
}

impl Candidates<'_, '_> {
    /// The `k`-th place to try, if one is found.
    pub fn place(&self, k: usize, rng: &mut Xoshiro256PlusPlus) -> Option<Point> {
        if k < CONTACTS {
            self.contact(rng)
        } else if k < CONTACTS + HOLES {
            self.hole(rng)
        } else if k < CONTACTS + HOLES + NEARBY {
            self.nearby(rng)
        } else {
            Some(anywhere(&self.limits, rng))
        }
    }

    /// A place with the item's middle where no other item lies: a random place mostly lies on others.
    fn hole(&self, rng: &mut Xoshiro256PlusPlus) -> Option<Point> {
        let (limits, b) = (&self.limits, self.state.table.form(self.who.form).bounds);
        // Holes at the sheet's edge too, where the middle itself cannot lie.
        let sheet = Bounds { min: limits.min + b.min, max: limits.max + b.max };
        for _ in 0..LOOKS {
            let p = anywhere(&sheet, rng);
            if !self.state.is_covered(self.who.item, self.who.field, p) {
                return Some(limits.nearest(p - b.centre()));
            }
        }
        None
    }

    /// A place where the item touches another one at a corner of their no-fit region.
    fn contact(&self, rng: &mut Xoshiro256PlusPlus) -> Option<Point> {
        let (state, table) = (self.state, self.state.table);
        let n = state.items.len();
        for _ in 0..8 {
            let j = rng.random_range(0..=n);
            let view = if j == n {
                table.fixed(state.stock(self.who.field), self.who.form)
            } else {
                let other = state.places[j].filter(|p| p.field == self.who.field);
                let Some(other) = other.filter(|_| j != self.who.item) else { continue };
                table.pair(other.form, other.at, self.who.form)
            };
            let corners = view.nofit.corners();
            if corners == 0 {
                continue;
            }
            for _ in 0..3 {
                let c = view.nofit.corner(rng.random_range(0..corners));
                let at = view.base + c * view.sign;
                if self.limits.nearest(at) == at {
                    return Some(at);
                }
            }
        }
        None
    }

    /// A random place near where the item lies now.
    fn nearby(&self, rng: &mut Xoshiro256PlusPlus) -> Option<Point> {
        let here = self.state.places[self.who.item].filter(|p| p.field == self.who.field)?;
        // Keep the middle where it is when the turn changes.
        let table = self.state.table;
        let b = table.form(self.who.form).bounds;
        let shift = table.form(here.form).bounds.centre() - b.centre();
        let size = b.width().min(b.height()) * 0.5;
        let jitter = point(rng.random_range(-1.0..1.0), rng.random_range(-1.0..1.0));
        Some(self.limits.nearest(here.at + shift + jitter * size))
    }
}

/// A random place within bounds.
fn anywhere(b: &Bounds, rng: &mut Xoshiro256PlusPlus) -> Point {
    point(
        b.min.x + (b.max.x - b.min.x) * rng.random::<f64>(),
        b.min.y + (b.max.y - b.min.y) * rng.random::<f64>(),
    )
}
