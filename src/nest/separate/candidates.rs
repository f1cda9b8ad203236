//! The places that a move tries away from the item's present one.

use super::neighbourhood::clamp;
use super::search::Search;
use crate::geometry::{Bounds, Point, point};
use rand::RngExt;

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

impl Search<'_> {
    /// The `k`-th place to try for an item at a form on a field, if one is found.
    pub fn candidate(
        &mut self,
        k: usize,
        item: usize,
        field: u32,
        form: u32,
        limits: &Bounds,
    ) -> Option<Point> {
        if k < CONTACTS {
            self.contact_place(item, field, form, limits)
        } else if k < CONTACTS + HOLES {
            self.hole_place(item, field, form, limits)
        } else if k < CONTACTS + HOLES + NEARBY {
            self.near_place(item, field, form, limits)
        } else {
            Some(self.any_place(limits))
        }
    }

    /// A place with the item's middle where no other item lies: a random place mostly lies on others.
    fn hole_place(&mut self, item: usize, field: u32, form: u32, limits: &Bounds) -> Option<Point> {
        let b = self.state.table.forms[form as usize].bounds;
        // Holes at the sheet's edge too, where the middle itself cannot lie.
        let sheet = Bounds { min: limits.min + b.min, max: limits.max + b.max };
        for _ in 0..LOOKS {
            let p = self.any_place(&sheet);
            if !self.state.is_covered(item, field, p) {
                return Some(clamp(limits, p - b.centre()));
            }
        }
        None
    }

    /// A place where the item touches another one at a corner of their no-fit region.
    fn contact_place(
        &mut self,
        item: usize,
        field: u32,
        form: u32,
        limits: &Bounds,
    ) -> Option<Point> {
        let n = self.kinds.len();
        let table = self.state.table;
        for _ in 0..8 {
            let j = self.rng.random_range(0..=n);
            let view = if j == n {
                table.fixed(self.state.fields[field as usize].stock, form)
            } else {
                let other = self.state.items[j];
                if j == item || other.field != field {
                    continue;
                }
                table.pair(other.form, other.at, form)
            };
            let corners = view.nofit.corners();
            if corners == 0 {
                continue;
            }
            for _ in 0..3 {
                let c = view.nofit.corner(self.rng.random_range(0..corners));
                let at = view.base + c * view.sign;
                if clamp(limits, at) == at {
                    return Some(at);
                }
            }
        }
        None
    }

    /// A random place within the limits.
    fn any_place(&mut self, l: &Bounds) -> Point {
        point(
            l.min.x + (l.max.x - l.min.x) * self.rng.random::<f64>(),
            l.min.y + (l.max.y - l.min.y) * self.rng.random::<f64>(),
        )
    }

    /// A random place near where the item lies now.
    fn near_place(&mut self, item: usize, field: u32, form: u32, limits: &Bounds) -> Option<Point> {
        let here = self.state.items[item];
        if field != here.field {
            return None;
        }
        // Keep the middle where it is when the turn changes.
        let forms = &self.state.table.forms;
        let shift =
            forms[here.form as usize].bounds.centre() - forms[form as usize].bounds.centre();
        let b = forms[form as usize].bounds;
        let size = b.width().min(b.height()) * 0.5;
        let jitter = point(self.rng.random_range(-1.0..1.0), self.rng.random_range(-1.0..1.0));
        Some(clamp(limits, here.at + shift + jitter * size))
    }
}
