//! The name of a copy: its part and number.

use crate::layout::PlacedPart;
use serde::Serialize;

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
