//! Moves a sheet's layout off the edges that the nest gathered it at, where the sheet has room to spare.
//!
//! A strip of a few millimetres at the sheet's edge bends away under the tabs that land on it, and leaves no room for a clamp. So
//! all parts of a sheet move together until a clamp fits beside them, or until they lie midway; but not where that takes much of a
//! remnant worth keeping.

use super::members::Member;
use crate::geometry::{Bounds, Point, Ring, point};
use crate::job::Stock;
use crate::nest::{NestedSheet, worth_keeping};

/// Stock wanted between the sheet's edge and the kerf of the nearest part, mm: an inch. A clamp needs 20 mm
/// ([`clamp_rooms`](crate::cut::clamp_rooms)), and a strip wider than 25 mm counts as solid under a tab.
const STRIP: f64 = 25.4;
/// The share of the largest remnant that must be left after the move, and the share of the sheet under which a remnant does not
/// stand in the way at all. Set by hand.
const KEPT: f64 = 0.8;
const SMALL: f64 = 0.2;

/// The sheet with its parts moved off its edges. Pins, areas kept clear, clamps, and stock that is not an upright rectangle stay
/// as they are.
pub(super) fn stood_off(
    nested: &NestedSheet,
    stock: &Stock,
    members: &[Member],
    kerf: f64,
) -> NestedSheet {
    let sheet = stock.outline.bounds();
    // A rectangle's area is that of its bounds, but for rounding.
    let plain = (stock.outline.area() - sheet.width() * sheet.height()).abs() < 1e-6
        && stock.keep_clear.is_empty()
        && stock.clamps.is_empty()
        && nested.placed.iter().all(|p| members[p.part].part.pins.is_empty());
    let Some(taken) = Taken::of(nested, members, kerf).filter(|_| plain) else {
        return nested.clone();
    };
    let want = STRIP + kerf;
    let along = |(lo, hi): (f64, f64), axis: fn(Point) -> f64| {
        let (near, far) = (axis(taken.parts.min) - lo, hi - axis(taken.parts.max));
        let least = lo - axis(taken.landings.min);
        let most = hi - axis(taken.landings.max);
        by(near, far, want).max(least.min(0.0)).min(most.max(0.0))
    };
    // A board is sold by the length used.
    let x = if stock.open_length { 0.0 } else { along((sheet.min.x, sheet.max.x), |p| p.x) };
    let y = along((sheet.min.y, sheet.max.y), |p| p.y);
    let largest = |sheet: &NestedSheet| sheet.remnants.first().map_or(0.0, Ring::area);
    let before = largest(nested);
    let ways = [point(x, y), point(0.0, y), point(x, 0.0)];
    let mut moved = ways.into_iter().map(|by| moved(nested, sheet, by));
    let keeps =
        |m: &NestedSheet| before < SMALL * stock.outline.area() || largest(m) >= KEPT * before;
    moved.find(keeps).unwrap_or_else(|| nested.clone())
}

/// How far to move what lies `near` mm from one edge and `far` mm from the other: no farther than it takes to be `want` mm from
/// both, or midway where there is less room.
fn by(near: f64, far: f64, want: f64) -> f64 {
    if near + far < 2.0 * want {
        (far - near) / 2.0
    } else {
        0.0f64.max(want - near).min(far - want)
    }
}

/// What the parts of a sheet take up: their outlines, and these with the stock that their tabs land on.
struct Taken {
    parts: Bounds,
    landings: Bounds,
}

impl Taken {
    /// `None` for an empty sheet.
    fn of(nested: &NestedSheet, members: &[Member], kerf: f64) -> Option<Taken> {
        let joined = |a: Bounds, b: Bounds| a.with(b.min).with(b.max);
        let outline = |p: &crate::nest::Placed| {
            p.pose.apply_ring(&members[p.part].part.shape.outline).bounds()
        };
        let parts = nested.placed.iter().map(outline).reduce(joined)?;
        let tabs = nested.placed.iter().flat_map(|p| {
            let plan = members[p.part].plans().nth(p.hold);
            let tabs = plan.into_iter().flat_map(|plan| &plan.hold.tabs);
            tabs.map(|t| p.pose.apply_ring(&t.landing(kerf)).bounds()).collect::<Vec<_>>()
        });
        Some(Taken { parts, landings: tabs.fold(parts, joined) })
    }
}

/// All of it moved. A remnant that reaches the edge behind still does: nothing has moved into it from there.
fn moved(nested: &NestedSheet, sheet: Bounds, by: Point) -> NestedSheet {
    let mut moved = nested.clone();
    moved.placed.iter_mut().for_each(|p| p.pose.offset = p.pose.offset + by);
    let side = |(lo, hi): (f64, f64), by: f64, (least, most): (f64, f64)| {
        let lo = if by >= 0.0 && lo <= least { least } else { (lo + by).max(least) };
        let hi = if by <= 0.0 && hi >= most { most } else { (hi + by).min(most) };
        (lo, hi)
    };
    let remnant = |r: &Ring| {
        let r = r.bounds();
        let (left, right) = side((r.min.x, r.max.x), by.x, (sheet.min.x, sheet.max.x));
        let (top, bottom) = side((r.min.y, r.max.y), by.y, (sheet.min.y, sheet.max.y));
        Bounds { min: point(left, top), max: point(right, bottom) }
    };
    let left = nested.remnants.iter().map(remnant).filter(worth_keeping);
    moved.remnants = left.map(|b| Ring::rectangle(b.width(), b.height()).moved(b.min)).collect();
    moved.remnants.sort_by(|a, b| b.area().total_cmp(&a.area()));
    moved
}

#[cfg(test)]
mod tests {
    use super::super::{members::members, small_job};
    use super::*;
    use crate::geometry::Pose;
    use crate::nest::Placed;

    /// One plate of 60 x 20 mm at (x, y) on a panel of `width` x `height`, with one remnant right of it; the bit is 2 mm.
    fn laid(width: f64, height: f64, at: Point, pinned: bool) -> (NestedSheet, NestedSheet) {
        let mut job = small_job::job();
        job.groups[0].stock[0].outline = Ring::rectangle(width, height);
        let pin = (0, Pose::new(at, 0.0));
        job.parts.iter_mut().for_each(|p| p.pins = vec![pin; usize::from(pinned)]);
        let held = members(&job);
        let long = held.iter().position(|m| m.part.name == "long").expect("the long one");
        let placed =
            Placed { part: long, copy: 1, spare: false, pose: Pose::new(at, 0.0), hold: 0 };
        let rest = at.x + 62.0;
        let remnant = Ring::rectangle(width - rest, height).moved(point(rest, 0.0));
        let remnants = if worth_keeping(&remnant.bounds()) { vec![remnant] } else { vec![] };
        let placed = vec![placed];
        let nested = NestedSheet { stock: 0, length: None, placed, remnants };
        let stock = &job.groups[0].stock[0];
        (stood_off(&nested, stock, &held, 2.0), nested)
    }

    /// By hand: an inch and the bit, 27.4 mm, from two edges of a large panel; the remnant begins a bit beside the plate and is
    /// still as high as the panel. On 90 x 60 it lies midway. Where more than a fifth of a large remnant would go, only the other
    /// way: 300 x 100 keeps 233 x 100 of remnant (22.4 mm less are 90 %), 150 x 100 would keep 60.6 of 83 x 100.
    #[test]
    fn a_plate_alone_lies_an_inch_off_the_edges_where_there_is_room() {
        let place = |s: &NestedSheet| s.placed[0].pose.offset;
        let close =
            |a: Point, b: Point| assert!((a.x - b.x).hypot(a.y - b.y) < 1e-9, "{a:?} {b:?}");
        let (on_large, _) = laid(300.0, 100.0, point(5.0, 5.0), false);
        close(place(&on_large), point(27.4, 27.4));
        let left = on_large.remnants[0].bounds();
        assert!((left.min.x - 89.4).abs() < 1e-9 && (left.max.x - 300.0).abs() < 1e-9, "{left:?}");
        assert_eq!((left.min.y, left.max.y), (0.0, 100.0));
        close(place(&laid(90.0, 60.0, point(5.0, 5.0), false).0), point(15.0, 20.0));
        close(place(&laid(150.0, 100.0, point(5.0, 5.0), false).0), point(5.0, 27.4));
        // What lies well already, and what is pinned, stays.
        let (same, before) = laid(300.0, 100.0, point(40.0, 40.0), false);
        assert_eq!(same, before);
        let (pinned, before) = laid(300.0, 100.0, point(5.0, 5.0), true);
        assert_eq!(pinned, before);
    }

    /// Rounding never turns the limits round: any two distances give a finite move that takes neither edge nearer than the other's.
    #[test]
    fn a_move_is_never_past_the_middle() {
        for near in 0..400 {
            let (near, far) = (f64::from(near) * 0.137, 54.8 - f64::from(near) * 0.137);
            let s = by(near, far, 27.4);
            assert!(s.is_finite() && (near + s - far + s).abs() < 1e-9, "{near} {s}");
        }
    }
}
