//! A broken rule with its place and amount. `export` makes the words.

use super::copy_name::CopyName;
use super::finding::Finding;
use crate::geometry::Point;
use crate::layout::{PlacedPart, Sheet};
use serde::Serialize;

/// Which rule is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// The file is not a layout of this format and version.
    Format,
    /// A number is not finite or out of its range.
    Number,
    /// A ring is not a simple closed edge, or an opening is misplaced.
    Ring,
    /// Two parts share stock.
    Overlap,
    /// Two parts are nearer than the gap.
    Gap,
    /// A part is nearer to the sheet's edge than the margin.
    Margin,
    /// A part lies off the sheet.
    OffSheet,
    /// A part is nearer to a keep-clear area than the gap.
    KeepClear,
    /// Two copies of a part differ, or a copy differs from the job's shape.
    Copies,
    /// A feature does not lie on its part, or differs between copies.
    Feature,
    /// A tab breaks a rule for tabs.
    Tab,
    /// A tab lands on stock that a kerf takes, or on no stock.
    Landing,
    /// A tab or a part hangs on stock that comes loose, or a sheet is not held down as it says.
    Anchor,
    /// Waste comes loose that is neither cleared nor listed.
    Waste,
    /// A remnant is not stock that is whole.
    Remnant,
    /// A part's direction does not lie along its sheet's grain.
    Grain,
    /// A part is flipped though the job does not allow it.
    Flip,
    /// A part is not where its pin puts it.
    Pin,
    /// A sheet is not the job's stock, or not the stock that a part on it must be made of.
    Stock,
    /// A recorded figure disagrees with the geometry.
    Record,
    /// Copies are missing, too many, or named twice.
    Count,
    /// A figure of a hold does not follow from the cut, from the others, or from what its tabs can bear.
    Claim,
    /// Nothing holds a part, or what holds it is not enough.
    Held,
    /// The sheet's drawing is missing, cannot be read, or is not the layout's.
    Drawing,
    /// A path of the bit is missing, superfluous, or at a wrong depth.
    Pass,
    /// A path cuts into a part.
    Gouge,
    /// An edge is not cut where it must be.
    Uncut,
    /// The paths do not leave a tab, a holding bridge or a skin as planned.
    TabLeft,
    /// The layout itself lists a fault of the cut.
    Fault,
}

/// A broken rule, with its place and amount.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Problem {
    /// Which rule.
    pub what: What,
    /// The sheet's id; empty when it concerns the whole layout.
    pub sheet: String,
    /// The part that breaks the rule; `None` where it concerns none.
    pub part: Option<CopyName>,
    /// The other part of a pair.
    pub other: Option<CopyName>,
    /// Where, mm, sheet coordinates, as `[x, y]`.
    pub at: Option<[f64; 2]>,
    /// What was measured: mm for distances and depths.
    pub amount: Option<f64>,
    /// What the rule requires, in the same unit.
    pub limit: Option<f64>,
    /// What was found, with its numbers.
    pub found: Finding,
}

impl Problem {
    /// A problem of the whole layout.
    pub(super) fn layout(what: What, found: impl Into<Finding>) -> Self {
        Problem {
            what,
            sheet: String::new(),
            part: None,
            other: None,
            at: None,
            amount: None,
            limit: None,
            found: found.into(),
        }
    }

    /// A problem of a sheet.
    pub(super) fn sheet(what: What, sheet: &Sheet, found: impl Into<Finding>) -> Self {
        Problem { sheet: sheet.id.clone(), ..Problem::layout(what, found) }
    }

    /// A problem of a part.
    pub(super) fn part(
        what: What,
        sheet: &Sheet,
        part: &PlacedPart,
        found: impl Into<Finding>,
    ) -> Self {
        Problem { part: Some(CopyName::of(part)), ..Problem::sheet(what, sheet, found) }
    }

    pub(super) fn at(self, p: Point) -> Self {
        Problem { at: Some([p.x, p.y]), ..self }
    }

    pub(super) fn with(self, other: &PlacedPart) -> Self {
        Problem { other: Some(CopyName::of(other)), ..self }
    }

    pub(super) fn amount(self, amount: f64, limit: f64) -> Self {
        Problem { amount: Some(amount), limit: Some(limit), ..self }
    }
}
