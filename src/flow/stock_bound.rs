//! Which numbers of sheets can be enough for a group's parts: what must hold of any layout, by areas and extents alone.
//!
//! Parts keep the gap from one another, so that their outlines grown by half of it do not overlap; they keep the margin from the
//! sheet's edge, so that these lie within the sheet shrunk by the margin less half the gap. So the grown areas of all parts are at
//! most the shrunk areas of all sheets; and those of the parts that fit on some of the stock only, at most the areas of that stock.
//! Nothing here knows of a layout: what it rules out is impossible, and what it allows may be impossible too.

use super::area_packing::{Claim, may_share_out};
use crate::geometry::{ARC_TOLERANCE, Ring, Shape, Vector, grow, point, shrink};
use crate::job::Stock;
use crate::nest::{NestPart, NestTask, least_width};
use std::collections::{BTreeMap, BTreeSet};

/// Greatest error of `grow` and `shrink`, mm, and a micrometre that the checker tolerates.
const GROWN: f64 = 2.0 * (ARC_TOLERANCE + 0.0003) + 1e-3;

/// Most combinations looked at; beyond them the bound by cost per area stands.
const MOST: usize = 200_000;

/// Most steps of sharing parts out among sheets, over all numbers of sheets: about half a second (set by hand).
const STEPS: usize = 300_000;

/// What the parts need, and what each stock gives.
pub(super) struct Needs {
    /// Room of a sheet of each stock, mm².
    pub room: Vec<f64>,
    /// Area that a copy of each part needs, mm².
    pub claims: Vec<f64>,
    /// The stocks that each part may fit on, by its extents.
    pub fits: Vec<Vec<bool>>,
    /// Area needed by the parts that fit on exactly these stocks, mm²; copies together.
    needs: BTreeMap<Vec<bool>, f64>,
    /// The same for each part by itself, the largest first.
    shares: Vec<Claim>,
    /// Price and greatest number of each stock.
    pub price: Vec<f64>,
    pub most: Vec<usize>,
}

/// Numbers of sheets of each stock, with their cost.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Counts {
    pub counts: Vec<usize>,
    pub cost: f64,
}

impl Needs {
    /// The needs of a task whose stock all has a price and a size.
    pub fn new(task: &NestTask) -> Self {
        let inset = |s: &Stock| s.margin - task.gap / 2.0;
        let area = |shapes: Vec<Shape>| shapes.iter().map(Shape::net_area).sum::<f64>();
        let whole = |s: &Stock| [Shape::new(s.outline.clone(), vec![])];
        let room = |s: &Stock| match inset(s) {
            // Never less than the true room.
            d if d > GROWN => area(shrink(&whole(s), d - GROWN)),
            d => area(grow(&whole(s), (-d).max(0.0))),
        };
        let mut needs: BTreeMap<Vec<bool>, f64> = BTreeMap::new();
        let half = task.gap / 2.0 - GROWN;
        // Never more than the true claim.
        let claim = |part: &NestPart| {
            let net = part.shape.net_area();
            let grown =
                if half > 0.0 { area(grow(std::slice::from_ref(&part.shape), half)) } else { net };
            grown.max(net)
        };
        let claims: Vec<f64> = task.parts.iter().map(claim).collect();
        let fits_on = |p: &NestPart| task.sheets.iter().map(|s| may_fit(p, s)).collect();
        let fits: Vec<Vec<bool>> = task.parts.iter().map(fits_on).collect();
        let mut shares = vec![];
        let parts = task.parts.iter().zip(&claims).zip(&fits);
        for ((part, claim), fits) in parts.filter(|((p, _), _)| p.copies > 0) {
            shares.push(Claim { area: *claim, fits: fits.clone(), copies: part.copies });
            *needs.entry(fits.clone()).or_default() += claim * part.copies as f64;
        }
        shares.sort_by(|a, b| b.area.total_cmp(&a.area));
        let copies: usize = task.parts.iter().map(|p| p.copies).sum();
        Needs {
            room: task.sheets.iter().map(room).collect(),
            claims,
            fits,
            needs,
            shares,
            price: task.sheets.iter().map(|s| s.price.unwrap_or(0.0)).collect(),
            most: task.sheets.iter().map(|s| s.quantity.unwrap_or(copies).min(copies)).collect(),
        }
    }

    /// Whether these numbers may be enough, each sheet filled to a share of `fill` at most.
    pub fn may_be_enough(&self, counts: &[usize], fill: f64) -> bool {
        self.needs.keys().all(|set| {
            let within = self.needs.iter().filter(|(fits, _)| is_subset(fits, set));
            let needed: f64 = within.map(|n| n.1).sum();
            let rooms = set.iter().zip(counts).zip(&self.room).filter(|((fits, _), _)| **fits);
            let given: f64 = rooms.map(|((_, n), room)| *n as f64 * room).sum();
            needed <= given * fill + 1e-6
        })
    }

    /// All numbers that may be enough and cost less than `below`, the cheapest first, then the least area. `None` if there are too
    /// many to list.
    pub fn cheaper_than(&self, below: f64, fill: f64) -> Option<Vec<Counts>> {
        let mut found = vec![];
        let mut counts = vec![0; self.price.len()];
        let mut seen = 0;
        if !self.list(0, &mut counts, (0.0, below, fill), &mut found, &mut seen) {
            return None;
        }
        // What holds more than another for as much or more is no use.
        let area = |c: &Counts| -> f64 {
            c.counts.iter().zip(&self.room).map(|(n, room)| *n as f64 * room).sum()
        };
        found.sort_by(|a, b| a.cost.total_cmp(&b.cost).then(area(a).total_cmp(&area(b))));
        Some(found)
    }

    /// Lists the numbers of the stocks from `at` on; `false` when there are too many.
    fn list(
        &self,
        at: usize,
        counts: &mut Vec<usize>,
        (cost, below, fill): (f64, f64, f64),
        found: &mut Vec<Counts>,
        seen: &mut usize,
    ) -> bool {
        *seen += 1;
        if *seen > MOST {
            return false;
        }
        if self.may_be_enough(counts, fill) {
            // More sheets than enough are never cheaper.
            found.push(Counts { counts: counts.clone(), cost });
            return true;
        }
        let Some(price) = self.price.get(at) else { return true };
        let before = counts[at];
        let mut go_on = true;
        for n in 0..=self.most[at] {
            let cost = cost + price * n as f64;
            if cost >= below - 1e-9 {
                break;
            }
            counts[at] = n;
            let enough = n > 0 && self.may_be_enough(counts, fill);
            go_on = self.list(at + 1, counts, (cost, below, fill), found, seen);
            if enough || !go_on {
                break;
            }
        }
        counts[at] = before;
        go_on
    }

    /// Lower bound on the cost of any sheets that take all parts; at most `known`.
    pub fn least_cost(&self, known: f64) -> f64 {
        match self.cheaper_than(known, 1.0) {
            Some(all) => self.shared_out(all, known),
            None => {
                let rate = |set: &[bool]| {
                    let all = set.iter().zip(self.price.iter().zip(&self.room));
                    let rates = all.filter(|(fits, _)| **fits).map(|(_, (p, room))| p / room);
                    rates.fold(f64::INFINITY, f64::min)
                };
                let of = |set: &Vec<bool>| {
                    let within = self.needs.iter().filter(|(fits, _)| is_subset(fits, set));
                    within.map(|n| n.1).sum::<f64>() * rate(set)
                };
                self.needs.keys().map(of).filter(|b| b.is_finite()).fold(0.0, f64::max).min(known)
            }
        }
    }
}

impl Needs {
    /// The cost of the cheapest numbers, of these or with sheets added to them, among which the parts can be shared out by area;
    /// `known` where none are cheaper. Where the steps run out it is the cost up to which all are ruled out.
    fn shared_out(&self, all: Vec<Counts>, known: f64) -> f64 {
        let cost = |counts: &[usize]| -> f64 {
            counts.iter().zip(&self.price).map(|(n, p)| *n as f64 * p).sum()
        };
        // Costs are not negative: their bits have their order.
        let entry = |counts: Vec<usize>| (cost(&counts).to_bits(), counts);
        let mut open: BTreeSet<(u64, Vec<usize>)> =
            all.into_iter().map(|c| entry(c.counts)).collect();
        let mut steps = STEPS;
        while let Some((bits, counts)) = open.pop_first() {
            let cost = f64::from_bits(bits);
            if cost >= known - 1e-9 {
                break;
            }
            if may_share_out(&self.shares, &self.room, &counts, &mut steps) {
                return cost;
            }
            for stock in (0..counts.len()).filter(|&s| counts[s] < self.most[s]) {
                let mut more = counts.clone();
                more[stock] += 1;
                open.insert(entry(more));
            }
        }
        known
    }
}

/// Whether every stock of `set` is in `of`.
fn is_subset(set: &[bool], of: &[bool]) -> bool {
    set.iter().zip(of).all(|(a, b)| !a || *b)
}

/// Whether a part may fit on an empty sheet, by its extents.
fn may_fit(part: &NestPart, stock: &Stock) -> bool {
    let b = stock.outline.bounds();
    let room = point(b.width() - 2.0 * stock.margin, b.height() - 2.0 * stock.margin);
    let fits = |w: f64, h: f64| w <= room.x + 1e-6 && h <= room.y + 1e-6;
    let turned = |angle: f64, mirrored: bool| -> Ring {
        let flip = if mirrored { -1.0 } else { 1.0 };
        part.shape.outline.map(|p| point(p.x * flip, p.y).turned(angle))
    };
    if part.turns.tolerance == 0.0 {
        return part.turns.orientations.iter().any(|o| {
            let b = turned(o.rotation + stock.grain, o.mirrored).bounds();
            fits(b.width(), b.height())
        });
    }
    // Whatever its direction, it is nowhere narrower than its least width.
    least_width(&part.shape.outline) <= room.x.min(room.y) + 1e-6
}

#[cfg(test)]
mod tests {
    use super::super::by_hand::task;
    use super::*;

    /// Ten plates of 100 x 50 mm (50,000 mm2) on panels of 200 x 100 (20,000) at 10 and 150 x 100 (15,000) at 8: three large ones
    /// hold 60,000 for 30; two large and one small 55,000 for 28; one and two 50,000 for 26. So nothing costs less than 26.
    #[test]
    fn the_bound_is_the_cheapest_area_that_is_enough() {
        let needs = Needs::new(&task(
            &[(100.0, 50.0, 10)],
            &[(200.0, 100.0, 10.0), (150.0, 100.0, 8.0)],
            0.0,
        ));
        assert_eq!(needs.least_cost(30.0), 26.0);
        let all = needs.cheaper_than(30.0, 1.0).expect("few");
        let told: Vec<(&[usize], f64)> = all.iter().map(|c| (&c.counts[..], c.cost)).collect();
        assert_eq!(told, [(&[1, 2][..], 26.0), (&[2, 1], 28.0)]);
        // With a kerf of 10 mm each plate takes up to 110 x 60: 6600 less the corners' (4 - pi) 25 = 6578.5, ten of them 65,785;
        // the panels are 5 mm larger all round: 210 x 110 = 23,100 and 160 x 110 = 17,600. A large one takes three plates by area,
        // a small one two: three large ones for 30 take nine, four small ones for 32 eight, one and three for 34 nine; two and
        // two for 36 take ten.
        let parts = [(100.0, 50.0, 10)];
        let needs = Needs::new(&task(&parts, &[(200.0, 100.0, 10.0), (150.0, 100.0, 8.0)], 10.0));
        assert!(
            (needs.claims[0] - 6578.5).abs() < 10.0 && needs.claims[0] < 6578.6,
            "{:?}",
            needs.claims
        );
        assert_eq!(needs.least_cost(40.0), 36.0);
    }

    /// A plate of 180 mm fits only on the large panel, at any number of small ones: one large is needed at least.
    #[test]
    fn what_fits_on_one_stock_only_needs_that_stock() {
        let needs = Needs::new(&task(
            &[(180.0, 50.0, 1), (50.0, 50.0, 2)],
            &[(200.0, 100.0, 10.0), (150.0, 100.0, 3.0)],
            0.0,
        ));
        assert!(!needs.may_be_enough(&[0, 3], 1.0));
        assert!(needs.may_be_enough(&[1, 0], 1.0));
        assert_eq!(needs.least_cost(13.0), 10.0);
        // A bound is never above what is known to be possible.
        assert_eq!(needs.least_cost(9.0), 9.0);
    }
}
