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
    /// Parts with the kerfs round them: place in the order, shape and bounds.
    kerfs: Vec<(usize, Shape, Bounds)>,
    /// Their edges, and those of the sheet.
    edges: EdgeIndex,
    /// Place in the order of each ring of `edges`; `None` for the sheet's own.
    places: Vec<Option<usize>>,
    /// Place of each part in the order of cut.
    place_of: Vec<Option<usize>>,
}

/// The stock that stands beside one part when its outline is cut.
pub struct StandingBeside<'a> {
    standing: &'a Standing<'a>,
    /// The part's place in the order of cut; `None` where nothing is known of it.
    place: Option<usize>,
    /// Answers by the tab's place, its direction and the load. Its width does not change the strip, and half a dozen widths are
    /// queried.
    known: Memo<[u64; 5], bool>,
}

impl<'a> Standing<'a> {
    /// The kerfs of a sheet whose parts are cut in `order` (indices into the sheet's parts).
    pub fn of(sheet: &'a Sheet, order: &[usize]) -> Self {
        let usable = usable(sheet, &mut vec![]);
        let mut place_of = vec![None; sheet.parts.len()];
        for (place, &part) in order.iter().enumerate() {
            if usable.get(part) == Some(&true) {
                place_of[part] = Some(place);
            }
        }
        let grown = |(part, place): (usize, &Option<usize>)| {
            let place = (*place)?;
            Some((place, grow(&[sheet.parts[part].shape()], sheet.bit.diameter)))
        };
        let kerfs: Vec<(usize, Shape, Bounds)> = place_of
            .par_iter()
            .enumerate()
            .filter_map(grown)
            .flat_map_iter(|(place, shapes)| {
                shapes.into_iter().map(move |shape| (place, shape.bounds(), shape))
            })
            .map(|(place, bounds, shape)| (place, shape, bounds))
            .collect();
        let stock = sheet.shape();
        let of_kerf =
            |(place, shape, _): &(usize, Shape, Bounds)| vec![Some(*place); shape.rings().count()];
        let places = stock.rings().map(|_| None).chain(kerfs.iter().flat_map(of_kerf)).collect();
        let edges =
            EdgeIndex::of_rings(stock.rings().chain(kerfs.iter().flat_map(|k| k.1.rings())));
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
        let taken = |(place, shape, bounds): &(usize, Shape, Bounds)| {
            *place <= now && bounds.touches(at) && shape.contains(p)
        };
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
