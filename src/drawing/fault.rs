//! What is wrong with a drawing, and where.

use crate::geometry::Point;
use crate::units::trimmed;
use serde::Serialize;
use std::fmt;

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
pub struct Fault {
    /// How bad it is.
    pub severity: Severity,
    /// The element: `#its-id`, or its tag and line where it has none.
    pub element: String,
    /// Where, mm in the drawing (from the page's top left).
    pub at: Point,
    /// What is wrong, and what to try.
    pub message: String,
}

impl Fault {
    pub(super) fn error(element: &str, at: Point, message: impl Into<String>) -> Self {
        Fault { severity: Severity::Error, element: element.into(), at, message: message.into() }
    }

    pub(super) fn warning(element: &str, at: Point, message: impl Into<String>) -> Self {
        Fault { severity: Severity::Warning, ..Fault::error(element, at, message) }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (x, y) = (trimmed(self.at.x, 3), trimmed(self.at.y, 3));
        write!(f, "{} at ({x}, {y}) mm: {}", self.element, self.message)
    }
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
