//! What was read and seen, against what a hypothesis says would be: its likelihood with its own covariance.
//!
//! `C = J·diag(s²)·Jᵀ + shared factors + instrument`, J as the current runs *under that hypothesis*: where a joint is open the
//! current takes other parts, and their spread counts. What parts resist is distributed evenly in its logarithm, and a reading of
//! few parts is as lopsided as they are. So readings are compared as `z = ln(y + δ)`, with δ two deviations of the instrument:
//! about linear where the instrument's error rules, logarithmic where the parts' spread does; mean and deviation of `z` are those of
//! a log-normal sum (Fenton 1960, Wilkinson), and the correlations are those of `C`.

use crate::age::{Resistance, SHARED};
use crate::fault::{Fault, STEP_SPREAD, TOO_MUCH};
use crate::gaussian::{Fit, normal_below};
use crate::observation::{Measurement, Running, Symptom, Value};
use crate::state::{Changed, Response, State, across};
use crate::wiring::{Change, Wiring};
use std::rc::Rc;

/// How often a reading is wrong: mistyped, taken at another place, in another setting. Our own default.
pub const WRONG_READING: f64 = 0.01;
/// How often something seen is told wrongly. Our own default.
const WRONG_SYMPTOM: f64 = 0.03;
/// How wide readings are spread, in logarithms, where nothing is known of them.
const ANYWHERE: f64 = 12.0;
/// Of readings that are wrong, the share that are off by a decimal point either way.
const DECIMAL_POINT: f64 = 0.25;

/// A reading with what it reads at one age.
pub struct Reading {
    /// How it was taken.
    pub measurement: Measurement,
    /// What it said.
    pub value: Value,
    /// What it reads, and the volts everywhere.
    pub response: Response,
}

/// Something seen, with what it depends on at one age.
pub struct Sighting {
    /// What was seen.
    pub symptom: Symptom,
    /// For each pair of places its loop.
    pub responses: Vec<Response>,
}

/// All that was read and seen, at one age.
#[derive(Default)]
pub struct Evidence {
    /// Readings.
    pub readings: Vec<Reading>,
    /// What was seen.
    pub sightings: Vec<Sighting>,
}

/// How readings fit a hypothesis.
#[derive(Clone, Debug, Default)]
pub struct Likelihood {
    /// Logarithm of the likelihood of everything.
    pub log: f64,
    /// χ² of the readings that have a value under it, and how many they are.
    pub chi_square: f64,
    /// How many they are.
    pub degrees: usize,
    /// For each reading the probability that it is wrong, if the hypothesis holds.
    pub wrong: Vec<f64>,
}

/// A reading under a hypothesis: what would be read in ohms, and by how much it follows each edge's resistance.
pub struct Expected {
    /// Ohms.
    pub ohms: f64,
    /// For each edge that carries current `∂R/∂r`, and the deviation of its resistance.
    pub sensitivity: Vec<f64>,
}

/// The spread of parts at an age, with what a hypothesis changes of it.
pub struct Spreads<'a> {
    /// Of every edge.
    pub parts: &'a [Resistance],
}

/// Mean and deviation of `ln(y + δ)`.
#[derive(Clone, Copy, Debug)]
pub struct LogReading {
    /// Mean.
    pub mean: f64,
    /// Deviation.
    pub deviation: f64,
}

/// Mean and deviation of the logarithm, from those of the reading itself (a log-normal sum).
pub fn log_reading(ohms: f64, variance: f64, delta: f64) -> LogReading {
    let at = ohms.max(0.0) + delta;
    let square = (1.0 + variance.max(0.0) / (at * at)).ln();
    LogReading { mean: at.ln() - 0.5 * square, deviation: square.sqrt() }
}

/// δ of an instrument.
pub fn delta(measurement: &Measurement) -> f64 {
    let errors = measurement.kit.errors();
    2.0 * (errors.digits + errors.zero).max(1e-5)
}

impl Evidence {
    /// Whether a fault moves any of it, by more than a thousandth of a deviation or so.
    pub fn is_touched(&self, wiring: &Wiring, fault: Fault) -> bool {
        let moved = |response: &Response, delta: f64| {
            let changes = response.state.changes(wiring, fault);
            let ends = |c: &Change| response.state.ends(c.slot);
            let any = changes.iter().any(|c| {
                let (force, sense) = (across(&response.force, ends(c)), across(&response.sense, ends(c)));
                // No more than this can come of it, whatever the others do: half of it is a bound for one change.
                let between = response.state.between(c.slot).max(1e-9);
                (force * sense).abs() / between > 1e-4 * (response.ohms + delta)
            });
            any
        };
        self.readings.iter().any(|r| moved(&r.response, delta(&r.measurement)))
            || self.sightings.iter().flat_map(|s| &s.responses).any(|r| moved(r, 0.1))
    }

    /// A quick upper estimate of the logarithm of the likelihood: each reading by itself, with a deviation that is generous.
    pub fn screen(&self, wiring: &Wiring, faults: &[Fault], healthy: &[f64]) -> f64 {
        let mut log = 0.0;
        for (reading, &variance) in self.readings.iter().zip(healthy) {
            let ohms = mean_ohms(&reading.response, wiring, faults);
            let moved = 0.35 * (ohms - reading.response.ohms);
            let floor = (WRONG_READING / ANYWHERE).ln();
            log += self.single(reading, ohms, variance + moved * moved).max(floor);
        }
        log + self.seen(wiring, faults)
    }

    fn single(&self, reading: &Reading, ohms: f64, variance: f64) -> f64 {
        match reading.value {
            Value::Ohms(value) if ohms < reading.measurement.kit.errors().most => {
                let delta = delta(&reading.measurement);
                let expected = log_reading(ohms, variance, delta);
                let z = ((value.max(0.0) + delta).ln() - expected.mean) / expected.deviation;
                -0.5 * z * z - expected.deviation.ln()
            }
            value => discrete(&reading.measurement, ohms, value).ln(),
        }
    }

    /// Logarithm of the likelihood of what was seen.
    fn seen(&self, wiring: &Wiring, faults: &[Fault]) -> f64 {
        self.sightings.iter().map(|sighting| sighting.likelihood(wiring, faults).ln()).sum()
    }

    /// The likelihood of everything if some faults are there, with their own covariance.
    pub fn likelihood(&self, wiring: &Wiring, parts: &[Resistance], faults: &[Fault]) -> Likelihood {
        let mut valued = Vec::new();
        let mut log = self.seen(wiring, faults);
        let mut wrong = vec![0.0; self.readings.len()];
        for (index, reading) in self.readings.iter().enumerate() {
            let changes = changes_of(&reading.response.state, wiring, faults);
            let changed = reading.response.with(&changes);
            match reading.value {
                Value::Ohms(value) if changed.ohms < reading.measurement.kit.errors().most => {
                    valued.push((index, value, sensitivities(wiring, reading, &changes, &changed), changed.ohms));
                }
                value => {
                    // Already a mixture of right and wrong.
                    let right = discrete(&reading.measurement, changed.ohms, value);
                    log += right.ln();
                    let floor = 0.5 * WRONG_READING;
                    wrong[index] = (floor / right).min(1.0);
                }
            }
        }
        if valued.is_empty() {
            return Likelihood { log, chi_square: 0.0, degrees: 0, wrong };
        }
        let n = valued.len();
        let covariance = self.covariance(parts, &valued, faults);
        let deltas: Vec<f64> = valued.iter().map(|v| delta(&self.readings[v.0].measurement)).collect();
        let expected: Vec<LogReading> =
            (0..n).map(|i| log_reading(valued[i].3, covariance[i * n + i], deltas[i])).collect();
        let mut scaled = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..n {
                let correlation = covariance[i * n + j] / (covariance[i * n + i] * covariance[j * n + j]).sqrt();
                scaled[i * n + j] = correlation * expected[i].deviation * expected[j].deviation;
            }
        }
        let d: Vec<f64> =
            (0..n).map(|i| (valued[i].1.max(0.0) + deltas[i]).ln() - expected[i].mean).collect();
        let Some(fit) = Fit::new(d, &scaled) else {
            return Likelihood { log: log - 1e3, chi_square: f64::INFINITY, degrees: n, wrong };
        };
        // All right, or one of them wrong: anywhere, or right but for a decimal point.
        let all = fit.log_density() + n as f64 * (1.0 - WRONG_READING).ln();
        let mut terms = vec![all];
        for i in 0..n {
            let near = |factor: f64| {
                let z = ((valued[i].1.max(0.0) * factor + deltas[i]).ln() - expected[i].mean) / expected[i].deviation;
                (-0.5 * z * z).exp() / (expected[i].deviation * std::f64::consts::TAU.sqrt())
            };
            let anywhere = (1.0 - 2.0 * DECIMAL_POINT) / ANYWHERE + DECIMAL_POINT * (near(10.0) + near(0.1));
            terms.push(
                fit.log_density_without(i)
                    + (n - 1) as f64 * (1.0 - WRONG_READING).ln()
                    + (WRONG_READING * anywhere).ln(),
            );
        }
        let sum = log_sum(&terms);
        for i in 0..n {
            wrong[valued[i].0] = (terms[i + 1] - sum).exp();
        }
        Likelihood { log: log + sum, chi_square: fit.chi_square(), degrees: n, wrong }
    }

    /// Covariance of readings in ohms.
    fn covariance(
        &self,
        parts: &[Resistance],
        valued: &[(usize, f64, Vec<f64>, f64)],
        faults: &[Fault],
    ) -> Vec<f64> {
        let n = valued.len();
        let mut covariance = vec![0.0; n * n];
        let shared: Vec<[f64; SHARED]> = valued.iter().map(|v| shared_columns(parts, &v.2)).collect();
        let excess = excess_of(faults);
        for i in 0..n {
            for j in 0..=i {
                let (one, other) = (&valued[i].2, &valued[j].2);
                let mut sum = 0.0;
                for ((a, b), part) in one.iter().zip(other).zip(parts) {
                    if *a != 0.0 && *b != 0.0 {
                        sum += a * b * part.spread * part.spread;
                    }
                }
                sum += (0..SHARED).map(|s| shared[i][s] * shared[j][s]).sum::<f64>();
                for &(edge, ohms) in &excess {
                    sum += one[edge] * other[edge] * (ohms * STEP_SPREAD).powi(2);
                }
                sum += instrument(&self.readings[valued[i].0], &self.readings[valued[j].0], [valued[i].3, valued[j].3], i == j);
                covariance[i * n + j] = sum;
                covariance[j * n + i] = sum;
            }
        }
        covariance
    }

    /// Variance of each reading by itself without a fault, in square ohms.
    pub fn healthy_variances(&self, wiring: &Wiring, parts: &[Resistance]) -> Vec<f64> {
        self.readings.iter().map(|reading| variance(wiring, parts, reading, &[]).1).collect()
    }
}

/// What a reading would be with some faults, in ohms, and its variance.
pub fn variance(wiring: &Wiring, parts: &[Resistance], reading: &Reading, faults: &[Fault]) -> (f64, f64) {
    let changes = changes_of(&reading.response.state, wiring, faults);
    let changed = reading.response.with(&changes);
    let sensitivity = sensitivities(wiring, reading, &changes, &changed);
    let mut sum: f64 = sensitivity.iter().zip(parts).map(|(d, part)| (d * part.spread).powi(2)).sum();
    sum += shared_columns(parts, &sensitivity).iter().map(|s| s * s).sum::<f64>();
    sum += excess_of(faults).iter().map(|&(edge, ohms)| (sensitivity[edge] * ohms * STEP_SPREAD).powi(2)).sum::<f64>();
    sum += instrument(reading, reading, [changed.ohms; 2], true);
    (changed.ohms, sum)
}

/// The steps of excess resistance among some faults, by edge.
pub fn excess_of(faults: &[Fault]) -> Vec<(usize, f64)> {
    let of = |fault: &Fault| match *fault {
        Fault::More(edge, step) => Some((edge.index(), TOO_MUCH[usize::from(step)])),
        _ => None,
    };
    faults.iter().filter_map(of).collect()
}

/// By how much a reading follows each shared factor.
pub fn shared_columns(parts: &[Resistance], sensitivity: &[f64]) -> [f64; SHARED] {
    let mut columns = [0.0; SHARED];
    for (d, part) in sensitivity.iter().zip(parts) {
        if let Some((which, ohms)) = part.shared {
            columns[which as usize] += d * ohms;
        }
    }
    columns
}

/// Covariance of two readings from their instrument.
pub fn instrument(one: &Reading, other: &Reading, ohms: [f64; 2], same: bool) -> f64 {
    if one.measurement.kit != other.measurement.kit {
        return 0.0;
    }
    let errors = one.measurement.kit.errors();
    let both = errors.zero * errors.zero + errors.gain * errors.gain * ohms[0] * ohms[1];
    if same { both + errors.digits * errors.digits + (errors.share * ohms[0]).powi(2) } else { both }
}

/// What some faults change in a state.
pub fn changes_of(state: &Rc<State>, wiring: &Wiring, faults: &[Fault]) -> Vec<Change> {
    let mut changes: Vec<Change> = Vec::new();
    for change in faults.iter().flat_map(|&fault| state.changes(wiring, fault)) {
        if !changes.iter().any(|c| c.slot == change.slot) {
            changes.push(change);
        }
    }
    changes
}

/// What a reading would be with some faults, in ohms.
pub fn mean_ohms(response: &Response, wiring: &Wiring, faults: &[Fault]) -> f64 {
    let changes = changes_of(&response.state, wiring, faults);
    match changes.as_slice() {
        [] => response.ohms,
        [one] => response.with_one(*one, response.state.between(one.slot)),
        more => response.with(more).ohms,
    }
}

/// `∂R/∂r` of every edge: the current through it, times what a current through the probes would send there. An open or pulled edge
/// has none.
pub fn sensitivities(wiring: &Wiring, reading: &Reading, changes: &[Change], changed: &Changed) -> Vec<f64> {
    let response = &reading.response;
    let state = &response.state;
    let columns: Vec<_> = if changed.shares.iter().flatten().any(|x| *x != 0.0) {
        changes.iter().map(|change| state.column(change.slot)).collect()
    } else {
        Vec::new()
    };
    let same = Rc::ptr_eq(&response.force, &response.sense);
    let volts = |volts: &[f64], shares: &[f64], ends: [u32; 2]| {
        let mut v = across(volts, ends);
        for (column, x) in columns.iter().zip(shares) {
            v -= x * across(column, ends);
        }
        v
    };
    (0..wiring.circuit.edges.len())
        .map(|edge| {
            let mut siemens = state.siemens(edge);
            if siemens == 0.0 {
                return 0.0;
            }
            if let Some(change) = changes.iter().find(|change| change.slot == edge) {
                siemens += change.siemens;
            }
            let ends = state.ends(edge);
            let force = siemens * volts(&response.force, &changed.shares[0], ends);
            let sense = if same { force } else { siemens * volts(&response.sense, &changed.shares[1], ends) };
            force * sense
        })
        .collect()
}

/// Probability of a reading that has no value: open, or a buzzer; or of a value where open was to be expected.
pub fn discrete(measurement: &Measurement, ohms: f64, value: Value) -> f64 {
    let most = measurement.kit.errors().most;
    let wrong = 0.5 * WRONG_READING;
    let right = match value {
        // Meters sound, and end, at not quite the same ohms.
        Value::Sounds(sounds) => {
            let below = normal_below((most.ln() - ohms.max(1e-9).ln()) / 0.5);
            if sounds { below } else { 1.0 - below }
        }
        Value::Open => normal_below((ohms.max(1e-9).ln() - most.ln()) / 0.1),
        // A number where nothing was to be read: as wrong as can be.
        Value::Ohms(_) => return wrong / ANYWHERE,
    };
    (1.0 - WRONG_READING) * right + wrong
}

impl Sighting {
    /// Probability of what was seen, if some faults are there.
    pub fn likelihood(&self, wiring: &Wiring, faults: &[Fault]) -> f64 {
        let ohms = self.responses.iter().map(|response| mean_ohms(response, wiring, faults).max(1e-9));
        let below = |most: f64, ohms: f64| normal_below((most.ln() - ohms.ln()) / 0.6);
        let right = match self.symptom {
            Symptom::Runs { how, .. } => {
                // A train is weak where the loop takes a few volts, and stands where it takes nearly all.
                let worst = ohms.fold(1e-9, f64::max);
                match how {
                    Running::Well => below(3.0, worst),
                    Running::Dead => 1.0 - below(20.0, worst),
                    Running::Weak => (below(20.0, worst) - below(3.0, worst)).max(0.0),
                }
            }
            Symptom::Trips { trips, .. } => {
                let least = below(3.0, ohms.fold(f64::INFINITY, f64::min));
                if trips { least } else { 1.0 - least }
            }
        };
        (1.0 - WRONG_SYMPTOM) * right + WRONG_SYMPTOM / 3.0
    }
}

/// Logarithm of a sum of exponentials.
pub fn log_sum(terms: &[f64]) -> f64 {
    let most = terms.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + terms.iter().map(|term| (term - most).exp()).sum::<f64>().ln()
}
