//! Parts that are nearly upright rectangles: whole layouts are decoded from orders of the parts, thousands a second.

use super::fill::{Trial, score};
use super::order_search::OrderSearch;
use super::skyline::{BoxSize, Laid, Skyline};
use crate::geometry::{Bounds, Point, Vector};
use crate::nest::budget::run::Run;
use crate::nest::no_fit::no_fit_table::{FormId, NoFitTable};
use crate::nest::placing::item::Item;
use crate::nest::placing::sheet_axis::Axis;
use crate::nest::placing::state::{FieldId, OnSheet, Placing, State};

/// Least share of their boxes that the parts fill; below it their outlines nest better than boxes (set by hand).
const BOXY: f64 = 0.9;
/// Most items: a decoding costs their square, and the moves would pay for too few (set by hand).
const MOST: usize = 1500;
/// Looks at a box that cost as much as a move; a decoding takes about the square of the number of items (measured on an Intel Xeon:
/// 15 us a move, 6 ns a look).
const LOOKS: f64 = 2500.0;

/// The best layout of upright boxes within half of the moves left, where the parts are such boxes and all lie on one kind of stock;
/// `None` where they are not or it is no better than the trial.
pub fn upright<'w>(trial: &Trial<'w>, run: &mut Run<'_>) -> Option<Trial<'w>> {
    let (state, table, items) = (&trial.state, trial.state.table, trial.state.items);
    let stock = state.fields.first()?.stock;
    let sheet = &table.problem.sheets[stock];
    let plain = sheet.keep_clear.is_empty() && table.outside_bounds(stock).is_empty();
    let one_stock = state.fields.iter().all(|f| f.stock == stock);
    let pinned = items.iter().any(|i| i.pin.is_some());
    let all = trial.unplaced.is_empty() && !pinned && items.len() <= MOST;
    if !plain || !one_stock || !all || !are_boxy(table, stock, items) {
        return None;
    }
    let axes: &[Axis] = if sheet.open_length { &[Axis::X] } else { &[Axis::X, Axis::Y] };
    let (whole, mut best) = (run.clock, None::<Trial<'w>>);
    for (k, &axis) in axes.iter().enumerate() {
        let Some(boxes) = Boxes::new(table, stock, axis, items) else { continue };
        let share = 0.5 / (axes.len() - k) as f64;
        run.clock = whole.part(share);
        let moves = (run.left() as f64 * share) as u64;
        let found = boxes.search(moves, run).and_then(|laid| boxes.trial(state, laid));
        run.clock = whole;
        let least = best.as_ref().unwrap_or(trial).score;
        best = found.filter(|t| t.score < least).or(best);
    }
    best
}

/// Area of a form's bounds.
fn bounds_area(table: &NoFitTable<'_>, form: FormId) -> f64 {
    let b = table.form(form).part_bounds;
    b.width() * b.height()
}

/// Least area of a kind's bounds at any of its turns.
fn least_area(table: &NoFitTable<'_>, stock: usize, kind: usize) -> f64 {
    let areas = table.allowed[stock][kind].iter().map(|&f| bounds_area(table, f));
    areas.fold(f64::INFINITY, f64::min)
}

fn are_boxy(table: &NoFitTable<'_>, stock: usize, items: &[Item]) -> bool {
    let area = |i: &Item| table.kinds[i.part].as_ref().map_or(0.0, |kind| kind.area);
    let full: f64 = items.iter().map(|i| least_area(table, stock, i.part)).sum();
    items.iter().map(area).sum::<f64>() >= BOXY * full
}

/// Extents along an axis and across it.
fn extents(axis: Axis, b: Bounds) -> (f64, f64) {
    (axis.of(b.max - b.min), axis.across().of(b.max - b.min))
}

/// A form as a box: its size, and the position of its low corner from the form's origin.
struct Boxed {
    form: FormId,
    size: BoxSize,
    low: Point,
    /// Whether its sides have no landings.
    bare: bool,
}

impl Boxed {
    fn new(table: &NoFitTable<'_>, form: FormId, axis: Axis) -> Boxed {
        let (f, half, kerf) = (table.form(form), table.problem.gap / 2.0, table.problem.kerf);
        // A landing keeps the kerf from what lies beyond, of which the other box has half the gap.
        let part = f.part_bounds.grown(half);
        let both = f.landing_bounds.grown(kerf - half).join(part);
        let (along, sides) = extents(axis, part);
        let across = extents(axis, both).1;
        let (low, high) = (axis.of(part.min - both.min), axis.of(both.max - part.max));
        let corner = axis.point(axis.of(part.min), axis.across().of(both.min));
        let bare = across <= sides + table.eps;
        Boxed { form, size: BoxSize { along, across, low, high }, low: corner, bare }
    }

    /// The boxes that a kind may be on a strip: level, and where there is a choice with its tabs at the ends. Stock at the ends can
    /// be shared, stock at the sides takes extra room.
    fn of_kind(
        table: &NoFitTable<'_>,
        (stock, kind): (usize, usize),
        axis: Axis,
        strip: (f64, f64),
    ) -> Vec<Boxed> {
        let least = least_area(table, stock, kind) * (1.0 + 1e-9);
        let (room, mut boxes) = ((strip.0 + table.eps, strip.1 + table.eps), vec![]);
        for &form in table.allowed[stock][kind].iter().filter(|f| bounds_area(table, **f) <= least)
        {
            let b = Boxed::new(table, form, axis);
            let fits = b.size.along <= room.0 && b.size.across <= room.1;
            if fits && !boxes.iter().any(|o: &Boxed| o.size == b.size) {
                boxes.push(b);
            }
        }
        if boxes.iter().any(|b| b.bare) {
            boxes.retain(|b| b.bare);
        }
        boxes
    }
}

/// The items of a group as boxes on one kind of stock.
struct Boxes<'w, 'k> {
    axis: Axis,
    /// The alternative boxes, by kind.
    boxes: Vec<Vec<Boxed>>,
    items: &'k [Item],
    table: &'w NoFitTable<'w>,
    stock: usize,
    /// The room along and across, the stock beyond its ends, and its low corner.
    strip: (f64, f64),
    beyond: f64,
    origin: Point,
}

impl<'w, 'k> Boxes<'w, 'k> {
    /// `None` where one of them fits on no sheet.
    fn new(
        table: &'w NoFitTable<'w>,
        stock: usize,
        axis: Axis,
        items: &'k [Item],
    ) -> Option<Boxes<'w, 'k>> {
        let (gap, kerf) = (table.problem.gap, table.problem.kerf);
        let margin = table.problem.sheets[stock].margin;
        let room = table.sheet_bounds(stock).grown(gap / 2.0 - margin);
        let strip = extents(axis, room);
        // A landing may lie in the margin.
        let beyond = (margin + kerf - gap).max(0.0);
        let of_kind = |k: usize| Boxed::of_kind(table, (stock, k), axis, strip);
        let boxes: Vec<Vec<Boxed>> = (0..table.kinds.len()).map(of_kind).collect();
        let fit = items.iter().all(|i| !boxes[i.part].is_empty());
        fit.then_some(Boxes { axis, boxes, items, table, stock, strip, beyond, origin: room.min })
    }

    /// Boxes for the skyline: kinds of one size form one class.
    fn skyline(&self) -> Skyline {
        let sizes = |k: usize| self.boxes[k].iter().map(|b| b.size).collect::<Vec<BoxSize>>();
        let mut classes: Vec<Vec<BoxSize>> = vec![];
        let mut class = |k: usize| {
            let own = sizes(k);
            classes.iter().position(|c| *c == own).unwrap_or_else(|| {
                classes.push(own);
                classes.len() - 1
            })
        };
        let class_of = self.items.iter().map(|i| class(i.part)).collect();
        Skyline::new((self.strip, self.beyond), classes, class_of, self.table.eps)
    }

    /// The best decoded layout of two streams that share the moves.
    fn search(&self, moves: u64, run: &mut Run<'_>) -> Option<Vec<Laid>> {
        let cost = self.items.len().pow(2) as f64 / LOOKS;
        let drawings = (moves as f64 / 2.0 / cost) as u64;
        let seed = |k: u64| run.seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ k;
        let stream = |k| OrderSearch::new(self.skyline(), seed(k));
        let mut streams: Vec<OrderSearch> = (0..2).map(stream).collect();
        run.side_by_side(&mut streams, |s| s.improve(drawings, &run.clock));
        let made: u64 = streams.iter().map(|s| s.made).sum();
        run.moves += (made as f64 * cost).ceil() as u64;
        let best = streams.into_iter().filter_map(|s| s.best);
        best.reduce(|a, b| if b.0 < a.0 { b } else { a }).map(|b| b.1)
    }

    /// The decoded boxes as a layout, if it keeps all distances.
    fn trial(&self, like: &State<'w>, laid: Vec<Laid>) -> Option<Trial<'w>> {
        let mut state = State::new(self.table, like.items);
        for (i, l) in laid.iter().enumerate() {
            while state.fields.len() <= l.strip {
                state.open(self.stock, like.cell(FieldId::new(0)));
            }
            let boxed = &self.boxes[self.items[i].part][l.choice];
            let at = self.origin + self.axis.point(l.along, l.across) - boxed.low;
            let field = FieldId::new(l.strip);
            let limits = state.limits(field, boxed.form)?;
            let within = limits.nearest(at);
            if within.distance(at) > 10.0 * self.table.eps {
                return None;
            }
            let mut free = true;
            let bounds = state.bounds_at(boxed.form, within);
            state.views(OnSheet { item: i, form: boxed.form, field }, bounds, |_, v| {
                free &= v.nofit.depth(v.offset(within), self.table.eps) <= 0.0;
            });
            if !free {
                return None;
            }
            state.put(i, Placing { form: boxed.form, field, at: within });
        }
        let score = score(&state, 0, self.axis);
        Some(Trial { state, unplaced: vec![], score, axis: self.axis })
    }
}
