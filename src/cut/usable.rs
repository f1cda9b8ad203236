//! Which parts of a sheet have numbers that describe a shape.

use super::cut_fault::CutFault;
use crate::geometry::Vector;
use crate::layout::{PlacedPart, Sheet};

/// Greatest coordinate accepted, mm: a kilometre.
const GREATEST: f64 = 1e6;

/// Greatest bit diameter accepted, mm.
const WIDEST_BIT: f64 = 200.0;

/// Finds the parts whose numbers describe a usable shape; none when the sheet's own do not.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::by_hand::{block, sheet};
    use crate::geometry::{Ring, point};

    /// The result of `usable` for a sheet of two parts, the second part or the sheet changed.
    fn said(change: impl Fn(&mut Sheet)) -> (Vec<bool>, Vec<CutFault>) {
        let mut sheet = sheet(200.0, 100.0);
        sheet.parts = vec![block(20.0, 20.0, 30.0, 30.0), block(100.0, 20.0, 30.0, 30.0)];
        change(&mut sheet);
        let mut faults = vec![];
        (usable(&sheet, &mut faults), faults)
    }

    #[test]
    fn numbers_that_make_no_geometry_are_named() {
        assert_eq!(said(|_| ()), (vec![true, true], vec![]));
        let bad = (vec![true, false], vec![CutFault::BadPart { part: 1 }]);
        for wrong in [f64::NAN, f64::INFINITY, -1.001e6] {
            assert_eq!(said(|s| s.parts[1].outline.0[2].y = wrong), bad, "{wrong}");
        }
        assert_eq!(said(|s| s.parts[1].outline = Ring::default()), bad);
        let flat = [point(0.0, 0.0), point(9.0, 0.0), point(5.0, 0.0)];
        assert_eq!(said(|s| s.parts[1].outline = Ring(flat.to_vec())), bad, "no area");
        assert_eq!(said(|s| s.parts[1].openings = vec![Ring(flat.to_vec())]), bad);
        assert_eq!(said(|s| s.parts[1].hold.tabs[0].width = f64::NAN), bad);
        assert_eq!(said(|s| s.parts[1].hold.tabs[0].ring = 1), bad, "it has no opening");
        let none = (vec![false, false], vec![CutFault::BadSheet]);
        for wrong in [0.0, -3.0, f64::NAN, 200.1] {
            assert_eq!(said(|s| s.bit.diameter = wrong), none, "a bit of {wrong} mm");
        }
        assert_eq!(said(|s| s.thickness = 0.0), none);
        assert_eq!(said(|s| s.outline.0[1].x = f64::NAN), none);
    }
}
