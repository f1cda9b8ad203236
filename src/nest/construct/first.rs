//! The first layout: each item at the lowest free place on its sheet.
//!
//! Bottom-left filling that finds holes (Burke et al., *A new bottom-left-fill heuristic algorithm for the two-dimensional
//! irregular packing problem*, Operations Research 54, 2006), on rows across the sheet. A row's front, the first free place on it
//! for a form, only moves forward while items are added, so it is kept between copies: the cost of a copy hardly grows with their
//! number.

use super::densest_lattices::Lattices;
use super::rows::Rows;
use crate::geometry::{Bounds, Point, Vector, point};
use crate::nest::no_fit::no_fit_table::{FormId, NoFitTable};
use crate::nest::placing::compact_down::compact_down;
use crate::nest::placing::item::Item;
use crate::nest::placing::sheet_axis::Axis;
use crate::nest::placing::state::{FieldId, OnSheet, Placing, State};
use std::collections::HashMap;

/// Rows of one form on one field, with their fronts.
struct Front {
    /// Position across, and the first position along that may be free.
    rows: Vec<(f64, f64)>,
    limits: Bounds,
}

/// How copies are laid.
#[derive(Clone, Copy)]
pub enum Pattern<'l> {
    /// Each at its lowest free place.
    Free,
    /// The same, in rows of one kind.
    Rows(Rows),
    /// Parts with many copies on a lattice, by width of strips and rank, the densest being 0.
    Lattice(&'l Lattices, usize, usize),
}

/// Fills sheets along an axis.
pub struct Filler<'l> {
    axis: Axis,
    pattern: Pattern<'l>,
    /// The forms that the kind of row allows, by stock and kind.
    forms: HashMap<(usize, usize), Vec<FormId>>,
    fronts: HashMap<(FieldId, FormId), Option<Front>>,
    /// The places of lattices still to be tried, the next one last, by field and kind.
    sites: HashMap<(FieldId, usize), Vec<(FormId, Point)>>,
}

impl<'l> Filler<'l> {
    pub fn new(axis: Axis, pattern: Pattern<'l>) -> Self {
        let (forms, fronts, sites) = (HashMap::new(), HashMap::new(), HashMap::new());
        Filler { axis, pattern, forms, fronts, sites }
    }

    /// Forgets the rows of a field that was reopened.
    pub fn forget(&mut self, field: FieldId) {
        self.fronts.retain(|k, _| k.0 != field);
        self.sites.retain(|k, _| k.0 != field);
    }

    /// The next free place of the kind's lattice on the field.
    fn next_site(
        &mut self,
        state: &State<'_>,
        item: usize,
        field: FieldId,
    ) -> Option<(FormId, Point)> {
        let kind = state.kind(item);
        let Pattern::Lattice(lattices, width, rank) = self.pattern else { return None };
        if !self.sites.contains_key(&(field, kind)) {
            let lattice = lattices.get(&(state.stock(field), kind))?[width].get(rank)?;
            let [a, b] = lattice.forms;
            let limits = [state.limits(field, a)?, state.limits(field, b)?];
            let start = self.lowest(state, OnSheet { item, form: a, field }, f64::INFINITY)?;
            let mut sites = lattice.sites(limits, self.axis, self.axis.of(start));
            sites.reverse();
            self.sites.insert((field, kind), sites);
        }
        let sites = self.sites.get_mut(&(field, kind))?;
        loop {
            let (form, at) = sites.pop()?;
            if blocked_until(state, self.axis, OnSheet { item, form, field }, at).is_none() {
                return Some((form, at));
            }
        }
    }

    /// Puts the item at its lowest free place on the field; returns whether there is one.
    pub fn place(&mut self, state: &mut State<'_>, item: usize, field: FieldId) -> bool {
        if let Some((form, at)) = self.next_site(state, item, field) {
            state.put(item, Placing { form, field, at });
            return true;
        }
        let (stock, kind) = (state.stock(field), state.kind(item));
        let mut best: Option<([f64; 3], FormId, Point)> = None;
        let allowed = &state.table.allowed[stock][kind];
        // In rows what differs by rounding alone is a tie, and the bare side decides.
        let (eps, rows) = match self.pattern {
            Pattern::Rows(rows) => (state.table.eps, Some(rows)),
            _ => (0.0, None),
        };
        let in_rows = |rows: Rows| rows.of(state.table, allowed, self.axis);
        let forms = self.forms.entry((stock, kind));
        let forms = forms.or_insert_with(|| rows.map_or(allowed.clone(), in_rows)).clone();
        for form in forms {
            let axis = self.axis;
            let extent = axis.of(state.table.reach_of(stock, form, point(0.0, 0.0)));
            // One that reaches as far may have its tabs on a better side.
            let bound = best.map_or(f64::INFINITY, |b| b.0[0]) - extent + eps;
            let Some(at) = self.lowest(state, OnSheet { item, form, field }, bound) else {
                continue;
            };
            let key = [axis.of(at) + extent, axis.across().of(at), beyond(state.table, form)];
            if best.is_none_or(|b| is_less(&key, &b.0, eps)) {
                best = Some((key, form, at));
            }
        }
        let Some((_, form, at)) = best else { return false };
        let at = compact_down(state, self.axis, OnSheet { item, form, field }, at);
        state.put(item, Placing { form, field, at });
        true
    }

    /// The free place lowest along the axis, if it lies lower than `bound`.
    fn lowest(&mut self, state: &State<'_>, who: OnSheet, bound: f64) -> Option<Point> {
        let axis = self.axis;
        let front = self
            .fronts
            .entry((who.field, who.form))
            .or_insert_with(|| Front::new(state, axis, who.field, who.form))
            .as_mut()?;
        loop {
            let (k, &(across, along)) = front
                .rows
                .iter()
                .enumerate()
                .min_by(|a, b| a.1.1.total_cmp(&b.1.1).then(a.0.cmp(&b.0)))?;
            if along >= bound || along > axis.of(front.limits.max) {
                return None;
            }
            let at = axis.point(along, across);
            match blocked_until(state, axis, who, at) {
                None => return Some(at),
                Some(next) => front.rows[k].1 = next,
            }
        }
    }
}

/// How far the landings stick out towards the next items, mm: a form with its bare sides there leaves more room.
fn beyond(table: &NoFitTable<'_>, form: FormId) -> f64 {
    let f = table.form(form);
    let (l, p) = (f.landing_bounds.max, f.part_bounds.max);
    (l.x - p.x).max(0.0) + (l.y - p.y).max(0.0)
}

/// Whether a key comes before another, numbers within `eps` counted as equal.
fn is_less(key: &[f64; 3], other: &[f64; 3], eps: f64) -> bool {
    let differs = key.iter().zip(other).find(|(a, b)| (*a - *b).abs() > eps);
    differs.is_some_and(|(a, b)| a < b)
}

impl Front {
    fn new(state: &State<'_>, axis: Axis, field: FieldId, form: FormId) -> Option<Front> {
        let limits = state.limits(field, form)?;
        let (lo, hi) = (axis.across().of(limits.min), axis.across().of(limits.max));
        let b = state.table.form(form).bounds;
        // Four rows to a part's breadth find the hollows between its like; more cost more.
        let step = axis.across().of(b.max - b.min) / 4.0;
        let count = (((hi - lo) / step.max(1e-9)).ceil()).clamp(1.0, 96.0) as usize;
        let start = axis.of(limits.min);
        let mut rows: Vec<(f64, f64)> =
            (0..=count).map(|i| (lo + (hi - lo) * i as f64 / count as f64, start)).collect();
        rows.dedup_by(|a, b| a.0 == b.0);
        Some(Front { rows, limits })
    }
}

/// End along the axis of everything that blocks the place at `at`; `None` when it is free.
fn blocked_until(state: &State<'_>, axis: Axis, who: OnSheet, at: Point) -> Option<f64> {
    let eps = state.table.eps;
    let mut ahead: Option<f64> = None;
    state.views(who, state.bounds_at(who.form, at), |_, v| {
        if v.nofit.depth(v.offset(at), eps) > 0.0 {
            let here = v.stretch(at, axis.unit(), (0.0, f64::MIN_POSITIVE));
            v.nofit.crossings(here, eps, &mut vec![], |c| {
                // A step of at least eps, so that the front always moves.
                ahead = Some(ahead.unwrap_or(eps).max(c.to));
            });
            ahead = ahead.or(Some(eps));
        }
    });
    ahead.map(|t| axis.of(at) + t)
}

/// Orders in which items are placed, largest first by several measures.
pub fn orders(table: &NoFitTable<'_>, items: &[Item]) -> Vec<Vec<usize>> {
    let kind = |item: usize| items[item].part;
    let extent = |item: usize| {
        let b = table.kinds[kind(item)].as_ref().map(|k| k.shape.bounds());
        b.map_or(point(0.0, 0.0), |b| b.max - b.min)
    };
    let area = |i: usize| table.kinds[kind(i)].as_ref().map_or(0.0, |k| k.area);
    let measures: [&dyn Fn(usize) -> f64; 4] =
        [&|i| extent(i).x * extent(i).y, &|i| extent(i).x.max(extent(i).y), &area, &|i| {
            extent(i).norm()
        }];
    let mut orders: Vec<Vec<usize>> = vec![];
    for measure in measures {
        let mut order: Vec<usize> = (0..items.len()).collect();
        // Copies of a kind stay together: they nest into rows.
        order.sort_by(|&a, &b| {
            measure(b).total_cmp(&measure(a)).then(kind(a).cmp(&kind(b))).then(a.cmp(&b))
        });
        if !orders.contains(&order) {
            orders.push(order);
        }
    }
    orders
}
