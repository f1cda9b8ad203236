//! A broken rule, in words a maker understands.

use crate::geometry::Point;
use crate::layout::{PlacedPart, Sheet};
use serde::Serialize;
use std::fmt;

/// Which rule is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Not a layout of this format and version.
    Format,
    /// A number is not finite or out of its range.
    Number,
    /// A ring is no simple closed edge, or an opening lies wrong.
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
    /// A tab is not where or what a tab must be.
    Tab,
    /// A tab lands on stock that a kerf takes, or on none.
    Landing,
    /// A tab or a part hangs on stock that comes loose, or a sheet is not held down as it says.
    Anchor,
    /// A remnant is not whole stock.
    Remnant,
    /// A part's direction does not lie along its sheet's grain.
    Grain,
    /// A part is flipped though the job does not allow it.
    Flip,
    /// A part is not where its pin puts it.
    Pin,
    /// A sheet is not the job's stock, or not the stock that a part on it is to be made of.
    Stock,
    /// A recorded figure disagrees with the geometry.
    Record,
    /// Copies are missing, too many, or named twice.
    Count,
    /// A figure of a hold does not follow from the cut, from the others, or from what its tabs can bear.
    Claim,
    /// Nothing holds a part, or what holds it does not suffice.
    Held,
    /// The sheet's drawing is missing, cannot be read, or is not the layout's.
    Drawing,
    /// A path of the bit is missing, too many, or at a wrong depth.
    Pass,
    /// A path cuts into a part.
    Gouge,
    /// An edge is not cut where it must be.
    Uncut,
    /// The paths do not leave a tab, a holding bridge or a skin as planned.
    TabLeft,
    /// The layout itself names a fault of the cut.
    Fault,
}

/// A copy of a part.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct CopyName {
    /// The part's name.
    pub part: String,
    /// Which copy, from 1.
    pub copy: usize,
    /// Whether it is a spare.
    pub spare: bool,
}

impl CopyName {
    /// The name of a placed part.
    pub fn of(part: &PlacedPart) -> Self {
        CopyName { part: part.part.clone(), copy: part.copy, spare: part.spare }
    }
}

impl fmt::Display for CopyName {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let spare = if self.spare { "spare " } else { "" };
        write!(f, "{} {spare}{}", self.part, self.copy)
    }
}

/// A broken rule, with its place and amount. `Display` gives one line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Problem {
    /// Which rule.
    pub what: What,
    /// The sheet's id; empty when it concerns the whole layout.
    pub sheet: String,
    /// The part.
    pub part: Option<CopyName>,
    /// The other part of a pair.
    pub other: Option<CopyName>,
    /// Where, mm, sheet coordinates, as `[x, y]`.
    pub at: Option<[f64; 2]>,
    /// What was measured: mm for distances and depths.
    pub amount: Option<f64>,
    /// What the rule asks for, in the same unit.
    pub limit: Option<f64>,
    /// In words, without the names and the place.
    pub message: String,
}

impl Problem {
    /// A problem of the whole layout.
    pub(super) fn layout(what: What, message: String) -> Self {
        Problem {
            what,
            sheet: String::new(),
            part: None,
            other: None,
            at: None,
            amount: None,
            limit: None,
            message,
        }
    }

    /// A problem of a sheet.
    pub(super) fn sheet(what: What, sheet: &Sheet, message: String) -> Self {
        Problem { sheet: sheet.id.clone(), ..Problem::layout(what, message) }
    }

    /// A problem of a part.
    pub(super) fn part(what: What, sheet: &Sheet, part: &PlacedPart, message: String) -> Self {
        Problem { part: Some(CopyName::of(part)), ..Problem::sheet(what, sheet, message) }
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

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        if !self.sheet.is_empty() {
            write!(f, "{}: ", self.sheet)?;
        }
        match (&self.part, &self.other) {
            (Some(a), Some(b)) => write!(f, "{a} and {b} ")?,
            (Some(a), None) => write!(f, "{a} ")?,
            _ => {}
        }
        f.write_str(&self.message)?;
        if let Some([x, y]) = self.at {
            write!(f, ", at ({x:.2}, {y:.2})")?;
        }
        Ok(())
    }
}

/// A length in words: three decimals, or two digits of something smaller.
pub(super) fn mm(length: f64) -> String {
    if length == 0.0 || length.abs() >= 0.0005 {
        format!("{} mm", trimmed(length))
    } else {
        format!("{length:.1e} mm")
    }
}

/// Three decimals without trailing zeros.
pub(super) fn trimmed(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}
