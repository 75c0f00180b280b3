//! A hunt: what was observed so far, at every age that the layout may have.

use crate::age::{Resistance, resistances};
use crate::evidence::Evidence;
use crate::foreseen::{Reading, Sighting};
use crate::observation::{Conditions, Kit, Measurement, Observation, Symptom, Value};
use crate::state::{Base, Response, State};
use crate::wiring::Wiring;
use circuit::{Circuit, EdgeId, NodeId};
use network::BadConductance;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Ages that a layout of unknown age may have, in years.
const AGES: [f64; 4] = [0.5, 3.0, 8.0, 20.0];

/// Edges beyond which only measurements near the likeliest things are thought of, and a quick estimate comes first.
pub const LONG: usize = 3000;

/// How a hunt is made.
#[derive(Clone, Debug)]
pub struct Options {
    /// What the builder owns.
    pub kit: Kit,
    /// How many years the layout has behind it, where somebody knows.
    pub years: Option<f64>,
    /// Whether wires may be pulled.
    pub pulling: bool,
    /// How many faults are to be expected before anything was read: one, where somebody looks for one.
    pub expected_faults: f64,
    /// What things cost.
    pub minutes: Minutes,
}

impl Default for Options {
    fn default() -> Self {
        Options { kit: Kit::Bench, years: None, pulling: true, expected_faults: 1.0, minutes: Minutes::default() }
    }
}

/// What it costs to make a measurement, in minutes. Our own defaults.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Minutes {
    /// To take a reading.
    pub read: f64,
    /// To get to another place.
    pub crawl: f64,
    /// To throw a turnout.
    pub throw: f64,
    /// To pull a feeder, or lift another wire, and put it back.
    pub pull: f64,
}

impl Default for Minutes {
    fn default() -> Self {
        Minutes { read: 0.5, crawl: 0.7, throw: 0.2, pull: 2.5 }
    }
}

/// Why an observation cannot be used.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refused {
    /// Both probes are at one place.
    #[error("both probes are at the same place; nothing can be read there")]
    OnePlace,
    /// It is no number that a meter shows.
    #[error("{0} is no reading: write what the meter shows, such as `0.4`, or `OL` where it shows nothing")]
    NoReading(f64),
    /// A resistance is none that can be calculated with.
    #[error("a resistance of the plan cannot be used: {0}")]
    Resistance(#[from] BadConductance),
}

/// Which network: with or without power, in which setting, at which age.
type BaseKey = (bool, Vec<Option<u8>>, usize);

/// A hunt.
pub struct Hunt {
    /// The wiring.
    pub wiring: Wiring,
    /// How it is made.
    pub options: Options,
    /// Ages in years, each with the logarithm of how likely it is.
    pub ages: Vec<(f64, f64)>,
    /// What parts resist at each age.
    pub parts: Vec<Vec<Resistance>>,
    /// What was read and seen, in order.
    pub observations: Vec<Observation>,
    /// The same with what it depends on, at each age.
    pub evidence: Vec<Evidence>,
    /// Whether it was seen only when the room was warm.
    pub warm: bool,
    bases: BTreeMap<BaseKey, Rc<Base>>,
    states: BTreeMap<(Conditions, usize), Rc<State>>,
}

impl Hunt {
    /// On a circuit as it is meant, with nothing read yet.
    pub fn new(circuit: &Circuit, options: Options) -> Hunt {
        let wiring = Wiring::new(circuit);
        let ages = ages(options.years);
        let parts = ages.iter().map(|age| resistances(&wiring.circuit, age.0)).collect();
        let evidence = ages.iter().map(|_| Evidence::default()).collect();
        let (bases, states) = (BTreeMap::new(), BTreeMap::new());
        Hunt { wiring, options, ages, parts, observations: Vec::new(), evidence, warm: false, bases, states }
    }

    /// The network under some conditions at an age.
    ///
    /// # Errors
    /// When a resistance is none that can be calculated with.
    pub fn state(&mut self, conditions: &Conditions, age: usize) -> Result<Rc<State>, BadConductance> {
        if let Some(state) = self.states.get(&(conditions.clone(), age)) {
            return Ok(state.clone());
        }
        let key = (conditions.powered, conditions.setting.clone(), age);
        let base = match self.bases.get(&key) {
            Some(base) => base.clone(),
            None => {
                let parts = &self.parts[age];
                let siemens =
                    self.wiring.conductances(conditions.powered, &conditions.setting, |edge| parts[edge].mean);
                let base = Rc::new(Base::new(&self.wiring, siemens)?);
                self.bases.insert(key, base.clone());
                base
            }
        };
        let state = Rc::new(State::new(base, conditions.pulled.iter().copied()));
        self.states.insert((conditions.clone(), age), state.clone());
        Ok(state)
    }

    /// What a measurement reads at an age, without a fault.
    ///
    /// # Errors
    /// When a resistance is none that can be calculated with.
    pub fn response(&mut self, measurement: &Measurement, age: usize) -> Result<Response, BadConductance> {
        let state = self.state(&measurement.conditions, age)?;
        Ok(Response::new(state, measurement.force, measurement.sense))
    }

    /// Takes an observation in.
    ///
    /// # Errors
    /// When it is none that can be used; the hunt is then as it was.
    pub fn observe(&mut self, observation: Observation) -> Result<(), Refused> {
        match &observation {
            Observation::Read { measurement, value } => {
                if measurement.force[0] == measurement.force[1] || measurement.sense[0] == measurement.sense[1] {
                    return Err(Refused::OnePlace);
                }
                if let Value::Ohms(ohms) = value
                    && !(ohms.is_finite() && *ohms > -1e3 && *ohms < 1e9)
                {
                    return Err(Refused::NoReading(*ohms));
                }
                let responses: Result<Vec<Response>, BadConductance> =
                    (0..self.ages.len()).map(|age| self.response(measurement, age)).collect();
                for ((evidence, response), parts) in self.evidence.iter_mut().zip(responses?).zip(&self.parts) {
                    let reading = Reading { measurement: measurement.clone(), value: *value, response };
                    evidence.push(reading, &self.wiring, parts);
                }
            }
            Observation::Seen { conditions, symptom, warm } => {
                let mut sightings = Vec::new();
                for age in 0..self.ages.len() {
                    let responses: Result<Vec<Response>, BadConductance> =
                        self.watched(conditions, symptom, age).collect();
                    sightings.push(Sighting { symptom: symptom.clone(), responses: responses? });
                }
                self.warm |= warm;
                for (evidence, sighting) in self.evidence.iter_mut().zip(sightings) {
                    evidence.sightings.push(sighting);
                }
            }
        }
        self.observations.push(observation);
        Ok(())
    }

    /// Takes the last reading back; false where there is none.
    pub fn take_back(&mut self) -> bool {
        let last = self.observations.iter().rposition(|o| matches!(o, Observation::Read { .. }));
        let Some(last) = last else { return false };
        self.observations.remove(last);
        let kept = std::mem::take(&mut self.observations);
        self.evidence.iter_mut().for_each(|evidence| *evidence = Evidence::default());
        for observation in kept {
            // It was taken before.
            let _ = self.observe(observation);
        }
        true
    }

    /// The loops that something seen depends on. Whether a breaker trips depends on what joins its poles beside the supply itself.
    fn watched<'h>(
        &'h mut self,
        conditions: &'h Conditions,
        symptom: &'h Symptom,
        age: usize,
    ) -> impl Iterator<Item = Result<Response, BadConductance>> + 'h {
        let (pairs, powered): (Vec<[NodeId; 2]>, bool) = match symptom {
            Symptom::Runs { places, .. } => (places.clone(), true),
            Symptom::Trips { poles, .. } => (vec![*poles], false),
        };
        let conditions = Conditions { powered, ..conditions.clone() };
        pairs.into_iter().map(move |pair| {
            let state = self.state(&conditions, age)?;
            Ok(Response::new(state, pair, pair))
        })
    }

    /// The usual setting, with nothing pulled.
    pub fn usual(&self, powered: bool) -> Conditions {
        Conditions { powered, setting: self.wiring.circuit.complete(&[]), pulled: Default::default() }
    }

    /// Whether a wire can be pulled without a soldering iron at the rail: a feeder at its tap, a wire at its terminal.
    pub fn can_be_pulled(&self, edge: EdgeId) -> bool {
        use circuit::{EdgeKind, Part};
        let edge = &self.wiring.circuit.edges[edge];
        edge.kind == EdgeKind::Feeder || matches!(edge.part, Part::ContactWire { .. } | Part::DeckFeeder { .. })
    }
}

/// Where the numbers of how often things fail come from.
pub fn priors_from() -> &'static str {
    handbook::faults::FAULT_RATES.source
}

/// The ages that are thought of. What somebody says of an age is believed within a factor of one and a half or so.
fn ages(years: Option<f64>) -> Vec<(f64, f64)> {
    let Some(years) = years else {
        return AGES.iter().map(|age| (*age, -(AGES.len() as f64).ln())).collect();
    };
    let years = years.max(0.0);
    let around = [(years * 0.6, 0.2), (years, 0.6), (years * 1.6 + 0.5, 0.2)];
    around.into_iter().map(|(age, weight): (f64, f64)| (age, weight.ln())).collect()
}
