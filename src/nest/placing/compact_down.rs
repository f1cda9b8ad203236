//! Compaction of one item: down and sideways to contact.

use super::sheet_axis::Axis;
use super::state::{OnSheet, State};
use crate::geometry::Point;

/// Slides an item down and sideways in turn until contact stops both.
pub fn compact_down(state: &State<'_>, axis: Axis, who: OnSheet, mut at: Point) -> Point {
    let Some(limits) = state.limits(who.field, who.form) else { return at };
    for round in 0..12 {
        let along = if round % 2 == 0 { axis.across() } else { axis };
        let room = along.of(at - limits.min);
        let run = state.run(who, at, along.unit() * -1.0, room);
        let to = along.of(at) - run;
        // Exactly the limit, not a rounding beside it.
        let to = if run >= room { along.of(limits.min) } else { to };
        at = along.point(to, along.across().of(at));
        if run <= state.table.eps && round > 0 {
            break;
        }
    }
    at
}
