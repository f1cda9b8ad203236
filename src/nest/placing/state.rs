//! A layout in the making: where each item lies, and fast queries of the items near a place.

use crate::geometry::{Bounds, Point, point};
use crate::nest::no_fit::no_fit_table::{NoFitTable, View};

/// Field number of an item that has no place yet.
pub const NOWHERE: u32 = u32::MAX;

/// Where an item lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placing {
    pub form: u32,
    /// Index of the sheet in use, or [`NOWHERE`].
    pub field: u32,
    pub at: Point,
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
    pub fields: Vec<Field>,
    pub items: Vec<Placing>,
    boxes: Vec<Bounds>,
}

impl<'w> State<'w> {
    /// `count` items, none placed.
    pub fn new(table: &'w NoFitTable<'w>, count: usize) -> Self {
        let nowhere = Placing { form: 0, field: NOWHERE, at: point(0.0, 0.0) };
        State {
            table,
            fields: vec![],
            items: vec![nowhere; count],
            boxes: vec![Bounds::EMPTY; count],
        }
    }

    /// Opens a sheet of that stock and returns its field number.
    pub fn open(&mut self, stock: usize, cell: f64) -> u32 {
        let bounds = self.table.sheet_bounds(stock);
        self.fields.push(Field { stock, reach: bounds.max, grid: Grid::new(bounds, cell) });
        self.fields.len() as u32 - 1
    }

    /// Size of the cells of a field's grid, mm.
    pub fn cell(&self, field: usize) -> f64 {
        self.fields[field].grid.cell
    }

    /// Bounds of a form at a place.
    #[inline]
    pub fn bounds_at(&self, form: u32, at: Point) -> Bounds {
        let b = &self.table.forms[form as usize].bounds;
        Bounds { min: b.min + at, max: b.max + at }
    }

    /// Bounds of an item where it lies.
    pub fn bounds(&self, item: usize) -> Bounds {
        self.boxes[item]
    }

    /// Moves an item.
    pub fn put(&mut self, item: usize, to: Placing) {
        self.take(item);
        if to.field != NOWHERE {
            let bounds = self.bounds_at(to.form, to.at);
            self.boxes[item] = bounds;
            self.fields[to.field as usize].grid.insert(item as u32, bounds);
        }
        self.items[item] = to;
    }

    /// Takes an item off its sheet.
    pub fn take(&mut self, item: usize) {
        let from = self.items[item];
        if from.field != NOWHERE {
            self.fields[from.field as usize].grid.remove(item as u32, self.boxes[item]);
        }
        self.items[item].field = NOWHERE;
    }

    /// The items whose bounds come within the gap of `bounds`, once each.
    #[inline]
    pub fn near(&self, field: u32, bounds: Bounds, mut found: impl FnMut(usize)) {
        let reach = bounds.grown(self.table.problem.gap.max(self.table.problem.kerf));
        self.fields[field as usize].grid.visit(reach, |i, cx, cy, grid| {
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
    pub fn is_covered(&self, skip: usize, field: u32, p: Point) -> bool {
        self.fields[field as usize].grid.at(p).iter().map(|&j| j as usize).any(|j| {
            let (b, other) = (&self.boxes[j], &self.items[j]);
            let within =
                (p.x > b.min.x) & (p.x < b.max.x) & (p.y > b.min.y) & (p.y < b.max.y) & (j != skip);
            within && self.table.covers(other.form, p - other.at)
        })
    }

    /// The no-fit regions near `bounds` for an item of `form`, each with its item (`None` for the sheet itself); `skip` is the item
    /// being moved.
    #[inline]
    pub fn views(
        &self,
        skip: usize,
        field: u32,
        form: u32,
        bounds: Bounds,
        mut found: impl FnMut(Option<usize>, View<'w>),
    ) {
        let stock = self.fields[field as usize].stock;
        found(None, self.table.fixed(stock, form));
        self.near(field, bounds, |j| {
            if j != skip {
                let other = &self.items[j];
                found(Some(j), self.table.pair(other.form, other.at, form));
            }
        });
    }

    /// How far the form can move from `at` along the unit vector `u` before contact, at most `limit`. Contact that it slides along
    /// does not stop it.
    pub fn run(&self, skip: usize, field: u32, form: u32, at: Point, u: Point, limit: f64) -> f64 {
        if limit <= 0.0 {
            return 0.0;
        }
        let eps = self.table.eps;
        let swept = self.bounds_at(form, at).join(self.bounds_at(form, at + u * limit));
        let (mut run, mut sides) = (limit, vec![]);
        self.views(skip, field, form, swept, |_, v| {
            sides.clear();
            let stretch = (0.0, run);
            v.nofit.crossings(v.offset(at), u * v.sign, stretch, eps, &mut sides, |c| {
                if c.to > 2.0 * eps {
                    run = run.min(c.from.max(0.0));
                }
            });
        });
        run
    }

    /// Where the form's origin may lie on the field.
    pub fn limits(&self, field: u32, form: u32) -> Option<Bounds> {
        let f = &self.fields[field as usize];
        self.table.limits(f.stock, form, f.reach)
    }

    /// The items on a field.
    pub fn on_field(&self, field: u32) -> impl Iterator<Item = usize> + '_ {
        self.items.iter().enumerate().filter(move |(_, p)| p.field == field).map(|(i, _)| i)
    }

    /// How far the items on a field reach along x and y, margin included; 0 without items.
    pub fn used(&self, field: u32) -> Point {
        let stock = self.fields[field as usize].stock;
        self.on_field(field).fold(point(0.0, 0.0), |m, i| {
            let p = &self.items[i];
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
