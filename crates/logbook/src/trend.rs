//! Readings of one test over the years: corrected for the air, held against the mean of the first three, and when the limit will be
//! crossed.

use crate::cusum::{Cusum, H, K, cusum};

/// The temperature at which readings are compared, in °C: that of handbook resistances.
pub const REFERENCE_CELSIUS: f64 = 20.0;
/// Readings that make the mean against which later ones are held.
pub const BASELINE: usize = 3;
/// What the air of a reading is taken to be off by where it was noted, in K (standard uncertainty): a room's thermometer is not at the
/// rail. Our own default.
const AIR_NOTED: f64 = 1.0;
/// The same where it was not noted: ±5 K as a rectangular distribution. Our own default.
const AIR_UNKNOWN: f64 = 5.0 / 1.732_050_807_568_877_2;

/// One reading of a test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct YearReading {
    /// When, in years; from any day on, but the same for all.
    pub year: f64,
    /// What was read, in the test's unit.
    pub value: f64,
    /// How warm the air was, in °C.
    pub air: Option<f64>,
    /// Its standard uncertainty beside other readings of the same meter.
    pub uncertainty: f64,
}

/// What readings over the years say.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// The readings as they would be at 20 °C.
    pub corrected: Vec<f64>,
    /// The mean of the first three.
    pub mean: f64,
    /// The standard deviation that chance alone gives.
    pub sigma: f64,
    /// The sums of the readings after the first three.
    pub sums: Cusum,
    /// What it changes by in a year; none where the readings lie too near together in time to tell.
    pub slope: Option<f64>,
    /// Which reading first showed a change, by its index among all.
    pub changed: Option<usize>,
    /// When the limit is crossed if it goes on so, in years as the readings have them: only where a change showed, and only if it
    /// leads there within [`FAR`] years.
    pub crosses: Option<f64>,
    /// How many readings have no air noted.
    pub without_air: usize,
}

/// Readings over less than this many years tell no pace: a quarter. Our own default.
pub const LEAST_SPAN: f64 = 0.25;

/// Years beyond which nobody should say when a limit is crossed.
pub const FAR: f64 = 30.0;

/// What readings over the years say, in order of time; none where there are no more than the first three. `per_kelvin` is the
/// temperature coefficient of what is measured, `passes` from where to where a reading is well.
pub fn trend(readings: &[YearReading], per_kelvin: f64, passes: [f64; 2]) -> Option<Trend> {
    let finite = readings.iter().all(|r| r.value.is_finite() && r.year.is_finite());
    if readings.len() <= BASELINE || !finite {
        return None;
    }
    let corrected: Vec<f64> = readings.iter().map(|r| at_reference(r.value, r.air, per_kelvin)).collect();
    let mean = corrected[..BASELINE].iter().sum::<f64>() / BASELINE as f64;
    let own = |r: &YearReading| {
        let air = if r.air.is_some() { AIR_NOTED } else { AIR_UNKNOWN };
        r.uncertainty.powi(2) + (r.value * per_kelvin * air).powi(2)
    };
    let chance = readings.iter().map(own).sum::<f64>() / readings.len() as f64;
    // Three readings tell little of their own scatter, and by luck may be alike: it counts only where it is more than the meter's.
    let scatter = corrected[..BASELINE].iter().map(|c| (c - mean).powi(2)).sum::<f64>() / (BASELINE - 1) as f64;
    let sigma = chance.max(scatter).sqrt().max(f64::MIN_POSITIVE);
    let sums = cusum(&corrected[BASELINE..], mean, K * sigma, H * sigma);
    let years: Vec<f64> = readings.iter().map(|r| r.year).collect();
    let last = years[years.len() - 1];
    let slope = (last - years[0] >= LEAST_SPAN).then(|| slope(&years, &corrected));
    let changed = sums.signal.map(|(index, _)| index + BASELINE);
    let crosses = slope.filter(|_| changed.is_some()).and_then(|slope| {
        let limit = if slope > 0.0 { passes[1] } else { passes[0] };
        // The line of that slope through the middle of all readings.
        let middle = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
        let at = middle(&years) + (limit - middle(&corrected)) / slope;
        (at.is_finite() && at < last + FAR).then(|| at.max(last))
    });
    let without_air = readings.iter().filter(|r| r.air.is_none()).count();
    Some(Trend { corrected, mean, sigma, sums, slope, changed, crosses, without_air })
}

/// What would be read at 20 °C. Where the air is not known it stays as it is.
pub fn at_reference(value: f64, air: Option<f64>, per_kelvin: f64) -> f64 {
    air.map_or(value, |air| value / (1.0 + per_kelvin * (air - REFERENCE_CELSIUS)))
}

/// The middle of the slopes between any two readings (Theil 1950, Sen 1968): one bad reading does not turn it.
fn slope(years: &[f64], values: &[f64]) -> f64 {
    let mut slopes: Vec<f64> = Vec::new();
    for (at, (year, value)) in years.iter().zip(values).enumerate() {
        let later = years[at + 1..].iter().zip(&values[at + 1..]);
        slopes.extend(later.filter(|(y, _)| **y - year > 1e-3).map(|(y, v)| (v - value) / (y - year)));
    }
    slopes.sort_by(f64::total_cmp);
    match slopes.len() {
        0 => 0.0,
        count if count % 2 == 1 => slopes[count / 2],
        count => (slopes[count / 2 - 1] + slopes[count / 2]) / 2.0,
    }
}
