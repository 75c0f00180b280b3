//! A slow change told early: the tabular CUSUM of a row of readings.
//!
//! E. S. Page, Continuous inspection schemes, Biometrika 41 (1954); in the form of D. C. Montgomery and G. C. Runger, Applied
//! Statistics and Probability for Engineers, 16-10.

/// How far readings may stray from the mean before that counts, in standard deviations: half of the change that is looked for.
pub const K: f64 = 0.5;
/// From which sum on it is a change, in standard deviations. With `K` a steady row of readings is called changing once in some 168
/// readings.
pub const H: f64 = 4.0;

/// Both sums after each reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Cusum {
    /// Sums of what readings were above the mean, in the unit of the readings.
    pub high: Vec<f64>,
    /// Sums of what readings were below the mean.
    pub low: Vec<f64>,
    /// The first reading after which one of both is beyond its limit, by its index, and whether it is the high one.
    pub signal: Option<(usize, bool)>,
}

/// The sums of readings against a mean. `allowance` is what each may be off by without being counted, `limit` from where on it is a
/// change; both in the unit of the readings.
pub fn cusum(readings: &[f64], mean: f64, allowance: f64, limit: f64) -> Cusum {
    let (mut high, mut low) = (Vec::with_capacity(readings.len()), Vec::with_capacity(readings.len()));
    let (mut up, mut down, mut signal) = (0.0_f64, 0.0_f64, None);
    for (index, reading) in readings.iter().enumerate() {
        up = (up + reading - mean - allowance).max(0.0);
        down = (down + mean - reading - allowance).max(0.0);
        if signal.is_none() && (up > limit || down > limit) {
            signal = Some((index, up > limit));
        }
        high.push(up);
        low.push(down);
    }
    Cusum { high, low, signal }
}

/// After how many readings of nothing but chance a one-sided sum is beyond its limit, on the average: D. Siegmund, Sequential Analysis
/// (1985), as Montgomery and Runger give it. `shift` is what the mean is really off by; all in standard deviations.
pub fn siegmund_run_length(shift: f64, allowance: f64, limit: f64) -> f64 {
    let (delta, b) = (shift - allowance, limit + 1.166);
    if delta.abs() < 1e-9 { b * b } else { ((-2.0 * delta * b).exp() + 2.0 * delta * b - 1.0) / (2.0 * delta * delta) }
}

/// The same of both sums together.
pub fn two_sided_run_length(shift: f64, allowance: f64, limit: f64) -> f64 {
    let [up, down] = [shift, -shift].map(|shift| siegmund_run_length(shift, allowance, limit));
    1.0 / (1.0 / up + 1.0 / down)
}
