//! A problem with the values that its words need.

use crate::units::{N_PER_LBF, Units, trimmed};
use crate::verify::{CopyName, Problem};

/// A problem with the values that its words need.
pub(super) struct Told<'a> {
    /// The part, or both parts of a pair; empty if the problem concerns none.
    pub who: String,
    /// What was measured.
    pub amount: f64,
    /// What the rule requires.
    pub limit: f64,
    pub units: Units,
    pub problem: &'a Problem,
}

impl Told<'_> {
    /// A length with its unit.
    pub fn mm(&self, length: f64) -> String {
        small(self.units, length)
    }

    /// A force with its unit.
    pub fn force(&self, newtons: f64) -> String {
        match self.units {
            Units::Mm => format!("{} N", trimmed(newtons, 3)),
            Units::In => format!("{} lbf", trimmed(newtons / N_PER_LBF, 4)),
        }
    }

    /// An area with its unit.
    pub fn area(&self, mm2: f64) -> String {
        match self.units {
            Units::Mm => format!("{} mm²", trimmed(mm2, 3)),
            Units::In => format!("{} sq in", trimmed(mm2 / self.units.mm().powi(2), 5)),
        }
    }
}

/// A length for comparison: to a micrometre or a hundred-thousandth of an inch, two digits of anything smaller.
fn small(units: Units, mm: f64) -> String {
    let (value, unit, digits) = match units {
        Units::Mm => (mm, "mm", 3),
        Units::In => (mm / units.mm(), "in", 5),
    };
    if value == 0.0 || value.abs() >= 0.5 * 0.1_f64.powi(digits) {
        format!("{} {unit}", trimmed(value, digits as usize))
    } else {
        format!("{value:.1e} {unit}")
    }
}

/// `frame 2`, `frame spare 3`.
pub(super) fn copy(copy: &CopyName) -> String {
    let spare = if copy.spare { "spare " } else { "" };
    format!("{} {spare}{}", copy.part, copy.copy)
}

/// `outline` or `opening 2`.
pub(super) fn ring(ring: usize) -> String {
    if ring == 0 { "outline".into() } else { format!("opening {ring}") }
}
