//! What a sheet's own drawing says: the lines that the machine gets, as plain data.

use super::FeatureKind;
use crate::geometry::Point;
use serde::Serialize;

/// A sheet's SVG, read back: lines in mm from the drawing's top left corner.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct DrawnSheet {
    /// The named groups, in the file's order.
    pub groups: Vec<DrawnGroup>,
}

/// One named group of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnGroup {
    /// Its id: `parts`, `upper-pass-4.85mm`.
    pub id: String,
    /// What the bit does along its lines; `None` for lines that are not paths of the bit.
    pub pass: Option<DrawnPass>,
    /// The kind of features that it has, and how deep they go, mm, where its name says so.
    pub deep: Option<(FeatureKind, f64)>,
    /// Its lines, in the file's order.
    pub lines: Vec<DrawnLine>,
}

/// A pass, as the name of its group gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnPass {
    /// What the pass does.
    pub kind: DrawnKind,
    /// Its depth, mm from the sheet's top.
    pub depth: f64,
}

/// What a group of paths is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DrawnKind {
    /// Down to the tabs' height, or to a skin.
    Upper,
    /// Through the sheet.
    Through,
    /// Straight down: circles of the bit's diameter.
    Plunge,
}

impl DrawnKind {
    /// Every kind, with the start of its groups' names and the word in its lines' ids.
    pub const NAMES: [(DrawnKind, &'static str, &'static str); 3] = [
        (DrawnKind::Upper, "upper-pass-", "upper"),
        (DrawnKind::Through, "through-pass-", "through"),
        (DrawnKind::Plunge, "plunges-", "plunge"),
    ];

    /// The word in the ids of its lines.
    pub fn word(self) -> &'static str {
        Self::NAMES.iter().find(|n| n.0 == self).map_or("", |n| n.2)
    }
}

/// The group of a sheet's drawing that holds the pockets which clear waste ([`Sheet::cleared`](super::Sheet::cleared)).
pub const CLEARED_GROUP: &str = "clear-waste-through";

/// The end of the names of groups of holes, pockets and plunges: their number is a depth, not a diameter. Older files lack it.
pub const DEEP_END: &str = "-deep";

/// Kinds of features whose groups are named with their depth, with the start of those names.
pub const DEEP_GROUPS: [(FeatureKind, &str); 2] =
    [(FeatureKind::Pocket, "pockets-"), (FeatureKind::Drill, "holes-")];

/// A line, or the middle of a plunge.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnLine {
    /// The id of its element.
    pub id: String,
    /// Its points; of a closed line the first is not repeated. One point is a plunge.
    pub points: Vec<Point>,
    /// Whether it returns to its first point.
    pub closed: bool,
    /// Diameter of a drawn circle, mm; `None` for lines.
    pub diameter: Option<f64>,
}

/// The drawing of a sheet beside its layout.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The sheet's id.
    pub sheet: String,
    /// What the file says, or why it cannot be used.
    pub read: Result<DrawnSheet, DrawnFlaw>,
}

/// How a sheet's drawing departs from the form that ours have.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DrawnFlaw {
    /// The file cannot be read; in the system's words.
    Unreadable(String),
    /// It is not XML; in the parser's words, with line and column.
    NotXml(String),
    /// Its root element is not `svg`.
    NotSvg,
    /// The root element lacks an attribute.
    NoAttribute(&'static str),
    /// A side of the page is not a length with a unit.
    NoLength {
        /// `width` or `height`.
        side: &'static str,
        /// As written.
        written: String,
    },
    /// The `viewBox` cannot be read; as written.
    ViewBox(String),
    /// The page has other proportions than the `viewBox`.
    PageShape {
        /// As written.
        view_box: String,
        /// The page's width, mm.
        width_mm: f64,
        /// The page's height, mm.
        height_mm: f64,
    },
    /// An attribute or style changes where, or whether, a line is cut.
    Foreign {
        /// The element's tag.
        tag: String,
        /// The element's id.
        id: Option<String>,
        /// The attribute.
        attribute: String,
    },
    /// An element lies outside the named groups, or is not a line.
    Misplaced {
        /// The element's tag.
        tag: String,
        /// The element's id.
        id: Option<String>,
        /// The group, where it lies in one.
        group: Option<String>,
    },
    /// A group has no id.
    GroupWithoutId,
    /// The name of a group of paths gives no depth with a unit; its id.
    NoDepth(String),
    /// A path's data cannot be read.
    BadPath {
        /// The path's id.
        id: Option<String>,
        /// In the parser's words.
        reason: String,
    },
    /// A path has no line, or a point that is not finite; its id.
    NoLine(Option<String>),
    /// A circle lacks a number.
    BadCircle {
        /// The circle's id.
        id: Option<String>,
        /// `cx`, `cy` or `r`.
        attribute: &'static str,
    },
}
