//! Waste between parts that a part keeps.
//!
//! Where kerfs meet they leave islands of stock that no clamp reaches. Until the last part round an island is cut, the island is
//! one with that part, and so with the sheet: tabs of the parts that are cut before it may land there. A tab of the last part's
//! own ([`Tab::waste`]) then keeps the island, and all that hangs on it, from coming loose. That part is the island's **keeper**:
//! it is cut after every other part round the island.

use super::landing::landing_place;
use super::region::{ConnectedPiece, Region};
use super::sweep::THINNEST_WEB;
use crate::geometry::{Bounds, Ring, Segment};
use crate::layout::{Sheet, Tab};
use std::iter::once;

/// How much farther than half the thinnest web from a part's kerf an island may lie and still border on it, mm: `verify` measures
/// on lines an eighth of a millimetre apart, and must not find more parts round an island.
const NEARLY: f64 = 0.2;

/// An island that a part keeps.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct KeptWaste {
    /// The piece, by its number in the region.
    pub piece: usize,
    /// The part whose tabs keep it.
    pub keeper: usize,
    /// All parts round it, the keeper among them.
    pub around: Vec<usize>,
}

impl KeptWaste {
    /// Whether its keeper is the last to be cut of the parts round it; `place` is a part's place in the order of cut, `None`
    /// where it is not cut out.
    pub fn is_last(&self, place: impl Fn(usize) -> Option<usize>) -> bool {
        let Some(last) = place(self.keeper) else { return false };
        self.around.iter().all(|&p| p == self.keeper || place(p).is_none_or(|at| at < last))
    }
}

/// The islands of `stock` that tabs for waste keep, each with its keeper; where several parts have such tabs, with the first.
pub(super) fn kept_waste(sheet: &Sheet, usable: &[bool], stock: &Region) -> Vec<KeptWaste> {
    let bit = sheet.bit.diameter;
    let mut found: Vec<KeptWaste> = vec![];
    for (keeper, part) in sheet.parts.iter().enumerate().filter(|(i, _)| usable[*i]) {
        let of_waste = part.hold.tabs.iter().filter(|t| t.waste);
        for piece in of_waste.filter_map(|t: &Tab| stock.locate(landing_place(t, bit))) {
            if found.iter().all(|k| k.piece != piece) {
                let around = around(sheet, usable, &stock.pieces[piece]);
                found.push(KeptWaste { piece, keeper, around });
            }
        }
    }
    found
}

/// The parts that a piece of firm stock borders on across their kerfs.
pub(super) fn around(sheet: &Sheet, usable: &[bool], piece: &ConnectedPiece) -> Vec<usize> {
    let reach = sheet.bit.diameter + THINNEST_WEB / 2.0 + NEARLY;
    let near = piece.bounds.grown(reach);
    let borders = |i: &usize| {
        let part = &sheet.parts[*i];
        let borders = |s: Segment| {
            near.touches(Bounds::of(&[s.a, s.b])) && piece.edges.segment_distance(s, reach) < reach
        };
        let rings = || once(&part.outline).chain(&part.openings);
        usable[*i]
            && part.outline.bounds().touches(near)
            && rings().flat_map(Ring::segments).any(borders)
    };
    (0..sheet.parts.len()).filter(borders).collect()
}
