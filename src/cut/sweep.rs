//! The simulated cut: the bit's disc swept along the paths, at both depths.

use super::path::{PartPaths, Path};
use super::ready::Ready;
use super::region::{Region, interior};
use super::upper::{any_bridge, closed};
use crate::geometry::{Point, Shape, difference, grow, sweep_within};
use crate::layout::{PlacedPart, Sheet};
use rayon::prelude::*;

/// How far the swept edge may leave the true one, mm: a tab measured between two sweeps is right to twice this.
const SWEEP: f64 = 0.002;

/// A web thinner than this does not count as stock, mm: it crumbles as it is cut (common practice, no source).
pub(super) const THINNEST_WEB: f64 = 0.5;

/// The stock left at two depths.
pub(super) struct AfterCut {
    /// Above the tabs and the skins, holding bridges sawn off: every ring is closed.
    pub above: Region,
    /// The same with the bridges standing; `None` where the sheet has none.
    pub upper: Option<Region>,
    /// At the bottom: open at the tabs, unbroken over a skin.
    pub bottom: Region,
    /// The waste, see [`firm`].
    pub firm: Region,
    /// The piece of `above` that each part lies in, by a point of its material.
    pub piece_of: Vec<Option<usize>>,
    /// A point of each part's material.
    pub inside: Vec<Option<Point>>,
}

/// Cuts the sheet.
pub(super) fn cut(ready: &Ready, paths: &[PartPaths]) -> AfterCut {
    let Ready { sheet, usable, details, .. } = ready;
    let closed: Vec<_> = paths.iter().flat_map(|p| closed(sheet, p, &details[p.part])).collect();
    let closed = closed.iter().map(|p| p.as_ref());
    let first = paths.iter().flat_map(PartPaths::first).flat_map(|p| &p.paths);
    let upper = any_bridge(sheet).then(|| left(sheet, usable, first.collect()));
    let through = paths.iter().flat_map(PartPaths::through).flat_map(|p| &p.paths);
    let (closed, through): (Vec<_>, Vec<_>) = (closed.collect(), through.collect());
    let ((above, bottom), firm) = rayon::join(
        || rayon::join(|| left(sheet, usable, closed), || left(sheet, usable, through)),
        || firm(sheet, usable),
    );
    let inside: Vec<Option<Point>> = sheet
        .parts
        .iter()
        .zip(usable)
        .map(|(part, usable)| usable.then(|| interior(&part.shape())).flatten())
        .collect();
    let piece_of: Vec<Option<usize>> =
        inside.iter().map(|p| p.and_then(|p| above.locate(p))).collect();
    AfterCut { above, upper, bottom, firm, piece_of, inside }
}

/// The stock that stays beside a sheet's parts when all kerfs are cut, less half the thinnest web at every kerf: pieces that only
/// slivers between kerfs connect are separate, and slivers vanish.
///
/// It is the sheet less every part grown by a bit's diameter and that half web, independent of the tabs.
pub(super) fn firm(sheet: &Sheet, usable: &[bool]) -> Region {
    let parts: Vec<&PlacedPart> =
        sheet.parts.iter().zip(usable).filter(|(_, usable)| **usable).map(|(p, _)| p).collect();
    let taken = sheet.bit.diameter + THINNEST_WEB / 2.0;
    // Part by part: one offset of all at once takes far longer than the union after it.
    let taken: Vec<Shape> =
        parts.par_iter().flat_map_iter(|p| grow(std::slice::from_ref(&p.shape()), taken)).collect();
    if taken.is_empty() {
        return Region::new(vec![]);
    }
    Region::new(difference(&[sheet.shape()], &taken))
}

fn left(sheet: &Sheet, usable: &[bool], paths: Vec<&Path>) -> Region {
    if !usable.contains(&true) {
        return Region::new(vec![]);
    }
    let radius = sheet.bit.diameter / 2.0;
    let swept: Vec<Shape> = paths
        .par_iter()
        .flat_map_iter(|p| sweep_within(&p.points, p.closed, radius, SWEEP))
        .collect();
    let sheet = sheet.shape();
    if swept.is_empty() {
        return Region::new(vec![sheet]);
    }
    Region::new(difference(std::slice::from_ref(&sheet), &swept))
}
