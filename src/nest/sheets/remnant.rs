//! Remnants: rectangles of a sheet left over and worth keeping.

use crate::geometry::{Bounds, Point, Ring, Shape, intersection, point};
use crate::nest::placing::state::{FieldId, Placing, State};

/// Least side of a rectangle worth keeping, mm, and least area, mm² (common practice, no source).
const LEAST_SIDE: f64 = 40.0;
const LEAST_AREA: f64 = 5000.0;

/// Overlap of a landing and a remnant that counts as rounding, mm².
const COMMON: f64 = 1e-6;

/// Most rectangles listed for a sheet.
const MOST: usize = 3;

/// Height of the bands that outlines are followed in, mm, and their greatest number of boxes: the search costs the square of their
/// number. Beyond it parts count as their bounds.
const BAND: f64 = 4.0;
const MOST_BOXES: usize = 2000;

/// Upright rectangles of the sheet that no part, landing or kerf touches, largest first, disjoint.
///
/// Parts count with their openings filled, since the waste inside is loose. Stock of open length leaves nothing, by definition.
pub fn remnants(state: &State<'_>, field: FieldId) -> Vec<Ring> {
    let table = state.table;
    let stock_number = state.stock(field);
    let stock = &table.problem.sheets[stock_number];
    if stock.open_length {
        return vec![];
    }
    let sheet = table.sheet_bounds(stock_number);
    let kerf = table.problem.kerf;
    let mut taken: Vec<Bounds> =
        state.placed_on(field).flat_map(|(_, p)| boxes(state, p)).collect();
    if taken.len() > MOST_BOXES {
        taken = state.on_field(field).map(|i| state.bounds(i).grown(kerf)).collect();
    }
    taken.extend(stock.keep_clear.iter().map(Ring::bounds));
    taken.extend(table.outside_bounds(stock_number));
    let mut found = vec![];
    while found.len() < MOST {
        let Some(best) = largest_empty(sheet, &taken).filter(worth_keeping) else { break };
        taken.push(best);
        found.push(rectangle(best));
    }
    found
}

/// The largest remnant left of an upright rectangle once tabs land there, if it is still worth keeping.
pub fn remnant_clear_of(remnant: &Ring, landings: &[Ring]) -> Option<Ring> {
    let whole = remnant.bounds();
    let shape = |r: &Ring| [Shape::new(r.clone(), vec![])];
    // They may touch: the nest leaves nothing between a landing and a remnant.
    let on_it = |l: &&Ring| {
        let common = intersection(&shape(remnant), &shape(l));
        common.iter().map(Shape::net_area).sum::<f64>() > COMMON
    };
    let taken: Vec<Bounds> = landings
        .iter()
        .filter(|l| l.bounds().touches(whole))
        .filter(on_it)
        .map(Ring::bounds)
        .collect();
    if taken.is_empty() {
        return Some(remnant.clone());
    }
    largest_empty(whole, &taken).filter(worth_keeping).map(rectangle)
}

/// Whether a rectangle of left-over stock is worth keeping.
pub fn worth_keeping(b: &Bounds) -> bool {
    b.width().min(b.height()) >= LEAST_SIDE && b.width() * b.height() >= LEAST_AREA
}

fn rectangle(b: Bounds) -> Ring {
    Ring::rectangle(b.width(), b.height()).moved(b.min)
}

/// Boxes that cover an item with its kerf, and its landings.
fn boxes(state: &State<'_>, placing: Placing) -> Vec<Bounds> {
    let kerf = state.table.problem.kerf;
    let (material, landings) = state.table.form(placing.form).filled();
    let mut boxes = vec![];
    for (pieces, grow) in [(material, kerf), (landings, 0.0)] {
        for b in pieces.iter().flat_map(|piece| bands(piece)) {
            let b = b.grown(grow);
            boxes.push(Bounds { min: b.min + placing.at, max: b.max + placing.at });
        }
    }
    boxes
}

/// The bounds of a convex ring in bands one above the other.
fn bands(ring: &[Point]) -> Vec<Bounds> {
    let b = Bounds::of(ring);
    let count = (b.height() / BAND).ceil().max(1.0);
    let level = |k: f64| if k == count { b.max.y } else { b.min.y + b.height() * k / count };
    let sides = || ring.iter().zip(ring.iter().cycle().skip(1));
    (0..count as usize)
        .map(|k| {
            let (lo, hi) = (level(k as f64), level(k as f64 + 1.0));
            let mut band = ring.iter().filter(|p| p.y >= lo && p.y <= hi).fold(
                Bounds { min: point(f64::INFINITY, lo), max: point(f64::NEG_INFINITY, hi) },
                |b, p| b.with(*p),
            );
            for (p, q) in sides() {
                for y in [lo, hi] {
                    if (p.y < y) != (q.y < y) {
                        band = band.with(point(p.x + (q.x - p.x) * (y - p.y) / (q.y - p.y), y));
                    }
                }
            }
            band
        })
        .collect()
}

/// The largest upright rectangle within `sheet` that overlaps none of `taken`.
///
/// Each side of a maximal rectangle lies on the sheet's edge or on a taken rectangle's: the left sides are tried in turn, and the
/// rectangle between two levels is swept to the right.
fn largest_empty(sheet: Bounds, taken: &[Bounds]) -> Option<Bounds> {
    let mut best: Option<Bounds> = None;
    let area = |b: &Bounds| b.width() * b.height();
    let lefts = std::iter::once(sheet.min.x).chain(taken.iter().map(|t| t.max.x));
    for left in lefts.filter(|&x| x < sheet.max.x && x >= sheet.min.x) {
        let mut right_of: Vec<&Bounds> = taken.iter().filter(|t| t.max.x > left).collect();
        right_of.sort_by(|a, b| a.min.x.total_cmp(&b.min.x));
        // From the left edge on, each taken box met in turn splits the free span of levels.
        let mut spans = vec![(sheet.min.y, sheet.max.y)];
        for t in right_of.iter().map(|t| Some(*t)).chain([None]) {
            let right = t.map_or(sheet.max.x, |t| t.min.x.min(sheet.max.x));
            if right > left {
                for &(lo, hi) in &spans {
                    let candidate = Bounds { min: point(left, lo), max: point(right, hi) };
                    if best.as_ref().is_none_or(|b| area(&candidate) > area(b)) {
                        best = Some(candidate);
                    }
                }
            }
            let Some(t) = t else { break };
            spans = spans
                .into_iter()
                .flat_map(|(lo, hi)| {
                    if t.min.y >= hi || t.max.y <= lo {
                        vec![(lo, hi)]
                    } else {
                        [(lo, t.min.y), (t.max.y, hi)].into_iter().filter(|s| s.1 > s.0).collect()
                    }
                })
                .collect();
        }
    }
    best.filter(|b| b.width() > 0.0 && b.height() > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rect(x: f64, y: f64, w: f64, h: f64) -> Bounds {
        Bounds { min: point(x, y), max: point(x + w, y + h) }
    }

    #[test]
    fn bands_follow_a_slanted_side() {
        // A right triangle: each band is as wide as the triangle at its lower level (by hand).
        let bands = bands(&[point(0.0, 0.0), point(80.0, 0.0), point(0.0, 40.0)]);
        assert_eq!(bands.len(), 10);
        for (k, b) in bands.iter().enumerate() {
            let lo = 4.0 * k as f64;
            assert!((b.min.y - lo).abs() < 1e-9 && (b.max.y - lo - 4.0).abs() < 1e-9, "{b:?}");
            assert!(b.min.x == 0.0 && (b.max.x - (80.0 - 2.0 * lo)).abs() < 1e-9, "{b:?}");
        }
    }

    /// By hand: in 100 x 60 a landing at the lower right corner, 2 x 4, leaves 98 x 60; one in the middle of 60 x 90 leaves 60 x
    /// 44, under 5000 mm².
    #[test]
    fn a_remnant_gives_way_to_landings() {
        let ring = |x: f64, y: f64, w: f64, h: f64| Ring::rectangle(w, h).moved(point(x, y));
        let whole = ring(10.0, 10.0, 100.0, 60.0);
        let of = |landing: Ring| remnant_clear_of(&whole, &[landing]).map(|r| r.bounds());
        assert_eq!(of(ring(108.0, 66.0, 2.0, 4.0)), Some(rect(10.0, 10.0, 98.0, 60.0)));
        assert_eq!(of(ring(120.0, 66.0, 2.0, 4.0)), Some(whole.bounds()));
        assert_eq!(
            remnant_clear_of(&ring(0.0, 0.0, 60.0, 90.0), &[ring(28.0, 44.0, 4.0, 2.0)]),
            None
        );
    }

    #[test]
    fn the_largest_empty_rectangle_of_two_blocks() {
        let sheet = rect(0.0, 0.0, 100.0, 60.0);
        let taken = [rect(0.0, 0.0, 30.0, 60.0), rect(30.0, 0.0, 50.0, 10.0)];
        assert_eq!(largest_empty(sheet, &taken), Some(rect(30.0, 10.0, 70.0, 50.0)));
        assert_eq!(largest_empty(sheet, &[sheet]), None);
    }
}
