//! The densest regular pattern of copies of one part, as a person would draw it: rows at one pitch, each row of one form, two rows
//! to a cell.
//!
//! A double-lattice packing (Kuperberg and Kuperberg, *Double-lattice packings of convex bodies in the plane*, Discrete &
//! Computational Geometry 5, 1990): the second row may have the part turned, or its tabs on another side. Discs without tabs come
//! out hexagonal, triangles in turned pairs, and copies with tabs on one side in pairs of rows back to back, with a strip for the
//! tabs between the pairs. Pitches and shifts are sampled, so the pattern is the densest of those tried, not a proven optimum.

use super::lattice::{Lattice, STRIPS, WIDTHS};
use super::lattice_skeleton::is_connected;
use crate::geometry::{Bounds, point};
use crate::memo::Memo;
use crate::nest::no_fit::no_fit_table::{FormId, NoFitTable};
use crate::nest::placing::sheet_axis::Axis;
use rayon::prelude::*;
use std::collections::HashMap;

/// Copies from which on a part is laid in a lattice, and most stocks and forms looked at: pairs of forms cost a few milliseconds.
const MANY: usize = 24;
const MOST_STOCKS: usize = 4;
const MOST_FORMS: usize = 12;
/// Lattices of a part with strips of one width that are tried on its sheets, and those that are looked at for them: many of the
/// densest leave islands.
pub const TRIED: usize = 2;
const LOOKED_AT: usize = 24;
/// Shifts tried from row to row, as parts of a pitch, and halvings of that step round the best.
const SHIFTS: usize = 24;
const HALVINGS: usize = 8;
/// Places along the row at which the distance of two forms is sampled for that; what is found is then measured.
const SAMPLES: usize = 256;
/// Wider pitches than the least let the next row sink deeper (tuned on discs, triangles and hearts).
const WIDER: [f64; 3] = [1.0, 1.12, 1.25];

/// The lattices of the parts with many copies, by stock and part: for each width of strips the densest.
pub type Lattices = HashMap<(usize, usize), ByWidth>;
/// For each width of strips the densest lattices.
pub type ByWidth = [Vec<Lattice>; WIDTHS];
/// Those found so far, by stock, part and axis.
pub type KnownLattices = Memo<(usize, usize, Axis), ByWidth>;

/// The densest lattices of every part that has many copies, with rows across `axis`; the parts that are left once there is `enough`
/// get none.
pub fn lattices(
    table: &NoFitTable<'_>,
    axis: Axis,
    known: &KnownLattices,
    enough: &dyn Fn() -> bool,
) -> Lattices {
    let mut found = Lattices::new();
    for (kind, part) in table.problem.parts.iter().enumerate() {
        if part.copies + part.spares < MANY {
            continue;
        }
        let sheets = table.problem.sheets.iter().enumerate();
        let on_hand = sheets.filter(|(_, s)| s.quantity != Some(0)).map(|(stock, _)| stock);
        for stock in on_hand.take(MOST_STOCKS) {
            if enough() {
                return found;
            }
            let dense = known.of((stock, kind, axis), || densest(table, stock, kind, axis));
            if dense.iter().any(|some| !some.is_empty()) {
                found.insert((stock, kind), dense);
            }
        }
    }
    found
}

fn densest(table: &NoFitTable<'_>, stock: usize, kind: usize, axis: Axis) -> ByWidth {
    let room = |f: FormId| table.limits(stock, f, table.sheet_bounds(stock).max);
    let mut forms: Vec<FormId> = table.allowed[stock][kind].clone();
    forms.retain(|f| room(*f).is_some());
    let area = |f: &FormId| {
        let b = &table.form(*f).part_bounds;
        b.width() * b.height()
    };
    forms.sort_by(|a, b| area(a).total_cmp(&area(b)).then(a.cmp(b)));
    forms.truncate(MOST_FORMS);
    let pairs: Vec<[FormId; 2]> =
        forms.iter().flat_map(|a| forms.iter().map(move |b| [*a, *b])).collect();
    let sampled = |pair: &[FormId; 2]| (*pair, Profile::of(table, *pair, axis));
    let profiles: Profiles = pairs.par_iter().map(sampled).collect();
    let of_pair = |pair: &[FormId; 2]| {
        let breadth = room(pair[0]).map_or(0.0, |l| axis.across().of(l.max - l.min));
        of_forms((table, &profiles), *pair, axis, breadth)
    };
    let mut all: Vec<Lattice> = pairs.par_iter().flat_map_iter(of_pair).collect();
    all.sort_by(|a, b| a.cell().total_cmp(&b.cell()));
    std::array::from_fn(|width| {
        let so_wide: Vec<&Lattice> = all.iter().filter(|l| l.width == width).collect();
        let looked_at = &so_wide[..so_wide.len().min(LOOKED_AT)];
        let mut kept: Vec<Lattice> = vec![];
        for some in looked_at.chunks(2 * TRIED) {
            let connected = some.par_iter().filter(|l| is_connected(table, l, axis));
            kept.extend(connected.map(|l| **l).collect::<Vec<Lattice>>());
            if kept.len() >= TRIED {
                break;
            }
        }
        kept.truncate(TRIED);
        kept
    })
}

/// The best lattice of two forms at each pitch tried; `breadth` is how far apart the ends of a row may be.
fn of_forms(
    (table, profiles): (&NoFitTable<'_>, &Profiles),
    forms: [FormId; 2],
    axis: Axis,
    breadth: f64,
) -> Vec<Lattice> {
    let rows = RowPair { table, profiles, forms, axis };
    let alone = |f: FormId| clear(table, [f, f], axis.across(), 0.0);
    let least = alone(forms[0]).max(alone(forms[1]));
    // Not of a part that is nothing, and not of one that does not stand twice in a row.
    if !(least > 1e-6 && least <= breadth) {
        return vec![];
    }
    let count = (breadth / least).floor();
    // Rows that fill the breadth: as many in a shifted row as in the others, or all to the edge.
    let filling = [breadth / count, breadth / (count - 0.5)];
    let pitches = WIDER.iter().map(|w| w * least).chain(filling);
    pitches.flat_map(|pitch| rows.with_strips(rows.at(pitch))).collect()
}

/// The least distance along `axis` from which on the second form is clear of the first, at an offset across; 0 if it always is.
fn clear(table: &NoFitTable<'_>, [other, moving]: [FormId; 2], axis: Axis, across: f64) -> f64 {
    let view = table.pair(other, point(0.0, 0.0), moving);
    let far = reach(&view.nofit.bounds) + 1.0;
    let whole = view.stretch(axis.point(-far, across), axis.unit(), (0.0, 2.0 * far));
    let (mut clear, eps) = (0.0f64, table.eps);
    view.nofit.crossings(whole, eps, &mut vec![], |c| clear = clear.max(c.to - far));
    clear
}

/// The profiles of pairs of forms.
type Profiles = HashMap<[FormId; 2], Profile>;

/// How far apart rows of two forms must be at each offset across, sampled.
struct Profile {
    /// Beyond this offset either way they are clear, mm.
    far: f64,
    heights: Vec<f64>,
}

impl Profile {
    fn of(table: &NoFitTable<'_>, forms: [FormId; 2], axis: Axis) -> Profile {
        let far = row_reach(table, forms);
        let at = |i: usize| 2.0 * far * i as f64 / (SAMPLES - 1) as f64 - far;
        let heights = (0..SAMPLES).map(|i| clear(table, forms, axis, at(i))).collect();
        Profile { far, heights }
    }

    /// The distance at an offset, interpolated between samples.
    fn at(&self, across: f64) -> f64 {
        let place = (across + self.far) / (2.0 * self.far) * (SAMPLES - 1) as f64;
        if !(0.0..(SAMPLES - 1) as f64).contains(&place) {
            return 0.0;
        }
        let (i, part) = (place as usize, place.fract());
        self.heights[i] * (1.0 - part) + self.heights[i + 1] * part
    }
}

/// How far from its own place a row of one form reaches into a row of another, mm.
fn row_reach(table: &NoFitTable<'_>, [other, moving]: [FormId; 2]) -> f64 {
    reach(&table.pair(other, point(0.0, 0.0), moving).nofit.bounds).max(1.0)
}

/// Rows of two forms in turn.
struct RowPair<'t, 'p> {
    table: &'t NoFitTable<'p>,
    profiles: &'t Profiles,
    forms: [FormId; 2],
    axis: Axis,
}

impl RowPair<'_, '_> {
    /// The least height of a row of the second form above a row of the first, shifted.
    fn height(&self, forms: [FormId; 2], pitch: f64, shift: f64) -> f64 {
        let at = |x| clear(self.table, forms, self.axis, x);
        highest(row_reach(self.table, forms), pitch, shift, at)
    }

    /// The same from samples.
    fn about(&self, forms: [FormId; 2], pitch: f64, shift: f64) -> f64 {
        let Some(profile) = self.profiles.get(&forms) else { return f64::INFINITY };
        highest(profile.far, pitch, shift, |x| profile.at(x))
    }

    /// The heights of both rows at their shifts: neighbours are clear, and so are rows of the same form.
    fn steps(&self, shifts: [f64; 2], height: &dyn Fn([FormId; 2], f64) -> f64) -> [[f64; 2]; 2] {
        let [a, b] = self.forms;
        let first = height([a, b], shifts[0]);
        let both = shifts[0] + shifts[1];
        let next = height([b, a], shifts[1]);
        let cell = height([a, a], both).max(height([b, b], both));
        [[shifts[0], first], [shifts[1], next.max(cell - first)]]
    }

    /// A lattice as it is, and with straight strips of stock after every second row, or after each. Past a strip rows need no
    /// shift: they start under each other.
    fn with_strips(&self, dense: Lattice) -> Vec<Lattice> {
        let kerf = self.table.problem.kerf;
        let apart = |from: FormId, to: FormId, strip: f64| {
            let bounds = |f: FormId| self.table.form(f).part_bounds;
            self.axis.of(bounds(from).max - bounds(to).min) + 2.0 * kerf + strip
        };
        let [a, b] = self.forms;
        let [first, _] = dense.steps;
        let mut all = vec![dense];
        for (i, strip) in STRIPS.into_iter().enumerate() {
            let (width, after) = (i + 1, apart(b, a, strip));
            all.push(Lattice { steps: [first, [-first[0], after]], width, ..dense });
            all.push(Lattice { steps: [[0.0, apart(a, b, strip)], [0.0, after]], width, ..dense });
        }
        all
    }

    /// The densest lattice at a pitch, by the samples: every pair of shifts on a grid, then steps of half the size round the best.
    /// Its heights are measured.
    fn at(&self, pitch: f64) -> Lattice {
        let [a, b] = self.forms;
        let step = pitch / SHIFTS as f64;
        let table = |forms| -> Vec<f64> {
            (0..SHIFTS).map(|i| self.about(forms, pitch, i as f64 * step)).collect()
        };
        let (ab, ba, aa, bb) = (table([a, b]), table([b, a]), table([a, a]), table([b, b]));
        let cell = |&(i, j): &(usize, usize)| {
            let both = (i + j) % SHIFTS;
            (ab[i] + ba[j]).max(aa[both]).max(bb[both])
        };
        let grid = (0..SHIFTS).flat_map(|i| (0..SHIFTS).map(move |j| (i, j)));
        let (i, j) = grid.min_by(|x, y| cell(x).total_cmp(&cell(y))).unwrap_or((0, 0));
        let mut shifts = [i as f64 * step, j as f64 * step];
        let about = |forms, shift| self.about(forms, pitch, shift);
        let height = |shifts| self.steps(shifts, &about).iter().map(|s| s[1]).sum::<f64>();
        let (mut best, mut step) = (height(shifts), step);
        for _ in 0..HALVINGS {
            step /= 2.0;
            for change in
                [[step, 0.0], [-step, 0.0], [0.0, step], [0.0, -step], [step, -step], [-step, step]]
            {
                let tried = [shifts[0] + change[0], shifts[1] + change[1]];
                let tall = height(tried);
                if tall < best {
                    (best, shifts) = (tall, tried);
                }
            }
        }
        let measured = |forms, shift| self.height(forms, pitch, shift);
        Lattice { forms: self.forms, pitch, steps: self.steps(shifts, &measured), width: 0 }
    }
}

/// The greatest of the heights at all offsets that a shifted row has within `far`, mm.
fn highest(far: f64, pitch: f64, shift: f64, at: impl Fn(f64) -> f64) -> f64 {
    let most = (far / pitch).ceil() + 1.0;
    let shift = shift.rem_euclid(pitch);
    let offsets = (-most as i64..=most as i64).map(|k| shift + k as f64 * pitch);
    offsets.map(at).fold(0.0, f64::max)
}

/// How far from the origin bounds reach in either direction.
fn reach(b: &Bounds) -> f64 {
    b.max.x.max(b.max.y).max(-b.min.x).max(-b.min.y).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape, Vector};
    use crate::job::{Stock, Turns};
    use crate::nest::by_hand::panel;
    use crate::nest::nest_task::{Budget, NestPart, NestTask};
    use crate::nest::shapes::form::PartKind;
    use std::f64::consts::{PI, TAU};
    use std::sync::Arc;

    fn polygon(n: usize, radius: f64) -> Ring {
        let corner = |i: usize| point(0.0, -radius).turned(TAU * i as f64 / n as f64);
        Ring((0..n).map(corner).collect())
    }

    /// Lattices of 100 copies, upright or turned by half, on a sheet of 600 x 400 mm.
    fn of(ring: Ring, gap: f64, holds: Vec<Vec<Ring>>) -> (f64, ByWidth, bool) {
        let area = ring.area();
        let part = NestPart {
            name: "part".into(),
            shape: Shape::new(ring, vec![]),
            copies: 100,
            spares: 0,
            turns: Turns::steps_deg(&[0.0, 180.0]),
            holds,
            pins: vec![],
        };
        let sheets: Vec<Stock> = vec![panel(600.0, 400.0, 6.0)];
        let budget = Budget { moves: Some(0), time: None };
        let task =
            NestTask { parts: vec![part], sheets, kerf: gap, gap, seed: 1, budget, threads: 1 };
        let kinds = task.parts.iter().map(|p| PartKind::new(p, gap, 1.0)).collect();
        let table = NoFitTable::new(&task, Arc::new(kinds), None);
        let found = lattices(&table, Axis::X, &Memo::default(), &|| false)
            .remove(&(0, 0))
            .unwrap_or_default();
        let forms = [table.allowed[0][0][0]; 2];
        let profiles = [(forms, Profile::of(&table, forms, Axis::X))].into_iter().collect();
        let dense = of_forms((&table, &profiles), forms, Axis::X, 300.0);
        let connected = dense.first().is_some_and(|l| is_connected(&table, l, Axis::X));
        (area, found, connected)
    }

    /// Densities of the densest packings: discs pi/sqrt(12) (Thue; Fejes Toth 1940), equilateral triangles and squares 1, regular
    /// pentagons (5 - sqrt 5)/3 = 0.9213 (Kuperberg and Kuperberg 1990; Hales and Kusner 2016).
    #[test]
    fn lattices_are_as_dense_as_the_densest_known() {
        for (n, most, least) in [
            (96, PI / 12f64.sqrt(), 0.985),
            (3, 1.0, 0.99),
            (4, 1.0, 0.99),
            (5, (5.0 - 5f64.sqrt()) / 3.0, 0.985),
        ] {
            let (area, found, _) = of(polygon(n, 10.0), 0.0, vec![]);
            let density = 2.0 * area / found[0][0].cell();
            assert!(density <= most * (1.0 + 1e-6), "{n} corners: {density} of {most}");
            assert!(density >= least * most, "{n} corners: {density} of {most}");
        }
    }

    /// Discs of 20 mm with a bit of 3 mm: hexagonal, what is left between three of them is an island (its middle is 13.28 mm from
    /// their middles, the far edge of the kerf 13), so tabs at the sides need strips: by hand columns of 23 mm and rows of 28.
    #[test]
    fn tabs_get_strips_that_hang_on_the_sheet() {
        let landing = |x: f64| Ring::rectangle(2.0, 4.0).moved(point(x, -2.0));
        let sides = vec![vec![landing(13.0), landing(-15.0)]];
        let (_, found, hexagonal) = of(polygon(96, 10.0), 3.0, sides);
        assert!(!hexagonal);
        assert_eq!(found[0], vec![]);
        let (cell, by_hand) = (found[1][0].cell() / 2.0, 23.0 * 28.0);
        assert!((cell / by_hand - 1.0).abs() < 0.01, "{cell} mm2 a copy, {by_hand} by hand");
    }
}
