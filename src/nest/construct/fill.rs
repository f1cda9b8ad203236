//! Fills sheets for the first layouts: sheets are opened in the order of preference, pinned copies first.

use super::first::{Filler, Pattern};
use crate::geometry::Vector;
use crate::nest::nest_task::{NestTask, PinFault, Reason};
use crate::nest::no_fit::no_fit_table::NoFitTable;
use crate::nest::placing::item::Item;
use crate::nest::placing::sheet_axis::Axis;
use crate::nest::placing::state::{FieldId, Placing, State};
use crate::nest::shapes::form::HeldOrientation;

/// A valid layout, with the copies left over.
#[derive(Clone)]
pub struct Trial<'w> {
    pub state: State<'w>,
    pub unplaced: Vec<(usize, Reason)>,
    /// Unplaced copies, area of all sheets but the last, area used on the last.
    pub score: (usize, f64, f64),
    pub axis: Axis,
}

impl Trial<'_> {
    /// Copies left over, and sheets.
    pub fn needs(&self) -> (usize, usize) {
        (self.unplaced.len(), self.state.fields.len())
    }
}

/// Places the items in this order and pattern; spares last, where the sheets in use have room.
pub fn fill<'w>(
    mut state: State<'w>,
    order: &[usize],
    axis: Axis,
    pattern: Pattern<'_>,
) -> Trial<'w> {
    let (problem, items) = (state.table.problem, state.items);
    let mut supply = Supply {
        problem,
        left: problem.sheets.iter().map(|s| s.quantity).collect(),
        cell: cell_size(state.table, items),
    };
    let mut unplaced = place_pins(&mut state, &mut supply);
    let mut filler = Filler::new(axis, pattern);
    // A kind that has found no place on a sheet finds none there later either.
    let mut full = vec![vec![]; problem.parts.len()];
    let required = order.iter().filter(|&&i| !items[i].spare);
    let spares = order.iter().filter(|&&i| items[i].spare);
    for &i in required.chain(spares) {
        let item = items[i];
        if item.pin.is_some() {
            continue;
        }
        let full: &mut Vec<bool> = &mut full[item.part];
        full.resize(state.fields.len(), false);
        let mut placed = false;
        for (field, is_full) in full.iter_mut().enumerate().filter(|(_, f)| !**f) {
            placed = filler.place(&mut state, i, FieldId::new(field));
            if placed {
                break;
            }
            *is_full = true;
        }
        if !placed && !item.spare {
            match on_new_sheet(&mut state, &mut supply, &mut filler, i) {
                Ok(()) => {}
                Err(reason) => unplaced.push((i, reason)),
            }
        }
    }
    let score = score(&state, unplaced.len(), axis);
    Trial { state, unplaced, score, axis }
}

/// The stock, in the order of preference.
struct Supply<'p> {
    problem: &'p NestTask,
    left: Vec<Option<usize>>,
    cell: f64,
}

impl Supply<'_> {
    fn open(&mut self, state: &mut State<'_>, stock: usize) -> Option<FieldId> {
        match &mut self.left[stock] {
            Some(0) => return None,
            Some(n) => *n -= 1,
            None => {}
        }
        Some(state.open(stock, self.cell))
    }

    fn close_last(&mut self, state: &mut State<'_>) {
        if let Some(field) = state.fields.pop()
            && let Some(n) = &mut self.left[field.stock]
        {
            *n += 1;
        }
    }
}

/// The mean size of an item, so that a place touches only a few cells.
pub fn cell_size(table: &NoFitTable<'_>, items: &[Item]) -> f64 {
    let mean = |sum: f64| sum / items.len().max(1) as f64;
    let side = |i: &Item| {
        let b = table.kinds[i.part].as_ref().map(|k| k.shape.bounds());
        b.map_or(0.0, |b| (b.width() * b.height()).sqrt())
    };
    mean(items.iter().map(side).sum()) + table.problem.gap
}

fn place_pins(state: &mut State<'_>, supply: &mut Supply<'_>) -> Vec<(usize, Reason)> {
    let mut unplaced = vec![];
    for (i, item) in state.items.iter().enumerate() {
        let Some((sheet, pose)) = item.pin else { continue };
        while state.fields.len() <= sheet {
            let next = (0..supply.problem.sheets.len()).find(|&s| supply.left[s] != Some(0));
            if next.and_then(|s| supply.open(state, s)).is_none() {
                break;
            }
        }
        let form = state.table.find_form(item.part, HeldOrientation::of(pose, 0));
        let (Some(form), true) = (form, sheet < state.fields.len()) else {
            let fault = PinFault::NoSheet { sheet };
            unplaced.push((i, Reason::PinInTheWay { fault }));
            continue;
        };
        let pinned = Placing { form, field: FieldId::new(sheet), at: pose.offset };
        match pin_fault(state, i, pinned) {
            None => state.put(i, pinned),
            Some(fault) => unplaced.push((i, Reason::PinInTheWay { fault })),
        }
    }
    unplaced
}

fn pin_fault(state: &State<'_>, item: usize, pinned: Placing) -> Option<PinFault> {
    let (Placing { form, field, at }, eps) = (pinned, state.table.eps);
    if !at.finite() {
        return Some(PinFault::NotFinite);
    }
    let off = PinFault::OffSheet { at };
    let Some(limits) = state.limits(field, form) else { return Some(off) };
    if limits.nearest(at).distance(at) > 1e-6 {
        return Some(off);
    }
    let mut fault = None;
    state.views(pinned.of(item), state.bounds_at(form, at), |other, v| {
        // A pin is typed by hand: what the checker's own tolerance accepts is good.
        if v.nofit.depth(v.offset(at), eps.max(1e-6)) > 0.0 {
            fault = Some(match other {
                None => PinFault::NearEdge,
                Some(j) => PinFault::NearPart { part: state.kind(j), copy: state.items[j].copy },
            });
        }
    });
    fault
}

/// Opens the first stock on which the item fits.
fn on_new_sheet(
    state: &mut State<'_>,
    supply: &mut Supply<'_>,
    filler: &mut Filler<'_>,
    item: usize,
) -> Result<(), Reason> {
    let (problem, kind) = (supply.problem, state.kind(item));
    if problem.sheets.is_empty() {
        return Err(Reason::NoStock);
    }
    let mut used_up = false;
    for stock in 0..problem.sheets.len() {
        let table = state.table;
        let fits = table.allowed[stock][kind]
            .iter()
            .any(|&f| table.limits(stock, f, table.sheet_bounds(stock).max).is_some());
        if !fits {
            continue;
        }
        let Some(field) = supply.open(state, stock) else {
            used_up = true;
            continue;
        };
        filler.forget(field);
        if filler.place(state, item, field) {
            return Ok(());
        }
        supply.close_last(state);
        filler.forget(field);
    }
    if used_up { Err(Reason::StockUsedUp) } else { Err(too_big(state.table, kind)) }
}

fn too_big(table: &NoFitTable<'_>, kind: usize) -> Reason {
    let extents = table.allowed.iter().flat_map(|by_part| &by_part[kind]).map(|&f| {
        let b = table.form(f).part_bounds;
        (b.width(), b.height())
    });
    let (width, height) =
        extents.min_by(|a, b| (a.0 * a.1).total_cmp(&(b.0 * b.1))).unwrap_or((0.0, 0.0));
    Reason::TooBig { width, height }
}

pub fn score(state: &State<'_>, unplaced: usize, axis: Axis) -> (usize, f64, f64) {
    let area = |f: FieldId| {
        let b = state.table.sheet_bounds(state.stock(f));
        b.width() * b.height()
    };
    let Some(last) = state.last() else { return (unplaced, 0.0, 0.0) };
    let before: f64 = state.field_ids().filter(|&f| f != last).map(area).sum();
    let b = state.table.sheet_bounds(state.stock(last));
    let size = b.max - b.min;
    let used = axis.of(state.used(last)) * axis.across().of(size);
    (unplaced, before, used)
}
