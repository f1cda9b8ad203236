//! Loose waste that is milled away first: pockets through the sheet.
//!
//! A piece that its last kerf frees can be thrown, or jam the bit. A small piece is cleared as a pocket while all stock round it
//! still stands; the slivers left beside the kerfs go with the chips. A large piece would take too long.

use super::anchor::WastePiece;
use super::cut_plan::CutPlan;
use super::landing::landing_place;
use crate::geometry::{Ring, grow, ring_distance};
use crate::layout::{Sheet, Tab};

/// Greatest area of a piece that is cleared, in square bit diameters: 150 diameters of path a layer (set by hand).
const AREA: f64 = 60.0;
/// Distance between the turns of a pocket's path, as a share of the bit's diameter (common practice, no source).
const STEPOVER: f64 = 0.4;
/// How much less than half a bit a pocket reaches into the kerfs round its piece, mm: more than its edge is rounded.
const SHORT: f64 = 0.05;

/// The pockets that clear the small ones among the pieces that come loose: each reaches half a bit into the kerfs round its piece,
/// so that the bit's centre runs along the piece's own edge.
pub fn pockets(sheet: &Sheet, cut: &CutPlan) -> Vec<Ring> {
    let thrown = cut.drop_outs.iter().filter(|d| d.thrown);
    thrown.filter_map(|d| pocket(sheet, d)).collect()
}

fn pocket(sheet: &Sheet, piece: &WastePiece) -> Option<Ring> {
    let bit = sheet.bit.diameter;
    let shape = std::slice::from_ref(&piece.shape);
    if piece.area > AREA * bit * bit || !piece.shape.openings.is_empty() {
        return None;
    }
    let grown = grow(shape, bit / 2.0 - SHORT);
    let [pocket] = &grown[..] else { return None };
    let ring = &pocket.outline;
    let on_sheet = ring.points().iter().all(|p| sheet.outline.contains(*p));
    let tabs = || sheet.parts.iter().flat_map(|p| &p.hold.tabs);
    let clear = pocket.openings.is_empty() && on_sheet && tabs().all(|t| stands_off(t, ring, bit));
    clear.then(|| ring.clone())
}

/// Whether a tab and its landing lie off a pocket.
fn stands_off(tab: &Tab, pocket: &Ring, bit: f64) -> bool {
    let apart = |ring: &Ring| ring_distance(ring, pocket, bit) > 0.0;
    apart(&tab.bridge(bit))
        && apart(&tab.landing(bit))
        && !pocket.contains(landing_place(tab, bit))
        && !pocket.contains(tab.at)
}

/// Length of the path that clears a sheet's pockets once, mm.
pub(super) fn length(sheet: &Sheet) -> f64 {
    let area: f64 = sheet.cleared.iter().map(Ring::area).sum();
    area / (STEPOVER * sheet.bit.diameter)
}

#[cfg(test)]
mod tests {
    use super::super::by_hand::sheet;
    use super::*;
    use crate::cut::plan_cut;
    use crate::geometry::{Shape, point};

    /// A piece of 10 x 10 mm is cleared by a bit of 3 mm in a pocket of 12.9 mm; one of 10 x 60 mm (600 mm², over 60 x 9) is not,
    /// nor one that is tied, or so near the sheet's edge that the pocket would leave it.
    #[test]
    fn small_pieces_are_cleared() {
        let mut sheet = sheet(200.0, 200.0);
        sheet.bit.diameter = 3.0;
        let piece = |w: f64, h: f64| WastePiece {
            shape: Shape::new(Ring::rectangle(w, h).moved(point(50.0, 50.0)), vec![]),
            area: w * h,
            length: w.max(h),
            opening: None,
            tied: false,
            carries: vec![],
            at: point(51.0, 51.0),
            thrown: true,
            cleared: false,
        };
        let mut cut = plan_cut(&sheet);
        let mut of = |pieces: &[WastePiece]| {
            cut.drop_outs = pieces.to_vec();
            pockets(&sheet, &cut)
        };
        let small = of(&[piece(10.0, 10.0), piece(10.0, 60.0)]);
        assert_eq!(small.len(), 1);
        let sides = small[0].bounds();
        assert!((sides.width() - 12.9).abs() < 0.05, "{}", sides.width());
        let tied = WastePiece { thrown: false, ..piece(10.0, 10.0) };
        assert!(of(&[tied]).is_empty());
        let at_edge = Shape::new(Ring::rectangle(10.0, 10.0), vec![]);
        assert!(of(&[WastePiece { shape: at_edge, ..piece(10.0, 10.0) }]).is_empty());
    }
}
