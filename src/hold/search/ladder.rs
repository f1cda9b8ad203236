//! The depths of the last pass and the heights of tabs to try.

use crate::hold::task::HoldTask;

/// Depths of the last pass tried, mm, deepest first. Below 0.2 mm the bit rubs and the bed is not flat enough.
const DEPTHS: [f64; 7] = [0.8, 0.6, 0.5, 0.4, 0.3, 0.25, 0.2];

/// Depths to try: the job's own, or the ladder within the bit's pass and half the sheet.
pub fn depths(task: &HoldTask) -> Vec<f64> {
    let most = task.bit.pass_depth.min(task.thickness / 2.0);
    let ladder = |from: f64| DEPTHS.into_iter().filter(move |d| *d <= from + 1e-9);
    let mut list: Vec<f64> = match task.holding.last_pass {
        // What the maker asked for first; shallower only where that cannot hold.
        Some(depth) => std::iter::once(depth).chain(ladder(depth).filter(|d| *d < depth)).collect(),
        None => ladder(most).collect(),
    };
    if list.is_empty() {
        list.push(most);
    }
    list
}

/// Tab heights tried, as shares of the sheet's thickness (common practice, no source).
const HEIGHTS: [f64; 3] = [0.25, 0.4, 0.65];
/// The same in mm, least and greatest: lower tabs crumble, higher ones are hard to cut off (common practice, no source).
const HEIGHT: (f64, f64) = (0.5, 3.0);

/// Tab heights to try, mm: a quarter to two thirds of the sheet, to a tenth of a mm.
pub fn heights(thickness: f64) -> Vec<f64> {
    let round =
        |h: f64| ((h * 10.0).round() / 10.0).clamp(0.4f64.min(0.7 * thickness), 0.8 * thickness);
    let mut list: Vec<f64> =
        HEIGHTS.iter().map(|f| round((f * thickness).clamp(HEIGHT.0, HEIGHT.1))).collect();
    list.dedup_by(|b, a| *b - *a < 0.05);
    list
}
