//! Verifies a layout: every rule is checked from the layout's geometry alone.
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
//! - holds, if the layout must be complete: loads from the stated cut, figures against each other, and the load that tabs and skins
//!   bear by a second, simpler model ([`Rules::complete`]);
//! - drawings, if they are at hand: scale, lines and passes are the layout's, and the bit swept along the paths as drawn
//!   cuts every edge, leaves every tab and gouges nothing ([`Rules::drawings`]); sharp inside corners keep no more stock than the
//!   bit's radius leaves, unless a note accepts it;
//! - anchors, if the layout must be complete: what each tab hangs on is clamped by the stated rule, or tied to what is, and
//!   one of a part's tabs lands on stock that does not bend away, by verify's own estimate; the tabs that keep an island of waste
//!   bear the cut beside it, by the simpler model;
//! - grain: the direction that a part names lies along its sheet's grain;
//! - job, if it is at hand: stock, copies, pins, flips, grain and features as it requires;
//! - waste, if the layout must be complete: every piece that the bit can throw is tied, cleared, or listed as loose;
//! - pockets that clear waste: half a bit off every part, off tabs and their landings, on the sheet;
//! - records: areas, waste and counts agree with the geometry;
//! - faults that the layout itself lists count as found;
//! - rings: finite, simple, openings inside their outline.

mod anchors;
mod asked;
mod claims;
mod cleared;
mod cleft;
mod copies;
mod copy_name;
mod drawing_beside;
mod finding;
mod grain;
mod kept_islands;
mod landings;
mod level_lines;
mod loose_waste;
mod numbers;
mod paths;
mod penetration;
mod prepared;
mod problem;
mod rigid_part;
mod rings;
mod rules;
mod sheet_edge;
mod spacing;
mod strips;
mod tab_rules;
mod totals;

#[doc(hidden)]
pub use claims::calibration;
pub use copy_name::CopyName;
pub use finding::{
    ClaimFinding, Difference, DrawingFinding, Edge, Figure, Finding, JobFinding, LayoutFinding,
    PartFinding, PathFinding, Record, Reference, RingFlaw, Safety, SheetFinding, Shown, TabFinding,
    TabFlaw,
};
pub use problem::{Problem, What};
pub use rules::{Asked, AskedPart, AskedStock, Rules};

use crate::layout::{FORMAT, Layout, VERSION};
use prepared::Prepared;
use rayon::prelude::*;

/// Every rule that the layout breaks; empty when it is good.
///
/// Problems come sheet by sheet, in the order of the parts. A part whose numbers make no geometry (not
/// finite, fewer than three points) is reported once and left out of the rest. Never panics, whatever
/// the numbers. With an R-tree a part and one a sheet: n log n in the segments when parts touch few others.
///
/// The tolerance is a depth: with a gap of 0, parts may enter each other by it and no more.
///
/// ```
/// use tabwright::{layout::Layout, verify::{verify, LayoutFinding, Record, Rules}};
/// let mut layout = Layout::new("empty", 1);
/// assert!(verify(&layout, &Rules::default()).is_empty());
/// layout.parts_placed = 3;
/// let problems = verify(&layout, &Rules::default());
/// assert_eq!(problems[0].found, LayoutFinding::Recorded { figure: Record::PartsPlaced }.into());
/// assert_eq!((problems[0].amount, problems[0].limit), (Some(3.0), Some(0.0)));
/// ```
pub fn verify(layout: &Layout, rules: &Rules) -> Vec<Problem> {
    let mut problems = vec![];
    if layout.format != FORMAT || layout.version != VERSION {
        let found =
            LayoutFinding::Format { format: layout.format.clone(), version: layout.version };
        problems.push(Problem::layout(What::Format, found));
    }
    let prepared: Vec<(Vec<Prepared>, Vec<Problem>)> =
        layout.sheets.iter().map(|s| prepared::prepare(s, &layout.notes)).collect();
    let copies = copies::check(&layout.sheets, &prepared, rules);
    let sheets: Vec<Vec<Problem>> = layout
        .sheets
        .par_iter()
        .zip(&prepared)
        .map(|(sheet, (parts, broken))| {
            let mut found = broken.clone();
            sheet_edge::check(sheet, parts, rules, &mut found);
            spacing::check(sheet, parts, rules, &mut found);
            cleared::check(sheet, parts, rules, &mut found);
            tab_rules::check(sheet, parts, rules, &mut found);
            claims::check(sheet, parts, rules, &mut found);
            let stock = anchors::check(sheet, parts, rules, &mut found);
            if let Some(stock) = &stock {
                kept_islands::check(sheet, parts, stock, &mut found);
                loose_waste::check(sheet, &layout.drop_outs, stock, &mut found);
            }
            strips::check(sheet, parts, rules, &mut found);
            drawing_beside::check(sheet, parts, stock.as_ref(), rules, &mut found);
            grain::check(sheet, parts, &mut found);
            totals::check_sheet(sheet, &mut found);
            found
        })
        .collect();
    problems.extend(sheets.into_iter().flatten());
    problems.extend(copies);
    if rules.complete {
        let left = layout.unplaced.iter().cloned();
        let found = left.map(|unplaced| LayoutFinding::NotPlaced { unplaced });
        problems.extend(found.map(|found| Problem::layout(What::Held, found)));
    }
    asked::check(layout, &prepared, rules, &mut problems);
    totals::check_layout(layout, rules, &mut problems);
    problems.extend(layout.faults.iter().map(|fault| Problem {
        sheet: fault.sheet.clone(),
        ..Problem::layout(What::Fault, LayoutFinding::NamedFault { fault: fault.clone() })
    }));
    let undecided = layout.notes.iter().filter(|note| note.undecided());
    problems.extend(undecided.map(|note| {
        Problem::layout(What::Fault, LayoutFinding::JointUndecided { part: note.part.clone() })
    }));
    problems
}
