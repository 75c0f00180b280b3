//! How well readings fit: χ², normalised residuals, and the likelihood with and without each reading.
//!
//! With `d` what was read less what was expected and `C` its covariance, `χ² = dᵀ·C⁻¹·d`. State estimation by weighted least
//! squares is the same with a state nobody knows anything of: `C = R + H·κ·Hᵀ`, κ beyond all measure; χ² is then the least sum
//! of weighted squares, and the normalised residual of reading i is `(C⁻¹·d)_i / √(C⁻¹)_ii` (Schweppe, Handschin and others 1971 to
//! 1975; Abur and Expósito, Power System State Estimation, ch. 5). The tests hold both against published examples.

use crate::dense;

/// Of what a reading can be held against the others for, the least share that lets it be blamed: below it the other readings say
/// next to nothing about it.
pub const LEAST_REDUNDANCY: f64 = 1e-3;

/// Readings less what was expected of them, with their covariance inverted.
#[derive(Clone, Debug)]
pub struct Fit {
    d: Vec<f64>,
    inverse: Vec<f64>,
    log_determinant: f64,
    /// `C⁻¹·d`.
    weighted: Vec<f64>,
}

impl Fit {
    /// Of residuals and their covariance, row by row; none where that is not positive definite.
    pub fn new(d: Vec<f64>, covariance: &[f64]) -> Option<Fit> {
        let n = d.len();
        let (inverse, log_determinant) = dense::inverse(covariance, n)?;
        let weighted = (0..n).map(|i| (0..n).map(|j| inverse[i * n + j] * d[j]).sum()).collect();
        Some(Fit { d, inverse, log_determinant, weighted })
    }

    /// How many readings there are.
    pub fn count(&self) -> usize {
        self.d.len()
    }

    /// `dᵀ·C⁻¹·d`.
    pub fn chi_square(&self) -> f64 {
        self.d.iter().zip(&self.weighted).map(|(d, w)| d * w).sum()
    }

    /// `C⁻¹·d`.
    pub fn weighted(&self) -> &[f64] {
        &self.weighted
    }

    /// A row of `C⁻¹`.
    pub fn inverse_row(&self, row: usize) -> &[f64] {
        &self.inverse[row * self.count()..][..self.count()]
    }

    /// Logarithm of the Gaussian density.
    pub fn log_density(&self) -> f64 {
        -0.5 * (self.chi_square() + self.log_determinant + self.count() as f64 * std::f64::consts::TAU.ln())
    }

    /// The same of all readings but one.
    pub fn log_density_without(&self, reading: usize) -> f64 {
        let own = self.inverse[reading * self.count() + reading];
        let chi_square = self.chi_square() - self.weighted[reading] * self.weighted[reading] / own;
        let log_determinant = self.log_determinant + own.ln();
        -0.5 * (chi_square + log_determinant + (self.count() - 1) as f64 * std::f64::consts::TAU.ln())
    }

    /// The normalised residual of a reading with this variance of its own; none where the others say nothing about it, so that it
    /// cannot be blamed.
    pub fn normalised_residual(&self, reading: usize, own_variance: f64) -> Option<f64> {
        let information = self.inverse[reading * self.count() + reading];
        (information * own_variance > LEAST_REDUNDANCY).then(|| self.weighted[reading] / information.sqrt())
    }

    /// By how many of its own standard deviations an element is off that moves the readings by `column` (one column of the Jacobian); none
    /// where no reading depends on it. Its sign says to which side.
    pub fn normalised_element(&self, column: &[f64]) -> Option<f64> {
        let n = self.count();
        let along: f64 = column.iter().zip(&self.weighted).map(|(c, w)| c * w).sum();
        let information: f64 =
            (0..n).map(|i| column[i] * (0..n).map(|j| self.inverse[i * n + j] * column[j]).sum::<f64>()).sum();
        (information > 0.0 && information.is_finite()).then(|| along / information.sqrt())
    }
}

/// What is left of a fit when some rows of it are others: as much as the likelihoods with and without each reading need.
#[derive(Clone, Debug)]
pub struct ChangedFit {
    /// `dᵀ·C⁻¹·d`.
    pub chi_square: f64,
    log_determinant: f64,
    /// For each row its `(C⁻¹·d)_i` and `(C⁻¹)_ii`: kept ones in their order, then the new ones.
    rows: Vec<[f64; 2]>,
}

impl Fit {
    /// The fit without some rows and with others: `d` and their covariances, each first with the kept rows in their order, then among
    /// themselves. Costs rows² times the changed ones (block inverse, Schur complement), where a new factorisation costs rows³.
    pub fn changed(&self, kept: &[usize], removed: &[usize], d: &[f64], covariance: &[Vec<f64>]) -> Option<ChangedFit> {
        let (n, r, t) = (self.count(), removed.len(), d.len());
        // Without the removed rows: C_UU⁻¹ = P_UU − P_UR·P_RR⁻¹·P_RU.
        let mut block = vec![0.0; r * r];
        for (i, &a) in removed.iter().enumerate() {
            for (j, &b) in removed.iter().enumerate() {
                block[i * r + j] = self.inverse[a * n + b];
            }
        }
        let (solved, log_block) = dense::inverse(&block, r)?;
        let w: Vec<f64> = removed.iter().map(|&a| self.weighted[a]).collect();
        let solve =
            |v: &[f64]| -> Vec<f64> { (0..r).map(|i| (0..r).map(|j| solved[i * r + j] * v[j]).sum()).collect() };
        let dot = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(a, b)| a * b).sum() };
        let removed_w = solve(&w);
        let chi_square = self.chi_square() - dot(&w, &removed_w);
        let log_determinant = self.log_determinant + log_block;
        let row_of = |k: usize| -> Vec<f64> { removed.iter().map(|&a| self.inverse[k * n + a]).collect() };
        let kept_rows: Vec<Vec<f64>> = kept.iter().map(|&k| row_of(k)).collect();
        let mut rows: Vec<[f64; 2]> = kept
            .iter()
            .zip(&kept_rows)
            .map(|(&k, row)| [self.weighted[k] - dot(row, &removed_w), self.inverse[k * n + k] - dot(row, &solve(row))])
            .collect();
        if t == 0 {
            return Some(ChangedFit { chi_square, log_determinant, rows });
        }
        // With the new ones: s = C_UU⁻¹·C_UT, S = C_TT − C_TU·s.
        let s: Vec<Vec<f64>> = covariance
            .iter()
            .map(|column| {
                let mut along = vec![0.0; r];
                for (row, c) in kept_rows.iter().zip(column) {
                    along.iter_mut().zip(row).for_each(|(a, p)| *a += p * c);
                }
                let along = solve(&along);
                kept.iter()
                    .zip(&kept_rows)
                    .map(|(&k, row)| {
                        let own: f64 = kept.iter().zip(column).map(|(&j, c)| self.inverse[k * n + j] * c).sum();
                        own - dot(row, &along)
                    })
                    .collect()
            })
            .collect();
        let u = kept.len();
        let mut schur = vec![0.0; t * t];
        for i in 0..t {
            for j in 0..t {
                schur[i * t + j] = covariance[i][u + j] - dot(&covariance[i][..u], &s[j]);
            }
        }
        let (inverse, log_schur) = dense::inverse(&schur, t)?;
        // d_T − C_TU·C_UU⁻¹·d_U, with C_UU⁻¹·d_U what stands in the rows.
        let e: Vec<f64> =
            (0..t).map(|i| d[i] - rows.iter().zip(&covariance[i]).map(|(row, c)| row[0] * c).sum::<f64>()).collect();
        let f: Vec<f64> = (0..t).map(|i| (0..t).map(|j| inverse[i * t + j] * e[j]).sum()).collect();
        for (k, row) in rows.iter_mut().enumerate() {
            let at: Vec<f64> = s.iter().map(|column| column[k]).collect();
            row[0] -= dot(&at, &f);
            row[1] += (0..t).map(|i| at[i] * (0..t).map(|j| inverse[i * t + j] * at[j]).sum::<f64>()).sum::<f64>();
        }
        rows.extend((0..t).map(|i| [f[i], inverse[i * t + i]]));
        Some(ChangedFit { chi_square: chi_square + dot(&e, &f), log_determinant: log_determinant + log_schur, rows })
    }

    /// The same with nothing changed.
    pub fn whole(&self) -> ChangedFit {
        let rows = (0..self.count()).map(|i| [self.weighted[i], self.inverse[i * self.count() + i]]).collect();
        ChangedFit { chi_square: self.chi_square(), log_determinant: self.log_determinant, rows }
    }
}

impl ChangedFit {
    /// Logarithm of the Gaussian density.
    pub fn log_density(&self) -> f64 {
        -0.5 * (self.chi_square + self.log_determinant + self.rows.len() as f64 * std::f64::consts::TAU.ln())
    }

    /// The same without one row.
    pub fn log_density_without(&self, row: usize) -> f64 {
        let [weighted, information] = self.rows[row];
        let chi_square = self.chi_square - weighted * weighted / information;
        let log_determinant = self.log_determinant + information.ln();
        -0.5 * (chi_square + log_determinant + (self.rows.len() - 1) as f64 * std::f64::consts::TAU.ln())
    }
}

/// Probability that χ² of so many degrees of freedom comes out greater (the regularised upper incomplete gamma function; series
/// and continued fraction as in Abramowitz and Stegun 6.5.29 and 6.5.31).
pub fn chi_square_exceeds(chi_square: f64, degrees: usize) -> f64 {
    let (a, x) = (degrees as f64 / 2.0, chi_square / 2.0);
    if degrees == 0 || x <= 0.0 {
        return 1.0;
    }
    let front = (a * x.ln() - x - log_gamma(a)).exp();
    if x < a + 1.0 {
        let (mut term, mut sum, mut n) = (1.0 / a, 1.0 / a, a);
        while term > sum * 1e-15 {
            n += 1.0;
            term *= x / n;
            sum += term;
        }
        (1.0 - front * sum).clamp(0.0, 1.0)
    } else {
        let (mut b, mut c) = (x + 1.0 - a, f64::MAX);
        let mut d = 1.0 / b;
        let mut h = d;
        for i in 1..500 {
            let an = -(i as f64) * (i as f64 - a);
            b += 2.0;
            d = 1.0 / (an * d + b);
            c = b + an / c;
            h *= c * d;
            if (c * d - 1.0).abs() < 1e-14 {
                break;
            }
        }
        (front * h).clamp(0.0, 1.0)
    }
}

/// Logarithm of Γ for halves of whole numbers.
fn log_gamma(a: f64) -> f64 {
    let (mut value, mut sum) = (a, 0.0);
    while value > 1.0 {
        value -= 1.0;
        sum += value.ln();
    }
    if value == 0.5 { sum + 0.5 * std::f64::consts::PI.ln() } else { sum }
}

/// The share of a standard normal distribution below `z`: of the incomplete gamma function above, with a = ½ (Abramowitz and Stegun
/// 7.1.26 is too coarse in the tails).
pub fn normal_below(z: f64) -> f64 {
    let upper = 0.5 * chi_square_exceeds(z * z, 1);
    if z < 0.0 { upper } else { 1.0 - upper }
}
