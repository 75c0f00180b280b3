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

/// The share of a standard normal distribution below `z` (Abramowitz and Stegun 7.1.26 is too coarse in the tails; this is W. J.
/// Cody's idea in short: a series inside, a continued fraction outside).
pub fn normal_below(z: f64) -> f64 {
    let upper = 0.5 * chi_square_exceeds(z * z, 1);
    if z < 0.0 { upper } else { 1.0 - upper }
}
