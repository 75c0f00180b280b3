//! The CUSUM against published ones.

use logbook::cusum::{H, K, cusum, siegmund_run_length, two_sided_run_length};

/// Chemical process concentrations: D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, 3rd edition,
/// example 16-6, tables 16-3 and 16-8: target 99, K = 1, H = 10; the sums as they are printed there.
const PRINTED: [(f64, f64, f64); 20] = [
    (102.0, 2.0, 0.0),
    (94.8, 0.0, 3.2),
    (98.3, 0.0, 2.9),
    (98.4, 0.0, 2.5),
    (102.0, 2.0, 0.0),
    (98.5, 0.5, 0.0),
    (99.0, 0.0, 0.0),
    (97.7, 0.0, 0.3),
    (100.0, 0.0, 0.0),
    (98.1, 0.0, 0.0),
    (101.3, 1.3, 0.0),
    (98.7, 0.0, 0.0),
    (101.1, 1.1, 0.0),
    (98.4, 0.0, 0.0),
    (97.0, 0.0, 1.0),
    (96.7, 0.0, 2.3),
    (100.3, 0.3, 0.0),
    (101.4, 1.7, 0.0),
    (97.2, 0.0, 0.8),
    (101.0, 1.0, 0.0),
];

#[test]
fn sums_are_those_of_the_published_example() {
    let readings = PRINTED.map(|row| row.0);
    let found = cusum(&readings, 99.0, 1.0, 10.0);
    for (index, (_, high, low)) in PRINTED.iter().enumerate() {
        assert!((found.high[index] - high).abs() < 1e-9, "{}: {} and {high}", index + 1, found.high[index]);
        assert!((found.low[index] - low).abs() < 1e-9, "{}: {} and {low}", index + 1, found.low[index]);
    }
    assert_eq!(found.signal, None, "the example is in control");
}

#[test]
fn a_shift_is_told_where_the_textbook_tells_it() {
    // D. C. Montgomery, Introduction to Statistical Quality Control, the example of the tabular CUSUM: twenty readings about 10,
    // ten about 11, K = 0.5, H = 5. Readings, the sum of 5.28 and its place, the 29th, are from memory.
    let readings = [
        9.45, 7.99, 9.29, 11.66, 12.16, 10.18, 8.04, 11.46, 9.20, 10.34, 9.03, 11.47, 10.51, 9.40, 10.08, 9.37, 10.62,
        10.31, 8.52, 10.84, 10.90, 9.33, 12.29, 11.50, 10.60, 11.08, 10.38, 11.62, 11.31, 10.52,
    ];
    let found = cusum(&readings, 10.0, 0.5, 5.0);
    assert_eq!(found.signal, Some((28, true)));
    assert!((found.high[28] - 5.28).abs() < 1e-9, "{}", found.high[28]);
}

/// Normal deviates by Box and Muller from a splitmix64 sequence.
pub fn normal(seed: &mut u64) -> f64 {
    let mut uniform = || {
        *seed = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = *seed;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    };
    let (one, other) = (uniform().max(1e-300), uniform());
    (-2.0 * one.ln()).sqrt() * (std::f64::consts::TAU * other).cos()
}

#[test]
fn run_lengths_are_the_published_ones() {
    // Two-sided, k = 0.5, h = 4: 168 in control, 26.6 at half a standard deviation, 8.38 at one, 3.34 at two (Montgomery, Introduction
    // to Statistical Quality Control, the table of run lengths; from memory).
    for (shift, printed) in [(0.0, 168.0), (0.5, 26.6), (1.0, 8.38), (2.0, 3.34)] {
        let mut seed = 17;
        let runs = 4000;
        let mut readings = 0;
        for _ in 0..runs {
            let mut row = Vec::new();
            loop {
                row.extend((0..64).map(|_| normal(&mut seed) + shift));
                if let Some((index, _)) = cusum(&row, 0.0, K, H).signal {
                    readings += index + 1;
                    break;
                }
            }
        }
        let found = readings as f64 / f64::from(runs);
        assert!((found / printed - 1.0).abs() < 0.06, "shift {shift}: {found} and {printed}");
    }
    // Siegmund's approximation, the figures of the textbook's own sum for k = 0.5, h = 5: 938.2 on one side, 469.1 on both.
    assert!((siegmund_run_length(0.0, 0.5, 5.0) - 938.2).abs() < 0.2);
    assert!((two_sided_run_length(0.0, 0.5, 5.0) - 469.1).abs() < 0.1);
    assert!((two_sided_run_length(0.0, K, H) - 168.0).abs() < 2.0, "{}", two_sided_run_length(0.0, K, H));
}
