//! A test with what it reads when all is well, and what it notices.

use crate::candidates::{Candidate, Looks};
use crate::meter::{self, Range, limits};
use crate::ohms::{PairReader, around};
use crate::test::How;
use circuit::{Circuit, NodeId};
use handbook::Spread;
use network::BadConductance;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// Edges of the part of the circuit around a test beyond which it is not calculated in other settings than the first.
const MOST_AROUND: usize = 20_000;

/// A candidate with what it reads.
#[derive(Clone, Debug)]
pub struct Assessed {
    /// The candidate.
    pub candidate: Candidate,
    /// How it is read.
    pub how: How,
    /// The instrument's range.
    pub range: Range,
    /// What it reads when all is well, in the unit of `how`.
    pub expected: Spread<f64>,
    /// The limits between which it passes.
    pub passes: [f64; 2],
    /// Which mistakes it notices whatever else is at its low, usual or high end, by their index.
    pub notices: BTreeSet<usize>,
    /// What it usually reads with each mistake it notices, and with those at its own pieces.
    pub reads: BTreeMap<usize, f64>,
    /// With those mistakes at its own pieces that it does not notice surely: the reading nearest to what is well.
    pub nearest: BTreeMap<usize, f64>,
}

impl Assessed {
    /// An ohmmeter's ohms in the unit of this test.
    fn in_unit(&self, ohms: f64) -> f64 {
        if self.how == How::Millivolts { ohms * meter::TEST_AMPS * 1e3 } else { ohms }
    }

    /// Takes down what it reads with a mistake, and whether it notices it; `own`: whether the mistake is made at one of its own
    /// pieces.
    pub(crate) fn record_reading(&mut self, mistake: usize, ohms: Spread<f64>, own: bool) {
        // On one side of what is well: with everything in between it reads something in between.
        let sides = [ohms.low, ohms.typical, ohms.high].map(|ohms| self.off(ohms));
        let notices = sides[0].is_some() && sides.iter().all(|side| *side == sides[0]);
        if notices {
            self.notices.insert(mistake);
        }
        if notices || own {
            self.reads.insert(mistake, self.in_unit(ohms.typical));
        }
        if own && !notices {
            let off = |reading: f64| (self.passes[0] - reading).max(reading - self.passes[1]).max(0.0);
            // The usual reading first, where it is as near as another.
            let readings = [ohms.typical, ohms.low, ohms.high].map(|ohms| self.in_unit(ohms));
            let nearest = readings.into_iter().min_by(|one, other| off(*one).total_cmp(&off(*other)));
            self.nearest.extend(nearest.map(|reading| (mistake, reading)));
        }
    }

    /// Whether a resistance reads below or above what is well, where the meter's error cannot bring it back inside.
    fn off(&self, ohms: f64) -> Option<Ordering> {
        let reading = self.in_unit(ohms);
        if reading.is_infinite() {
            return self.passes[1].is_finite().then_some(Ordering::Greater);
        }
        let error = self.range.error(reading);
        if reading + error < self.passes[0] {
            Some(Ordering::Less)
        } else {
            (reading - error > self.passes[1]).then_some(Ordering::Greater)
        }
    }
}

/// The pairs of some candidates, each once, and the place of each among them.
pub(crate) fn pairs_of(candidates: &[Candidate]) -> (BTreeMap<[NodeId; 2], usize>, Vec<[NodeId; 2]>) {
    let mut slot: BTreeMap<[NodeId; 2], usize> = BTreeMap::new();
    let mut pairs: Vec<[NodeId; 2]> = Vec::new();
    for candidate in candidates {
        slot.entry(candidate.pair).or_insert_with(|| {
            pairs.push(candidate.pair);
            pairs.len() - 1
        });
    }
    (slot, pairs)
}

pub(crate) fn by_setting(settings: usize, candidates: &[Candidate]) -> Vec<Vec<usize>> {
    let mut of_setting: Vec<Vec<usize>> = vec![Vec::new(); settings];
    for (index, candidate) in candidates.iter().enumerate() {
        of_setting[candidate.setting].push(index);
    }
    of_setting
}

/// Ohms of candidates in all settings when all is well; none of those whose part of the circuit is too large to be calculated
/// again for one setting.
pub(crate) fn when_well(
    circuit: &Circuit,
    settings: &[Vec<Option<u8>>],
    candidates: &[Candidate],
) -> Result<Vec<Option<Spread<f64>>>, BadConductance> {
    let neighbours = circuit.neighbours();
    let mut well: Vec<Option<Spread<f64>>> = vec![None; candidates.len()];
    for (number, (setting, of)) in settings.iter().zip(by_setting(settings.len(), candidates)).enumerate() {
        let here: Vec<Candidate> = of.iter().map(|&index| candidates[index].clone()).collect();
        let (slot, pairs) = pairs_of(&here);
        let levels = if number == 0 {
            PairReader::new(circuit, &pairs, &[])?.levels(setting, None)?
        } else {
            let Some((part, own)) = around(circuit, &neighbours, setting, &pairs, Some(MOST_AROUND)) else { continue };
            PairReader::new(&part, &own, &[])?.levels(setting, None)?
        };
        for &index in &of {
            well[index] = Some(levels.each().map(|level| level[slot[&candidates[index].pair]]));
        }
    }
    Ok(well)
}

/// What a candidate reads when all is well.
pub(crate) fn expect(candidate: Candidate, ohms: Spread<f64>) -> Assessed {
    let how = match candidate.looks {
        _ if ohms.typical.is_infinite() => How::Open,
        Looks::Conductors => How::Joined,
        Looks::Chain | Looks::Gap => How::Millivolts,
    };
    let expected = if how == How::Millivolts { ohms.times(meter::TEST_AMPS * 1e3) } else { ohms };
    let range = match how {
        How::Millivolts => meter::millivolt_range(expected.high),
        How::Joined => meter::JOINED,
        _ => meter::OPEN,
    };
    let passes = limits(expected, &range);
    Assessed {
        candidate,
        how,
        range,
        expected,
        passes,
        notices: BTreeSet::new(),
        reads: BTreeMap::new(),
        nearest: BTreeMap::new(),
    }
}
