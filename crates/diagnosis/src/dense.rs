//! Small dense matrices, row by row: as many rows as there are readings, or changed edges.

/// Solves `m·x = b` in place by Gaussian elimination with row pivoting; gives false where `m` is singular. `m` is spoilt.
pub fn solve(m: &mut [f64], b: &mut [f64]) -> bool {
    let n = b.len();
    for k in 0..n {
        let pivot = (k..n).max_by(|&i, &j| m[i * n + k].abs().total_cmp(&m[j * n + k].abs())).unwrap_or(k);
        if m[pivot * n + k] == 0.0 || !m[pivot * n + k].is_finite() {
            return false;
        }
        if pivot != k {
            for column in 0..n {
                m.swap(pivot * n + column, k * n + column);
            }
            b.swap(pivot, k);
        }
        for i in k + 1..n {
            let factor = m[i * n + k] / m[k * n + k];
            if factor != 0.0 {
                for column in k..n {
                    m[i * n + column] -= factor * m[k * n + column];
                }
                b[i] -= factor * b[k];
            }
        }
    }
    for k in (0..n).rev() {
        let sum: f64 = (k + 1..n).map(|column| m[k * n + column] * b[column]).sum();
        b[k] = (b[k] - sum) / m[k * n + k];
    }
    true
}

/// The inverse of a covariance and the logarithm of its determinant (Cholesky's factorisation); none where it is not positive
/// definite.
pub fn inverse(covariance: &[f64], n: usize) -> Option<(Vec<f64>, f64)> {
    let mut l = covariance.to_vec();
    let mut log_determinant = 0.0;
    for j in 0..n {
        for k in 0..j {
            let factor = l[j * n + k];
            for i in j..n {
                l[i * n + j] -= factor * l[i * n + k];
            }
        }
        let pivot = l[j * n + j];
        if !(pivot > 0.0 && pivot.is_finite()) {
            return None;
        }
        log_determinant += pivot.ln();
        let root = pivot.sqrt();
        for i in j..n {
            l[i * n + j] /= root;
        }
    }
    let mut inverse = vec![0.0; n * n];
    let mut column = vec![0.0; n];
    for j in 0..n {
        column.fill(0.0);
        column[j] = 1.0;
        for i in 0..n {
            let sum: f64 = (0..i).map(|k| l[i * n + k] * column[k]).sum();
            column[i] = (column[i] - sum) / l[i * n + i];
        }
        for i in (0..n).rev() {
            let sum: f64 = (i + 1..n).map(|k| l[k * n + i] * column[k]).sum();
            column[i] = (column[i] - sum) / l[i * n + i];
        }
        for i in 0..n {
            inverse[i * n + j] = column[i];
        }
    }
    Some((inverse, log_determinant))
}
