//! Options for reading a drawing.

use crate::layout::FeatureKind;

/// Settings of [`read`](super::read); lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadOptions {
    /// Ends nearer than this are one point, mm.
    pub join: f64,
    /// How far a chord may leave the true curve, mm. Vertices lie **on** the curve, so a convex edge
    /// comes out smaller by at most this and a hollow one larger.
    pub chord_error: f64,
    /// Pixels per inch for files that state no physical size; `None` assumes CSS's 96.
    pub dpi: Option<f64>,
    /// Factor on every length, after units.
    pub scale: f64,
    /// How drawn features are told apart from outlines; the first rule that fits decides.
    pub marks: Vec<MarkRule>,
    /// What is left out; goes before `marks`. Dashed lines are also left out where no mark is for them and other lines are solid.
    pub ignore: Vec<MarkedBy>,
    /// Parts smaller than this in both directions are left out, with a fault, mm.
    pub min_size: f64,
    /// Names that the user mentions: a part with one of them is not counted as a copy of a part with another name.
    pub wanted: Vec<String>,
}

impl Default for ReadOptions {
    fn default() -> Self {
        ReadOptions {
            join: 0.05,
            chord_error: 0.01,
            dpi: None,
            scale: 1.0,
            marks: Vec::new(),
            ignore: Vec::new(),
            min_size: 1.0,
            wanted: Vec::new(),
        }
    }
}

impl ReadOptions {
    /// The settings, with invalid numbers (zero, negative, not finite) replaced by the defaults.
    pub(super) fn sane(&self) -> Self {
        let default = ReadOptions::default();
        let positive = |v: f64, or: f64| if v.is_finite() && v > 0.0 { v } else { or };
        ReadOptions {
            join: if self.join == 0.0 { 0.0 } else { positive(self.join, default.join) },
            // Below 1e-5 mm a chord would be shorter than what coordinates carry.
            chord_error: positive(self.chord_error, default.chord_error).max(1e-5),
            dpi: self.dpi.filter(|d| d.is_finite() && *d > 0.0),
            scale: positive(self.scale, default.scale),
            marks: self.marks.clone(),
            ignore: self.ignore.clone(),
            min_size: if self.min_size == 0.0 {
                0.0
            } else {
                positive(self.min_size, default.min_size)
            },
            wanted: self.wanted.clone(),
        }
    }
}

/// What makes an element a feature instead of an outline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarkRule {
    /// What to look at.
    pub by: MarkedBy,
    /// The kind of feature that the element is.
    pub kind: FeatureKind,
}

/// The sign by which a feature is known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MarkedBy {
    /// The id, label, title or class of the element or of a group around it; case, spaces, `-` and `_` do not count.
    Group(String),
    /// The stroke's colour, red, green, blue; for an element without a stroke its fill's.
    Stroke([u8; 3]),
    /// A dashed stroke.
    Dash,
}
