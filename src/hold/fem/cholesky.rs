//! Cholesky factors of a sparse symmetric matrix, row by row: the up-looking method of Davis (Direct Methods for Sparse Linear
//! Systems, SIAM 2006, chapter 4), on the elimination tree of Liu (SIAM J. Matrix Anal. Appl. 11, 1990).
//!
//! A library's factors of the same kind took as long, and a third of the time that all crates took to build (benches/NOTEBOOK.md).

/// A matrix by columns: where each starts, the rows of its entries, their values.
#[derive(Debug, Clone, Default)]
pub struct Columns {
    pub starts: Vec<usize>,
    pub rows: Vec<usize>,
    pub values: Vec<f64>,
}

impl Columns {
    /// Number of columns.
    pub fn size(&self) -> usize {
        self.starts.len() - 1
    }

    /// The entries of column `j`.
    pub fn column(&self, j: usize) -> impl Iterator<Item = (usize, f64)> {
        let range = self.starts[j]..self.starts[j + 1];
        self.rows[range.clone()].iter().copied().zip(self.values[range].iter().copied())
    }
}

/// The lower factor L of `upper`, the upper triangle of a matrix L L^T; the diagonal is the first entry of each column. `None`
/// where the matrix is not positive definite.
pub fn cholesky(upper: &Columns) -> Option<Columns> {
    let n = upper.size();
    let tree = Tree::new(upper);
    let mut walk = Walk::new(n);
    let mut starts = vec![0; n + 1];
    for k in 0..n {
        starts[k + 1] += 1;
        walk.row(&tree, upper, k).iter().for_each(|j| starts[j + 1] += 1);
    }
    (0..n).for_each(|j| starts[j + 1] += starts[j]);
    let mut next = starts[..n].to_vec();
    let (mut rows, mut values) = (vec![0; starts[n]], vec![0.0; starts[n]]);
    let mut x = vec![0.0; n];
    walk.reset();
    for k in 0..n {
        upper.column(k).for_each(|(i, v)| x[i] = v);
        let mut pivot = std::mem::take(&mut x[k]);
        // Row k of L solves the triangle above it: L(..k, ..k) l = A(..k, k).
        for &j in walk.row(&tree, upper, k) {
            let (first, end) = (starts[j], next[j]);
            let l = std::mem::take(&mut x[j]) / values[first];
            for (&i, v) in rows[first + 1..end].iter().zip(&values[first + 1..end]) {
                x[i] -= v * l;
            }
            pivot -= l * l;
            (rows[end], values[end]) = (k, l);
            next[j] += 1;
        }
        if pivot.is_nan() || pivot <= 0.0 {
            return None;
        }
        (rows[next[k]], values[next[k]]) = (k, pivot.sqrt());
        next[k] += 1;
    }
    Some(Columns { starts, rows, values })
}

/// The elimination tree: the parent of column j is the row of the first entry under the diagonal of column j of L.
struct Tree {
    parent: Vec<Option<usize>>,
}

impl Tree {
    fn new(upper: &Columns) -> Tree {
        let n = upper.size();
        let (mut parent, mut ancestor) = (vec![None; n], vec![None; n]);
        for k in 0..n {
            for (row, _) in upper.column(k) {
                let mut at = Some(row).filter(|i| *i < k);
                while let Some(i) = at {
                    // Paths are shortened to the root of the tree so far.
                    let above = ancestor[i].replace(k);
                    if above.is_none() {
                        parent[i] = Some(k);
                    }
                    at = above.filter(|a| *a < k);
                }
            }
        }
        Tree { parent }
    }
}

/// Finds the pattern of one row of L after the other.
struct Walk {
    /// The last row that reached each column.
    reached: Vec<Option<usize>>,
    /// The pattern stands at the end, each column before those it updates.
    stack: Vec<usize>,
    path: Vec<usize>,
}

impl Walk {
    fn new(n: usize) -> Walk {
        Walk { reached: vec![None; n], stack: vec![0; n], path: vec![] }
    }

    fn reset(&mut self) {
        self.reached.fill(None);
    }

    /// The columns left of the diagonal in row `k` of L, in an order in which they can be eliminated: what the entries of the
    /// matrix reach in the tree.
    fn row(&mut self, tree: &Tree, upper: &Columns, k: usize) -> &[usize] {
        let mut top = self.stack.len();
        self.reached[k] = Some(k);
        for (row, _) in upper.column(k) {
            let mut at = Some(row);
            while let Some(i) = at.filter(|i| self.reached[*i] != Some(k)) {
                self.reached[i] = Some(k);
                self.path.push(i);
                at = tree.parent[i];
            }
            while let Some(i) = self.path.pop() {
                top -= 1;
                self.stack[top] = i;
            }
        }
        &self.stack[top..]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::rngs::StdRng;
    use rand::{RngExt, SeedableRng};

    /// The upper triangle of a dense matrix, its entries that are not zero.
    fn upper(a: &[Vec<f64>]) -> Columns {
        let mut c = Columns { starts: vec![0], ..Columns::default() };
        for k in 0..a.len() {
            for (i, row) in a.iter().enumerate().take(k + 1).filter(|(_, r)| r[k] != 0.0) {
                c.rows.push(i);
                c.values.push(row[k]);
            }
            c.starts.push(c.rows.len());
        }
        c
    }

    /// The definition: L is lower triangular with a positive diagonal, and L L^T is the matrix. Random patterns made to dominate
    /// by their diagonal, so positive definite by Gershgorin's theorem.
    #[test]
    fn the_factor_times_its_transpose_is_the_matrix() {
        let mut rng = StdRng::seed_from_u64(4);
        for n in 1..40 {
            let mut a = vec![vec![0.0_f64; n]; n];
            let pairs = (0..n).flat_map(|i| (0..i).map(move |j| (i, j)));
            for (i, j) in pairs.filter(|_| rng.random_range(0.0..1.0) < 0.12).collect::<Vec<_>>() {
                let v = rng.random_range(-1.0..1.0);
                (a[i][j], a[j][i]) = (v, v);
            }
            for (i, row) in a.iter_mut().enumerate() {
                row[i] = row.iter().map(|v| v.abs()).sum::<f64>() + 0.1;
            }
            let l = cholesky(&upper(&a)).expect("positive definite");
            let mut product = vec![vec![0.0; n]; n];
            for j in 0..n {
                let column: Vec<(usize, f64)> = l.column(j).collect();
                assert!(column[0].0 == j && column[0].1 > 0.0);
                assert!(column.windows(2).all(|w| w[0].0 < w[1].0));
                for &(i, v) in &column {
                    column.iter().for_each(|&(k, u)| product[i][k] += v * u);
                }
            }
            for (p, q) in product.iter().flatten().zip(a.iter().flatten()) {
                assert!((p - q).abs() < 1e-12 * n as f64, "{n}: {p} {q}");
            }
        }
    }

    /// Two masses on one spring and no support move freely; a matrix with a negative eigenvalue has no factor.
    #[test]
    fn what_is_not_positive_definite_has_no_factor() {
        let free = vec![vec![1.0, -1.0], vec![-1.0, 1.0]];
        let negative = vec![vec![1.0, 2.0], vec![2.0, 1.0]];
        assert!(cholesky(&upper(&free)).is_none() && cholesky(&upper(&negative)).is_none());
    }
}
