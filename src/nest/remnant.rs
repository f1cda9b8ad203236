//! What is left of a sheet and worth keeping.

use super::state::State;
use crate::geometry::{Bounds, Ring, point};

/// Least side of a rectangle worth keeping, mm, and least area, mm² (common practice, no source).
const LEAST_SIDE: f64 = 40.0;
const LEAST_AREA: f64 = 5000.0;

/// Most rectangles given for a sheet.
const MOST: usize = 3;

/// Upright rectangles of the sheet that no part, landing or kerf touches, largest first, disjoint.
///
/// Parts count with their bounds grown by the kerf, so hollows are not looked into. For stock of open
/// length nothing is left by definition.
pub(super) fn remnants(state: &State<'_>, field: u32) -> Vec<Ring> {
    let world = state.world;
    let stock_number = state.fields[field as usize].stock;
    let stock = &world.problem.sheets[stock_number];
    if stock.open_length {
        return vec![];
    }
    let sheet = world.sheet_bounds(stock_number);
    let mut taken: Vec<Bounds> =
        state.on_field(field).map(|i| state.bounds(i).grown(world.problem.kerf)).collect();
    taken.extend(stock.keep_clear.iter().map(Ring::bounds));
    taken.extend(world.outside_bounds(stock_number));
    let mut found = vec![];
    while found.len() < MOST {
        let Some(best) = largest_empty(sheet, &taken) else { break };
        if best.width().min(best.height()) < LEAST_SIDE || best.width() * best.height() < LEAST_AREA
        {
            break;
        }
        taken.push(best);
        found.push(Ring::rectangle(best.width(), best.height()).moved(best.min));
    }
    found
}

/// The largest upright rectangle within `sheet` that overlaps none of `taken`.
///
/// Every maximal one has each side on the sheet's edge or on a taken one's: the left sides are tried
/// in turn, and the rectangle between two levels is swept to the right.
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
    fn the_largest_empty_rectangle_of_two_blocks() {
        let sheet = rect(0.0, 0.0, 100.0, 60.0);
        let taken = [rect(0.0, 0.0, 30.0, 60.0), rect(30.0, 0.0, 50.0, 10.0)];
        assert_eq!(largest_empty(sheet, &taken), Some(rect(30.0, 10.0, 70.0, 50.0)));
        assert_eq!(largest_empty(sheet, &[sheet]), None);
    }
}
