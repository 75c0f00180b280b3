//! Which mistakes each candidate notices.

use crate::assessed::{Assessed, by_setting, expect, pairs_of};
use crate::candidates::{BladesBesideBonds, Candidate};
use crate::mistake::Mistake;
use crate::ohms::PairReader;
use circuit::{Circuit, EdgeId};
use handbook::Spread;
use network::BadConductance;
use std::collections::{BTreeMap, BTreeSet};

/// Mistakes times edges beyond which each test is held against the mistakes at its own pieces only.
const MOST_WORK: usize = 3_000_000;
/// Whether a plan is so long that tests are held against the mistakes at their own pieces only.
pub fn is_long(circuit: &Circuit, mistakes: &[Mistake]) -> bool {
    mistakes.len().saturating_mul(circuit.edges.len()) > MOST_WORK
}

/// Fault simulation: assesses candidate tests against the fault model (`mistake`), each mistake in the settings in which what it is made at is joined. On a
/// [long](is_long) plan each candidate is held against the mistakes at its own pieces only, by closed forms.
///
/// # Errors
/// When a resistance is none that can be calculated with.
pub fn assess(
    circuit: &Circuit,
    settings: &[Vec<Option<u8>>],
    candidates: Vec<Candidate>,
    mistakes: &[Mistake],
) -> Result<Vec<Assessed>, BadConductance> {
    if is_long(circuit, mistakes) {
        return crate::assess_long::assess(circuit, settings, candidates, mistakes);
    }
    let (slot, pairs) = pairs_of(&candidates);
    let mut network = PairReader::new(circuit, &pairs, mistakes)?;
    let of_setting = by_setting(settings.len(), &candidates);
    let mut well: Vec<Spread<f64>> = vec![Spread::exactly(f64::INFINITY); candidates.len()];
    for (setting, of) in settings.iter().zip(&of_setting) {
        let levels = network.levels(setting, None)?;
        for &index in of {
            well[index] = levels.each().map(|level| level[slot[&candidates[index].pair]]);
        }
    }
    let mut assessed: Vec<Assessed> = candidates.into_iter().zip(well).map(|(c, well)| expect(c, well)).collect();
    // A wire that leads to two contacts is looked for wherever one of them makes it part of a chain.
    let mut of_chain: BTreeMap<EdgeId, BTreeSet<usize>> = BTreeMap::new();
    for test in &assessed {
        for &edge in &test.candidate.chain {
            of_chain.entry(edge).or_default().insert(test.candidate.setting);
        }
    }
    let beside = BladesBesideBonds::from_circuit(circuit);
    for (number, mistake) in mistakes.iter().enumerate() {
        let mut looked_for = settings_of(circuit, &beside, settings, mistake);
        looked_for.extend(mistake.edges().iter().filter_map(|e| of_chain.get(e)).flatten());
        for setting in looked_for {
            let levels = network.levels(&settings[setting], Some(mistake))?;
            for &index in &of_setting[setting] {
                let pair = slot[&assessed[index].candidate.pair];
                let own = mistake.edges().iter().any(|e| assessed[index].candidate.chain.contains(e));
                assessed[index].record_reading(number, levels.each().map(|level| level[pair]), own);
            }
        }
    }
    Ok(assessed)
}

/// The settings in which a mistake is looked for: the first in which what it is made at is joined, for two exchanged wires
/// the first of each; for a gap the first of all.
fn settings_of(
    circuit: &Circuit,
    beside: &BladesBesideBonds,
    settings: &[Vec<Option<u8>>],
    mistake: &Mistake,
) -> BTreeSet<usize> {
    match mistake {
        Mistake::Bridged(..) => BTreeSet::from([0]),
        other => other.edges().into_iter().filter_map(|edge| beside.setting_for(circuit, edge, settings)).collect(),
    }
}
