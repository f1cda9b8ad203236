//! Waste between parts that parts beside it keep in place by tabs of their own.
//!
//! Where kerfs meet they leave islands of stock that no clamp reaches. Until the last part round an island is cut, the island is
//! joined to that part, and so to the sheet: tabs of parts cut earlier may land on it. A tab of the last part's own
//! ([`Tab::waste`]) then keeps the island, and all that hangs on it, from coming loose. That part is the island's **keeper**: it is
//! cut after every other part round the island. Other parts round it may help with such tabs of their own; of all parts with such
//! tabs, the largest is cut last.

use super::landing::landing_place;
use super::region::{ConnectedPiece, Region};
use super::sweep::THINNEST_WEB;
use crate::geometry::{Bounds, Ring, Segment};
use crate::layout::{Sheet, Tab};
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::iter::once;

/// An island borders on a part if it is at most half the thinnest web and this much farther from the part's kerf, mm: `verify`
/// measures on lines an eighth of a millimetre apart, and must not find more parts round an island.
const NEARLY: f64 = 0.2;

/// An island of waste with the parts that keep it in place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct KeptWaste {
    /// The piece, by its number in the region.
    pub piece: usize,
    /// The part that is cut last of those whose tabs keep it.
    pub keeper: usize,
    /// The other parts with tabs for it.
    pub helpers: Vec<usize>,
    /// All parts round it, those that keep it among them.
    pub around: Vec<usize>,
}

impl KeptWaste {
    /// Whether its keeper is the last to be cut of the parts round it; `place` is a part's place in the order of cut, `None`
    /// where it is not cut out.
    pub fn is_last(&self, place: impl Fn(usize) -> Option<usize>) -> bool {
        let Some(last) = place(self.keeper) else { return false };
        self.around.iter().all(|&p| p == self.keeper || place(p).is_none_or(|at| at < last))
    }

    /// The parts whose tabs keep it.
    pub fn kept_by(&self) -> Vec<usize> {
        self.helpers.iter().copied().chain([self.keeper]).collect()
    }
}

/// The islands of `stock` that tabs for waste keep, each with its keeper and the parts that help.
pub(super) fn kept_waste(sheet: &Sheet, usable: &[bool], stock: &Region) -> Vec<KeptWaste> {
    let bit = sheet.bit.diameter;
    let mut with_tabs: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for (number, part) in sheet.parts.iter().enumerate().filter(|(i, _)| usable[*i]) {
        let of_waste = part.hold.tabs.iter().filter(|t| t.waste);
        for piece in of_waste.filter_map(|t: &Tab| stock.locate(landing_place(t, bit))) {
            with_tabs.entry(piece).or_default().insert(number);
        }
    }
    let kept = |(piece, parts): (usize, BTreeSet<usize>)| {
        let keeper = parts.iter().copied().max_by(|a, b| last_of(sheet, *a, *b))?;
        let helpers = parts.into_iter().filter(|p| *p != keeper).collect();
        let around = around(sheet, usable, &stock.pieces[piece]);
        Some(KeptWaste { piece, keeper, helpers, around })
    };
    with_tabs.into_iter().filter_map(kept).collect()
}

/// Which of two parts that keep a piece is cut later: the larger one; of equal parts the one farther right, then farther down. It
/// does not depend on the order in which the sheet lists them.
pub fn last_of(sheet: &Sheet, a: usize, b: usize) -> Ordering {
    let rank = |i: usize| {
        let outline = &sheet.parts[i].outline;
        let corner = outline.bounds().min;
        // Copies turned by different angles differ by rounding.
        ((outline.area() * 100.0).round(), corner.x, corner.y)
    };
    let ((area_a, x_a, y_a), (area_b, x_b, y_b)) = (rank(a), rank(b));
    area_a.total_cmp(&area_b).then(x_a.total_cmp(&x_b)).then(y_a.total_cmp(&y_b))
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
