//! Finds the stock that still stands beside a part while its outline is cut: uncut stock holds too.

use super::landing::landing_place;
use super::region::Region;
use super::usable::usable;
use super::web::{self, NOTICED, Web};
use crate::geometry::{Shape, difference, grow};
use crate::layout::{Sheet, Tab};
use crate::memo::Memo;

/// How far round a part kerfs are considered, mm: a web is followed to its end, and few run straight farther.
const REACH: f64 = 80.0;

/// The stock that stands beside one part of a sheet when that part's outline is cut.
///
/// Parts that come later in the order of cut are still one with the stock round them; earlier ones are out, with their kerfs. So a
/// web between two parts is slender for the later one only.
pub struct Standing<'a> {
    sheet: &'a Sheet,
    region: Region,
    /// Answers by the tab's place, its direction and the load. Its width does not change the strip, and half a dozen widths are
    /// queried.
    known: Memo<[u64; 5], bool>,
}

impl<'a> Standing<'a> {
    /// The stock beside part number `part`, parts being cut in `order` (indices into the sheet's parts).
    pub fn beside(sheet: &'a Sheet, part: usize, order: &[usize]) -> Self {
        let usable = usable(sheet, &mut vec![]);
        let at = order.iter().position(|&i| i == part).unwrap_or(order.len());
        let Some(placed) = sheet.parts.get(part) else {
            return Standing::of(sheet, vec![]);
        };
        let near = placed.outline.bounds().grown(REACH);
        let cut = order.iter().take(at).chain([&part]).filter(|&&i| {
            usable.get(i) == Some(&true) && sheet.parts[i].outline.bounds().touches(near)
        });
        let taken: Vec<Shape> =
            cut.flat_map(|&i| grow(&[sheet.parts[i].shape()], sheet.bit.diameter)).collect();
        let left = if taken.is_empty() { vec![] } else { difference(&[sheet.shape()], &taken) };
        Standing::of(sheet, left)
    }

    fn of(sheet: &'a Sheet, left: Vec<Shape>) -> Self {
        Standing { sheet, region: Region::new(left), known: Memo::default() }
    }

    /// The slender strip that a tab (sheet frame) lands on under a load of `load` N; `None` where it is solid.
    pub fn web(&self, tab: &Tab, load: f64) -> Option<Web> {
        let place = landing_place(tab, self.sheet.bit.diameter);
        let piece = self.region.locate(place)?;
        web::under(&self.region.pieces[piece], tab, load, self.sheet)
    }

    /// Whether the stock that the tab lands on moves too little to notice under that load.
    pub fn is_firm(&self, tab: &Tab, load: f64) -> bool {
        let key = [tab.at.x, tab.at.y, tab.out.x, tab.out.y, load].map(f64::to_bits);
        self.known.of(key, || self.web(tab, load).is_none_or(|w| w.gives <= NOTICED))
    }
}
