//! What a reading would be under a hypothesis, what it depends on, and how likely what has no value is: open, a buzzer, a symptom.

use crate::age::{Resistance, SHARED};
use crate::fault::{Fault, STEP_SPREAD, TOO_MUCH};
use crate::gaussian::normal_below;
use crate::observation::{Measurement, Running, Symptom, Value};
use crate::state::{Changed, Response, State, across};
use crate::wiring::{Change, Wiring};
use std::rc::Rc;

/// How often a reading is wrong: mistyped, taken at another place, in another setting. Our own default.
pub const WRONG_READING: f64 = 0.01;
/// How often something seen is told wrongly. Our own default.
const WRONG_SYMPTOM: f64 = 0.03;
/// How wide readings are spread, in logarithms, where nothing is known of them.
pub(crate) const ANYWHERE: f64 = 12.0;

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

/// What a reading depends on.
#[derive(Clone, Debug, Default)]
pub(crate) struct Dependence {
    /// Ohms.
    pub ohms: f64,
    /// `∂R/∂r` of the edges that matter, in their order.
    pub edges: Vec<(u32, f64)>,
    /// By how much it follows each shared factor.
    pub shared: [f64; SHARED],
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

impl Dependence {
    /// Of a reading's sensitivities; what is next to nothing is left out, but not edges with a known excess.
    pub fn new(parts: &[Resistance], ohms: f64, sensitivity: Vec<f64>, excess: &[(usize, f64)]) -> Dependence {
        let shared = shared_columns(parts, &sensitivity);
        let weight = |(d, part): (&f64, &Resistance)| (d * part.spread).abs();
        let most = sensitivity.iter().zip(parts).map(weight).fold(0.0, f64::max);
        let edges = sensitivity.iter().zip(parts).enumerate().filter(|(edge, (d, part))| {
            (**d * part.spread).abs() > 1e-3 * most || **d != 0.0 && excess.iter().any(|e| e.0 == *edge)
        });
        Dependence { ohms, edges: edges.map(|(edge, (d, _))| (edge as u32, *d)).collect(), shared }
    }

    /// Covariance of two readings from the spread of parts.
    pub fn covariance(&self, other: &Dependence, parts: &[Resistance]) -> f64 {
        let mut sum: f64 = (0..SHARED).map(|s| self.shared[s] * other.shared[s]).sum();
        let (mut i, mut j) = (0, 0);
        while let (Some(a), Some(b)) = (self.edges.get(i), other.edges.get(j)) {
            match a.0.cmp(&b.0) {
                std::cmp::Ordering::Less => i += 1,
                std::cmp::Ordering::Greater => j += 1,
                std::cmp::Ordering::Equal => {
                    let spread = parts[a.0 as usize].spread;
                    sum += a.1 * b.1 * spread * spread;
                    (i, j) = (i + 1, j + 1);
                }
            }
        }
        sum
    }

    /// The same from what a known excess may be off by.
    pub fn excess(&self, other: &Dependence, excess: &[(usize, f64)]) -> f64 {
        let at = |of: &Dependence, edge: usize| {
            let found = of.edges.binary_search_by_key(&(edge as u32), |e| e.0);
            found.map_or(0.0, |place| of.edges[place].1)
        };
        let own = |&(edge, ohms): &(usize, f64)| at(self, edge) * at(other, edge) * (ohms * STEP_SPREAD).powi(2);
        excess.iter().map(own).sum()
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
    if let [Fault::Open(edge) | Fault::More(edge, _)] = faults
        && !response.reaches(edge.index())
    {
        return response.ohms;
    }
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
