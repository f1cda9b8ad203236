//! Gaps: where pieces of the stock left between kerfs come nearest each other.

use super::region::{ConnectedPiece, Region};
use crate::geometry::{Point, Segment, Vector};

/// Greatest distance between two pieces, in diameters of the bit: the length of a row of kerfs that meet (set by hand).
const FARTHEST: f64 = 12.0;

/// Most places tried for each two pieces, the nearest first (set by hand: each asks what lies between).
const TRIED: usize = 40;

/// A place where kerfs part two pieces of stock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StockGap {
    /// The pieces.
    pub pieces: [usize; 2],
    /// The ends of the gap, one on each piece.
    pub ends: [Point; 2],
    /// A part beside the kerf there, by index into the sheet's parts.
    pub beside: usize,
}

/// For each two pieces, the shortest way between them that runs in kerfs only; `in_kerf` tests a segment.
pub(super) fn stock_gaps(
    stock: &Region,
    bit: f64,
    in_kerf: &dyn Fn(Segment) -> bool,
    beside: &dyn Fn(Point) -> Option<usize>,
) -> Vec<StockGap> {
    let pieces = &stock.pieces;
    let near =
        |i: usize, j: usize| pieces[i].bounds.grown(FARTHEST * bit).touches(pieces[j].bounds);
    let pairs = (0..pieces.len()).flat_map(|j| (0..j).map(move |i| (i, j)));
    let gap = |(i, j): (usize, usize)| {
        let ends = shortest(&pieces[i], &pieces[j], FARTHEST * bit, in_kerf)?;
        Some(StockGap { pieces: [i, j], ends, beside: beside(ends[0].lerp(ends[1], 0.5))? })
    };
    pairs.filter(|&(i, j)| near(i, j)).filter_map(gap).collect()
}

/// The shortest such way from the vertices of the smaller piece, `other`, to `piece`.
fn shortest(
    piece: &ConnectedPiece,
    other: &ConnectedPiece,
    farthest: f64,
    in_kerf: &dyn Fn(Segment) -> bool,
) -> Option<[Point; 2]> {
    let reach = piece.bounds.grown(farthest);
    let way = |&p: &Point| {
        let near = piece.edges.nearest(p)?;
        (near.distance <= farthest).then_some((near.distance, near.at, p))
    };
    let vertices = other.shape.rings().flat_map(|r| &r.0);
    let within = vertices.filter(|p| {
        (reach.min.x..=reach.max.x).contains(&p.x) && (reach.min.y..=reach.max.y).contains(&p.y)
    });
    let mut ways: Vec<(f64, Point, Point)> = within.filter_map(way).collect();
    ways.sort_by(|a, b| a.0.total_cmp(&b.0));
    let open = |w: &&(f64, Point, Point)| in_kerf(Segment::new(w.1, w.2));
    ways.iter().take(TRIED).find(open).map(|w| [w.1, w.2])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape, point};

    /// Three squares of 10 mm in a row, 2 and 3 mm apart, a fourth 100 mm away; a bit of 2 mm. Between the first and the third the
    /// way leads over the second, which is stock: it is found, as nothing says here that it is no kerf.
    #[test]
    fn the_shortest_way_between_pieces_that_are_near() {
        let square = |x: f64| Shape::new(Ring::rectangle(10.0, 10.0).moved(point(x, 0.0)), vec![]);
        let stock = Region::new([0.0, 12.0, 25.0, 135.0].map(square).to_vec());
        let found = |in_kerf: &dyn Fn(Segment) -> bool| {
            let gaps = stock_gaps(&stock, 2.0, in_kerf, &|_| Some(7));
            gaps.iter()
                .map(|g| (g.pieces, g.ends[0].distance(g.ends[1]), g.beside))
                .collect::<Vec<_>>()
        };
        assert_eq!(found(&|_| true), [([0, 1], 2.0, 7), ([0, 2], 15.0, 7), ([1, 2], 3.0, 7)]);
        let short = |way: Segment| way.length() < 2.5;
        assert_eq!(found(&short), [([0, 1], 2.0, 7)]);
        // Where the shortest way is no kerf, the next one is taken: along the upper edge, not the lower.
        let upper = |way: Segment| way.a.y.max(way.b.y) > 5.0;
        let gap = stock_gaps(&stock, 2.0, &upper, &|_| Some(7))[0];
        assert!(gap.ends.iter().all(|p| p.y > 5.0), "{gap:?}");
    }
}
