//! Islands of stock that copies would hang on, and the passages that tie them to the clamped stock with the least stock.
//!
//! Where kerfs meet all round a piece of stock, no clamp reaches it. Stock left at one place where two kerfs meet joins the piece
//! to the stock beyond. A web round a whole copy would take far more stock.

use super::placed_sheet::LaidSheet;
use crate::cut::{Skeleton, StockGap};
use crate::layout::Tab;
use crate::nest::{CopyOf, Passage};
use std::collections::{BTreeMap, BTreeSet};

/// The stock between the parts of one sheet, and what would hang on pieces of it that no clamp reaches.
#[derive(Debug, Default, Clone)]
pub(super) struct ClosedOff {
    /// Whether each piece is clamped.
    clamped: Vec<bool>,
    /// What could join them.
    links: Vec<StockLink>,
    /// Copies with a planned tab on stock that does not stay, each with the pieces that its tabs land on.
    hang_on: BTreeMap<CopyOf, Vec<usize>>,
}

/// Stock left beside a copy, which would join pieces.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StockLink {
    pieces: Vec<usize>,
    pub copy: CopyOf,
    /// At one place; `None` all round the copy.
    pub passage: Option<Passage>,
    /// The length of it, in hundredths of a mm, so that equal ways are equal.
    cost: u64,
}

/// What each passage costs beside its own length, mm: at either end it reaches into the pieces that it joins (set by hand).
const ENDS: f64 = 8.0;

impl StockLink {
    fn new(pieces: Vec<usize>, copy: CopyOf, passage: Option<Passage>, length: f64) -> Self {
        StockLink { pieces, copy, passage, cost: (100.0 * length) as u64 }
    }
}

impl ClosedOff {
    /// What is closed off on a sheet with each part's tabs as planned. Parts in openings of other parts are left out.
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
        let mut links = webs(laid, skeleton);
        links.extend(skeleton.gaps().iter().map(|gap| passage(gap, laid)));
        ClosedOff { clamped: skeleton.clamped_pieces().to_vec(), links, hang_on }
    }

    /// The links that take the least stock and tie what the lost copies would hang on, and the copies that then hang. `usable` says
    /// whether a link may be used.
    pub fn ties(
        &self,
        lost: &[CopyOf],
        usable: &dyn Fn(&StockLink) -> bool,
    ) -> (Vec<&StockLink>, BTreeSet<CopyOf>) {
        let mut wanted: BTreeSet<usize> =
            lost.iter().filter_map(|c| self.hang_on.get(c)).flatten().copied().collect();
        let mut tied: BTreeSet<usize> =
            (0..self.clamped.len()).filter(|&i| self.clamped[i]).collect();
        let mut at: Vec<Vec<&StockLink>> = vec![vec![]; self.clamped.len()];
        for link in self.links.iter().filter(|link| usable(link)) {
            link.pieces.iter().for_each(|&piece| at[piece].push(link));
        }
        let mut links = vec![];
        // One wanted piece after the other, the cheapest to tie first: the shortest-path heuristic for Steiner trees (Takahashi
        // and Matsuyama 1980; named from memory).
        loop {
            wanted.retain(|piece| !tied.contains(piece));
            let Some(way) = cheapest(&tied, &wanted, &at) else { break };
            for link in way {
                tied.extend(&link.pieces);
                links.push(link);
            }
        }
        let hangs = |c: &&CopyOf| {
            self.hang_on.get(c).is_some_and(|on| on.iter().all(|piece| tied.contains(piece)))
        };
        let hang = lost.iter().filter(hangs).copied().collect();
        (links, hang)
    }
}

/// A web round each copy that stands beside several pieces.
fn webs(laid: &LaidSheet, skeleton: &Skeleton) -> Vec<StockLink> {
    let sheet = &laid.sheet;
    let mut beside: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for piece in 0..skeleton.clamped_pieces().len() {
        skeleton
            .around(sheet, piece)
            .into_iter()
            .for_each(|i| beside.entry(i).or_default().push(piece));
    }
    let several = beside.into_iter().filter(|(_, pieces)| pieces.len() > 1);
    let web = |(i, pieces): (usize, Vec<usize>)| {
        StockLink::new(pieces, laid.copy(i), None, sheet.parts[i].outline.perimeter())
    };
    several.map(web).collect()
}

/// A passage beside the part where two pieces come nearest each other.
fn passage(gap: &StockGap, laid: &LaidSheet) -> StockLink {
    let pose = laid.sheet.parts[gap.beside].pose();
    let passage = Passage { ends: gap.ends.map(|p| pose.inverse(p)) };
    let length = ENDS + passage.length();
    StockLink::new(gap.pieces.to_vec(), laid.copy(gap.beside), Some(passage), length)
}

/// The links on the cheapest way from a tied piece to a wanted one (Dijkstra 1959); `at` has the links of each piece.
fn cheapest<'a>(
    tied: &BTreeSet<usize>,
    wanted: &BTreeSet<usize>,
    at: &[Vec<&'a StockLink>],
) -> Option<Vec<&'a StockLink>> {
    let mut least: Vec<Option<Reached>> = vec![None; at.len()];
    let mut open: BTreeSet<(u64, usize)> = tied.iter().map(|&piece| (0, piece)).collect();
    tied.iter().for_each(|&piece| least[piece] = Some(Reached { cost: 0, by: None }));
    while let Some((so_far, piece)) = open.pop_first() {
        let way_to = |piece: usize| least[piece].and_then(|l| l.by);
        if wanted.contains(&piece) {
            let back = |(from, _): &(usize, &StockLink)| way_to(*from);
            let way = std::iter::successors(way_to(piece), back);
            return Some(way.map(|(_, link)| link).collect());
        }
        for &link in &at[piece] {
            let there = so_far + link.cost;
            for &next in &link.pieces {
                if least[next].is_none_or(|l| there < l.cost) {
                    if let Some(before) = least[next] {
                        open.remove(&(before.cost, next));
                    }
                    least[next] = Some(Reached { cost: there, by: Some((piece, link)) });
                    open.insert((there, next));
                }
            }
        }
    }
    None
}

/// The cheapest way to a piece so far: what it costs, and the last step of it, from a piece over a link.
#[derive(Debug, Clone, Copy)]
struct Reached<'a> {
    cost: u64,
    by: Option<(usize, &'a StockLink)>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    const HANG: [CopyOf; 4] = [(0, 1), (0, 2), (1, 1), (2, 1)];

    /// By hand: between the clamped frame (0) and an island (1) there are passages of 10 and 5 mm beside a and b; between that
    /// island and another (2) one of 7 mm beside c; between the frame and that one 27 mm beside d. With 8 mm for the ends of each
    /// the cheapest way to 2 is by b and c, 28 mm for 35.
    fn rings(more: Vec<StockLink>) -> ClosedOff {
        let [a, b, c, d] = HANG;
        let link = |pieces: [usize; 2], copy, length| {
            let ends = [point(0.0, 0.0), point(length, 0.0)];
            StockLink::new(pieces.to_vec(), copy, Some(Passage { ends }), ENDS + length)
        };
        let mut links = vec![
            link([0, 1], a, 10.0),
            link([1, 0], b, 5.0),
            link([1, 2], c, 7.0),
            link([0, 2], d, 27.0),
        ];
        links.extend(more);
        let hang_on = [(a, vec![1]), (c, vec![1, 2]), (d, vec![2])].into_iter().collect();
        ClosedOff { clamped: vec![true, false, false], links, hang_on }
    }

    fn found(closed: &ClosedOff, lost: &[CopyOf], without: &[CopyOf]) -> [Vec<CopyOf>; 2] {
        let (links, hang) = closed.ties(lost, &|link| !without.contains(&link.copy));
        let mut beside: Vec<CopyOf> = links.into_iter().map(|link| link.copy).collect();
        beside.sort_unstable();
        [beside, hang.into_iter().collect()]
    }

    #[test]
    fn the_links_are_the_cheapest_that_tie_what_the_lost_copies_land_on() {
        let [a, b, c, d] = HANG;
        let closed = rings(vec![]);
        let found = |lost: &[CopyOf], without: &[CopyOf]| found(&closed, lost, without);
        assert_eq!(found(&[a], &[]), [vec![b], vec![a]]);
        assert_eq!(found(&[d], &[]), [vec![b, c], vec![d]]);
        assert_eq!(found(&[a, c, d], &[]), [vec![b, c], vec![a, c, d]]);
        assert_eq!(found(&[d], &[b]), [vec![a, c], vec![d]]);
        assert_eq!(found(&[d], &[c]), [vec![d], vec![d]]);
        // Nothing ties the second island any more: what hangs on both gains nothing.
        assert_eq!(found(&[a, c], &[c, d]), [vec![b], vec![a]]);
        assert_eq!(found(&[b], &[]), [vec![], vec![]], "it has room elsewhere, or none at all");
    }

    /// A web round a small copy joins all three pieces at once: 27 mm for the 28 of two passages, not 29.
    #[test]
    fn a_web_round_a_copy_is_taken_where_it_costs_less() {
        let [_, b, c, d] = HANG;
        let small = (3, 1);
        let web = |length| rings(vec![StockLink::new(vec![0, 1, 2], small, None, length)]);
        assert_eq!(found(&web(27.0), &[d], &[]), [vec![small], vec![d]]);
        assert_eq!(found(&web(29.0), &[d], &[]), [vec![b, c], vec![d]]);
    }
}
