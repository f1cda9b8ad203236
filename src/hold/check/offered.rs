//! The sites and widths that a piece offers to tabs, and the directions that the grain may take.

use crate::geometry::Contour;
use crate::hold::part::sites::{Site, SiteRules};
use crate::hold::task::HoldTask;
use std::f64::consts::PI;

/// Greatest number of sites for tabs.
const SITES: usize = 40;
/// The same of tabs for waste.
const MOST_FOR_WASTE: usize = 1000;

/// Sites on ring number `ring`; a site needs `beside` mm more of straight run than its tab.
pub fn sites(
    task: &HoldTask,
    contour: &Contour,
    ring: usize,
    widths: &[f64],
    beside: f64,
) -> Vec<Site> {
    let kerf = task.bit.diameter;
    let step = kerf.max(contour.length() / SITES as f64);
    rules(task, widths).sites(contour, ring, step, SITES, beside)
}

/// Sites on the outline for tabs that hold waste beyond it, which borders on a stretch of it only: half a bit apart, however
/// long the outline is.
pub fn sites_for_waste(task: &HoldTask, contour: &Contour, widths: &[f64]) -> Vec<Site> {
    let kerf = task.bit.diameter;
    rules(task, widths).sites(contour, 0, kerf / 2.0, MOST_FOR_WASTE, 0.0)
}

fn rules<'a>(task: &HoldTask<'a>, widths: &'a [f64]) -> SiteRules<'a> {
    SiteRules {
        shape: task.shape,
        kerf: task.bit.diameter,
        tab_free: task.tab_free,
        landing_ok: task.landing_ok,
        widths,
    }
}

/// The grain's directions as lines, each once.
pub fn directions(task: &HoldTask) -> Vec<Option<f64>> {
    if !task.material.has_grain() || task.grain.is_empty() {
        // Grain unknown in a material that has one: judge both ways of the sheet.
        return if task.material.has_grain() {
            vec![Some(0.0), Some(PI / 2.0)]
        } else {
            vec![None]
        };
    }
    let mut list: Vec<f64> = task.grain.iter().map(|g| g.rem_euclid(PI)).collect();
    list.sort_by(f64::total_cmp);
    list.dedup_by(|b, a| (*b - *a) < 1e-6);
    if list.len() > 1 && PI - list[list.len() - 1] + list[0] < 1e-6 {
        list.pop();
    }
    list.into_iter().map(Some).collect()
}

/// Widths to choose from by the size of the part: to 3 mm for tiny ones, 6 for hand-sized, 8 and more for larger (common practice,
/// no source), within the job's limits.
pub fn widths(task: &HoldTask, length: f64) -> Vec<f64> {
    let by_size = if length < 80.0 {
        3.0
    } else if length < 400.0 {
        6.0
    } else {
        8.0
    };
    let (least, most) = (task.holding.min_width.max(0.5), task.holding.max_width.min(by_size));
    let mut list: Vec<f64> = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0]
        .into_iter()
        .filter(|w| *w >= least && *w <= most.max(least))
        .collect();
    if list.is_empty() {
        list.push(least);
    }
    list
}
