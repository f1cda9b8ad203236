//! What is wrong with a drawing, and where.

use crate::geometry::Point;
use crate::units::{Units, trimmed};
use serde::Serialize;

/// How bad a fault is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The parts are as drawn; the maker should still know.
    Warning,
    /// Something drawn could not become a part, or not the one that was meant.
    Error,
}

/// One fault of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawingFault {
    /// How bad it is.
    pub severity: Severity,
    /// The element: `#its-id`, or its tag and line where it has none.
    pub element: String,
    /// Where, mm in the drawing (from the page's top left).
    pub at: Point,
    /// What is wrong.
    pub flaw: Flaw,
}

/// What is wrong with an element.
#[derive(Debug, Clone, PartialEq)]
pub enum Flaw {
    /// A part under the least size.
    Small {
        /// Its width, mm.
        width: f64,
        /// Its height, mm.
        height: f64,
        /// The least size, mm.
        least: f64,
    },
    /// An open path.
    Open {
        /// Its other end, mm in the drawing.
        end: Point,
        /// From end to end, mm.
        gap: f64,
    },
    /// A loop was cut off.
    Loop {
        /// It is smaller than this, mm.
        under: f64,
    },
    /// What needs no length to be told: what, and what to try.
    Said(String),
}

impl Flaw {
    /// What is wrong, and what to try.
    pub fn words(&self, units: Units) -> String {
        match self {
            Flaw::Small { width, height, least } => format!(
                "a part of {} by {} is under the least size of {}: left out; is the scale right?",
                length(units, *width),
                length(units, *height),
                length(units, *least)
            ),
            Flaw::Open { end, gap } => format!(
                "open path: from its other end at {} it is {}; close it, or raise the join tolerance",
                place(units, *end),
                length(units, *gap)
            ),
            Flaw::Loop { under } => {
                format!("a loop smaller than {}: cut off", length(units, *under))
            }
            Flaw::Said(words) => words.clone(),
        }
    }
}

impl<T: Into<String>> From<T> for Flaw {
    fn from(words: T) -> Flaw {
        Flaw::Said(words.into())
    }
}

impl DrawingFault {
    pub(super) fn error(element: &str, at: Point, flaw: impl Into<Flaw>) -> Self {
        DrawingFault { severity: Severity::Error, element: element.into(), at, flaw: flaw.into() }
    }

    pub(super) fn warning(element: &str, at: Point, flaw: impl Into<Flaw>) -> Self {
        DrawingFault { severity: Severity::Warning, ..DrawingFault::error(element, at, flaw) }
    }

    /// Where and what.
    pub fn words(&self, units: Units) -> String {
        format!("{} at {}: {}", self.element, place(units, self.at), self.flaw.words(units))
    }
}

/// A length in a drawing: to a micrometre, or a tenth of a thousandth of an inch.
fn length(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{} mm", trimmed(mm, 3)),
        Units::In => format!("{} in", trimmed(mm / units.mm(), 4)),
    }
}

/// A place in a drawing: `(12.5, 3) mm`.
pub fn place(units: Units, at: Point) -> String {
    let digits = if units == Units::In { 4 } else { 3 };
    let show = |mm: f64| trimmed(mm / units.mm(), digits);
    let unit = if units == Units::In { "in" } else { "mm" };
    format!("({}, {}) {unit}", show(at.x), show(at.y))
}

/// Why nothing at all could be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DrawingError {
    /// The text is no XML.
    #[error("{name}: not an SVG drawing: {reason}")]
    NotXml {
        /// The drawing's name.
        name: String,
        /// What the parser says, with line and column.
        reason: String,
    },
    /// The outermost element is another.
    #[error("{name}: the outermost element is <{found}>, not <svg>")]
    NotSvg {
        /// The drawing's name.
        name: String,
        /// The element found.
        found: String,
    },
    /// It would not fit in memory.
    #[error("{name}: more than {limit} {what}: split the drawing")]
    TooLarge {
        /// The drawing's name.
        name: String,
        /// What there is too much of.
        what: &'static str,
        /// How many are read at most.
        limit: usize,
    },
}
