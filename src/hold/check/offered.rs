//! The sites and widths that a piece offers to tabs, and the directions that the grain may take.

use crate::geometry::Contour;
use crate::hold::part::sites::{Site, SiteRules, is_outer};
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
    rules(task, widths).sites(contour, ring, step(task, contour), SITES, beside)
}

/// Distance between sites, mm.
fn step(task: &HoldTask, contour: &Contour) -> f64 {
    task.bit.diameter.max(contour.length() / SITES as f64)
}

/// An outline with a smaller share of its sites on its outside has teeth, whose tips are narrow (set by hand).
const TOOTHED: f64 = 0.25;

/// Sites that leave room for the through pass's gap; where few of an outline's are on its outside, cramped ones that are too: the
/// tips of a gear's teeth, rather than their flanks alone.
pub fn open_sites(task: &HoldTask, contour: &Contour, ring: usize, widths: &[f64]) -> Vec<Site> {
    let mut open = sites(task, contour, ring, widths, task.bit.diameter);
    let outer = open.iter().filter(|s| is_outer(contour, s.s)).count();
    if ring == 0 && (outer as f64) < TOOTHED * open.len() as f64 {
        let rules = SiteRules { outer: true, ..rules(task, widths) };
        open.extend(rules.sites(contour, ring, step(task, contour), SITES, 0.0));
        open.sort_by(|a, b| a.s.total_cmp(&b.s));
    }
    open
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
        outer: false,
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
