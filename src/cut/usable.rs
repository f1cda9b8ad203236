//! Which parts of a sheet have numbers that make geometry.

use super::cut_fault::CutFault;
use crate::geometry::Vector;
use crate::layout::{PlacedPart, Sheet};

/// Greatest coordinate taken for a number, mm: a kilometre.
const GREATEST: f64 = 1e6;

/// Greatest bit taken for one, mm.
const WIDEST_BIT: f64 = 200.0;

/// Which parts have numbers that make geometry; none when the sheet's own do not.
pub(super) fn usable(sheet: &Sheet, faults: &mut Vec<CutFault>) -> Vec<bool> {
    let ring = |r: &crate::geometry::Ring| {
        let good = |p: &crate::geometry::Point| p.finite() && p.x.abs().max(p.y.abs()) <= GREATEST;
        r.0.len() >= 3 && r.0.iter().all(good) && r.area() > 0.0
    };
    let length = |v: f64| v > 0.0 && v <= GREATEST;
    let bit = length(sheet.bit.diameter) && sheet.bit.diameter <= WIDEST_BIT;
    if !(ring(&sheet.outline) && length(sheet.thickness) && bit) {
        faults.push(CutFault::BadSheet);
        return vec![false; sheet.parts.len()];
    }
    let good = |p: &PlacedPart| {
        let tabs = p.hold.tabs.iter().all(|t| {
            let numbers = [t.at.x, t.at.y, t.out.x, t.out.y, t.width, t.height];
            numbers.iter().all(|v| v.abs() <= GREATEST) && t.ring <= p.openings.len()
        });
        ring(&p.outline) && p.openings.iter().all(ring) && tabs
    };
    let usable: Vec<bool> = sheet.parts.iter().map(good).collect();
    let bad = usable.iter().enumerate().filter(|(_, good)| !**good);
    faults.extend(bad.map(|(part, _)| CutFault::BadPart { part }));
    usable
}
