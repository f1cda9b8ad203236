//! Whether parts can be shared out among sheets at all, by area: cutting stock in one dimension, with areas for lengths.
//!
//! No sheet holds more area than it has room for, whatever the shapes; so parts that cannot be shared out by area cannot be laid.
//! For strips as wide as their boards this is the problem itself. The sheets are filled one after the other, each with a set of
//! parts to which no other part can be added; what is left is remembered, so that no state is looked at twice (dynamic programming
//! over the numbers left, as for knapsacks: Kellerer, Pferschy & Pisinger, *Knapsack Problems*, 2004, from memory).

use super::cover::Lot;
use std::collections::BTreeSet;

/// Copies of a part.
#[derive(Debug, Clone)]
pub(super) struct Claim {
    /// Area that a copy needs, mm².
    pub area: f64,
    /// The stocks that it fits on.
    pub fits: Vec<bool>,
    pub copies: usize,
}

impl Claim {
    /// How many of `copies` copies the room takes.
    fn most(&self, copies: usize, room: f64) -> usize {
        if self.area <= 0.0 {
            return copies;
        }
        copies.min(((room + EPS) / self.area).floor().max(0.0) as usize)
    }
}

/// Tolerance of comparisons between areas, mm².
const EPS: f64 = 1e-6;

/// Whether these numbers of sheets, each with this room, may hold all copies. Also `true` if the steps left, which count down, run
/// out.
pub(super) fn may_share_out(
    claims: &[Claim],
    room: &[f64],
    counts: &[usize],
    steps: &mut usize,
) -> bool {
    // Large sheets first: what lies on them is decided while there is most choice.
    let mut sheets: Vec<usize> =
        counts.iter().enumerate().flat_map(|(stock, n)| vec![stock; *n]).collect();
    sheets.sort_by(|a, b| room[*b].total_cmp(&room[*a]).then(a.cmp(b)));
    let left = claims.iter().map(|c| c.copies).collect();
    Sharing { claims, room, sheets, failed: BTreeSet::new(), steps }.fill(0, left)
}

/// All lots that fill a sheet of each stock, with this room: by area no other copy can be added. `None` if there are more than
/// `most`, or the search takes too many steps.
pub(super) fn fullest_lots(claims: &[Claim], room: &[f64], most: usize) -> Option<Vec<Lot>> {
    let copies = vec![0; claims.len()];
    let mut filling = FillingUp { claims, stock: 0, copies, found: vec![], most, steps: STEPS };
    for (stock, &room) in room.iter().enumerate() {
        filling.stock = stock;
        if !filling.fill(0, room) {
            return None;
        }
    }
    Some(filling.found)
}

/// Most steps of listing lots: some milliseconds.
const STEPS: usize = 20_000;

struct FillingUp<'a> {
    claims: &'a [Claim],
    stock: usize,
    /// The copies chosen so far.
    copies: Vec<usize>,
    found: Vec<Lot>,
    most: usize,
    steps: usize,
}

impl FillingUp<'_> {
    /// Adds the lots with this much room left and the parts from `kind` on still undecided; `false` if there are too many.
    fn fill(&mut self, kind: usize, room: f64) -> bool {
        if self.steps == 0 {
            return false;
        }
        self.steps -= 1;
        let Some(claim) = self.claims.get(kind) else {
            let left = self.claims.iter().zip(&self.copies).filter(|(c, n)| **n < c.copies);
            let full = left.into_iter().all(|(c, _)| !c.fits[self.stock] || c.area > room + EPS);
            if full && self.copies.iter().any(|n| *n > 0) {
                let copies = self.copies.clone();
                self.found.push(Lot { stock: self.stock, copies });
            }
            return self.found.len() <= self.most;
        };
        let most = if claim.fits[self.stock] { claim.most(claim.copies, room) } else { 0 };
        for n in (0..=most).rev() {
            self.copies[kind] = n;
            if !self.fill(kind + 1, room - claim.area * n as f64) {
                return false;
            }
        }
        true
    }
}

struct Sharing<'a> {
    claims: &'a [Claim],
    room: &'a [f64],
    /// The stock of each sheet.
    sheets: Vec<usize>,
    /// States (sheets filled, copies left) from which the copies cannot all be placed.
    failed: BTreeSet<(usize, Vec<usize>)>,
    steps: &'a mut usize,
}

impl Sharing<'_> {
    /// Whether the sheets from this one on may hold the copies left.
    fn fill(&mut self, sheet: usize, left: Vec<usize>) -> bool {
        if left.iter().all(|n| *n == 0) || *self.steps == 0 {
            return true;
        }
        *self.steps -= 1;
        let rooms: f64 = self.sheets[sheet..].iter().map(|&s| self.room[s]).sum();
        let needed: f64 = self.claims.iter().zip(&left).map(|(c, n)| c.area * *n as f64).sum();
        if needed > rooms + EPS || self.failed.contains(&(sheet, left.clone())) {
            return false;
        }
        let room = self.room[self.sheets[sheet]];
        if self.with(sheet, 0, room, &mut left.clone()) {
            return true;
        }
        self.failed.insert((sheet, left));
        false
    }

    /// The same, with this much room left on the sheet and the parts from `kind` on still undecided.
    fn with(&mut self, sheet: usize, kind: usize, room: f64, left: &mut Vec<usize>) -> bool {
        if *self.steps == 0 {
            return true;
        }
        *self.steps -= 1;
        let stock = self.sheets[sheet];
        let fits = |c: &Claim| c.fits[stock];
        let Some(claim) = self.claims.get(kind) else {
            // One more that fits never hurts: such a set stands for this one.
            let more = self.claims.iter().zip(&*left);
            let full = more.filter(|(c, n)| **n > 0 && fits(c)).all(|(c, _)| c.area > room + EPS);
            return full && self.fill(sheet + 1, left.clone());
        };
        let most = if fits(claim) { claim.most(left[kind], room) } else { 0 };
        for n in (0..=most).rev() {
            left[kind] -= n;
            let found = self.with(sheet, kind + 1, room - claim.area * n as f64, left);
            left[kind] += n;
            if found {
                return true;
            }
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn claims(all: &[(f64, usize)]) -> Vec<Claim> {
        let claim = |&(area, copies): &(f64, usize)| Claim { area, fits: vec![true; 2], copies };
        all.iter().map(claim).collect()
    }

    /// By hand: of two of 6, one of 5 and one of 4 a room of 10 takes 6 + 4 or 5 + 4, a room of 11 also 6 + 5.
    #[test]
    fn every_lot_is_full() {
        let all = claims(&[(6.0, 2), (5.0, 1), (4.0, 1)]);
        let lots = |room: [f64; 2], most| fullest_lots(&all, &room, most);
        let lot = |stock: usize, copies: [usize; 3]| Lot { stock, copies: copies.to_vec() };
        let ten = [lot(0, [1, 0, 1]), lot(0, [0, 1, 1])];
        assert_eq!(lots([10.0, 3.0], 9), Some(ten.to_vec()));
        let eleven = [lot(1, [1, 1, 0]), lot(1, [1, 0, 1]), lot(1, [0, 1, 1])];
        assert_eq!(lots([10.0, 11.0], 5), Some([&ten[..], &eleven].concat()));
        assert_eq!(lots([10.0, 11.0], 4), None);
    }

    /// By hand: three of 6 go on two sheets of 10 by area (18 of 20), but each sheet takes one; 7, 5, 4 and 3 go on 10 and 9 as
    /// 7 + 3 and 5 + 4, and on 11 and 8 as 7 + 4 and 5 + 3; 7, 5, 5 and 2 go on 10 and 9 as 5 + 5 and 7 + 2, but not on 11 and 8,
    /// of which all 19 would be needed: no sum is 8.
    #[test]
    fn what_cannot_be_shared_out_is_found() {
        let of = |all: &[(f64, usize)], room: [f64; 2], counts: [usize; 2]| {
            may_share_out(&claims(all), &room, &counts, &mut 10_000)
        };
        assert!(!of(&[(6.0, 3)], [10.0, 9.0], [2, 0]));
        assert!(of(&[(6.0, 3)], [10.0, 9.0], [2, 1]));
        let four = [(7.0, 1), (5.0, 1), (4.0, 1), (3.0, 1)];
        assert!(of(&four, [10.0, 9.0], [1, 1]) && of(&four, [11.0, 8.0], [1, 1]));
        assert!(of(&[(7.0, 1), (5.0, 2), (2.0, 1)], [10.0, 9.0], [1, 1]));
        assert!(!of(&[(7.0, 1), (5.0, 2), (2.0, 1)], [11.0, 8.0], [1, 1]));
        // What fits on one stock only is not put on the other.
        let mut only = claims(&[(6.0, 2)]);
        only[0].fits = vec![true, false];
        assert!(!may_share_out(&only, &[10.0, 9.0], &[1, 1], &mut 100));
        // Without steps nothing is ruled out.
        assert!(may_share_out(&claims(&[(6.0, 3)]), &[10.0, 9.0], &[2, 0], &mut 0));
    }
}
