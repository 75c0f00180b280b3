//! What may be claimed of a ranking: what it has excluded, which readings it doubts, what a measurement would read.

use crate::fault::{Element, Fault};
use crate::foreseen::mean_ohms;
use crate::hunt::Hunt;
use crate::observation::{Measurement, Observation, Value};
use crate::ranking::Ranking;
use circuit::ControlId;
use network::BadConductance;

/// From here on a claim is made.
pub const SURE: f64 = 0.95;
/// By how many times the odds of a fault must have fallen for it to count as excluded.
const EXCLUDED: f64 = 20.0;
/// Probability from which a reading is doubted.
const DOUBTED: f64 = 0.3;

/// What a claim that nothing is wrong has excluded.
#[derive(Clone, Debug, Default)]
pub struct Excluded {
    /// What has been shown to be well.
    pub well: Vec<Element>,
    /// What nothing says anything about yet.
    pub untested: Vec<Element>,
}

/// A reading that is probably wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubted {
    /// Which one, from 0, among the readings.
    pub reading: usize,
    /// How probable.
    pub probability: f64,
    /// Positions in which it would fit.
    pub would_fit: Vec<(ControlId, u8)>,
    /// Whether it would fit but for a decimal point.
    pub decimal_point: bool,
}

impl Hunt {
    /// What is excluded, and what not: single faults against none, before and after.
    pub fn excluded(&self, ranking: &Ranking) -> Excluded {
        let healthy = ranking.healthy().max(1e-300);
        let mut prior = vec![0.0; self.wiring.suspects.len()];
        for (age, (_, weight)) in self.ages.iter().enumerate() {
            let own = self.priors(age);
            prior.iter_mut().zip(own).for_each(|(sum, p)| *sum += weight.exp() * p);
        }
        let mut excluded = Excluded::default();
        for (suspect, prior) in self.wiring.suspects.iter().zip(prior) {
            let found = ranking.ranked.iter().find(|r| r.elements == [suspect.element]);
            let odds = found.map_or(0.0, |r| r.probability) / healthy;
            if odds < prior / EXCLUDED {
                excluded.well.push(suspect.element);
            } else {
                excluded.untested.push(suspect.element);
            }
        }
        excluded
    }

    /// Readings that are probably wrong, with what they would fit.
    ///
    /// # Errors
    /// When a resistance is none that can be calculated with.
    pub fn doubted(&mut self, ranking: &Ranking) -> Result<Vec<Doubted>, BadConductance> {
        let readings: Vec<(Measurement, Value)> = self
            .observations
            .iter()
            .filter_map(|o| match o {
                Observation::Read { measurement, value } => Some((measurement.clone(), *value)),
                Observation::Seen { .. } => None,
            })
            .collect();
        let Some(best) = ranking.hypotheses.first() else { return Ok(Vec::new()) };
        let (faults, age) = (best.faults.clone(), best.age);
        let mut found = Vec::new();
        for (reading, (measurement, value)) in readings.into_iter().enumerate() {
            let probability = ranking.wrong.get(reading).copied().unwrap_or(0.0);
            if probability < DOUBTED {
                continue;
            }
            let near = |ohms: f64, value: Value| match value {
                Value::Ohms(read) if ohms < measurement.kit.errors().most => {
                    let errors = measurement.kit.errors();
                    let off = 0.35 * ohms + 3.0 * (errors.digits + errors.zero);
                    (read - ohms).abs() < off
                }
                Value::Ohms(_) => false,
                Value::Open => ohms >= measurement.kit.errors().most,
                Value::Sounds(sounds) => sounds == (ohms < measurement.kit.errors().most),
            };
            let mut would_fit = Vec::new();
            for (control, count) in self.positions() {
                for position in 0..count {
                    if measurement.conditions.setting[control] == Some(position) {
                        continue;
                    }
                    let mut other = measurement.clone();
                    other.conditions.setting[control] = Some(position);
                    if self.wiring.circuit.is_legal(&other.conditions.setting)
                        && near(self.foreseen(&other, age, &faults)?, value)
                    {
                        would_fit.push((control, position));
                    }
                }
            }
            let meant = self.foreseen(&measurement, age, &faults)?;
            let decimal_point = match value {
                Value::Ohms(read) => near(meant, Value::Ohms(read * 10.0)) || near(meant, Value::Ohms(read / 10.0)),
                _ => false,
            };
            would_fit.truncate(3);
            found.push(Doubted { reading, probability, would_fit, decimal_point });
        }
        Ok(found)
    }

    fn positions(&self) -> Vec<(ControlId, u8)> {
        let controls = ControlId::each(&self.wiring.circuit.controls);
        controls.filter(|(_, c)| !c.settles).map(|(id, c)| (id, c.positions.len() as u8)).collect()
    }

    /// What a measurement would read at an age with some faults, in ohms.
    ///
    /// # Errors
    /// When a resistance is none that can be calculated with.
    pub fn foreseen(&mut self, measurement: &Measurement, age: usize, faults: &[Fault]) -> Result<f64, BadConductance> {
        let response = self.response(measurement, age)?;
        Ok(mean_ohms(&response, &self.wiring, faults))
    }

    /// Where a measurement lies with nothing wrong: two deviations either way, in ohms.
    ///
    /// # Errors
    /// When a resistance is none that can be calculated with.
    pub fn well_between(&mut self, measurement: &Measurement, age: usize) -> Result<[f64; 2], BadConductance> {
        let response = self.response(measurement, age)?;
        let reading = crate::foreseen::Reading { measurement: measurement.clone(), value: Value::Open, response };
        let (ohms, variance) = crate::foreseen::variance(&self.wiring, &self.parts[age], &reading, &[]);
        let delta = crate::foreseen::delta(measurement);
        let z = crate::foreseen::log_reading(ohms, variance, delta);
        Ok([-2.0, 2.0].map(|k| ((z.mean + k * z.deviation).exp() - delta).max(0.0)))
    }

    /// Takes the last observation back, if it was a reading.
    pub fn forget_last(&mut self) {
        if let Some(Observation::Read { .. }) = self.observations.last() {
            self.observations.pop();
            self.evidence.iter_mut().for_each(crate::evidence::Evidence::pop);
        }
    }
}
