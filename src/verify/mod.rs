//! Verifying: every rule of a layout checked from its geometry alone.
//!
//! Uses [`geometry`](crate::geometry) and [`layout`](crate::layout) only, so that no mistake of the
//! search, of the holding plan or of the cutting plan can hide itself. Distances are true distances
//! between the given segments; nothing is offset, rounded or sampled:
//!
//! - parts: [`Rules::tolerance`] within the gap of each other, also inside openings; no overlap;
//! - sheet: inside its edge by the margin, off keep-clear areas by the gap; remnants outside every kerf;
//! - copies: all copies of a part are the same shape under their poses, features too;
//! - tabs, holding bridges among them: on the edge, square to it, on a run that holds their width, apart, and landing on
//!   stock that no kerf takes; no higher than the sheet, and as high as it or clearly lower;
//! - records: areas, waste and counts agree with the geometry;
//! - faults that the layout itself names count as found;
//! - rings: finite, simple, openings inside their outline.

mod copies;
mod landing;
mod penetration;
mod prepared;
mod problem;
mod rings;
mod spacing;
mod stock;
mod tabs;
mod totals;

pub use problem::{CopyName, Problem, What};

use crate::geometry::Shape;
use crate::layout::{FORMAT, Layout, VERSION};
use prepared::Prepared;
use rayon::prelude::*;

/// What a layout is held against besides its own geometry.
#[derive(Debug, Clone, Copy)]
pub struct Rules<'a> {
    /// How far a distance may fall short, mm. Figures that carry several roundings (a copy's pose and
    /// points, a tab's place) may be off by ten times this.
    pub tolerance: f64,
    /// The job's copies of each part, spares not counted; `None` when the job is not at hand.
    pub counts: Option<&'a [(String, usize)]>,
    /// The job's shapes, in the parts' own frames; `None` when the job is not at hand.
    pub shapes: Option<&'a [(String, Shape)]>,
}

impl Default for Rules<'_> {
    fn default() -> Self {
        Rules { tolerance: 1e-6, counts: None, shapes: None }
    }
}

impl Rules<'_> {
    /// Tolerance of figures that carry several roundings, mm.
    fn slack(&self) -> f64 {
        10.0 * self.tolerance
    }
}

/// Every rule that the layout breaks; empty when it is good.
///
/// Problems come sheet by sheet, in the order of the parts. A part whose numbers make no geometry (not
/// finite, fewer than three points) is named once and left out of the rest. Never panics, whatever
/// the numbers. An R-tree a part and one a sheet: n log n in the segments when parts touch few others.
///
/// The tolerance is a depth: with a gap of 0, parts may enter each other by it and no more.
///
/// ```
/// use tabwright::{layout::Layout, verify::{verify, Rules}};
/// let mut layout = Layout::new("empty", 1);
/// assert!(verify(&layout, &Rules::default()).is_empty());
/// layout.parts_placed = 3;
/// let problems = verify(&layout, &Rules::default());
/// assert_eq!(problems[0].to_string(), "parts_placed says 3, the sheets hold 0");
/// ```
pub fn verify(layout: &Layout, rules: &Rules) -> Vec<Problem> {
    let mut problems = vec![];
    if layout.format != FORMAT || layout.version != VERSION {
        problems.push(Problem::layout(
            What::Format,
            format!(
                "is {} version {}, not {FORMAT} version {VERSION}",
                layout.format, layout.version
            ),
        ));
    }
    let prepared: Vec<(Vec<Prepared>, Vec<Problem>)> =
        layout.sheets.iter().map(prepared::prepare).collect();
    let copies = copies::check(&layout.sheets, &prepared, rules);
    let sheets: Vec<Vec<Problem>> = layout
        .sheets
        .par_iter()
        .zip(&prepared)
        .map(|(sheet, (parts, broken))| {
            let mut found = broken.clone();
            stock::check(sheet, parts, rules, &mut found);
            spacing::check(sheet, parts, rules, &mut found);
            tabs::check(sheet, parts, rules, &mut found);
            totals::check_sheet(sheet, &mut found);
            found
        })
        .collect();
    problems.extend(sheets.into_iter().flatten());
    problems.extend(copies);
    totals::check_layout(layout, rules, &mut problems);
    problems.extend(layout.faults.iter().map(|fault| Problem {
        sheet: fault.sheet.clone(),
        ..Problem::layout(What::Fault, fault.message.clone())
    }));
    problems
}
