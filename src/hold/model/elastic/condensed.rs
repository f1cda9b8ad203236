//! The held part as a condensed compliance matrix, while the floor is added back.

use crate::hold::fem::dense;

/// First one row per degree of freedom of the stations in the order of travel (of this symmetric block the lower triangle is kept,
/// or all of it once [`Condensed::whole`]), then one row per spring and three per section; one column per degree of freedom. It
/// shrinks as the floor is added back, unless it is whole.
pub struct Condensed {
    pub rows: Vec<f64>,
    pub columns: usize,
    /// Degrees of freedom per station.
    pub each: usize,
}

impl Condensed {
    /// Displacement along degree of freedom `row` for a unit load along degree of freedom `column`.
    pub fn at(&self, row: usize, column: usize) -> f64 {
        self.rows[row.max(column) * self.columns + row.min(column)]
    }

    /// The force in spring `row`, or, beyond the springs, in a section.
    pub fn carried(&self, row: usize, column: usize) -> f64 {
        self.rows[(self.columns + row) * self.columns + column]
    }

    /// The same with both triangles filled, as [`bed`](Condensed::bed) needs it.
    pub fn whole(mut self) -> Condensed {
        for i in 0..self.columns {
            for j in 0..i {
                self.rows[j * self.columns + i] = self.rows[i * self.columns + j];
            }
        }
        self
    }

    /// The whole row of a degree of freedom.
    fn row(&self, i: usize) -> &[f64] {
        &self.rows[i * self.columns..(i + 1) * self.columns]
    }

    /// Forces of the bed where a unit lift at place `k` would press other places into it: places and forces. The part lies on the
    /// bed all round, where the floor is uncut too. `guess`: where it touched in the last call, and touches now.
    ///
    /// The bed is stiff and only pushes: w = A e_k + A p >= 0, p >= 0, w p = 0. By active sets (Hintermueller, Ito & Kunisch, SIAM
    /// J. Optim. 13, 2002): the contacts are guessed, solved for, and corrected until they no longer change, which takes a few
    /// rounds. If the guesses cycle, over-relaxation with projection (Cryer, SIAM J. Control 9, 1971) converges, since A is
    /// positive definite.
    pub fn bed(&self, k: usize, guess: &mut Vec<usize>) -> Vec<(usize, f64)> {
        let rise = self.row(k);
        if rise.iter().all(|r| *r >= 0.0) {
            return vec![];
        }
        if guess.is_empty() {
            // It touches at few places, so begin with one.
            guess.extend((0..rise.len()).min_by(|&i, &j| rise[i].total_cmp(&rise[j])));
        }
        self.touching(rise, guess).unwrap_or_else(|| self.relaxed(rise.to_vec()))
    }

    fn touching(&self, rise: &[f64], touches: &mut Vec<usize>) -> Option<Vec<(usize, f64)>> {
        const ROUNDS: usize = 20;
        let lowest = rise.iter().copied().fold(0.0, f64::min);
        for _ in 0..ROUNDS {
            let mut a: Vec<f64> = touches
                .iter()
                .enumerate()
                .flat_map(|(n, &i)| touches[..=n].iter().map(move |&j| self.at(i, j)))
                .collect();
            let mut push: Vec<f64> = touches.iter().map(|&j| -rise[j]).collect();
            if !dense::solve_definite(&mut a, &mut push) {
                touches.clear();
                return None;
            }
            let mut left = rise.to_vec();
            for (&i, p) in touches.iter().zip(&push) {
                left.iter_mut().zip(self.row(i)).for_each(|(l, a)| *l += p * a);
            }
            // What touches leaves where it would pull; what does not touches where it would sink, rounding apart.
            let mut pushes = touches.iter().zip(&push).peekable();
            let sinks = |j: &usize| match pushes.next_if(|(i, _)| *i == j) {
                Some((_, p)) => *p > 0.0,
                None => left[*j] < 1e-9 * lowest,
            };
            let next: Vec<usize> = (0..rise.len()).filter(sinks).collect();
            if next == *touches {
                return Some(touches.iter().copied().zip(push).collect());
            }
            *touches = next;
        }
        touches.clear();
        None
    }

    pub(super) fn relaxed(&self, mut rise: Vec<f64>) -> Vec<(usize, f64)> {
        const ROUNDS: usize = 200;
        /// Over-relaxation: Cryer's choice between 1 and 2 matters little here.
        const OVER: f64 = 1.5;
        let lowest = rise.iter().copied().fold(0.0, f64::min);
        let mut push = vec![0.0; rise.len()];
        for _ in 0..ROUNDS {
            let mut change = 0.0f64;
            for j in 0..push.len() {
                let own = self.at(j, j);
                let next = (push[j] - OVER * rise[j] / own).max(0.0);
                let step = next - push[j];
                if step != 0.0 {
                    push[j] = next;
                    rise.iter_mut().zip(self.row(j)).for_each(|(r, a)| *r += step * a);
                    change = change.max((step * own).abs());
                }
            }
            if change < -1e-5 * lowest {
                break;
            }
        }
        push.into_iter().enumerate().filter(|p| p.1 > 0.0).collect()
    }

    /// Adds the springs of the station at place `k` of the travel (Sherman & Morrison 1950); only earlier places are kept up to
    /// date.
    pub fn add_floor(&mut self, k: usize, springs: &[f64]) {
        let m = self.columns;
        for d in (0..self.each).rev() {
            let p = k * self.each + d;
            let share = springs[d] / (1.0 + springs[d] * self.at(p, p));
            let (above, rest) = self.rows.split_at_mut(p * m);
            let pivot = &rest[..p];
            for (i, row) in above.chunks_exact_mut(m).enumerate() {
                let f = pivot[i] * share;
                row[..=i].iter_mut().zip(pivot).for_each(|(x, y)| *x -= f * y);
            }
            let (pivot, carried) = rest.split_at_mut((m - p) * m);
            let pivot = &pivot[..p];
            for row in carried.chunks_exact_mut(m) {
                let f = row[p] * share;
                row[..p].iter_mut().zip(pivot).for_each(|(x, y)| *x -= f * y);
            }
        }
    }

    /// Adds a spring along degree of freedom `p` of a [`whole`](Condensed::whole) matrix, all of which is kept up to date.
    pub fn add_spring(&mut self, p: usize, spring: f64) {
        let pivot = self.row(p).to_vec();
        let share = spring / (1.0 + spring * pivot[p]);
        for row in self.rows.chunks_exact_mut(self.columns) {
            let f = row[p] * share;
            row.iter_mut().zip(&pivot).for_each(|(x, y)| *x -= f * y);
        }
    }
}
