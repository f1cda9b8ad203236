//! The cheapest set of sheets that together hold all copies, out of lots that one sheet can take: set covering.
//!
//! Branch and bound. The part in the fewest lots is covered first, by each of these lots in turn; a lot that was tried is left out
//! afterwards, since every cover with it has been looked at. The bound is linear: each copy has a worth, and no lot is worth more
//! than its sheet costs. The best such worths solve the linear program whose dual is the relaxed cover (Gilmore & Gomory, *A linear
//! programming approach to the cutting-stock problem*, Operations Research 9, 1961, from memory), and are found by the simplex
//! method on a dense table.

/// What one sheet of a stock takes: the copies of each part.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Lot {
    pub stock: usize,
    pub copies: Vec<usize>,
}

/// What is to be covered, and at what price.
pub(super) struct Covering<'a> {
    /// Copies wanted of each part.
    pub wanted: &'a [usize],
    pub lots: &'a [Lot],
    /// Price of a sheet of each stock, and how many sheets there are.
    pub price: &'a [f64],
    pub most: &'a [usize],
    /// Only what costs less is looked for.
    pub below: f64,
    /// Lower bound on the cost: a cover that reaches it is not improved.
    pub least: f64,
}

/// The cheapest cover found.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CheapestCover {
    /// A lot for each sheet, and the cost of all; `None` if no cover costs less than was asked.
    pub lots: Option<(Vec<usize>, f64)>,
    /// Whether the search was given up at its limit of steps: there may be a cheaper cover.
    pub cut_short: bool,
}

/// Most steps, each a lot looked at for a part: some tenths of a second (set by hand).
const STEPS: usize = 50_000_000;

/// Tolerance of comparisons between costs.
const EPS: f64 = 1e-9;

/// The cheapest cover by these lots.
pub(super) fn cheapest_cover(task: &Covering) -> CheapestCover {
    let none = CheapestCover { lots: None, cut_short: false };
    let Some(worths) = worths(task) else { return none };
    let mut search = Branching {
        task,
        worths,
        step: common_step(task.price),
        allowed: vec![true; task.lots.len()],
        picked: vec![],
        best: None,
        left: STEPS,
    };
    search.branch(&mut task.wanted.to_vec(), &mut task.most.to_vec(), 0.0);
    CheapestCover { lots: search.best, cut_short: search.left == 0 }
}

/// What a copy of each part is worth, and what a sheet of each stock costs above its price because there are few of it.
pub(super) struct Worths {
    pub copies: Vec<f64>,
    scarce: Vec<f64>,
}

impl Worths {
    /// What a sheet of a stock costs, its price and what it costs because there are few.
    pub fn sheet(&self, price: &[f64], stock: usize) -> f64 {
        price[stock] + self.scarce[stock]
    }

    /// What these copies of the parts are worth.
    pub fn of(&self, copies: impl Iterator<Item = usize>) -> f64 {
        self.copies.iter().zip(copies).map(|(v, n)| v * n as f64).sum()
    }

    /// The price of a lot divided by the worth of the wanted copies in it.
    pub fn dearness(&self, lot: &Lot, wanted: &[usize], price: &[f64]) -> f64 {
        let used = lot.copies.iter().zip(wanted).map(|(c, n)| *c.min(n));
        self.sheet(price, lot.stock) / self.of(used).max(1e-12)
    }

    /// Lower bound on the cost of these copies, with this many sheets of each stock left.
    fn bound(&self, wanted: &[usize], most: &[usize]) -> f64 {
        let scarce: f64 = self.scarce.iter().zip(most).map(|(v, n)| v * *n as f64).sum();
        self.of(wanted.iter().copied()) - scarce
    }
}

struct Branching<'a> {
    task: &'a Covering<'a>,
    worths: Worths,
    /// Every cost is a multiple of this.
    step: f64,
    allowed: Vec<bool>,
    picked: Vec<usize>,
    best: Option<(Vec<usize>, f64)>,
    /// Steps left.
    left: usize,
}

impl Branching<'_> {
    fn branch(&mut self, wanted: &mut [usize], most: &mut [usize], cost: f64) {
        if self.left == 0 || self.is_hopeless(wanted, most, cost) {
            return;
        }
        self.left = self.left.saturating_sub(wanted.len() * self.task.lots.len());
        let Some(part) = self.rarest(wanted, most) else {
            if wanted.iter().all(|n| *n == 0) {
                self.best = Some((self.picked.clone(), cost));
            }
            return;
        };
        let mut ways: Vec<(f64, usize)> = (0..self.task.lots.len())
            .filter(|&l| self.may_take(l, most) && self.task.lots[l].copies[part] > 0)
            .map(|l| (self.worths.dearness(&self.task.lots[l], wanted, self.task.price), l))
            .collect();
        ways.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for &(_, lot) in &ways {
            let Lot { stock, copies } = &self.task.lots[lot];
            let before = wanted.to_vec();
            wanted.iter_mut().zip(copies).for_each(|(n, c)| *n = n.saturating_sub(*c));
            most[*stock] -= 1;
            self.picked.push(lot);
            self.branch(wanted, most, cost + self.task.price[*stock]);
            self.picked.pop();
            most[*stock] += 1;
            wanted.copy_from_slice(&before);
            self.allowed[lot] = false;
        }
        ways.iter().for_each(|&(_, lot)| self.allowed[lot] = true);
    }

    /// Whether no cover on from here can be cheaper than the best.
    fn is_hopeless(&self, wanted: &[usize], most: &[usize], cost: f64) -> bool {
        let best = self.best.as_ref().map_or(self.task.below, |b| b.1);
        if best <= self.task.least + EPS {
            return true;
        }
        let least = cost + self.worths.bound(wanted, most).max(0.0);
        // A cost between two multiples of the step is none.
        let least =
            if self.step > 0.0 { ((least - 1e-6) / self.step).ceil() * self.step } else { least };
        least >= best - EPS
    }

    fn may_take(&self, lot: usize, most: &[usize]) -> bool {
        self.allowed[lot] && most[self.task.lots[lot].stock] > 0
    }

    /// The part still wanted that the fewest lots hold; of several such parts the one worth most. `None` if no part is wanted, or a
    /// part is in no lot.
    fn rarest(&self, wanted: &[usize], most: &[usize]) -> Option<usize> {
        let lots = |part: usize| {
            let all = self.task.lots.iter().enumerate();
            all.filter(|(l, lot)| lot.copies[part] > 0 && self.may_take(*l, most)).count()
        };
        let parts = (0..wanted.len()).filter(|&k| wanted[k] > 0).map(|k| (lots(k), k));
        let worth = |k: usize| self.worths.copies[k];
        let rarest = parts.min_by(|a, b| a.0.cmp(&b.0).then(worth(b.1).total_cmp(&worth(a.1))));
        rarest.filter(|r| r.0 > 0).map(|r| r.1)
    }
}

/// The step that all prices are multiples of, if they are whole hundredths; else 0.
fn common_step(price: &[f64]) -> f64 {
    let mut step = 0u64;
    for p in price {
        let hundredths = (p * 100.0).round();
        if !(0.0..1e12).contains(&hundredths) || (p * 100.0 - hundredths).abs() > 1e-6 {
            return 0.0;
        }
        let (mut a, mut b) = (step, hundredths as u64);
        while b > 0 {
            (a, b) = (b, a % b);
        }
        step = a;
    }
    step as f64 / 100.0
}

/// The worths that value the wanted copies highest while no lot is worth more than its sheet; `None` if a part is in no lot.
pub(super) fn worths(task: &Covering) -> Option<Worths> {
    let parts = task.wanted.len();
    let in_none = |k: usize| task.wanted[k] > 0 && task.lots.iter().all(|l| l.copies[k] == 0);
    if (0..parts).any(in_none) {
        return None;
    }
    let stocks = task.price.len();
    let row = |lot: &Lot| -> Vec<f64> {
        let scarce = (0..stocks).map(|s| if s == lot.stock { -1.0 } else { 0.0 });
        lot.copies.iter().map(|n| *n as f64).chain(scarce).chain([task.price[lot.stock]]).collect()
    };
    let rows: Vec<Vec<f64>> = task.lots.iter().map(row).collect();
    let gain = task.wanted.iter().map(|n| *n as f64);
    let gain: Vec<f64> = gain.chain(task.most.iter().map(|n| -(*n as f64))).collect();
    let values = maximised(rows, gain);
    let (copies, scarce) = values.split_at(parts);
    // Rounding may have left a lot worth a hair more than its sheet.
    let worth =
        |lot: &Lot| -> f64 { lot.copies.iter().zip(copies).map(|(n, v)| *n as f64 * v).sum() };
    let over = |lot: &Lot| (task.price[lot.stock] + scarce[lot.stock]) / worth(lot).max(1e-12);
    let shrink = task.lots.iter().map(over).fold(1.0, f64::min);
    Some(Worths { copies: copies.iter().map(|v| v * shrink).collect(), scarce: scarce.to_vec() })
}

/// Solves a linear program: the non-negative values with the greatest scalar product with `gain`, whose scalar product with each
/// row is at most the row's last number, which is not negative. The simplex method (Dantzig's rule, and Bland's where that goes on
/// too long), in a table of the variables that are not in the basis.
fn maximised(mut rows: Vec<Vec<f64>>, gain: Vec<f64>) -> Vec<f64> {
    let (n, m) = (gain.len(), rows.len());
    let mut columns: Vec<usize> = (0..n).collect();
    let mut basis: Vec<usize> = (n..n + m).collect();
    let mut goal: Vec<f64> = gain.into_iter().map(|g| -g).chain([0.0]).collect();
    let patience = 20 * (n + m);
    for turn in 0..2 * patience {
        let improving = (0..n).filter(|&j| goal[j] < -EPS);
        let column = if turn < patience {
            improving.min_by(|&a, &b| goal[a].total_cmp(&goal[b]))
        } else {
            improving.min_by_key(|&j| columns[j])
        };
        let Some(c) = column else { break };
        let ratio = |r: usize| rows[r][n] / rows[r][c];
        let leaving = (0..m).filter(|&r| rows[r][c] > EPS);
        let order =
            |a: &usize, b: &usize| ratio(*a).total_cmp(&ratio(*b)).then(basis[*a].cmp(&basis[*b]));
        let Some(r) = leaving.min_by(order) else { break };
        pivot(&mut rows, &mut goal, r, c);
        std::mem::swap(&mut basis[r], &mut columns[c]);
    }
    let mut values = vec![0.0; n];
    for (row, of) in rows.iter().zip(&basis).filter(|(_, of)| **of < n) {
        values[*of] = row[n].max(0.0);
    }
    values
}

/// Exchanges the variable of a column for that of a row.
fn pivot(rows: &mut [Vec<f64>], goal: &mut [f64], r: usize, c: usize) {
    let by = 1.0 / rows[r][c];
    rows[r].iter_mut().for_each(|v| *v *= by);
    rows[r][c] = by;
    let lead = rows[r].clone();
    let without = |row: &mut [f64]| {
        let factor = row[c];
        if factor != 0.0 {
            row[c] = 0.0;
            row.iter_mut().zip(&lead).for_each(|(v, l)| *v -= factor * l);
        }
    };
    rows.iter_mut().enumerate().filter(|(i, _)| *i != r).for_each(|(_, row)| without(row));
    without(goal);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn covering<'a>(
        wanted: &'a [usize],
        lots: &'a [Lot],
        price: &'a [f64],
        most: &'a [usize],
    ) -> Covering<'a> {
        Covering { wanted, lots, price, most, below: f64::INFINITY, least: 0.0 }
    }

    fn lot(stock: usize, copies: &[usize]) -> Lot {
        Lot { stock, copies: copies.to_vec() }
    }

    /// By hand: the linear program max 3a + 2b with a + b <= 4, a + 3b <= 6, a <= 3 has its best corner at a = 3, b = 1.
    #[test]
    fn the_best_corner_of_a_linear_program() {
        let rows = vec![vec![1.0, 1.0, 4.0], vec![1.0, 3.0, 6.0], vec![1.0, 0.0, 3.0]];
        let values = maximised(rows, vec![3.0, 2.0]);
        assert!((values[0] - 3.0).abs() < 1e-9 && (values[1] - 1.0).abs() < 1e-9, "{values:?}");
    }

    /// By hand: each pair of three parts on a sheet of 2; relaxed, half of each pair costs 3, and a part is worth 1. Whole sheets
    /// cost 4: 3 is no multiple of 2. With a sheet of 3 for all three parts that is the best, of which the worths know.
    #[test]
    fn whole_sheets_cost_more_than_halves() {
        let mut lots = vec![lot(0, &[1, 1, 0]), lot(0, &[1, 0, 1]), lot(0, &[0, 1, 1])];
        let (price, most) = ([2.0, 3.0], [9, 9]);
        let task = covering(&[1, 1, 1], &lots, &price, &most);
        let worths = worths(&task).expect("each part is in a lot");
        assert!((worths.bound(&[1, 1, 1], &most) - 3.0).abs() < 1e-6);
        let found = cheapest_cover(&task);
        assert_eq!((found.lots.map(|l| l.1), found.cut_short), (Some(4.0), false));
        lots.push(lot(1, &[1, 1, 1]));
        let found = cheapest_cover(&covering(&[1, 1, 1], &lots, &price, &most));
        assert_eq!(found.lots, Some((vec![3], 3.0)));
        // Nothing costs less than 3; a part that no lot has is never covered.
        let task = Covering { below: 3.0, ..covering(&[1, 1, 1], &lots, &price, &most) };
        assert_eq!(cheapest_cover(&task).lots, None);
        assert_eq!(cheapest_cover(&covering(&[1, 1, 1], &lots[..1], &price, &most)).lots, None);
    }

    /// Of a sheet that is free there is one: three parts, one a sheet, take it and two at 5; were there more, they were free.
    #[test]
    fn a_sheet_that_is_scarce_is_used_once() {
        let lots = [lot(0, &[1]), lot(1, &[1])];
        let found = |most: [usize; 2]| {
            cheapest_cover(&covering(&[3], &lots, &[0.0, 5.0], &most)).lots.map(|l| l.1)
        };
        assert_eq!(found([1, 9]), Some(10.0));
        assert_eq!(found([3, 9]), Some(0.0));
        assert_eq!(found([1, 1]), None);
    }

    /// The cheapest of all sets of up to four lots, by trying every one; lots and quantities from a small generator (Knuth's
    /// constants for a linear congruential one, from memory).
    #[test]
    fn no_set_of_lots_is_cheaper() {
        let mut state = 1u64;
        let mut below = |n: u64| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            ((state >> 33) % n) as usize
        };
        for _ in 0..60 {
            let wanted: Vec<usize> = (0..3).map(|_| 1 + below(3)).collect();
            let lots: Vec<Lot> = (0..6)
                .map(|_| Lot { stock: below(2), copies: (0..3).map(|_| below(3)).collect() })
                .collect();
            let (price, most) = ([3.0 + below(4) as f64, 4.0 + below(4) as f64], [2, 2]);
            let mut cheapest = f64::INFINITY;
            let mut open = vec![(vec![], 0)];
            while let Some((set, from)) = open.pop() {
                let has = |k: usize| set.iter().map(|&l: &usize| lots[l].copies[k]).sum::<usize>();
                let used = |s: usize| set.iter().filter(|l| lots[**l].stock == s).count();
                if (0..2).any(|s| used(s) > most[s]) {
                    continue;
                }
                if (0..3).all(|k| has(k) >= wanted[k]) {
                    let cost = set.iter().map(|&l| price[lots[l].stock]).sum::<f64>();
                    cheapest = cheapest.min(cost);
                }
                for l in from..lots.len() {
                    open.push((set.iter().copied().chain([l]).collect(), l));
                }
            }
            let found = cheapest_cover(&covering(&wanted, &lots, &price, &most));
            let cost = found.lots.map_or(f64::INFINITY, |l| l.1);
            assert!(
                !found.cut_short && (cost - cheapest).abs() < 1e-9 || cost == cheapest,
                "{cost} {cheapest}"
            );
        }
    }
}
