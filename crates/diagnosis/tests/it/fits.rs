//! χ², normalised residuals and what is left of a fit with other rows: against published examples, and against themselves done the
//! long way.

use diagnosis::gaussian::{Fit, chi_square_exceeds};
use oracle::drawn::Draw;

#[test]
fn other_rows_give_what_a_new_factorisation_gives() {
    let mut draw = Draw(5);
    for case in 0..200 {
        let (n, t) = (3 + case % 5, case % 3);
        let all = n + t;
        let root: Vec<f64> = (0..all * all).map(|_| draw.between(-1.0, 1.0)).collect();
        let covariance = |i: usize, j: usize| -> f64 {
            (0..all).map(|k| root[i * all + k] * root[j * all + k]).sum::<f64>() + if i == j { 0.3 } else { 0.0 }
        };
        let d: Vec<f64> = (0..all).map(|_| draw.between(-2.0, 2.0)).collect();
        let matrix = |rows: &[usize]| -> Vec<f64> {
            rows.iter().flat_map(|&i| rows.iter().map(move |&j| (i, j))).map(|(i, j)| covariance(i, j)).collect()
        };
        let first: Vec<usize> = (0..n).collect();
        let fit = Fit::new(d[..n].to_vec(), &matrix(&first)).unwrap();
        let (removed, kept): (Vec<usize>, Vec<usize>) = (0..n).partition(|i| i % 3 == case % 3);
        let fresh: Vec<usize> = (n..all).collect();
        let now: Vec<usize> = kept.iter().chain(&fresh).copied().collect();
        let columns: Vec<Vec<f64>> = fresh.iter().map(|&i| now.iter().map(|&j| covariance(i, j)).collect()).collect();
        let changed = fit.changed(&kept, &removed, &d[n..], &columns).unwrap();
        let whole = Fit::new(now.iter().map(|&i| d[i]).collect(), &matrix(&now)).unwrap();
        assert!((changed.chi_square - whole.chi_square()).abs() < 1e-9);
        assert!((changed.log_density() - whole.log_density()).abs() < 1e-9);
        for row in 0..now.len() {
            assert!((changed.log_density_without(row) - whole.log_density_without(row)).abs() < 1e-9);
            let rest: Vec<usize> = now.iter().enumerate().filter(|(k, _)| *k != row).map(|(_, i)| *i).collect();
            let rest = Fit::new(rest.iter().map(|&i| d[i]).collect(), &matrix(&rest)).unwrap();
            assert!((whole.log_density_without(row) - rest.log_density()).abs() < 1e-9);
        }
    }
}

/// Weighted least squares through the engine's own functions: a state of which nothing is known has a variance beyond all measure.
fn least_squares(h: &[&[f64]], deviations: &[f64], readings: &[f64]) -> Fit {
    let n = readings.len();
    let beyond = 1e10 * deviations.iter().map(|s| s * s).fold(0.0, f64::max);
    let mut covariance = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..n {
            let along: f64 = h[i].iter().zip(h[j]).map(|(a, b)| a * b).sum();
            covariance[i * n + j] = beyond * along + if i == j { deviations[i] * deviations[i] } else { 0.0 };
        }
    }
    Fit::new(readings.to_vec(), &covariance).unwrap()
}

/// Flows on three lines between three buses: x = 0.2, 0.4, 0.25 between 1–2, 1–3 and 3–2, 62, 6 and 37 MW, σ = 0.01 pu on 100 MVA (a
/// university's course on power systems): J = 2.143, and with one reading more than unknowns all three are suspected alike.
#[test]
fn three_buses() {
    // Bus 3 is the reference: 1–2, 1–3, 3–2 as θ1 and θ2 give them.
    let h: [&[f64]; 3] = [&[5.0, -5.0], &[2.5, 0.0], &[0.0, -4.0]];
    let fit = least_squares(&h, &[0.01; 3], &[0.62, 0.06, 0.37]);
    assert!((fit.chi_square() - 2.143).abs() < 1e-3, "{}", fit.chi_square());
    for reading in 0..3 {
        let off = fit.normalised_residual(reading, 1e-4).unwrap().abs();
        assert!((off - 1.464).abs() < 1e-3, "{off}");
    }
    // θ = 0.02857, −0.09429: what the readings less their residuals say.
    let estimate = |reading: usize, read: f64| read - 1e-4 * fit.weighted()[reading];
    assert!((estimate(1, 0.06) / 2.5 - 0.02857).abs() < 1e-5);
    assert!((estimate(2, 0.37) / -4.0 - -0.09429).abs() < 1e-5);
    // With two readings for two unknowns nothing can be blamed.
    let none = least_squares(&h[..2], &[0.01; 2], &[0.62, 0.06]);
    assert_eq!([0, 1].map(|reading| none.normalised_residual(reading, 1e-4)), [None, None]);
}

/// Two sources of unknown volts, each through 1 Ω to its node, 1 Ω from each node to ground, 1 Ω between: 9.01 and 3.02 A, 6.98 and 5.01 V,
/// weights 100, 100, 50, 50 (Grainger and Stevenson, Power System Analysis, ch. 15; data from memory, solved here): 16.0072 and 8.0261 V,
/// J = 0.0435; with 4.40 V for the last J = 15.10, and the last reading is the one that is off.
#[test]
fn resistive_network_with_bad_data() {
    // By superposition: a node of its own source is at 3/8 of it, that of the other at 1/8.
    let h: [&[f64]; 4] =
        [&[5.0 / 8.0, -1.0 / 8.0], &[-1.0 / 8.0, 5.0 / 8.0], &[3.0 / 8.0, 1.0 / 8.0], &[1.0 / 8.0, 3.0 / 8.0]];
    let deviations = [0.1, 0.1, 0.02_f64.sqrt(), 0.02_f64.sqrt()];
    let good = [9.01, 3.02, 6.98, 5.01];
    let fit = least_squares(&h, &deviations, &good);
    assert!((fit.chi_square() - 0.0435).abs() < 1e-3, "{}", fit.chi_square());
    let fitted = |fit: &Fit, read: &[f64], k: usize| read[k] - deviations[k] * deviations[k] * fit.weighted()[k];
    // From the first two: 5/8·V1 − 1/8·V2 and −1/8·V1 + 5/8·V2.
    let (i1, i2) = (fitted(&fit, &good, 0), fitted(&fit, &good, 1));
    let volts = [(5.0 * i1 + i2) / 3.0, (i1 + 5.0 * i2) / 3.0];
    assert!((volts[0] - 16.0072).abs() < 1e-3 && (volts[1] - 8.0261).abs() < 1e-3, "{volts:?}");

    let bad = [9.01, 3.02, 6.98, 4.40];
    let fit = least_squares(&h, &deviations, &bad);
    assert!((fit.chi_square() - 15.10).abs() < 0.01, "{}", fit.chi_square());
    assert!(chi_square_exceeds(fit.chi_square(), 2) < 0.01);
    let off = [0, 1, 2, 3].map(|k| fit.normalised_residual(k, deviations[k] * deviations[k]).unwrap());
    for (off, told) in off.into_iter().zip([1.42, 3.51, 0.47, -3.88]) {
        // Published with the sign of what was read less what was expected.
        assert!((off - told).abs() < 0.01 || (off + told).abs() < 0.01, "{off} {told}");
    }
    let without = least_squares(&h[..3], &deviations[..3], &bad[..3]);
    assert!((without.chi_square() - 0.0435).abs() < 1e-3, "{}", without.chi_square());
}

/// 9.21 and 11.34: the 1 % points of χ² with two and three degrees (any table).
#[test]
fn chi_square_table() {
    for (chi_square, degrees, share) in
        [(9.210, 2, 0.01), (11.345, 3, 0.01), (3.841, 1, 0.05), (18.307, 10, 0.05), (124.342, 100, 0.05)]
    {
        let found = chi_square_exceeds(chi_square, degrees);
        assert!((found - share).abs() < 2e-5, "{chi_square} {degrees}: {found}");
    }
}
