//! What is wrong, or worth knowing, in a job, as values: `export` makes the words, in the user's units.

use crate::drawing::DrawingFault;
use crate::geometry::Point;

/// Something wrong, or worth knowing, in a job: where and what.
#[derive(Debug, Clone, PartialEq)]
pub struct Issue {
    /// `line 3, column 7`, `stock 'walnut'`, `part 'minute-hand'`.
    pub place: String,
    /// What.
    pub kind: IssueKind,
}

/// Everything wrong with a job, at once.
#[derive(Debug, Clone, PartialEq)]
pub struct Issues(pub Vec<Issue>);

/// What is wrong, or worth knowing; lengths are mm.
#[derive(Debug, Clone, PartialEq)]
pub enum IssueKind {
    /// The file is no TOML, or a value has the wrong type; in the parser's words.
    Toml(String),
    /// A key that there is not.
    UnknownKey {
        /// As written.
        key: String,
        /// The known key most like it.
        near: Option<String>,
        /// The keys that there are.
        known: Vec<String>,
    },
    /// A material that is not in the table.
    UnknownMaterial {
        /// As written.
        name: String,
        /// The known word most like it.
        near: Option<String>,
        /// The materials that there are.
        known: Vec<String>,
    },
    /// A text that is no length.
    NotLength {
        /// The key.
        key: String,
        /// As written.
        written: String,
    },
    /// A text that is no size.
    NotSize {
        /// As written.
        written: String,
    },
    /// A number that must be above zero.
    NotPositive {
        /// The key.
        key: String,
    },
    /// A number that must not be negative.
    Negative {
        /// The key.
        key: String,
    },
    /// A word that the key does not know.
    NotOneOf {
        /// The key.
        key: &'static str,
        /// The words that it knows.
        known: &'static [&'static str],
        /// As written; `None` where it is a number that is not finite.
        written: Option<String>,
    },
    /// A number outside of its range.
    OutOfRange {
        /// The key.
        key: &'static str,
        /// Least and greatest.
        range: (f64, f64),
        /// Whether they are degrees.
        degrees: bool,
    },
    /// A length outside of its range.
    LengthOutOfRange {
        /// The key.
        key: &'static str,
        /// Least and greatest, mm.
        range: (f64, f64),
    },
    /// The job names no bit.
    NoBits,
    /// The job names no drawing.
    NoDrawings,
    /// A cutting force below zero, or none at all.
    BadForce,
    /// `min-width` is above `max-width`.
    MinAboveMax,
    /// A mark for a kind of feature that there is not.
    UnknownMark {
        /// The kinds that there are.
        known: Vec<&'static str>,
    },
    /// A text that is no colour.
    NotColour {
        /// As written.
        written: String,
    },
    /// A mark with neither group nor stroke.
    MarkByNothing,
    /// A depth for a mark that cannot have one.
    DepthOfMark,
    /// A pocket as deep as the sheet.
    PocketThrough,
    /// A fault of a drawing.
    Drawn(DrawingFault),
    /// The drawing has no closed outline.
    NoPart,
    /// A part's copies are more than a job may ask for.
    TooManyCopies {
        /// As asked.
        copies: usize,
        /// At most.
        most: usize,
    },
    /// A part has more pins than copies.
    TooManyPins {
        /// Its pins.
        pins: usize,
        /// Its copies.
        copies: usize,
    },
    /// A pin's sheet is 0, or its turn is not finite.
    BadPin,
    /// A `[[part]]` that is in no drawing.
    InNoDrawing {
        /// The part most like it.
        near: Option<String>,
    },
    /// A `[[part]]` that is in several drawings and names none of them.
    InSeveralDrawings {
        /// The drawings.
        drawings: Vec<String>,
    },
    /// A part of the same name is in another drawing: it is listed under another name.
    Renamed {
        /// The drawing before.
        first: String,
        /// Its own drawing.
        second: String,
        /// The name it gets.
        name: String,
    },
    /// Drawings of one group ask for different bits.
    TwoBits {
        /// What this one asks for.
        wish: String,
        /// What the group has.
        have: String,
    },
    /// The bit does not reach all of the part.
    BitTooWide {
        /// The bit that the job asks for; `None` where no bit on hand reaches.
        wish: Option<String>,
        /// The widest that fits, mm.
        fits: f64,
        /// The bit's diameter, mm.
        bit: f64,
        /// Where, mm from the part's top left.
        at: Point,
    },
    /// The bit that the job asks for is not on hand for the material.
    BitNotOnHand {
        /// The bit.
        bit: String,
        /// The material as the job calls it.
        material: String,
    },
    /// No bit on hand is for the material.
    NoBitFor {
        /// The material as the job calls it.
        material: String,
    },
    /// The stock's margins leave no room.
    NoRoom,
    /// A size that is not above zero both ways.
    SizeNotPositive,
    /// The drawing of an offcut does not hold one outline.
    OffcutOutlines {
        /// The drawing.
        file: String,
        /// How many it holds.
        found: usize,
    },
    /// The drawing of an offcut was not read.
    OffcutUnread {
        /// The drawing.
        file: String,
    },
    /// A stock with neither or both of size and outline.
    SizeOrOutline,
    /// A keep-clear area that is neither a rectangle nor a circle.
    KeepClearShape,
}
