//! Perturbations that restart the search elsewhere: most of them keep parts that lie well together.

use super::goal::Goal;
use super::search::Search;
use crate::geometry::{Bounds, Point, point};
use crate::nest::placing::state::{FieldId, Placing};
use crate::nest::shapes::form::HeldOrientation;
use rand::RngExt;
use std::f64::consts::PI;

/// Perturbs the layout at random, in one of three ways.
pub fn perturb(search: &mut Search<'_>, goal: Goal) {
    let way = search.rng.random_range(0..3);
    let mut perturbation = Perturbation { search, goal };
    let done = match way {
        0 => false,
        1 => perturbation.exchange_ends(),
        _ => perturbation.turn_slab(),
    };
    if !done {
        perturbation.swap();
    }
}

/// A search, with the sheet to be shortened.
struct Perturbation<'s, 'w> {
    search: &'s mut Search<'w>,
    goal: Goal,
}

impl Perturbation<'_, '_> {
    /// Items that may move, largest first.
    fn free(&self) -> Vec<usize> {
        let state = &self.search.state;
        let placed = state.places.iter().enumerate();
        let placed = placed.filter_map(|(i, place)| place.map(|p| (i, state.table.area(p.form))));
        let mut free: Vec<(usize, f64)> = placed.filter(|(i, _)| !state.is_pinned(*i)).collect();
        free.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        free.into_iter().map(|(i, _)| i).collect()
    }

    /// A random item of the list, more often from its beginning.
    fn early(&mut self, list: &[usize]) -> Option<usize> {
        let (a, b): (f64, f64) = (self.search.rng.random(), self.search.rng.random());
        list.get(((a * b) * list.len() as f64) as usize).copied()
    }

    /// Swaps two large items of different kinds, if there are any.
    fn swap(&mut self) {
        let free = self.free();
        let Some(first) = self.early(&free) else { return };
        let state = &self.search.state;
        let unlike = |i: &usize| state.kind(*i) != state.kind(first);
        let unlike: Vec<usize> = free.iter().copied().filter(unlike).collect();
        let Some(second) = self.early(&unlike) else { return };
        let state = &self.search.state;
        let (Some(p), Some(q)) = (state.places[first], state.places[second]) else { return };
        let (cp, cq) = (state.bounds(first).centre(), state.bounds(second).centre());
        self.put_near(first, q.field, cq);
        self.put_near(second, p.field, cp);
    }

    /// The free items of the goal's sheet whose middles lie between two positions along the axis, and their bounds.
    fn slab(&self, from: f64, to: f64) -> (Vec<usize>, Bounds) {
        let (search, axis) = (&self.search, self.goal.axis);
        let within = |&i: &usize| {
            let c = axis.of(search.state.bounds(i).centre());
            c >= from && c < to && !search.state.is_pinned(i)
        };
        let items: Vec<usize> = search.state.on_field(self.goal.field).filter(within).collect();
        let bounds = items.iter().fold(Bounds::EMPTY, |b, &i| b.join(search.state.bounds(i)));
        (items, bounds)
    }

    /// Cuts the layout in two and puts the far half first; false where there is nothing to cut.
    fn exchange_ends(&mut self) -> bool {
        let (all, whole) = self.slab(f64::NEG_INFINITY, f64::INFINITY);
        if all.len() < 2 {
            return false;
        }
        let axis = self.goal.axis;
        let (lo, hi) = (axis.of(whole.min), axis.of(whole.max));
        let cut = lo + (hi - lo) * self.search.rng.random_range(0.1..0.9);
        let (near, near_bounds) = self.slab(f64::NEG_INFINITY, cut);
        let (far, far_bounds) = self.slab(cut, f64::INFINITY);
        if near.is_empty() || far.is_empty() {
            return false;
        }
        let back = axis.unit() * (lo - axis.of(far_bounds.min));
        let on = axis.unit() * (hi - axis.of(near_bounds.max));
        for (list, by) in [(near, on), (far, back)] {
            for i in list {
                if let Some(p) = self.search.state.places[i] {
                    self.search.state.put(i, Placing { at: p.at + by, ..p });
                }
            }
        }
        true
    }

    /// Rotates a slab of the layout by half a turn, as one piece; false where one of its items may not lie so.
    fn turn_slab(&mut self) -> bool {
        let (_, whole) = self.slab(f64::NEG_INFINITY, f64::INFINITY);
        let axis = self.goal.axis;
        let (lo, hi) = (axis.of(whole.min), axis.of(whole.max));
        if hi <= lo {
            return false;
        }
        let length = (hi - lo) * self.search.rng.random_range(0.2..0.8);
        let from = lo - 0.1 * length + (hi - lo - 0.8 * length) * self.search.rng.random::<f64>();
        let (items, bounds) = self.slab(from, from + length);
        let state = &self.search.state;
        let stock = state.stock(self.goal.field);
        let c = bounds.centre();
        let turned: Option<Vec<(usize, Placing)>> = items
            .iter()
            .map(|&i| {
                let p = state.places[i]?;
                let f = state.table.form(p.form);
                let rotation = (f.orientation.rotation + PI).rem_euclid(2.0 * PI);
                let form =
                    state.table.find_form(f.kind, HeldOrientation { rotation, ..f.orientation })?;
                let at = point(2.0 * c.x - p.at.x, 2.0 * c.y - p.at.y);
                let allowed = state.table.allowed[stock][f.kind].contains(&form);
                allowed.then_some((i, Placing { form, at, ..p }))
            })
            .collect();
        let Some(turned) = turned.filter(|t| !t.is_empty()) else { return false };
        for (i, to) in turned {
            self.search.state.put(i, to);
        }
        true
    }

    /// Puts an item in a random orientation with its middle near a point of a field.
    fn put_near(&mut self, item: usize, field: FieldId, centre: Point) {
        let search = &mut *self.search;
        let forms = &search.state.table.allowed[search.state.stock(field)][search.state.kind(item)];
        if forms.is_empty() {
            return;
        }
        let form = forms[search.rng.random_range(0..forms.len())];
        if let Some(limits) = search.state.limits(field, form) {
            let middle = search.state.table.form(form).bounds.centre();
            search.state.put(item, Placing { form, field, at: limits.nearest(centre - middle) });
        }
    }
}
