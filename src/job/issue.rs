//! What is wrong in a job, or worth knowing about it, as values: `export` makes the words, in the user's units.

use crate::drawing::DrawingFault;
use crate::geometry::Point;

/// One thing that is wrong in a job, or worth knowing about it: where and what.
#[derive(Debug, Clone, PartialEq)]
pub struct Issue {
    /// `line 3, column 7`, `stock 'walnut'`, `part 'minute-hand'`.
    pub place: String,
    /// What it is, with its numbers.
    pub kind: IssueKind,
}

/// Everything wrong with a job, at once.
#[derive(Debug, Clone, PartialEq)]
pub struct Issues(pub Vec<Issue>);

/// What is wrong or worth knowing; lengths are mm.
#[derive(Debug, Clone, PartialEq)]
pub enum IssueKind {
    /// The file is not TOML, or a value has the wrong type; in the parser's words.
    Toml(String),
    /// An unknown key.
    UnknownKey {
        /// As written.
        key: String,
        /// The known key most like it.
        near: Option<String>,
        /// The known keys.
        known: Vec<String>,
    },
    /// A value of another kind than its key takes.
    WrongKind {
        /// The key; empty where it is not known.
        key: String,
        /// The value, as the parser tells it: `string "two"`.
        found: String,
        /// What the key takes.
        wanted: ValueKind,
    },
    /// A table with one bracket, although there may be several such tables.
    OneBracket {
        /// Its name.
        table: String,
    },
    /// A list of marks where a kind of feature takes one.
    SeveralMarks,
    /// A table without a key that it needs.
    MissingKey {
        /// The key.
        key: String,
    },
    /// A text without quotation marks.
    Unquoted {
        /// The key.
        key: String,
        /// As written.
        written: String,
    },
    /// A material that is not in the table.
    UnknownMaterial {
        /// As written.
        name: String,
        /// The known name most like it.
        near: Option<String>,
    },
    /// A material that is not in the table; the figures of another stand in.
    StandIn {
        /// As written.
        name: String,
        /// The other.
        row: String,
    },
    /// A `[[material]]` without a name.
    NoName,
    /// A `[[material]]` that gives neither a known material nor its kind with a figure.
    LikeWhat,
    /// A `[[material]]` is like another of the job's own.
    LikeOwn {
        /// The other.
        like: String,
    },
    /// A `[[material]]` of one kind is `like` a material of another kind.
    LikeOtherKind {
        /// What it is like.
        like: String,
        /// The kind of that.
        kind: &'static str,
    },
    /// A strength, stiffness or density that is not a number with its unit.
    NotFigure {
        /// The key.
        key: &'static str,
        /// As written.
        written: String,
    },
    /// A strength, stiffness or density that no material has.
    FigureOutOfRange {
        /// The key.
        key: &'static str,
        /// Least and greatest value, MPa or kg/m³.
        range: (f64, f64),
    },
    /// A strength and a stiffness that no material has together, MPa.
    StrengthAndStiffness {
        /// The strength.
        strength: f64,
        /// The stiffness.
        stiffness: f64,
    },
    /// A text that is not a length.
    NotLength {
        /// The key.
        key: String,
        /// As written.
        written: String,
    },
    /// A bare number whose unit nothing says.
    NoUnit {
        /// The key.
        key: String,
        /// As written.
        written: String,
    },
    /// A text that is not a feed.
    NotFeed {
        /// As written.
        written: String,
    },
    /// A text that is not a size.
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
    /// A word that the key does not accept.
    NotOneOf {
        /// The key.
        key: &'static str,
        /// The words that it accepts.
        known: &'static [&'static str],
        /// As written; `None` if it is a number that is not finite.
        written: Option<String>,
    },
    /// A number outside of its range.
    OutOfRange {
        /// The key.
        key: &'static str,
        /// Least and greatest allowed value.
        range: (f64, f64),
        /// Whether the values are degrees.
        degrees: bool,
    },
    /// A length outside of its range.
    LengthOutOfRange {
        /// The key.
        key: &'static str,
        /// Least and greatest allowed length, mm.
        range: (f64, f64),
    },
    /// The job lists no bit.
    NoBits,
    /// The job lists no drawing.
    NoDrawings,
    /// A cutting force below zero, or none at all.
    BadForce,
    /// `min-width` is above `max-width`.
    MinAboveMax,
    /// A mark for an unknown kind of feature.
    UnknownMark {
        /// The known kinds.
        known: Vec<&'static str>,
    },
    /// A text that is not a colour.
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
    Drawn(Box<DrawingFault>),
    /// The drawing has no closed outline.
    NoPart,
    /// A part has more copies than a job may ask for.
    TooManyCopies {
        /// As asked.
        copies: usize,
        /// The most that a job may ask for.
        most: usize,
    },
    /// A part has a quantity of 0, and no spares.
    NoneAsked,
    /// Parts that a drawing's `mirror` does not flip, because they have pockets or the like in one face.
    NotFlipped {
        /// Their names.
        parts: Vec<String>,
    },
    /// A part that its own table flips has pockets or the like in one face: the copy is its mirror image.
    FlippedFace,
    /// Every part has a quantity of 0, and no spares.
    NothingToMake,
    /// A part has more pins than copies.
    TooManyPins {
        /// Its pins.
        pins: usize,
        /// Its copies.
        copies: usize,
    },
    /// A pin's sheet is 0, or its turn is not finite.
    BadPin,
    /// A `[[part]]` whose name is in no drawing.
    InNoDrawing {
        /// The part most like it.
        near: Option<String>,
    },
    /// A `[[part]]` whose name is in several drawings, without the drawing it means.
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
    /// A board sold by length is wider than long: its length comes first.
    WiderThanLong {
        /// Its length and width as written, mm.
        size: [f64; 2],
    },
    /// An area to keep clear lies off the stock.
    ClearsNothing {
        /// The middle of the area, mm.
        at: [f64; 2],
        /// The stock's length and width, mm.
        size: [f64; 2],
    },
    /// The stock does not fit on the machine's bed, not even rotated.
    LargerThanBed {
        /// Its length and width, mm.
        stock: [f64; 2],
        /// The bed's, mm.
        bed: [f64; 2],
    },
    /// A board of open length that is longer than the bed.
    LongerThanBed {
        /// The longest piece of it that the bed takes, mm.
        piece: f64,
    },
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
    /// A stock with neither size nor outline, or with both.
    SizeOrOutline,
    /// A keep-clear area that is neither a rectangle nor a circle.
    KeepClearShape,
}

/// What a key takes.
#[derive(Debug, Clone, PartialEq)]
pub enum ValueKind {
    /// A whole number that is not negative.
    Count,
    /// A number.
    Number,
    /// A text in quotation marks.
    Text,
    /// `true` or `false`.
    YesNo,
    /// A list in square brackets.
    List,
    /// A table in braces.
    Table,
    /// One of these words.
    Word(Vec<String>),
    /// What the parser says.
    Other(String),
}
