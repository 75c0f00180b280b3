//! What was read and seen, against what a hypothesis says would be: its likelihood with its own covariance.
//!
//! `C = J·diag(s²)·Jᵀ + shared factors + instrument`, J as the current runs *under that hypothesis*: where a joint is open the
//! current takes other parts, and their spread counts. What parts resist is distributed evenly in its logarithm, and a reading of
//! few parts is as lopsided as they are. So readings are compared as `z = ln(y + δ)`, with δ two deviations of the instrument:
//! about linear where the instrument's error rules, logarithmic where the parts' spread does; mean and deviation of `z` are those of
//! a log-normal sum (Fenton 1960, Wilkinson), and the correlations are those of `C`.

use crate::age::Resistance;
use crate::fault::Fault;
use crate::foreseen::{
    ANYWHERE, Dependence, LogReading, Reading, Sighting, WRONG_READING, changes_of, delta, discrete, excess_of,
    instrument, log_reading, mean_ohms, sensitivities,
};
use crate::gaussian::Fit;
use crate::observation::Value;
use crate::state::{Changed, Response, across};
use crate::wiring::{Change, Wiring};
use std::rc::Rc;

/// Of readings that are wrong, the share that are off by a decimal point either way.
const DECIMAL_POINT: f64 = 0.25;

/// A tone, or a display that shows no number, counts in χ² where it is less likely than this under a hypothesis: the likely ones would only
/// hide what does not fit.
const UNLIKELY: f64 = 0.05;

/// All that was read and seen, at one age.
#[derive(Default)]
pub struct Evidence {
    /// Readings.
    pub readings: Vec<Reading>,
    /// What was seen.
    pub sightings: Vec<Sighting>,
    /// For each reading what it depends on without a fault.
    sound: Vec<Dependence>,
    /// Covariance of readings from the spread of parts, without a fault.
    sound_covariance: Vec<Vec<f64>>,
    /// How readings fit without a fault: those that have a value then.
    sound_fit: Option<SoundFit>,
}

/// How readings fit without a fault.
struct SoundFit {
    /// Readings that have a value, and are to have one.
    members: Vec<usize>,
    fit: Fit,
    /// For each reading what is expected of its logarithm, and by what that scales ohms.
    scale: Vec<(LogReading, f64)>,
}

/// How readings fit a hypothesis.
#[derive(Clone, Debug, Default)]
pub struct Likelihood {
    /// Logarithm of the likelihood of everything.
    pub log: f64,
    /// χ² of the readings that have a value under it, and of those others that it leaves unlikely.
    pub chi_square: f64,
    /// How many all these are.
    pub degrees: usize,
    /// For each reading the probability that it is wrong, if the hypothesis holds.
    pub wrong: Vec<f64>,
}

impl Evidence {
    /// Whether a fault moves any of it, by more than a fiftieth of a deviation or so. `deviations`: of each reading, without a fault.
    pub fn is_touched(&self, wiring: &Wiring, fault: Fault, deviations: &[f64]) -> bool {
        let moves = |response: &Response, slot: usize, deviation: f64| {
            let ends = response.state.ends(slot);
            let volts = (across(&response.force, ends) * across(&response.sense, ends)).abs();
            // A resistance between two ends is never more than what the largest leak leaves.
            volts > 1e-13 && volts / response.state.between(slot).max(1e-12) > 0.02 * deviation
        };
        let moved = |response: &Response, deviation: f64| match fault {
            Fault::Open(edge) | Fault::More(edge, _) => {
                response.state.siemens(edge.index()) > 0.0 && moves(response, edge.index(), deviation)
            }
            _ => {
                let changes = response.state.changes(wiring, fault);
                changes.iter().any(|change| moves(response, change.slot, deviation))
            }
        };
        self.readings.iter().zip(deviations).any(|(r, deviation)| moved(&r.response, *deviation))
            || self.sightings.iter().flat_map(|s| &s.responses).any(|r| moved(r, 0.5))
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
                -0.5 * z * z - expected.deviation.ln() - 0.5 * std::f64::consts::TAU.ln()
            }
            value => discrete(&reading.measurement, ohms, value).ln(),
        }
    }

    /// Logarithm of the likelihood of what was seen.
    fn seen(&self, wiring: &Wiring, faults: &[Fault]) -> f64 {
        self.sightings.iter().map(|sighting| sighting.likelihood(wiring, faults).ln()).sum()
    }

    /// Takes a reading in.
    pub fn push(&mut self, reading: Reading, wiring: &Wiring, parts: &[Resistance]) {
        let none = Changed { ohms: reading.response.ohms, shares: [Vec::new(), Vec::new()] };
        let own = Dependence::new(parts, none.ohms, sensitivities(wiring, &reading, &[], &none), &[]);
        self.sound.push(own);
        let last = &self.sound[self.sound.len() - 1];
        let row = self.sound.iter().map(|other| last.covariance(other, parts)).collect();
        self.sound_covariance.push(row);
        self.readings.push(reading);
        self.fit_sound();
    }

    /// Takes the last reading back.
    pub fn pop(&mut self) {
        self.readings.pop();
        self.sound.pop();
        self.sound_covariance.pop();
        self.fit_sound();
    }

    /// The likelihood of everything if some faults are there, with their own covariance.
    pub fn likelihood(&self, wiring: &Wiring, parts: &[Resistance], faults: &[Fault]) -> Likelihood {
        let excess = excess_of(faults);
        let mut valued = Vec::new();
        let mut log = self.seen(wiring, faults);
        let mut wrong = vec![0.0; self.readings.len()];
        let (mut surprise, mut surprises) = (0.0, 0);
        let mut state_of = None;
        for (index, reading) in self.readings.iter().enumerate() {
            // Readings taken under the same conditions have their changes in common.
            let state = &reading.response.state;
            if !matches!(&state_of, Some((of, _)) if Rc::ptr_eq(of, state)) {
                state_of = Some((state.clone(), changes_of(state, wiring, faults)));
            }
            let Some((_, changes)) = &state_of else { continue };
            // Where less than a hundredth of the current can be led elsewhere, nothing to speak of changes.
            let reach = |change: &Change| {
                let ends = state.ends(change.slot);
                let volts =
                    across(&reading.response.force, ends).abs().max(across(&reading.response.sense, ends).abs());
                volts / state.between(change.slot).max(1e-12)
            };
            let still = changes.iter().all(|change| reach(change) < 0.01);
            let sound = &self.sound[index];
            let (ohms, own) = if still {
                (sound.ohms, None)
            } else {
                let changed = reading.response.with(changes);
                let own = sensitivities(wiring, reading, changes, &changed);
                (changed.ohms, Some(Dependence::new(parts, changed.ohms, own, &excess)))
            };
            match reading.value {
                Value::Ohms(value) if ohms < reading.measurement.kit.errors().most => {
                    valued.push((index, value, own, ohms));
                }
                value => {
                    // Already a mixture of right and wrong.
                    let right = discrete(&reading.measurement, ohms, value);
                    log += right.ln();
                    let floor = 0.5 * WRONG_READING;
                    wrong[index] = (floor / right).min(1.0);
                    if right < UNLIKELY {
                        surprise -= 2.0 * right.max(floor).ln();
                        surprises += 1;
                    }
                }
            }
        }
        if valued.is_empty() {
            return Likelihood { log, chi_square: surprise, degrees: surprises, wrong };
        }
        let Some(sound) = &self.sound_fit else {
            return Likelihood { log: log - 1e3, chi_square: f64::INFINITY, degrees: valued.len(), wrong };
        };
        // Kept as they are without a fault: those that no change reaches.
        let (mut kept, mut removed) = (Vec::new(), Vec::new());
        let is_kept = |index: usize| valued.iter().any(|v| v.0 == index && v.2.is_none());
        for (place, &index) in sound.members.iter().enumerate() {
            if is_kept(index) { kept.push(place) } else { removed.push(place) }
        }
        let fresh: Vec<&(usize, f64, Option<Dependence>, f64)> =
            valued.iter().filter(|v| !(v.2.is_none() && sound.members.contains(&v.0))).collect();
        let mut order: Vec<(usize, f64, LogReading)> =
            kept.iter().map(|&place| sound.members[place]).map(|i| (i, self.value_of(i), sound.scale[i].0)).collect();
        let (mut d, mut columns, mut factors) = (Vec::new(), Vec::new(), Vec::new());
        for (index, value, own, ohms) in fresh.iter().copied() {
            let own = own.as_ref().unwrap_or(&self.sound[*index]);
            let reading = &self.readings[*index];
            let variance =
                own.covariance(own, parts) + own.excess(own, &excess) + instrument(reading, reading, [*ohms; 2], true);
            let delta = delta(&reading.measurement);
            let expected = log_reading(*ohms, variance, delta);
            let factor = expected.deviation / variance.sqrt();
            d.push((value.max(0.0) + delta).ln() - expected.mean);
            let mut column: Vec<f64> = kept
                .iter()
                .map(|&place| {
                    let other = sound.members[place];
                    let theirs = &self.sound[other];
                    let c = own.covariance(theirs, parts)
                        + own.excess(theirs, &excess)
                        + instrument(reading, &self.readings[other], [*ohms, theirs.ohms], false);
                    c * factor * sound.scale[other].1
                })
                .collect();
            for (before, factor_before) in fresh.iter().zip(&factors) {
                let theirs = before.2.as_ref().unwrap_or(&self.sound[before.0]);
                let c = own.covariance(theirs, parts)
                    + own.excess(theirs, &excess)
                    + instrument(reading, &self.readings[before.0], [*ohms, before.3], false);
                column.push(c * factor * factor_before);
            }
            column.push(variance * factor * factor);
            factors.push(factor);
            columns.push(column);
            order.push((*index, *value, expected));
        }
        // Each column holds those before it; the others follow from symmetry.
        let u = kept.len();
        for i in 0..columns.len() {
            for j in i + 1..columns.len() {
                let c = columns[j][u + i];
                columns[i].push(c);
            }
        }
        let n = order.len();
        if n == 0 {
            return Likelihood { log, chi_square: surprise, degrees: surprises, wrong };
        }
        let Some(fit) = sound.fit.changed(&kept, &removed, &d, &columns) else {
            return Likelihood { log: log - 1e3, chi_square: f64::INFINITY, degrees: n, wrong };
        };
        // All right, or one of them wrong: anywhere, or right but for a decimal point.
        let all = fit.log_density() + n as f64 * (1.0 - WRONG_READING).ln();
        let mut terms = vec![all];
        for (i, (index, value, expected)) in order.iter().enumerate() {
            let delta = delta(&self.readings[*index].measurement);
            let near = |factor: f64| {
                let z = ((value.max(0.0) * factor + delta).ln() - expected.mean) / expected.deviation;
                (-0.5 * z * z).exp() / (expected.deviation * std::f64::consts::TAU.sqrt())
            };
            let anywhere = (1.0 - 2.0 * DECIMAL_POINT) / ANYWHERE + DECIMAL_POINT * (near(10.0) + near(0.1));
            terms.push(
                fit.log_density_without(i)
                    + (n - 1) as f64 * (1.0 - WRONG_READING).ln()
                    + (WRONG_READING * anywhere).ln(),
            );
        }
        let sum = log_sum(&terms);
        for (i, (index, ..)) in order.iter().enumerate() {
            wrong[*index] = (terms[i + 1] - sum).exp();
        }
        Likelihood { log: log + sum, chi_square: fit.chi_square + surprise, degrees: n + surprises, wrong }
    }

    fn value_of(&self, index: usize) -> f64 {
        match self.readings[index].value {
            Value::Ohms(value) => value,
            _ => 0.0,
        }
    }

    /// How readings fit without a fault, worked out anew.
    fn fit_sound(&mut self) {
        let variances = self.sound_variances();
        let scale: Vec<(LogReading, f64)> = self
            .readings
            .iter()
            .zip(&self.sound)
            .zip(&variances)
            .map(|((reading, sound), variance)| {
                let expected = log_reading(sound.ohms, *variance, delta(&reading.measurement));
                (expected, expected.deviation / variance.sqrt())
            })
            .collect();
        let has = |i: &usize| {
            let most = self.readings[*i].measurement.kit.errors().most;
            matches!(self.readings[*i].value, Value::Ohms(_)) && self.sound[*i].ohms < most
        };
        let members: Vec<usize> = (0..self.readings.len()).filter(has).collect();
        let n = members.len();
        let mut covariance = vec![0.0; n * n];
        for (i, &a) in members.iter().enumerate() {
            for (j, &b) in members.iter().enumerate().take(i + 1) {
                let ohms = [self.sound[a].ohms, self.sound[b].ohms];
                let c = self.sound_covariance[a][b] + instrument(&self.readings[a], &self.readings[b], ohms, a == b);
                covariance[i * n + j] = c * scale[a].1 * scale[b].1;
                covariance[j * n + i] = covariance[i * n + j];
            }
        }
        let d = members
            .iter()
            .map(|&i| (self.value_of(i).max(0.0) + delta(&self.readings[i].measurement)).ln() - scale[i].0.mean)
            .collect();
        self.sound_fit = Fit::new(d, &covariance).map(|fit| SoundFit { members, fit, scale });
    }

    /// Variance of each reading by itself without a fault, in square ohms.
    pub fn sound_variances(&self) -> Vec<f64> {
        let own = self.readings.iter().zip(&self.sound).enumerate();
        own.map(|(k, (reading, sound))| {
            self.sound_covariance[k][k] + instrument(reading, reading, [sound.ohms; 2], true)
        })
        .collect()
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
