//! A layout in the making: where each item lies, and fast queries of the items near a place.

use super::item::Item;
use crate::geometry::{Bounds, Point, point};
use crate::nest::no_fit::no_fit_table::{FormId, NoFitTable, View};
use std::num::NonZeroU32;

/// Number of a sheet in use.
///
/// The index plus one, so that an optional number takes no more memory than a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FieldId(NonZeroU32);

impl FieldId {
    /// The number of the sheet with that index, of fewer than four thousand million.
    pub fn new(index: usize) -> FieldId {
        FieldId(NonZeroU32::MIN.saturating_add(index as u32))
    }

    #[inline(always)]
    pub fn index(self) -> usize {
        self.0.get() as usize - 1
    }
}

/// Where an item lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placing {
    pub form: FormId,
    pub field: FieldId,
    pub at: Point,
}

impl Placing {
    /// The item that lies there, wherever else it may lie on its sheet.
    pub fn of(self, item: usize) -> OnSheet {
        OnSheet { item, form: self.form, field: self.field }
    }
}

/// An item in one of its forms on one sheet, wherever it lies there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnSheet {
    pub item: usize,
    pub form: FormId,
    pub field: FieldId,
}

impl OnSheet {
    pub fn at(self, at: Point) -> Placing {
        Placing { form: self.form, field: self.field, at }
    }
}

/// One sheet in use.
#[derive(Debug, Clone)]
pub struct Field {
    pub stock: usize,
    /// The far corner of the usable area, moved inwards while the search compacts the sheet.
    pub reach: Point,
    grid: Grid,
}

/// Items by the cells that their bounds touch.
#[derive(Debug, Clone)]
struct Grid {
    origin: Point,
    cell: f64,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<u32>>,
}

/// All items on all sheets in use.
#[derive(Clone)]
pub struct State<'w> {
    pub table: &'w NoFitTable<'w>,
    /// The copies to be placed.
    pub items: &'w [Item],
    /// Where each of them lies, if it has a place.
    pub places: Vec<Option<Placing>>,
    pub fields: Vec<Field>,
    boxes: Vec<Bounds>,
}

impl<'w> State<'w> {
    /// The items, none placed.
    pub fn new(table: &'w NoFitTable<'w>, items: &'w [Item]) -> Self {
        let (places, boxes) = (vec![None; items.len()], vec![Bounds::EMPTY; items.len()]);
        State { table, items, places, fields: vec![], boxes }
    }

    /// The part of an item.
    #[inline]
    pub fn kind(&self, item: usize) -> usize {
        self.items[item].part
    }

    /// Whether an item must not move.
    pub fn is_pinned(&self, item: usize) -> bool {
        self.items[item].pin.is_some()
    }

    /// Opens a sheet of that stock and returns its field number.
    pub fn open(&mut self, stock: usize, cell: f64) -> FieldId {
        let bounds = self.table.sheet_bounds(stock);
        self.fields.push(Field { stock, reach: bounds.max, grid: Grid::new(bounds, cell) });
        FieldId::new(self.fields.len() - 1)
    }

    #[inline(always)]
    pub fn field(&self, field: FieldId) -> &Field {
        &self.fields[field.index()]
    }

    /// The numbers of all sheets in use.
    pub fn field_ids(&self) -> impl Iterator<Item = FieldId> + use<> {
        (0..self.fields.len()).map(FieldId::new)
    }

    /// The number of the last sheet in use.
    pub fn last(&self) -> Option<FieldId> {
        self.fields.len().checked_sub(1).map(FieldId::new)
    }

    /// The stock of a sheet in use.
    #[inline]
    pub fn stock(&self, field: FieldId) -> usize {
        self.field(field).stock
    }

    /// Size of the cells of a field's grid, mm.
    pub fn cell(&self, field: FieldId) -> f64 {
        self.field(field).grid.cell
    }

    /// Bounds of a form at a place.
    #[inline]
    pub fn bounds_at(&self, form: FormId, at: Point) -> Bounds {
        let b = &self.table.form(form).bounds;
        Bounds { min: b.min + at, max: b.max + at }
    }

    /// Bounds of an item where it lies.
    pub fn bounds(&self, item: usize) -> Bounds {
        self.boxes[item]
    }

    /// Moves an item.
    pub fn put(&mut self, item: usize, to: Placing) {
        self.take(item);
        let bounds = self.bounds_at(to.form, to.at);
        self.boxes[item] = bounds;
        self.fields[to.field.index()].grid.insert(item as u32, bounds);
        self.places[item] = Some(to);
    }

    /// Takes an item off its sheet.
    pub fn take(&mut self, item: usize) {
        if let Some(from) = self.places[item].take() {
            self.fields[from.field.index()].grid.remove(item as u32, self.boxes[item]);
        }
    }

    /// Puts every item back where `places` has it.
    pub fn restore(&mut self, places: &[Option<Placing>]) {
        for (i, &to) in places.iter().enumerate().take(self.places.len()) {
            if self.places[i] != to {
                match to {
                    Some(to) => self.put(i, to),
                    None => self.take(i),
                }
            }
        }
    }

    /// The layout without one of its sheets: what lay there has no place.
    pub fn without(&self, dropped: FieldId) -> State<'w> {
        let mut fewer = State::new(self.table, self.items);
        for f in self.field_ids().filter(|&f| f != dropped) {
            fewer.open(self.stock(f), self.cell(f));
        }
        for (i, place) in self.places.iter().enumerate() {
            if let Some(p) = place.filter(|p| p.field != dropped) {
                let before = usize::from(p.field > dropped);
                fewer.put(i, Placing { field: FieldId::new(p.field.index() - before), ..p });
            }
        }
        fewer
    }

    /// The items whose bounds come within the gap of `bounds`, once each.
    #[inline]
    pub fn near(&self, field: FieldId, bounds: Bounds, mut found: impl FnMut(usize)) {
        let reach = bounds.grown(self.table.problem.gap.max(self.table.problem.kerf));
        self.field(field).grid.visit(reach, |i, cx, cy, grid| {
            let b = &self.boxes[i as usize];
            if (b.min.x < reach.max.x)
                & (reach.min.x < b.max.x)
                & (b.min.y < reach.max.y)
                & (reach.min.y < b.max.y)
            {
                // Of the cells that both touch, only the first counts.
                let (bx, by) = grid.cell_of(b.min);
                let (rx, ry) = grid.cell_of(reach.min);
                if cx == bx.max(rx) && cy == by.max(ry) {
                    found(i as usize);
                }
            }
        });
    }

    /// Whether another item's material lies at a point of a field.
    pub fn is_covered(&self, skip: usize, field: FieldId, p: Point) -> bool {
        self.field(field).grid.at(p).iter().map(|&j| j as usize).any(|j| {
            let b = &self.boxes[j];
            let within =
                (p.x > b.min.x) & (p.x < b.max.x) & (p.y > b.min.y) & (p.y < b.max.y) & (j != skip);
            within && self.places[j].is_some_and(|q| self.table.covers(q.form, p - q.at))
        })
    }

    /// The no-fit regions near `bounds` for an item, each with the other item (`None` for the sheet itself).
    #[inline]
    pub fn views(
        &self,
        who: OnSheet,
        bounds: Bounds,
        mut found: impl FnMut(Option<usize>, View<'w>),
    ) {
        found(None, self.table.fixed(self.stock(who.field), who.form));
        self.near(who.field, bounds, |j| {
            if let Some(other) = self.places[j].filter(|_| j != who.item) {
                found(Some(j), self.table.pair(other.form, other.at, who.form));
            }
        });
    }

    /// How far the item can move from `at` along the unit vector `u` before contact, at most `limit`. Contact that it slides along
    /// does not stop it.
    pub fn run(&self, who: OnSheet, at: Point, u: Point, limit: f64) -> f64 {
        if limit <= 0.0 {
            return 0.0;
        }
        let eps = self.table.eps;
        let swept = self.bounds_at(who.form, at).join(self.bounds_at(who.form, at + u * limit));
        let (mut run, mut sides) = (limit, vec![]);
        self.views(who, swept, |_, v| {
            sides.clear();
            v.nofit.crossings(v.stretch(at, u, (0.0, run)), eps, &mut sides, |c| {
                if c.to > 2.0 * eps {
                    run = run.min(c.from.max(0.0));
                }
            });
        });
        run
    }

    /// Where the form's origin may lie on the field.
    pub fn limits(&self, field: FieldId, form: FormId) -> Option<Bounds> {
        let f = self.field(field);
        self.table.limits(f.stock, form, f.reach)
    }

    /// The items on a field.
    pub fn on_field(&self, field: FieldId) -> impl Iterator<Item = usize> + '_ {
        self.placed_on(field).map(|(i, _)| i)
    }

    /// The items on a field, each with its place.
    pub fn placed_on(&self, field: FieldId) -> impl Iterator<Item = (usize, Placing)> + '_ {
        let placed = self.places.iter().enumerate();
        placed.filter_map(move |(i, p)| p.filter(|p| p.field == field).map(|p| (i, p)))
    }

    /// How far the items on a field reach along x and y, margin included; 0 without items.
    pub fn used(&self, field: FieldId) -> Point {
        let stock = self.stock(field);
        self.placed_on(field).fold(point(0.0, 0.0), |m, (_, p)| {
            let r = self.table.reach_of(stock, p.form, p.at);
            point(m.x.max(r.x), m.y.max(r.y))
        })
    }
}

impl Grid {
    fn new(bounds: Bounds, cell: f64) -> Grid {
        let cell = cell.max(bounds.width().max(bounds.height()) / 256.0).max(1e-9);
        let count = |extent: f64| ((extent / cell).ceil() as usize).clamp(1, 256);
        let (columns, rows) = (count(bounds.width()), count(bounds.height()));
        Grid { origin: bounds.min, cell, columns, rows, cells: vec![vec![]; columns * rows] }
    }

    #[inline(always)]
    fn cell_of(&self, p: Point) -> (usize, usize) {
        let q = (p - self.origin) / self.cell;
        // Casting a negative float to usize gives 0.
        ((q.x as usize).min(self.columns - 1), (q.y as usize).min(self.rows - 1))
    }

    fn insert(&mut self, item: u32, b: Bounds) {
        let ((x0, y0), (x1, y1)) = (self.cell_of(b.min), self.cell_of(b.max));
        for y in y0..=y1 {
            for x in x0..=x1 {
                self.cells[y * self.columns + x].push(item);
            }
        }
    }

    fn remove(&mut self, item: u32, b: Bounds) {
        let ((x0, y0), (x1, y1)) = (self.cell_of(b.min), self.cell_of(b.max));
        for y in y0..=y1 {
            for x in x0..=x1 {
                let cell = &mut self.cells[y * self.columns + x];
                if let Some(k) = cell.iter().position(|&i| i == item) {
                    cell.swap_remove(k);
                }
            }
        }
    }

    /// The items of a point's cell.
    fn at(&self, p: Point) -> &[u32] {
        let (x, y) = self.cell_of(p);
        &self.cells[y * self.columns + x]
    }

    #[inline(always)]
    fn visit(&self, b: Bounds, mut f: impl FnMut(u32, usize, usize, &Grid)) {
        let ((x0, y0), (x1, y1)) = (self.cell_of(b.min), self.cell_of(b.max));
        for y in y0..=y1 {
            for x in x0..=x1 {
                for &i in &self.cells[y * self.columns + x] {
                    f(i, x, y, self);
                }
            }
        }
    }
}
