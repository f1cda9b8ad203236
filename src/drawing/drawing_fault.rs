//! What is wrong with a drawing, and where.

use crate::geometry::Point;
use crate::layout::FeatureKind;
use serde::Serialize;

/// How bad a fault is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The parts are as drawn; the maker should still know.
    Warning,
    /// Something drawn could not become a part, or became a part that was probably not meant.
    Error,
}

/// One fault of a drawing. `export` puts it into words.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawingFault {
    /// How bad it is.
    pub severity: Severity,
    /// The element: `#its-id`, or its tag and line if it has no id.
    pub element: String,
    /// Where, mm in the drawing (from the page's top left).
    pub at: Point,
    /// What is wrong.
    pub flaw: Flaw,
}

/// What is wrong with an element; lengths and places are mm in the drawing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Flaw {
    /// A part under the least size: left out.
    Small {
        /// Width of the part.
        width: f64,
        /// Height of the part.
        height: f64,
        /// The least size.
        least: f64,
    },
    /// An open path.
    Open {
        /// The free end nearest to one of its own.
        end: [f64; 2],
        /// Distance between the two.
        gap: f64,
        /// The element of that end; `None` if it is the path's own.
        other: Option<String>,
        /// The part in which it lies, if it is a line on its own.
        inside: Option<String>,
        /// The colour by which marks know it; `None` if cut edges have the same, or if it has none.
        stroke: Option<[u8; 3]>,
    },
    /// A part with a faulty line in it or round it: left out.
    Spoiled,
    /// Dashed lines without a mark beside solid ones: taken for construction lines and left out.
    Dashed {
        /// How many elements.
        elements: usize,
    },
    /// An open path with a fill and no stroke: closed by a straight line, as its fill shows it.
    FilledShut,
    /// A loop that was cut off.
    Loop {
        /// The size it is under.
        under: f64,
    },
    /// A line that runs out and back on itself: cut off.
    Spike,
    /// A line without length, or a closed one without area: left out.
    NoLength,
    /// An outline that encloses no area: left out.
    NoArea,
    /// A line that lies on an earlier one: dropped.
    Doubled {
        /// The earlier element.
        of: String,
    },
    /// More than two ends meet at a place.
    Branch {
        /// Number of ends that meet.
        ends: usize,
        /// The other elements.
        with: Vec<String>,
    },
    /// An outline crosses, touches or shares a line with itself or another.
    Meets {
        /// How they meet.
        how: Meeting,
        /// The other element; `None` for itself.
        other: Option<String>,
        /// Number of places where they meet.
        places: usize,
        /// Whether they are read as two parts side by side; else they are left out.
        side_by_side: bool,
    },
    /// A line that touches itself: read as the rings that it encloses.
    TouchesItself {
        /// How many rings.
        rings: usize,
        /// The wall left where an opening touches the outline round it, if one does.
        wall: Option<f64>,
    },
    /// A feature that lies in no part: left out.
    FeatureInNoPart {
        /// What it is.
        feature: FeatureKind,
    },
    /// An element nested too deep: left out.
    Nested {
        /// The deepest level that is read.
        levels: usize,
    },
    /// A transform that cannot be read: ignored.
    Transform {
        /// As written.
        written: String,
    },
    /// An element that does not show: left out.
    NotShown {
        /// Why it does not show.
        why: Unseen,
        /// Number of shapes in it.
        shapes: usize,
    },
    /// Text, which is not an outline: left out. One fault for the whole drawing, at the first of its texts.
    Text {
        /// How many elements.
        elements: usize,
    },
    /// Another element that is not an outline: left out.
    NotOutline {
        /// Its tag.
        tag: String,
    },
    /// A reference to an element that is not in the drawing: left out.
    NoTarget {
        /// As written.
        href: String,
    },
    /// A reference to an element around it: left out.
    Circular {
        /// As written.
        href: String,
    },
    /// A line that runs more than a kilometre away: left out.
    TooFar,
    /// A mask, which hides part of the element on screen: all of the element is read.
    Mask,
    /// A clip path in fractions of its box: ignored.
    ClipFractions {
        /// The clip path.
        clip: String,
    },
    /// A clip path hides all of the element: left out.
    ClippedAway {
        /// The clip path.
        clip: String,
    },
    /// A clip path hides part of the element: left out.
    ClippedPart {
        /// The clip path.
        clip: String,
    },
    /// An attribute whose value is not a length.
    NotLength {
        /// The attribute.
        attribute: &'static str,
        /// As written.
        written: String,
    },
    /// A rectangle, circle or ellipse without area.
    Flat {
        /// Its tag.
        tag: &'static str,
        /// Its sides or radii, in the drawing's units.
        sizes: Vec<f64>,
    },
    /// Path data that cannot be read to its end.
    PathData {
        /// In the parser's words.
        reason: String,
    },
}

/// How two outlines meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meeting {
    /// They cross.
    Cross,
    /// They share a stretch of a line.
    Overlap,
    /// They touch at a place.
    Touch,
}

/// Why an element does not show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unseen {
    /// `display: none`.
    Display,
    /// Its opacity is 0.
    Opacity,
    /// Its visibility is `hidden` or `collapse`.
    Visibility,
    /// It has neither stroke nor fill.
    Unpainted,
}

impl Flaw {
    /// Whether only the lines and parts that it names are lost: the rest of the drawing is as drawn.
    pub fn is_local(&self) -> bool {
        matches!(
            self,
            Flaw::Open { .. }
                | Flaw::Branch { .. }
                | Flaw::Meets { .. }
                | Flaw::NoArea
                | Flaw::FeatureInNoPart { .. }
                | Flaw::Spoiled
        )
    }
}

impl DrawingFault {
    pub(super) fn error(element: &str, at: Point, flaw: Flaw) -> Self {
        DrawingFault { severity: Severity::Error, element: element.into(), at, flaw }
    }

    pub(super) fn warning(element: &str, at: Point, flaw: Flaw) -> Self {
        DrawingFault { severity: Severity::Warning, ..DrawingFault::error(element, at, flaw) }
    }
}

/// Why a drawing could not be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DrawingError {
    /// The text is another format: SVG begins with `<`.
    #[error("{name}: this is not an SVG drawing: export the drawing as plain SVG")]
    OtherFormat {
        /// The drawing's name.
        name: String,
    },
    /// The text breaks off or is not XML.
    #[error(
        "{name}: line {line}, column {column}: the file is damaged or cut short: {reason}; export it again as plain SVG"
    )]
    NotXml {
        /// The drawing's name.
        name: String,
        /// Where, from 1.
        line: u32,
        /// Where in the line, from 1.
        column: u32,
        /// What the parser says.
        reason: String,
    },
    /// The outermost element is not `svg`.
    #[error("{name}: the outermost element is <{found}>, not <svg>")]
    NotSvg {
        /// The drawing's name.
        name: String,
        /// The element found.
        found: String,
    },
    /// The drawing is larger than a limit that protects memory.
    #[error("{name}: more than {limit} {what}: split the drawing")]
    TooLarge {
        /// The drawing's name.
        name: String,
        /// What it has too many of.
        what: &'static str,
        /// The greatest number that is read.
        limit: usize,
    },
}
