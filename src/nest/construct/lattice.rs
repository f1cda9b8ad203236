//! A regular pattern of copies of one part: rows at one pitch, each row of one form, two rows to a cell.

use crate::geometry::{Bounds, Point};
use crate::layout::LANDING_DEPTH;
use crate::nest::no_fit::no_fit_table::FormId;
use crate::nest::placing::sheet_axis::Axis;

/// Straight strips between rows, for tabs, mm: as wide as a landing is deep, and some that give less.
pub const STRIPS: [f64; 3] = [LANDING_DEPTH, 2.0 * LANDING_DEPTH, 4.0 * LANDING_DEPTH];
/// Number of widths of strips, none included.
pub const WIDTHS: usize = STRIPS.len() + 1;

/// Rows of one part, two to a cell that repeats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lattice {
    /// The form of the first row, and that of the second.
    pub forms: [FormId; 2],
    /// Distance between copies of a row, mm.
    pub pitch: f64,
    /// How far the second row, and the next first one, lie from the row before: across (shift) and along (height), mm.
    pub steps: [[f64; 2]; 2],
    /// Which of the widths of strips it has; 0 for none.
    pub width: usize,
}

impl Lattice {
    /// Area taken by two copies, mm².
    pub fn cell(&self) -> f64 {
        self.pitch * (self.steps[0][1] + self.steps[1][1])
    }

    /// Least width of the stock that its tabs hang on, mm.
    pub fn web(&self) -> f64 {
        self.width.checked_sub(1).map_or(LANDING_DEPTH, |i| STRIPS[i])
    }

    /// Where a copy of its first or second row (0, 1) lies, by the number of its cell and its number in the row.
    pub fn place(&self, row: usize, cell: i32, number: i32, axis: Axis) -> Point {
        let [[by, up], [by_next, up_next]] = self.steps;
        let (cell, inside) = (f64::from(cell), row as f64);
        let across = cell * (by + by_next) + inside * by + f64::from(number) * self.pitch;
        // In a patch rows need not start under each other: shifts by whole pitches change nothing.
        let shift = (cell * (by + by_next) / self.pitch).round() * self.pitch;
        axis.point(cell * (up + up_next) + inside * up, across - shift)
    }

    /// Its places on a sheet, row by row, from `start` along the axis; `limits` bounds the origins of each form.
    pub fn sites(&self, limits: [Bounds; 2], axis: Axis, start: f64) -> Vec<(FormId, Point)> {
        let across = axis.across();
        let (mut along, mut shift) = (start, across.of(limits[0].min));
        // A hair more than contact, so that rounding never closes it.
        let hair = 1e-9 * (1.0 + self.pitch);
        let (pitch, mut sites) = (self.pitch + hair, vec![]);
        let last = axis.of(limits[0].max).max(axis.of(limits[1].max));
        for row in 0.. {
            if along > last {
                break;
            }
            let (form, room) = (self.forms[row % 2], limits[row % 2]);
            let (least, most) = (across.of(room.min), across.of(room.max));
            let mut at = least + (shift - least).rem_euclid(pitch);
            // The first place, where rounding has put it a pitch further.
            if at - pitch > least - 2.0 * hair {
                at = least;
            }
            while at <= most + hair
                && along >= axis.of(room.min) - hair
                && along <= axis.of(room.max)
            {
                sites.push((form, axis.point(along, at.min(most))));
                at += pitch;
            }
            let [by, height] = self.steps[row % 2];
            along += height.max(1e-3) + hair;
            shift += by;
        }
        sites
    }
}
