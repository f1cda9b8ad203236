//! Sparse symmetric stiffness: assembly, supports, Cholesky factors (crate `faer`).

use faer::linalg::solvers::Solve;
use faer::sparse::{SparseColMat, Triplet, linalg::solvers::Llt};
use faer::{Mat, Side};

/// A symmetric matrix as a sum of element matrices.
#[derive(Debug, Clone, Default)]
pub struct Sparse {
    /// Number of rows.
    pub size: usize,
    entries: Vec<(usize, usize, f64)>,
}

impl Sparse {
    /// An empty matrix of `size` rows.
    pub fn new(size: usize) -> Sparse {
        Sparse { size, entries: vec![] }
    }

    /// Adds an element's matrix at the given rows.
    pub fn add<const N: usize>(&mut self, rows: &[usize; N], k: &[[f64; N]; N]) {
        for (i, &r) in rows.iter().enumerate() {
            for (j, &c) in rows.iter().enumerate() {
                self.entries.push((r, c, k[i][j]));
            }
        }
    }

    /// Adds `k` on the diagonal.
    pub fn spring(&mut self, row: usize, k: f64) {
        self.entries.push((row, row, k));
    }

    /// The product with a vector.
    pub fn times(&self, u: &[f64]) -> Vec<f64> {
        let mut f = vec![0.0; self.size];
        for &(i, j, v) in &self.entries {
            f[i] += v * u[j];
        }
        f
    }

    /// The factors with the rows of `fixed` held at zero; `None` where the rest can move freely.
    pub fn factor(&self, fixed: &[bool]) -> Option<Factor> {
        let mut row = vec![usize::MAX; self.size];
        let mut free = 0;
        for (i, r) in row.iter_mut().enumerate() {
            if !fixed[i] {
                *r = free;
                free += 1;
            }
        }
        // Only the lower triangle is read.
        let triplets: Vec<Triplet<usize, usize, f64>> = self
            .entries
            .iter()
            .filter(|&&(i, j, _)| i >= j && row[i] != usize::MAX && row[j] != usize::MAX)
            .map(|&(i, j, v)| Triplet::new(row[i], row[j], v))
            .collect();
        let matrix =
            SparseColMat::<usize, f64>::try_new_from_triplets(free, free, &triplets).ok()?;
        let llt = matrix.sp_cholesky(Side::Lower).ok()?;
        Some(Factor { llt, row, free })
    }
}

/// Cholesky factors of a supported matrix.
pub struct Factor {
    llt: Llt<usize, f64>,
    row: Vec<usize>,
    free: usize,
}

impl Factor {
    /// Solves for several loads, each a vector of all rows; held rows get zero.
    pub fn solve(&self, loads: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let mut rhs = Mat::<f64>::zeros(self.free, loads.len());
        for (j, load) in loads.iter().enumerate() {
            for (i, &r) in self.row.iter().enumerate() {
                if r != usize::MAX {
                    rhs[(r, j)] = load[i];
                }
            }
        }
        self.llt.solve_in_place(&mut rhs);
        (0..loads.len())
            .map(|j| {
                self.row.iter().map(|&r| if r == usize::MAX { 0.0 } else { rhs[(r, j)] }).collect()
            })
            .collect()
    }
}
