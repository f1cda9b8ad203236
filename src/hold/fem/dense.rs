//! Small dense systems: LU with partial pivoting, and Cholesky for definite ones.

/// Solves `a x = b` for `m` right-hand sides in place: `a` is n x n row by row, `b` n x m row by row.
/// `false` where the matrix is singular.
pub fn solve(a: &mut [f64], b: &mut [f64], n: usize, m: usize) -> bool {
    for k in 0..n {
        let Some(pivot) = (k..n).max_by(|&i, &j| a[i * n + k].abs().total_cmp(&a[j * n + k].abs()))
        else {
            return false;
        };
        let top = a[pivot * n + k];
        if top == 0.0 || !top.is_finite() {
            return false;
        }
        if pivot != k {
            for j in 0..n {
                a.swap(k * n + j, pivot * n + j);
            }
            for j in 0..m {
                b.swap(k * m + j, pivot * m + j);
            }
        }
        for i in k + 1..n {
            let f = a[i * n + k] / top;
            if f != 0.0 {
                for j in k + 1..n {
                    a[i * n + j] -= f * a[k * n + j];
                }
                let (upper, lower) = b.split_at_mut(i * m);
                let from = &upper[k * m..(k + 1) * m];
                lower[..m].iter_mut().zip(from).for_each(|(x, y)| *x -= f * y);
            }
        }
    }
    for k in (0..n).rev() {
        for i in k + 1..n {
            let f = a[k * n + i];
            let (upper, lower) = b.split_at_mut(i * m);
            let row = &mut upper[k * m..(k + 1) * m];
            row.iter_mut().zip(&lower[..m]).for_each(|(x, y)| *x -= f * y);
        }
        let top = a[k * n + k];
        b[k * m..(k + 1) * m].iter_mut().for_each(|x| *x /= top);
    }
    true
}

/// Solves `a x = b` in place for a symmetric positive definite matrix, its lower triangle in `a` row by row. `false` where it is
/// not definite.
pub fn solve_definite(a: &mut [f64], b: &mut [f64]) -> bool {
    let (n, row) = (b.len(), |i: usize| i * (i + 1) / 2);
    let mut column = vec![0.0; n];
    // L D L^T, the columns to the right brought up to date at once.
    for k in 0..n {
        let top = a[row(k) + k];
        if top.is_nan() || top <= 0.0 {
            return false;
        }
        let over = 1.0 / top;
        (k + 1..n).for_each(|i| column[i] = a[row(i) + k]);
        for i in k + 1..n {
            let f = column[i] * over;
            let left = &mut a[row(i) + k..=row(i) + i];
            left[0] = f;
            left[1..].iter_mut().zip(&column[k + 1..]).for_each(|(x, c)| *x -= f * c);
            b[i] -= f * b[k];
        }
        b[k] *= over;
    }
    for k in (0..n).rev() {
        let (known, rest) = b.split_at_mut(k);
        known.iter_mut().zip(&a[row(k)..]).for_each(|(x, l)| *x -= l * rest[0]);
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_definite_system_is_solved_and_an_indefinite_one_refused() {
        // [[4, 2, 0], [2, 5, 1], [0, 1, 3]] x = (8, 15, 11) has x = (1, 2, 3).
        let mut b = [8.0, 15.0, 11.0];
        assert!(solve_definite(&mut [4.0, 2.0, 5.0, 0.0, 1.0, 3.0], &mut b));
        for (x, e) in b.iter().zip([1.0, 2.0, 3.0]) {
            assert!((x - e).abs() < 1e-14);
        }
        assert!(!solve_definite(&mut [1.0, 2.0, 1.0], &mut [1.0, 1.0]));
    }

    #[test]
    fn an_indefinite_system_is_solved() {
        // A saddle point: [[2, 0, 1], [0, 3, 1], [1, 1, 0]] x = (3, 7, 3) has x = (1, 2, 1).
        let mut a = [2.0, 0.0, 1.0, 0.0, 3.0, 1.0, 1.0, 1.0, 0.0];
        let mut b = [3.0, 7.0, 3.0];
        assert!(solve(&mut a, &mut b, 3, 1));
        for (x, e) in b.iter().zip([1.0, 2.0, 1.0]) {
            assert!((x - e).abs() < 1e-14);
        }
        assert!(!solve(&mut [1.0, 2.0, 2.0, 4.0], &mut [1.0, 1.0], 2, 1));
    }
}
