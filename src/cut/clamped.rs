//! The rule that says which pieces of a sheet's skeleton are clamped, so that they stay where they are.
//!
//! Stock is *firm* where it is farther than the bit's diameter and 0.25 mm from every part (half of the thinnest web, see
//! [`firm`](super::sweep::firm)). A connected piece of firm stock is **clamped** if
//!
//! 1. a clamp or screw that the job names touches it ([`Sheet::clamps`]), or
//! 2. a disc of 20 mm diameter fits on it at the sheet's edge: its centre is 10 to 15 mm from the edge, and no nearer than
//!    10 mm to the piece's own edge and to any area that is kept clear, unless that is one of those clamps; or
//! 3. the sheet lies on tape all over ([`HoldDown::Tape`]) and the piece is 1000 mm² or more: at the 0.10 MPa that the holding
//!    plan counts on for tape, with its safety of 3, that bears 33 N, more than the last pass of a desktop router.
//!
//! Nothing else is. 20 mm is the nose of a small clamp, or a screw's head with the stock round it that keeps it from splitting; 15
//! mm is as far as such a nose reaches from the edge (common practice, no source). The whole disc must lie on stock, so a clamp
//! that stands there is over no part and no kerf.

use super::region::{ConnectedPiece, Region};
use super::sweep::firm;
use super::usable::usable;
use crate::geometry::{Point, Ring, Segment, Vector, ring_distance};
use crate::layout::{HoldDown, Sheet};

/// Radius of the disc that a clamp or screw needs, mm.
pub(super) const CLAMP_RADIUS: f64 = 10.0;
/// How far from the sheet's edge its centre may be, mm.
const CLAMP_REACH: f64 = 15.0;
/// Distances from the sheet's edge at which centres are tried, mm.
const DEPTHS: [f64; 3] = [CLAMP_RADIUS, (CLAMP_RADIUS + CLAMP_REACH) / 2.0, CLAMP_REACH];
/// Least area of a piece that tape holds, mm².
const TAPED_AREA: f64 = 1000.0;
/// Spacing of the places tried along the sheet's edge, mm: a disc with less play than this may be missed, never imagined.
const STEP: f64 = 1.0;
/// More than the rounding of offsets and booleans, mm.
const ROUNDING: f64 = 5e-3;
/// Clamps are drawn at least this far apart, mm: a hand's width.
const APART: f64 = 100.0;

/// Which pieces of `region`, the firm stock, are clamped.
pub(super) fn clamped(sheet: &Sheet, region: &Region) -> Vec<bool> {
    let mut held: Vec<bool> = region.pieces.iter().map(|p| carries_a_clamp(sheet, p)).collect();
    if sheet.hold_down == HoldDown::Tape {
        held.iter_mut().zip(&region.pieces).for_each(|(h, p)| *h |= p.area >= TAPED_AREA);
    }
    for (piece, _) in rooms(sheet, region) {
        held[piece] = true;
    }
    held
}

/// Places on a nested sheet where a clamp has room, centres of discs of 20 mm, a hand's width or more apart.
///
/// Empty where no piece has room; pieces on clamps that the job names are not considered.
pub fn clamp_rooms(sheet: &Sheet) -> Vec<Point> {
    let usable = usable(sheet, &mut vec![]);
    let stock = firm(sheet, &usable);
    let mut spots: Vec<Point> = vec![];
    for (_, at) in rooms(sheet, &stock) {
        if spots.iter().all(|s| s.distance(at) >= APART) {
            spots.push(at);
        }
    }
    spots
}

/// Whether anything of the sheet is clamped when its parts are cut as they lie.
pub fn any_clamped(sheet: &Sheet) -> bool {
    let usable = usable(sheet, &mut vec![]);
    // Where nothing is cut, nothing comes loose.
    !usable.contains(&true) || clamped(sheet, &firm(sheet, &usable)).contains(&true)
}

/// Whether the largest piece of the skeleton is clamped: most of the parts hang on it.
pub fn main_clamped(sheet: &Sheet) -> bool {
    let usable = usable(sheet, &mut vec![]);
    !usable.contains(&true) || clamped(sheet, &firm(sheet, &usable)).first() == Some(&true)
}

/// Whether a clamp that the job names touches the piece.
fn carries_a_clamp(sheet: &Sheet, piece: &ConnectedPiece) -> bool {
    sheet.clamps.iter().any(|clamp| {
        piece.bounds.touches(clamp.bounds())
            && (clamp.0.iter().any(|&p| piece.contains(p))
                || piece.shape.outline.0.first().is_some_and(|&p| clamp.contains(p))
                || piece.shape.rings().any(|r| ring_distance(r, clamp, 1.0) == 0.0))
    })
}

/// Centres of discs with room for a clamp, in steps along the sheet's edge, each with its piece.
fn rooms<'a>(sheet: &'a Sheet, region: &'a Region) -> impl Iterator<Item = (usize, Point)> + 'a {
    let outline = sheet.outline.clone().positive();
    let edges: Vec<Segment> = outline.segments().collect();
    let along = |s: Segment| {
        let steps = (s.length() / STEP).ceil().clamp(1.0, 1e5) as usize;
        (0..steps).map(move |i| s.a.lerp(s.b, (i as f64 + 0.5) / steps as f64))
    };
    let centres = edges.into_iter().flat_map(move |s| {
        // A ring of positive area has its inside on this hand.
        let inwards = s.direction().map(|d| d.perp());
        let at = move |p: Point| DEPTHS.iter().filter_map(move |&d| Some(p + inwards? * d));
        along(s).flat_map(at)
    });
    centres.filter_map(move |c| Some((room(sheet, region, c)?, c)))
}

/// The piece that holds a whole disc about `c`, off all areas kept clear.
fn room(sheet: &Sheet, region: &Region, c: Point) -> Option<usize> {
    let piece = region.locate(c)?;
    let edge = region.pieces[piece].edges.nearest(c)?.distance;
    let clear = |area: &Ring| !area.contains(c) && area.edge_distance(c) >= CLAMP_RADIUS;
    let others = sheet.keep_clear.iter().filter(|k| !sheet.clamps.contains(k));
    let fits = edge >= CLAMP_RADIUS - ROUNDING && others.into_iter().all(clear);
    (fits && sheet.outline.edge_distance(c) <= CLAMP_REACH + ROUNDING).then_some(piece)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::by_hand::sheet;
    use crate::geometry::{Shape, point};

    /// Which of two pieces of stock a clamp holds: 100 x 100 at (250, 200) and 20 x 20 at (200, 200), far from the sheet's edge.
    fn holds(clamp: Ring) -> Vec<bool> {
        let mut sheet = sheet(1000.0, 1000.0);
        let square = |x: f64, y: f64, side: f64| {
            Shape::new(Ring::rectangle(side, side).moved(point(x, y)), vec![])
        };
        let region = Region::new(vec![square(200.0, 200.0, 20.0), square(250.0, 200.0, 100.0)]);
        sheet.clamps = vec![clamp];
        clamped(&sheet, &region)
    }

    /// A clamp holds any piece that it touches: with a corner of its own on it, lying over all of it, or across it with no corner
    /// of either on the other. The larger piece stands first.
    #[test]
    fn a_clamp_holds_what_it_touches() {
        let at = |x: f64, y: f64, w: f64, h: f64| Ring::rectangle(w, h).moved(point(x, y));
        assert_eq!(holds(at(260.0, 210.0, 5.0, 5.0)), [true, false], "amid it");
        assert_eq!(holds(at(190.0, 190.0, 40.0, 40.0)), [false, true], "over all of it");
        assert_eq!(holds(at(240.0, 220.0, 120.0, 5.0)), [true, false], "across it");
        assert_eq!(holds(at(345.0, 295.0, 20.0, 20.0)), [true, false], "over a corner");
        assert_eq!(holds(at(222.0, 200.0, 26.0, 20.0)), [false, false], "between them");
    }

    /// A disc of 20 mm, its centre 10 to 15 mm from the edge: a piece 19.9 mm deep has no room, one of 20.1 mm has, if the sheet's
    /// edge is its own; and there is no room nearer than 10 mm to a place kept clear.
    #[test]
    fn a_disc_of_20_mm_at_the_edge_is_clamped() {
        for (depth, from, free) in
            [(19.9, 0.0, false), (20.1, 0.0, true), (20.1, 4.9, true), (20.1, 5.2, false)]
        {
            let mut sheet = sheet(400.0, 300.0);
            let ring = Ring::rectangle(60.0, depth).moved(point(100.0, from));
            let region = Region::new(vec![Shape::new(ring, vec![])]);
            assert_eq!(clamped(&sheet, &region), [free], "{depth} deep, {from} from the edge");
            sheet.keep_clear = vec![Ring::rectangle(42.0, 2.0).moved(point(109.0, from + 4.0))];
            assert_eq!(clamped(&sheet, &region), [false], "round a place kept clear");
        }
    }
}
