//! What each candidate reads when all is well, and which mistakes it notices.

use crate::candidates::{Candidate, Looks, setting_for};
use crate::meter::{self, Range, limits};
use crate::mistake::Mistake;
use crate::ohms::Ohms;
use crate::test::How;
use circuit::{Circuit, EdgeId, NodeId};
use electrics::Level;
use handbook::Spread;
use network::BadConductance;
use std::collections::{BTreeMap, BTreeSet};

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
    /// From where to where it is well.
    pub passes: [f64; 2],
    /// Which mistakes it notices whatever else is at its low, usual or high end, by their index.
    pub notices: BTreeSet<usize>,
    /// What it usually reads with each mistake it notices, and with those at its own pieces.
    pub reads: BTreeMap<usize, f64>,
}

impl Assessed {
    /// An ohmmeter's ohms in the unit of this test.
    fn in_unit(&self, ohms: f64) -> f64 {
        if self.how == How::Millivolts { ohms * meter::TEST_AMPS * 1e3 } else { ohms }
    }

    /// Whether a resistance reads outside the limits, and the meter's error cannot bring it back inside.
    fn is_off(&self, ohms: f64) -> bool {
        let reading = self.in_unit(ohms);
        if reading.is_infinite() {
            return self.passes[1].is_finite();
        }
        let error = self.range.error(reading);
        reading + error < self.passes[0] || reading - error > self.passes[1]
    }
}

/// Assesses candidates against mistakes, each mistake in the settings in which what it is made at is joined.
///
/// # Errors
/// When a resistance is none that can be reckoned with.
pub fn assess(
    circuit: &Circuit,
    settings: &[Vec<Option<u8>>],
    candidates: Vec<Candidate>,
    mistakes: &[Mistake],
) -> Result<Vec<Assessed>, BadConductance> {
    let mut slot: BTreeMap<[NodeId; 2], usize> = BTreeMap::new();
    let mut pairs: Vec<[NodeId; 2]> = Vec::new();
    for candidate in &candidates {
        slot.entry(candidate.pair).or_insert_with(|| {
            pairs.push(candidate.pair);
            pairs.len() - 1
        });
    }
    let mut network = Ohms::new(circuit, &pairs, mistakes)?;
    let mut of_setting: Vec<Vec<usize>> = vec![Vec::new(); settings.len()];
    let mut assessed = Vec::with_capacity(candidates.len());
    for (index, candidate) in candidates.iter().enumerate() {
        of_setting[candidate.setting].push(index);
    }
    let mut well: Vec<Option<Spread<f64>>> = vec![None; candidates.len()];
    for (setting, of) in settings.iter().zip(&of_setting) {
        let mut at = Level::ALL.iter().map(|&level| network.read(setting, level, None));
        let (low, typical, high) = match (at.next(), at.next(), at.next()) {
            (Some(low), Some(typical), Some(high)) => (low?, typical?, high?),
            _ => continue,
        };
        for &index in of {
            let pair = slot[&candidates[index].pair];
            well[index] = Some(Spread::new(low[pair], typical[pair], high[pair]));
        }
    }
    for (candidate, well) in candidates.into_iter().zip(well) {
        assessed.push(expect(candidate, well.unwrap_or(Spread::exactly(f64::INFINITY))));
    }
    // A wire that leads to two contacts is looked for wherever one of them makes it part of a chain.
    let mut of_chain: BTreeMap<EdgeId, BTreeSet<usize>> = BTreeMap::new();
    for test in &assessed {
        for &edge in &test.candidate.chain {
            of_chain.entry(edge).or_default().insert(test.candidate.setting);
        }
    }
    for (number, mistake) in mistakes.iter().enumerate() {
        let mut looked_for = settings_of(circuit, settings, mistake);
        looked_for.extend(mistake.edges().iter().filter_map(|e| of_chain.get(e)).flatten());
        for setting in looked_for {
            let mut readings = Vec::with_capacity(3);
            for level in Level::ALL {
                readings.push(network.read(&settings[setting], level, Some(mistake))?);
            }
            for &index in &of_setting[setting] {
                let test = &mut assessed[index];
                let pair = slot[&test.candidate.pair];
                let notices = readings.iter().all(|r| test.is_off(r[pair]));
                let own = mistake.edges().iter().any(|e| test.candidate.chain.contains(e));
                if notices {
                    test.notices.insert(number);
                }
                if notices || own {
                    test.reads.insert(number, test.in_unit(readings[1][pair]));
                }
            }
        }
    }
    Ok(assessed)
}

/// What a candidate reads when all is well.
fn expect(candidate: Candidate, ohms: Spread<f64>) -> Assessed {
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
    Assessed { candidate, how, range, expected, passes, notices: BTreeSet::new(), reads: BTreeMap::new() }
}

/// The settings in which a mistake is looked for: the first in which what it is made at is joined, for two exchanged wires
/// the first of each; for a gap the first of all.
fn settings_of(circuit: &Circuit, settings: &[Vec<Option<u8>>], mistake: &Mistake) -> BTreeSet<usize> {
    match mistake {
        Mistake::Bridged(..) => BTreeSet::from([0]),
        other => {
            let guards = other.edges().into_iter().map(|e| &circuit.edges[e as usize].guard);
            guards.filter_map(|guard| setting_for(guard, settings)).collect()
        }
    }
}
