//! The measurement with the largest expected drop of entropy over elements per minute of work.
//!
//! For each measurement the readings that hypotheses foresee are spread over steps of `z`; the expected entropy after it is the sum over
//! steps. Hypotheses that it does not touch all foresee what a sound layout reads, and are counted together.

use crate::candidates::{Pairs, most_likely_age};
use crate::fault::{Element, Fault, TOO_MUCH};
use crate::foreseen::{LogReading, Reading, WRONG_READING, changes_of, delta, discrete, log_reading, variance};
use crate::hunt::Hunt;
use crate::observation::{Conditions, Kit, Measurement, Value};
use crate::ranking::Ranking;
use crate::state::{Response, State};
use crate::wiring::{Change, Wiring};
use circuit::{NodeId, Spot};
use network::BadConductance;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Hypotheses that are asked what they foresee.
const MOST_HYPOTHESES: usize = 1200;
/// Measurements that are asked in full.
const IN_FULL: usize = 40;
/// Steps of readings.
const STEPS: usize = 80;
/// Less than this, in bits, is no gain.
pub const LEAST_GAIN: f64 = 0.004;

/// A measurement with what it promises.
#[derive(Clone, Debug)]
pub struct Advice {
    /// The measurement.
    pub measurement: Measurement,
    /// Expected drop of entropy (information gain), in bits.
    pub bits: f64,
    /// Minutes of work.
    pub minutes: f64,
}

impl Advice {
    /// Bits a minute.
    pub fn worth(&self) -> f64 {
        self.bits / self.minutes
    }

    /// Its minutes as people count them: whole ones, at least one.
    pub fn whole_minutes(&self) -> String {
        format!("{:.0}", self.minutes.max(1.0))
    }
}

/// A fault as it is asked about: its element and its probability.
struct Asked {
    element: usize,
    faults: Vec<Fault>,
    probability: f64,
}

impl Hunt {
    /// The measurements that tell most, the best first; none where no measurement tells anything.
    ///
    /// # Errors
    /// When a resistance is none that can be calculated with.
    pub fn next(&mut self, pairs: &Pairs, ranking: &Ranking) -> Result<Vec<Advice>, BadConductance> {
        let asked = self.asked(ranking);
        let age = most_likely_age(ranking);
        let taken: BTreeSet<Measurement> = self
            .observations
            .iter()
            .filter_map(|o| match o {
                crate::Observation::Read { measurement, .. } => Some(measurement.clone()),
                crate::Observation::Seen { .. } => None,
            })
            .collect();
        let mut by_conditions: BTreeMap<Conditions, Vec<Measurement>> = BTreeMap::new();
        for measurement in pairs.measurements(self, ranking)? {
            let turned = Measurement {
                force: [measurement.force[1], measurement.force[0]],
                sense: [measurement.sense[1], measurement.sense[0]],
                ..measurement.clone()
            };
            if !taken.contains(&measurement) && !taken.contains(&turned) {
                by_conditions.entry(measurement.conditions.clone()).or_default().push(measurement);
            }
        }
        // First each hypothesis is put into one step only, which is cheap; what looks best then is asked in full.
        let mut rough: Vec<Rough> = Vec::new();
        for (conditions, measurements) in by_conditions {
            let state = self.state(&conditions, age)?;
            let moves: Vec<Moves> = asked.iter().map(|a| Moves::new(&self.wiring, &state, &a.faults)).collect();
            for measurement in measurements {
                let response = Response::new(state.clone(), measurement.force, measurement.sense);
                let reading = Reading { measurement, value: Value::Open, response };
                let (healthy, own) = variance(&self.wiring, &self.parts[age], &reading, &[]);
                let foreseen: Vec<f64> = moves.iter().map(|moves| moves.ohms(&reading.response)).collect();
                let outcomes = Outcomes::new(&reading.measurement, healthy, own, &foreseen);
                let bits = outcomes.rough_gain(&asked, &foreseen);
                if bits > LEAST_GAIN {
                    let minutes = self.minutes(&reading.measurement);
                    rough.push(Rough { measurement: reading.measurement, healthy, own, foreseen, bits, minutes });
                }
            }
            // What is not worth much needs no memory.
            if rough.len() > 8 * IN_FULL {
                keep_best(&mut rough);
            }
        }
        keep_best(&mut rough);
        let mut found: Vec<Advice> = Vec::new();
        for Rough { measurement, healthy, own, foreseen, minutes, .. } in rough {
            let bits = Outcomes::new(&measurement, healthy, own, &foreseen).gain(&asked, &foreseen);
            if bits > LEAST_GAIN {
                found.push(Advice { measurement, bits, minutes });
            }
        }
        found.sort_by(|one, other| {
            other.worth().total_cmp(&one.worth()).then_with(|| one.measurement.cmp(&other.measurement))
        });
        Ok(found)
    }

    /// Hypotheses by element, all taken to be of one age.
    fn asked(&self, ranking: &Ranking) -> Vec<Asked> {
        let mut numbers: BTreeMap<Vec<Element>, usize> = BTreeMap::new();
        let mut by_fault: BTreeMap<(usize, Vec<Fault>), f64> = BTreeMap::new();
        let steps = TOO_MUCH.len();
        for h in ranking.hypotheses.iter().take(MOST_HYPOTHESES) {
            let mut elements: Vec<Element> = h.faults.iter().map(Fault::element).collect();
            elements.sort_unstable();
            let next = numbers.len();
            let number = *numbers.entry(elements).or_insert(next);
            match (h.untouched, h.faults.as_slice()) {
                // It stands for all its faults: open, some ohms, some tenths.
                (true, &[Fault::Open(edge)]) => {
                    for (fault, share) in [
                        (Fault::Open(edge), 0.5),
                        (Fault::More(edge, (steps - 4) as u8), 0.25),
                        (Fault::More(edge, (steps - 7) as u8), 0.25),
                    ] {
                        *by_fault.entry((number, vec![fault])).or_default() += share * h.probability;
                    }
                }
                _ => *by_fault.entry((number, h.faults.clone())).or_default() += h.probability,
            }
        }
        by_fault.into_iter().map(|((element, faults), probability)| Asked { element, faults, probability }).collect()
    }

    /// Minutes that a measurement takes after the last one.
    pub fn minutes(&self, measurement: &Measurement) -> f64 {
        let minutes = self.options.minutes;
        let last = self.observations.iter().rev().find_map(|o| match o {
            crate::Observation::Read { measurement, .. } => Some(measurement),
            crate::Observation::Seen { .. } => None,
        });
        let usual = self.usual(measurement.conditions.powered);
        let before = last.map_or(&usual, |m| &m.conditions);
        let setting = before.setting.iter().zip(&measurement.conditions.setting);
        let thrown = setting.filter(|(one, other)| one != other).count();
        let pulled = measurement.conditions.pulled.difference(&before.pulled).count();
        let area = |node: NodeId| match self.wiring.circuit.nodes[node].spot {
            Spot::Rail { track, .. } => (0, track),
            Spot::Work { kind, index, .. } => (1 + kind as usize, index),
            Spot::Bus { bus, .. } | Spot::Tap { bus, .. } => (100, bus),
            Spot::Supply { supply, .. } => (101, supply),
            _ => (102, node.index()),
        };
        let been: BTreeSet<_> = last.iter().flat_map(|m| m.force.into_iter().chain(m.sense)).map(area).collect();
        let probed = measurement.force.into_iter().chain(measurement.sense);
        let new: BTreeSet<_> = probed.map(area).filter(|a| !been.contains(a)).collect();
        let read = if measurement.kit == Kit::Buzzer { 0.5 * minutes.read } else { minutes.read };
        read + minutes.crawl * new.len() as f64 + minutes.throw * thrown as f64 + minutes.pull * pulled as f64
    }
}

/// A measurement that was looked at roughly.
struct Rough {
    measurement: Measurement,
    healthy: f64,
    own: f64,
    foreseen: Vec<f64>,
    bits: f64,
    minutes: f64,
}

fn keep_best(rough: &mut Vec<Rough>) {
    let worth = |r: &Rough| r.bits / r.minutes;
    rough.sort_by(|one, other| {
        worth(other).total_cmp(&worth(one)).then_with(|| one.measurement.cmp(&other.measurement))
    });
    rough.truncate(IN_FULL);
}

/// What a hypothesis changes in a state, worked out once for all measurements there.
enum Moves {
    Nothing,
    One(Change, std::cell::OnceCell<f64>),
    More(Vec<Change>),
}

impl Moves {
    fn new(wiring: &Wiring, state: &Rc<State>, faults: &[Fault]) -> Moves {
        let changes = changes_of(state, wiring, faults);
        match changes.as_slice() {
            [] => Moves::Nothing,
            [one] => Moves::One(*one, std::cell::OnceCell::new()),
            _ => Moves::More(changes),
        }
    }

    fn ohms(&self, response: &Response) -> f64 {
        match self {
            Moves::Nothing => response.ohms,
            Moves::One(change, between) => {
                if response.reaches(change.slot) {
                    response.with_one(*change, *between.get_or_init(|| response.state.between(change.slot)))
                } else {
                    response.ohms
                }
            }
            Moves::More(changes) => response.with(changes).ohms,
        }
    }
}

/// How the readings that hypotheses foresee are parted.
struct Outcomes<'m> {
    measurement: &'m Measurement,
    delta: f64,
    healthy: f64,
    variance: f64,
    from: f64,
    step: f64,
}

impl<'m> Outcomes<'m> {
    fn new(measurement: &'m Measurement, healthy: f64, variance: f64, foreseen: &[f64]) -> Outcomes<'m> {
        let delta = delta(measurement);
        let most = measurement.kit.errors().most;
        let at = |ohms: f64| (ohms.clamp(0.0, most) + delta).ln();
        let one = log_reading(healthy.min(most), variance, delta).deviation.max(1e-3);
        let all = foreseen.iter().copied().chain([healthy]).map(at);
        let (least, greatest) =
            all.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), z| (least.min(z), most.max(z)));
        let (from, to) = (least - 3.0 * one, greatest + 3.0 * one);
        let step = (0.8 * one).max((to - from) / STEPS as f64);
        Outcomes { measurement, delta, healthy, variance, from, step }
    }

    /// Probability of each step, and of open, if so many ohms are foreseen.
    fn shares(&self, ohms: f64, into: &mut [f64]) {
        into.fill(0.0);
        let last = into.len() - 1;
        if self.measurement.kit == Kit::Buzzer {
            into[0] = discrete(self.measurement, ohms, Value::Sounds(true));
            into[1] = 1.0 - into[0];
            return;
        }
        let most = self.measurement.kit.errors().most;
        if ohms >= most {
            into[last] = 1.0 - WRONG_READING;
        } else {
            let moved = 0.2 * (ohms - self.healthy.min(most));
            let LogReading { mean, deviation } =
                log_reading(ohms, self.variance.min(most * most) + moved * moved, self.delta);
            let below = |z: f64| 1.0 / (1.0 + (-1.702 * (z - mean) / deviation).exp());
            let index = |z: f64| (((z - self.from) / self.step).max(0.0) as usize).min(last);
            let (first, end) = (index(mean - 4.0 * deviation), index(mean + 4.0 * deviation));
            let mut before = 0.0;
            for (k, share) in into.iter_mut().enumerate().take(end.min(last - 1) + 1).skip(first) {
                let up = if k == end { 1.0 } else { below(self.from + (k + 1) as f64 * self.step) };
                *share += (1.0 - WRONG_READING) * (up - before);
                before = up;
            }
        }
        let spread = WRONG_READING / into.len() as f64;
        into.iter_mut().for_each(|share| *share += spread);
    }

    /// The same with each hypothesis in one step, two deviations wide.
    fn rough_gain(&self, asked: &[Asked], foreseen: &[f64]) -> f64 {
        let plogp = |p: f64| if p > 0.0 { p * p.ln() } else { 0.0 };
        let most = self.measurement.kit.errors().most;
        let wide =
            2.5 * log_reading(self.healthy.min(most), self.variance.min(most * most), self.delta).deviation.max(1e-3);
        let middle = (self.healthy.min(most) + self.delta).ln();
        let quiet = 0.02 * (self.variance.sqrt() + 1e-9);
        let step = |ohms: f64| {
            if (ohms - self.healthy).abs() <= quiet {
                i32::MIN
            } else if ohms >= most {
                i32::MAX
            } else {
                (((ohms.max(0.0) + self.delta).ln() - middle) / wide).round() as i32
            }
        };
        let still = if self.healthy >= most { i32::MAX } else { 0 };
        // By step, and by element and step; hypotheses of one element stand together.
        let mut whole: BTreeMap<i32, f64> = BTreeMap::new();
        let (mut before, mut total, mut logs) = (0.0, 0.0, 0.0);
        let mut own: Vec<(i32, f64)> = Vec::new();
        let mut k = 0;
        while k < asked.len() {
            let number = asked[k].element;
            own.clear();
            let mut sum = 0.0;
            while k < asked.len() && asked[k].element == number {
                let at = match step(foreseen[k]) {
                    i32::MIN => still,
                    at => at,
                };
                match own.iter_mut().find(|o| o.0 == at) {
                    Some(o) => o.1 += asked[k].probability,
                    None => own.push((at, asked[k].probability)),
                }
                sum += asked[k].probability;
                k += 1;
            }
            before += plogp(sum);
            total += sum;
            for &(at, p) in &own {
                logs += plogp(p);
                *whole.entry(at).or_default() += p;
            }
        }
        let entropy_before = plogp(total) - before;
        let entropy_after = whole.values().map(|p| plogp(*p)).sum::<f64>() - logs;
        ((entropy_before - entropy_after) / std::f64::consts::LN_2).max(0.0)
    }

    fn gain(&self, asked: &[Asked], foreseen: &[f64]) -> f64 {
        let steps = STEPS + 2;
        let plogp = |p: f64| if p > 0.0 { p * p.ln() } else { 0.0 };
        let mut own = vec![0.0; steps];
        self.shares(self.healthy, &mut own);
        let untouched_at = 0.02 * (self.variance.sqrt() + 1e-9);
        // Those that foresee what a sound layout reads, by element, together; the others step by step.
        let mut still: f64 = 0.0;
        let mut still_logs = 0.0;
        let (mut before, mut total) = (0.0, 0.0);
        let mut all = vec![0.0; steps];
        let mut logs = 0.0;
        let (mut element, mut shares) = (vec![0.0; steps], vec![0.0; steps]);
        let mut k = 0;
        while k < asked.len() {
            let number = asked[k].element;
            let (mut sum, mut quiet) = (0.0, 0.0);
            let mut touched = false;
            while k < asked.len() && asked[k].element == number {
                sum += asked[k].probability;
                if (foreseen[k] - self.healthy).abs() <= untouched_at {
                    quiet += asked[k].probability;
                } else {
                    if !touched {
                        element.fill(0.0);
                        touched = true;
                    }
                    self.shares(foreseen[k], &mut shares);
                    element.iter_mut().zip(&shares).for_each(|(e, s)| *e += asked[k].probability * s);
                }
                k += 1;
            }
            before += plogp(sum);
            total += sum;
            if touched {
                for ((e, own), all) in element.iter().zip(&own).zip(&mut all) {
                    let p = e + quiet * own;
                    logs += plogp(p);
                    *all += p;
                }
            } else {
                still += sum;
                still_logs += plogp(sum);
            }
        }
        // Σ over quiet elements and steps of (w·q)·ln(w·q), and the whole of each step.
        let own_logs: f64 = own.iter().map(|q| plogp(*q)).sum();
        logs += still_logs + still * own_logs;
        all.iter_mut().zip(&own).for_each(|(all, q)| *all += still * q);
        let whole: f64 = all.iter().map(|p| plogp(*p)).sum();
        let entropy_before = -(before - plogp(total));
        let entropy_after = -(logs - whole);
        ((entropy_before - entropy_after) / std::f64::consts::LN_2).max(0.0)
    }
}
