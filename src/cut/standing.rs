//! Finds the stock that still stands beside a part while its outline is cut: uncut stock holds too.
//!
//! Nothing is cut out of the sheet to find it: from a place in the stock, the first edge of any cut part's kerf along a ray is the
//! edge of what stands. So one index of all kerfs serves every part of a sheet, and each part counts those that are cut by then.

use super::landing::landing_place;
use super::usable::usable;
use super::web::{self, Edged, NOTICED, Web};
use crate::geometry::{Bounds, EdgeIndex, Point, Segment, Shape, grow};
use crate::layout::{Sheet, Tab};
use crate::memo::Memo;
use rayon::prelude::*;

/// The kerfs of a sheet in their order of cut.
///
/// Parts that come later in the order are still one with the stock round them; earlier ones are out, with their kerfs. So a web
/// between two parts is slender for the later one only.
pub struct Standing<'a> {
    sheet: &'a Sheet,
    /// The sheet without what it lacks.
    stock: Shape,
    kerfs: Vec<Kerf>,
    /// The edges of the sheet and of the kerfs.
    edges: EdgeIndex,
    /// Place in the order of each ring of `edges`; `None` for the sheet's own.
    places: Vec<Option<usize>>,
    /// Place of each part in the order of cut; one that the order leaves out comes after all others.
    place_of: Vec<Option<usize>>,
}

/// A part with the kerf round it.
struct Kerf {
    /// Place of the part in the order of cut.
    place: usize,
    shape: Shape,
    bounds: Bounds,
}

/// The stock that stands beside one part when its outline is cut.
pub struct StandingBeside<'a> {
    standing: &'a Standing<'a>,
    /// The part's place in the order of cut; `None` where its numbers describe no shape.
    place: Option<usize>,
    /// Answers by the tab's place, its direction and the load. Its width does not change the strip, and half a dozen widths are
    /// queried.
    known: Memo<[u64; 5], bool>,
}

impl<'a> Standing<'a> {
    /// The kerfs of a sheet whose parts are cut in `order` (indices into the sheet's parts).
    pub fn of(sheet: &'a Sheet, order: &[usize]) -> Self {
        let mut place_of: Vec<Option<usize>> = usable(sheet, &mut vec![])
            .into_iter()
            .map(|usable| usable.then_some(order.len()))
            .collect();
        for (place, &part) in order.iter().enumerate() {
            if let Some(Some(of_part)) = place_of.get_mut(part) {
                *of_part = place;
            }
        }
        let kerf = |(part, place): (usize, &Option<usize>)| {
            let place = (*place)?;
            let grown = grow(&[sheet.parts[part].shape()], sheet.bit.diameter);
            Some(grown.into_iter().map(move |shape| Kerf { place, bounds: shape.bounds(), shape }))
        };
        let kerfs: Vec<Kerf> =
            place_of.par_iter().enumerate().filter_map(kerf).flatten_iter().collect();
        let stock = sheet.shape();
        let of_kerfs = kerfs.iter().flat_map(|k| k.shape.rings().map(|_| Some(k.place)));
        let places = stock.rings().map(|_| None).chain(of_kerfs).collect();
        let rings = stock.rings().chain(kerfs.iter().flat_map(|k| k.shape.rings()));
        let edges = EdgeIndex::of_rings(rings);
        Standing { sheet, stock, kerfs, edges, places, place_of }
    }

    /// The stock beside part number `part`.
    pub fn beside(&'a self, part: usize) -> StandingBeside<'a> {
        let place = self.place_of.get(part).copied().flatten();
        StandingBeside { standing: self, place, known: Memo::default() }
    }
}

impl StandingBeside<'_> {
    /// The slender strip that a tab (sheet frame) lands on under a load of `load` N; `None` where it is solid, or no stock.
    pub fn web(&self, tab: &Tab, load: f64) -> Option<Web> {
        let sheet = self.standing.sheet;
        self.stands(landing_place(tab, sheet.bit.diameter))
            .then(|| web::under(self, tab, load, sheet))?
    }

    /// Whether the stock that the tab lands on moves too little to notice under that load.
    pub fn is_firm(&self, tab: &Tab, load: f64) -> bool {
        let key = [tab.at.x, tab.at.y, tab.out.x, tab.out.y, load].map(f64::to_bits);
        self.known.of(key, || self.web(tab, load).is_none_or(|w| w.gives <= NOTICED))
    }

    /// Whether `p` lies in stock that is not cut by then.
    fn stands(&self, p: Point) -> bool {
        let Some(now) = self.place else { return false };
        let at = Bounds::of(&[p]);
        let taken = |k: &Kerf| k.place <= now && k.bounds.touches(at) && k.shape.contains(p);
        self.standing.stock.contains(p) && !self.standing.kerfs.iter().any(taken)
    }
}

impl Edged for StandingBeside<'_> {
    fn edges(&self, bounds: Bounds) -> impl Iterator<Item = Segment> {
        let cut = |ring: usize| {
            self.standing.places[ring]
                .is_none_or(|place| self.place.is_some_and(|now| place <= now))
        };
        let touching = self.standing.edges.touching_rings(bounds);
        touching.filter(move |(ring, _)| cut(*ring)).map(|(_, edge)| edge)
    }
}

#[cfg(test)]
mod tests {
    use super::super::by_hand::{block, sheet};
    use super::super::region::Region;
    use super::*;
    use crate::geometry::{ARC_TOLERANCE, difference, point};

    /// Blocks in rows 2 to 5 mm beyond one another's kerfs, cut in an order of their own.
    fn rows() -> (Sheet, Vec<usize>) {
        let mut sheet = sheet(300.0, 200.0);
        let pitch = 30.0 + 2.0 * sheet.bit.diameter;
        let places = (0..15).map(|k| (f64::from(k % 5), f64::from(k / 5)));
        sheet.parts = places
            .map(|(x, y)| block(12.0 + x * (pitch + 2.0), 12.0 + y * (pitch + 3.0 + y), 30.0, 30.0))
            .collect();
        (sheet, (0..15).map(|k| k * 7 % 15).collect())
    }

    /// The stock cut out of the sheet by a boolean library (Clipper).
    fn cut_out(sheet: &Sheet, cut: &[usize]) -> Region {
        let grown = cut
            .iter()
            .flat_map(|&i| grow(&[sheet.parts[i].shape()], sheet.bit.diameter))
            .collect::<Vec<_>>();
        Region::new(difference(&[sheet.shape()], &grown))
    }

    /// Every part's strips, on all four sides, are those of stock that is cut out of the sheet.
    #[test]
    fn what_stands_is_what_a_difference_leaves() {
        let (sheet, order) = rows();
        let standing = Standing::of(&sheet, &order);
        let (mut slender, mut solid) = (0, 0);
        for (place, &part) in order.iter().enumerate() {
            let region = cut_out(&sheet, &order[..=place]);
            let centre = sheet.parts[part].outline.bounds().centre();
            for out in [point(1.0, 0.0), point(0.0, 1.0), point(-1.0, 0.0), point(0.0, -1.0)] {
                let tab = Tab { at: centre + out * 15.0, out, ..sheet.parts[part].hold.tabs[0] };
                let plain = region
                    .locate(landing_place(&tab, sheet.bit.diameter))
                    .and_then(|i| web::under(&region.pieces[i], &tab, 20.0, &sheet));
                let found = standing.beside(part).web(&tab, 20.0);
                assert_eq!(found.is_some(), plain.is_some(), "part {part}, {out:?}");
                let (Some(found), Some(plain)) = (found, plain) else {
                    solid += 1;
                    continue;
                };
                slender += 1;
                // Clipper rounds to its grid of a fraction of a micrometre.
                assert!((found.width - plain.width).abs() < 1e-4, "{found:?} {plain:?}");
                assert!((found.gives / plain.gives - 1.0).abs() < 1e-2, "{found:?} {plain:?}");
            }
        }
        assert!(slender >= 10 && solid >= 10, "{slender} slender, {solid} solid");
    }

    /// Cut first, a part has its neighbour's stock beside it; left out of the order, it is judged with everything cut.
    #[test]
    fn a_part_that_the_order_leaves_out_comes_last() {
        let (sheet, _) = rows();
        let centre = sheet.parts[7].outline.bounds().centre();
        let out = point(1.0, 0.0);
        let tab = Tab { at: centre + out * 15.0, out, ..sheet.parts[7].hold.tabs[0] };
        let others: Vec<usize> = (0..15).filter(|i| *i != 7).collect();
        let last = Standing::of(&sheet, &others).beside(7).web(&tab, 20.0).expect("a strip");
        // Kerfs are grown by up to their arc tolerance too far, on either side.
        assert!((2.0 - 2.0 * ARC_TOLERANCE..=2.0).contains(&last.width), "{last:?}");
        let first: Vec<usize> = std::iter::once(7).chain(others).collect();
        let first = Standing::of(&sheet, &first).beside(7).web(&tab, 20.0);
        assert!(first.is_none_or(|w| w.width > 10.0), "{first:?}");
    }
}
