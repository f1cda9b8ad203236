//! Finds the parts that lie in openings of other parts.

use crate::geometry::{Bounds, Point};
use crate::layout::Sheet;

/// An opening of a part: its part, and its ring number from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Opening {
    pub part: usize,
    pub ring: usize,
}

/// For each part the opening it lies in, the innermost where there are several.
pub(super) fn hosts(sheet: &Sheet, usable: &[bool]) -> Vec<Option<Opening>> {
    let openings = Openings::new(sheet, usable);
    sheet
        .parts
        .iter()
        .enumerate()
        .map(|(i, part)| if usable[i] { openings.around(part.outline.0[0], Some(i)) } else { None })
        .collect()
}

/// How many nested openings each part lies in: 0 on the sheet itself.
pub(super) fn depths(hosts: &[Option<Opening>]) -> Vec<usize> {
    let depth = |mut part: usize| {
        let mut depth = 0;
        while let Some(host) = hosts[part] {
            part = host.part;
            depth += 1;
            if depth > hosts.len() {
                break; // overlapping parts can host each other
            }
        }
        depth
    };
    (0..hosts.len()).map(depth).collect()
}

/// Parts ordered so that each comes after the part it lies in.
pub(super) fn outermost_first(hosts: &[Option<Opening>]) -> Vec<usize> {
    let depths = depths(hosts);
    let mut order: Vec<usize> = (0..hosts.len()).collect();
    order.sort_by_key(|&i| depths[i]);
    order
}

/// All openings of a sheet, the smallest first.
pub(super) struct Openings<'a> {
    sheet: &'a Sheet,
    list: Vec<(Opening, Bounds)>,
}

impl<'a> Openings<'a> {
    pub fn new(sheet: &'a Sheet, usable: &[bool]) -> Self {
        let mut list: Vec<(Opening, Bounds)> = sheet
            .parts
            .iter()
            .enumerate()
            .filter(|(part, _)| usable[*part])
            .flat_map(|(part, p)| {
                let rings = p.openings.iter().enumerate();
                rings.map(move |(i, ring)| (Opening { part, ring: i + 1 }, ring.bounds()))
            })
            .collect();
        let area = |o: &Opening| sheet.parts[o.part].openings[o.ring - 1].area();
        list.sort_by(|a, b| area(&a.0).total_cmp(&area(&b.0)).then(a.0.cmp(&b.0)));
        Openings { sheet, list }
    }

    /// The smallest opening that holds `p`, of a part other than `but`.
    pub fn around(&self, p: Point, but: Option<usize>) -> Option<Opening> {
        let here = Bounds::of(&[p]);
        let holds = |(o, bounds): &&(Opening, Bounds)| {
            Some(o.part) != but
                && bounds.touches(here)
                && self.sheet.parts[o.part].openings[o.ring - 1].contains(p)
        };
        self.list.iter().find(holds).map(|(o, _)| *o)
    }
}
