//! Islands of stock that copies would hang on, and the fewest webs that tie them to the clamped stock.
//!
//! Where kerfs meet all round a piece of stock, no clamp reaches it. A web round one of the copies beside it opens that ring: it
//! joins all stock round that copy. A web round every copy on the island would take far more stock.

use super::placed_sheet::LaidSheet;
use crate::cut::Skeleton;
use crate::layout::Tab;
use crate::nest::CopyOf;
use std::collections::{BTreeMap, BTreeSet};

/// The stock between the parts of one sheet, and what would hang on pieces of it that no clamp reaches.
#[derive(Debug, Default, Clone)]
pub(super) struct ClosedOff {
    /// The pieces.
    pieces: Vec<StockPiece>,
    /// Copies of which a planned tab hangs on no stock that stays, each with the pieces that its tabs land on.
    hang_on: BTreeMap<CopyOf, Vec<usize>>,
    /// The stock that a web round a copy takes, as the length of its edge, in tenths of a mm.
    cost: BTreeMap<CopyOf, u64>,
}

/// A piece of stock between parts.
#[derive(Debug, Clone)]
struct StockPiece {
    clamped: bool,
    /// The copies round it.
    around: Vec<CopyOf>,
}

impl ClosedOff {
    /// What is closed off on a sheet with each part's tabs as planned. Of parts in openings of others nothing is said.
    pub fn of(laid: &LaidSheet, skeleton: &Skeleton) -> ClosedOff {
        let sheet = &laid.sheet;
        let depths = skeleton.depths();
        let closed = |i: &usize| {
            depths[*i] == 0 && sheet.parts[*i].hold.tabs.iter().any(|t| !skeleton.accepts(t))
        };
        let lands = |i: usize| {
            let outline = sheet.parts[i].hold.tabs.iter().filter(|t| t.holds());
            let pieces: Option<Vec<usize>> =
                outline.map(|t: &Tab| skeleton.piece_under(t)).collect();
            Some((laid.copy(i), pieces.filter(|p| !p.is_empty())?))
        };
        let hang_on: BTreeMap<CopyOf, Vec<usize>> =
            (0..sheet.parts.len()).filter(closed).filter_map(lands).collect();
        if hang_on.is_empty() {
            return ClosedOff::default();
        }
        let around = |piece: usize| {
            skeleton.around(sheet, piece).into_iter().map(|i| laid.copy(i)).collect()
        };
        let piece = |(piece, clamped)| StockPiece { clamped, around: around(piece) };
        let pieces = skeleton.clamped_pieces().iter().copied().enumerate().map(piece).collect();
        let edge = |i: usize| (10.0 * sheet.parts[i].outline.perimeter()) as u64;
        let cost = (0..sheet.parts.len()).map(|i| (laid.copy(i), edge(i))).collect();
        ClosedOff { pieces, hang_on, cost }
    }

    /// The fewest copies, by the stock that their webs take, that tie what the lost copies would hang on; and which of those then
    /// hang. A copy that has a web already ties nothing more.
    pub fn webs(
        &self,
        lost: &[CopyOf],
        has_web: &dyn Fn(CopyOf) -> bool,
    ) -> (BTreeSet<CopyOf>, BTreeSet<CopyOf>) {
        let mut wanted: BTreeSet<usize> =
            lost.iter().filter_map(|c| self.hang_on.get(c)).flatten().copied().collect();
        let mut tied: BTreeSet<usize> =
            (0..self.pieces.len()).filter(|&i| self.pieces[i].clamped).collect();
        let mut webs: BTreeSet<CopyOf> = BTreeSet::new();
        let beside = self.beside();
        // One wanted piece after the other, the cheapest to tie first: the shortest-path heuristic for Steiner trees (Takahashi
        // and Matsuyama 1980; named from memory).
        loop {
            wanted.retain(|piece| !tied.contains(piece));
            let cost = |c: CopyOf| (!has_web(c)).then(|| *self.cost.get(&c).unwrap_or(&0));
            let Some(path) = self.cheapest(&tied, &wanted, &beside, &cost) else { break };
            for copy in path {
                tied.extend(&beside[&copy]);
                webs.insert(copy);
            }
        }
        let hangs = |c: &&CopyOf| {
            self.hang_on.get(c).is_some_and(|on| on.iter().all(|piece| tied.contains(piece)))
        };
        let hang = lost.iter().filter(hangs).copied().collect();
        (webs, hang)
    }

    /// The pieces round each copy.
    fn beside(&self) -> BTreeMap<CopyOf, Vec<usize>> {
        let mut beside: BTreeMap<CopyOf, Vec<usize>> = BTreeMap::new();
        for (number, piece) in self.pieces.iter().enumerate() {
            piece.around.iter().for_each(|c| beside.entry(*c).or_default().push(number));
        }
        beside
    }

    /// The copies on the cheapest way from a tied piece to a wanted one (Dijkstra 1959); `cost` is `None` for copies that tie
    /// nothing.
    fn cheapest(
        &self,
        tied: &BTreeSet<usize>,
        wanted: &BTreeSet<usize>,
        beside: &BTreeMap<CopyOf, Vec<usize>>,
        cost: &dyn Fn(CopyOf) -> Option<u64>,
    ) -> Option<Vec<CopyOf>> {
        let mut least: Vec<Option<Reached>> = vec![None; self.pieces.len()];
        let mut open: BTreeSet<(u64, usize)> = tied.iter().map(|&piece| (0, piece)).collect();
        tied.iter().for_each(|&piece| least[piece] = Some(Reached { cost: 0, by: None }));
        while let Some((so_far, piece)) = open.pop_first() {
            let way_to = |piece: usize| least[piece].and_then(|l| l.by);
            if wanted.contains(&piece) {
                let back = |(from, _): &(usize, CopyOf)| way_to(*from);
                let way = std::iter::successors(way_to(piece), back);
                return Some(way.map(|(_, copy)| copy).collect());
            }
            for &copy in &self.pieces[piece].around {
                let Some(step) = cost(copy) else { continue };
                let there = so_far + step;
                for &next in &beside[&copy] {
                    if least[next].is_none_or(|l| there < l.cost) {
                        if let Some(before) = least[next] {
                            open.remove(&(before.cost, next));
                        }
                        least[next] = Some(Reached { cost: there, by: Some((piece, copy)) });
                        open.insert((there, next));
                    }
                }
            }
        }
        None
    }
}

/// The cheapest way to a piece so far: what it costs, and the last step of it, from a piece over a copy.
#[derive(Debug, Clone, Copy)]
struct Reached {
    cost: u64,
    by: Option<(usize, CopyOf)>,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand. Between the clamped frame (0) and an island (1) stand copy a, 10 mm round, and copy b, 5 mm; between that island
    /// and another (2) stands c, 7 mm; between the frame and that one d, 20 mm. The cheapest way to 2 is b and c.
    fn rings() -> (ClosedOff, [CopyOf; 4]) {
        let [a, b, c, d] = [(0, 1), (0, 2), (1, 1), (2, 1)];
        let piece = |clamped, around: &[CopyOf]| StockPiece { clamped, around: around.to_vec() };
        let pieces = vec![piece(true, &[a, b, d]), piece(false, &[a, b, c]), piece(false, &[c, d])];
        let cost = [(a, 100), (b, 50), (c, 70), (d, 200)].into_iter().collect();
        let hang_on = [(a, vec![1]), (c, vec![1, 2]), (d, vec![2])].into_iter().collect();
        (ClosedOff { pieces, hang_on, cost }, [a, b, c, d])
    }

    #[test]
    fn the_webs_are_the_cheapest_that_tie_what_the_lost_copies_land_on() {
        let (closed, [a, b, c, d]) = rings();
        let webs = |lost: &[CopyOf], has: &[CopyOf]| {
            let (webs, hang) = closed.webs(lost, &|c| has.contains(&c));
            (webs.into_iter().collect::<Vec<_>>(), hang.into_iter().collect::<Vec<_>>())
        };
        assert_eq!(webs(&[a], &[]), (vec![b], vec![a]));
        assert_eq!(webs(&[d], &[]), (vec![b, c], vec![d]));
        assert_eq!(webs(&[a, c, d], &[]), (vec![b, c], vec![a, c, d]));
        assert_eq!(webs(&[d], &[b]), (vec![a, c], vec![d]));
        assert_eq!(webs(&[d], &[c]), (vec![d], vec![d]));
        // Nothing ties the second island any more: what hangs on both gains nothing.
        assert_eq!(webs(&[a, c], &[c, d]), (vec![b], vec![a]));
        assert_eq!(webs(&[b], &[]), (vec![], vec![]), "it has room elsewhere, or none at all");
    }
}
