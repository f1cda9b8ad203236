//! Sparse symmetric stiffness matrix: assembly, supports, Cholesky factors (order of elimination by the crate `amd`).

use super::cholesky::{Columns, cholesky};

/// A sparse linear form over degrees of freedom: a mean displacement, a rotation, or the load conjugate to it.
pub type LinearForm = Vec<(usize, f64)>;

/// A symmetric matrix as a sum of element matrices.
#[derive(Debug, Clone, Default)]
pub struct Sparse {
    /// Number of rows.
    pub size: usize,
    /// Degrees of freedom per node.
    each: usize,
    /// The lower triangle: row, column, value.
    entries: Vec<(usize, usize, f64)>,
}

impl Sparse {
    /// An empty matrix of `nodes` nodes with `each` degrees of freedom.
    pub fn new(nodes: usize, each: usize) -> Sparse {
        Sparse { size: nodes * each, each, entries: vec![] }
    }

    /// Adds an element's symmetric matrix at the given rows.
    pub fn add<const N: usize>(&mut self, rows: &[usize; N], k: &[[f64; N]; N]) {
        for (i, &r) in rows.iter().enumerate() {
            for (j, &c) in rows.iter().enumerate() {
                if r >= c {
                    self.entries.push((r, c, k[i][j]));
                }
            }
        }
    }

    /// The product with a vector.
    #[cfg(test)]
    pub fn times(&self, u: &[f64]) -> Vec<f64> {
        let mut f = vec![0.0; self.size];
        for &(i, j, v) in &self.entries {
            f[i] += v * u[j];
            if i != j {
                f[j] += v * u[i];
            }
        }
        f
    }

    /// The factors with the rows of `fixed` held at zero; `None` where the rest can move freely.
    pub fn factor(&self, fixed: &[bool]) -> Option<Factor> {
        let place = self.order(fixed)?;
        let factor = cholesky(&self.upper(&place, place.iter().flatten().count()))?;
        Some(Factor { factor, place })
    }

    /// Place of each row in the order of elimination, `None` where fixed: approximate minimum degree (Amestoy, Davis & Duff,
    /// SIAM J. Matrix Anal. 17, 1996) on the graph of the nodes, whose degrees of freedom have the same neighbours. It takes a
    /// quarter of the time that it takes on the degrees of freedom.
    fn order(&self, fixed: &[bool]) -> Option<Vec<Option<usize>>> {
        let nodes = self.size / self.each;
        let first = |i: usize| i.is_multiple_of(self.each).then_some(i / self.each);
        let number: Vec<Option<usize>> = (0..self.size).map(first).collect();
        let graph = self.upper(&number, nodes);
        let control = amd::Control::default();
        let (order, _, _) = amd::order(nodes, &graph.starts, &graph.rows, &control).ok()?;
        let rows = order.into_iter().flat_map(|n| n * self.each..(n + 1) * self.each);
        let mut place = vec![None; self.size];
        rows.filter(|&r| !fixed[r]).enumerate().for_each(|(k, r)| place[r] = Some(k));
        Some(place)
    }

    /// The upper triangle by columns, rows in order; each row of the matrix at its place, those without one left out.
    fn upper(&self, place: &[Option<usize>], free: usize) -> Columns {
        let kept = |&(i, j, v): &(usize, usize, f64)| {
            let (i, j) = (place[i]?, place[j]?);
            Some((i.min(j), i.max(j), v))
        };
        // Two stable counting sorts, by row and then by column; equal places then stand side by side.
        let mut list: Vec<(usize, usize, f64)> = self.entries.iter().filter_map(kept).collect();
        let mut spare = list.clone();
        for key in [0, 1] {
            let of = |e: &(usize, usize, f64)| if key == 0 { e.0 } else { e.1 };
            let mut at = vec![0; free + 1];
            list.iter().for_each(|e| at[of(e) + 1] += 1);
            (0..free).for_each(|i| at[i + 1] += at[i]);
            for e in &list {
                let slot = &mut at[of(e)];
                spare[*slot] = *e;
                *slot += 1;
            }
            std::mem::swap(&mut list, &mut spare);
        }
        let (mut starts, mut rows, mut values) = (vec![0; free + 1], vec![], vec![]);
        let mut last = None;
        for &(i, j, v) in &list {
            if last == Some((i, j))
                && let Some(sum) = values.last_mut()
            {
                *sum += v;
                continue;
            }
            last = Some((i, j));
            rows.push(i);
            values.push(v);
            starts[j + 1] += 1;
        }
        (0..free).for_each(|j| starts[j + 1] += starts[j]);
        Columns { starts, rows, values }
    }
}

/// Columns of right-hand sides solved together.
const BLOCK: usize = 8;
/// Most blocks of columns.
const BLOCKS: usize = u128::BITS as usize;

/// Cholesky factors of a supported matrix.
pub struct Factor {
    /// L by columns, the diagonal first in each.
    factor: Columns,
    /// Place of each row of the whole matrix in the order of elimination; `None` where held.
    place: Vec<Option<usize>>,
}

impl Factor {
    fn free(&self) -> usize {
        self.factor.size()
    }

    /// The diagonal of column `j`, and the entries under it.
    fn column(&self, j: usize) -> (f64, impl Iterator<Item = (usize, f64)>) {
        let mut entries = self.factor.column(j);
        let top = entries.next().map_or(f64::NAN, |e| e.1);
        (top, entries)
    }

    /// Solves for several loads, each a vector of all rows; held rows get zero. The plain method, to test
    /// [`products`](Factor::products).
    #[cfg(test)]
    pub fn solve(&self, loads: &[Vec<f64>]) -> Vec<Vec<f64>> {
        loads.iter().map(|load| self.solve_one(load)).collect()
    }

    #[cfg(test)]
    fn solve_one(&self, load: &[f64]) -> Vec<f64> {
        let n = self.free();
        let mut x = vec![0.0; n];
        for (&p, &f) in self.place.iter().zip(load) {
            if let Some(p) = p {
                x[p] = f;
            }
        }
        for j in 0..n {
            let (top, below) = self.column(j);
            x[j] /= top;
            let own = x[j];
            below.for_each(|(i, l)| x[i] -= l * own);
        }
        for j in (0..n).rev() {
            let (top, below) = self.column(j);
            let given: f64 = below.map(|(i, l)| l * x[i]).sum();
            x[j] = (x[j] - given) / top;
        }
        self.place.iter().map(|p| p.map_or(0.0, |p| x[p])).collect()
    }

    /// The products f_i . K^-1 f_j of sparse loads, row by row: the displacement at load `i` under load `j`.
    ///
    /// With K = L L^T they are x_i . x_j with x = L^-1 f: no solution is written out, and a load enters the elimination only at its
    /// own nodes, so most rows see few of the loads (they are taken eight at a time). Symmetric by construction. `None` for more
    /// than 1,024 loads.
    pub fn products(&self, loads: &[Vec<(usize, f64)>]) -> Option<Vec<f64>> {
        let blocks = loads.len().div_ceil(BLOCK);
        if blocks > BLOCKS {
            return None;
        }
        let entered = |row: usize| self.place[row];
        let seen = self.seen(loads, &entered);
        // Each row keeps only the blocks it sees, one after the other.
        let mut first = vec![0; seen.len() + 1];
        for (j, s) in seen.iter().enumerate() {
            first[j + 1] = first[j] + s.count_ones() as usize;
        }
        let slot =
            |row: usize, b: usize| first[row] + (seen[row] & ((1 << b) - 1)).count_ones() as usize;
        let mut x = vec![[0.0; BLOCK]; first[seen.len()]];
        for (i, load) in loads.iter().enumerate() {
            for (p, f) in load.iter().filter_map(|&(row, f)| Some((entered(row)?, f))) {
                x[slot(p, i / BLOCK)][i % BLOCK] += f;
            }
        }
        let mut sums = vec![[0.0; BLOCK * BLOCK]; blocks * (blocks + 1) / 2];
        for j in (0..seen.len()).filter(|&j| seen[j] != 0) {
            let (top, below) = self.column(j);
            let (own, later) = x[first[j]..].split_at_mut(first[j + 1] - first[j]);
            own.iter_mut().flatten().for_each(|v| *v /= top);
            for (i, l) in below {
                let at = |slot: usize| slot - first[j + 1];
                if seen[i] == seen[j] {
                    let target = &mut later[at(first[i])..at(first[i + 1])];
                    target.iter_mut().zip(&*own).for_each(|(t, v)| subtract(t, l, v));
                } else {
                    for (b, v) in set_bits(seen[j]).zip(&*own) {
                        subtract(&mut later[at(slot(i, b))], l, v);
                    }
                }
            }
            for (k, (b, v)) in set_bits(seen[j]).zip(&*own).enumerate() {
                for (a, u) in set_bits(seen[j]).zip(&own[..=k]) {
                    add_outer(&mut sums[b * (b + 1) / 2 + a], v, u);
                }
            }
        }
        Some(unfold(&sums, loads.len()))
    }

    /// Which blocks of loads each row sees, in the order of elimination.
    fn seen(
        &self,
        loads: &[Vec<(usize, f64)>],
        entered: &dyn Fn(usize) -> Option<usize>,
    ) -> Vec<u128> {
        let mut seen = vec![0u128; self.free()];
        for (i, load) in loads.iter().enumerate() {
            for p in load.iter().filter_map(|&(row, _)| entered(row)) {
                seen[p] |= 1 << (i / BLOCK);
            }
        }
        for j in 0..seen.len() {
            let own = seen[j];
            self.column(j).1.for_each(|(i, _)| seen[i] |= own);
        }
        seen
    }
}

fn set_bits(mut mask: u128) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        (mask != 0).then(|| {
            let b = mask.trailing_zeros() as usize;
            mask &= mask - 1;
            b
        })
    })
}

#[inline(always)]
fn subtract(from: &mut [f64; BLOCK], l: f64, v: &[f64; BLOCK]) {
    from.iter_mut().zip(v).for_each(|(t, v)| *t -= l * v);
}

fn add_outer(sum: &mut [f64; BLOCK * BLOCK], v: &[f64; BLOCK], u: &[f64; BLOCK]) {
    for (row, v) in sum.chunks_exact_mut(BLOCK).zip(v) {
        row.iter_mut().zip(u).for_each(|(s, u)| *s += v * u);
    }
}

/// The whole symmetric matrix from the blocks of its lower triangle.
fn unfold(sums: &[[f64; BLOCK * BLOCK]], n: usize) -> Vec<f64> {
    let mut c = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..=i {
            let (b, a) = (i / BLOCK, j / BLOCK);
            let v = sums[b * (b + 1) / 2 + a][i % BLOCK * BLOCK + j % BLOCK];
            (c[i * n + j], c[j * n + i]) = (v, v);
        }
    }
    c
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chain of springs of stiffness 1, held at its start: a unit force at node i moves node j by min(i, j) (statics).
    #[test]
    fn products_of_a_chain_are_statics_and_those_of_the_solutions() {
        const N: usize = 40;
        let mut k = Sparse::new(N, 1);
        for i in 1..N {
            k.add(&[i - 1, i], &[[1.0, -1.0], [-1.0, 1.0]]);
        }
        let fixed: Vec<bool> = (0..N).map(|i| i == 0).collect();
        let factor = k.factor(&fixed).unwrap();
        let loads: Vec<Vec<(usize, f64)>> = (0..N).map(|i| vec![(i, 1.0)]).collect();
        let c = factor.products(&loads).unwrap();
        for i in 0..N {
            let mut load = vec![0.0; N];
            load[i] = 1.0;
            let u = factor.solve(&[load]).pop().unwrap();
            for j in 0..N {
                assert!((c[i * N + j] - i.min(j) as f64).abs() < 1e-9, "{i} {j}");
                assert!((u[j] - i.min(j) as f64).abs() < 1e-9, "{i} {j}");
            }
        }
        assert!(factor.products(&vec![vec![]; 1025]).is_none());
    }
}
