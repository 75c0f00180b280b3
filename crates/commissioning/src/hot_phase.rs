//! Volts across gaps: whether their two sides are on one pole or on opposite ones.

use crate::candidates::pieces;
use crate::hot_words::{Hot, SUPPLY_SHARE};
use crate::meter;
use crate::mistake::gaps;
use crate::test::{How, ProbePoint, Test, TestKind, Topic, WouldRead};
use crate::words::set_words;
use circuit::{Circuit, NodeId};
use electrics::Level;
use handbook::{Sourced, Spread};
use std::collections::BTreeMap;

/// What is called no volts across a gap: a meter's own leads pick that much up beside a live track.
const NO_VOLTS: Sourced<f64> = Sourced::new(0.5, "our own default");

/// Volts across a gap in a setting, both sides being fed.
struct GapVolts {
    /// How many controls are not at their first position.
    thrown: usize,
    volts: f64,
    setting: usize,
}

/// Volts across each gap in the settings in which both sides are fed: one test for all settings whose volts it would pass, made
/// in the one that takes least to set, and of those where the volts are highest.
pub(crate) fn phases(hot: &Hot<'_, '_>, tried: &[Vec<Option<u8>>]) -> Result<Vec<Test>, electrics::Failed> {
    let circuit = hot.circuit;
    let gaps = gaps(circuit);
    let usual = circuit.complete(&[]);
    let mut of_gap: BTreeMap<usize, Vec<GapVolts>> = BTreeMap::new();
    for (number, setting) in tried.iter().enumerate() {
        let part = parts(circuit, setting);
        let point = electrics::operating_point(circuit, setting, Level::Typical, &[])?;
        let thrown = setting.iter().zip(&usual).filter(|(position, usual)| position != usual).count();
        for (index, &(a, b)) in gaps.iter().enumerate() {
            let (Some(one), Some(other)) = (point.volts[a], point.volts[b]) else { continue };
            // Between two supplies that have nothing in common there are no volts to expect.
            if part[a] == part[b] {
                let volts = (one - other).abs();
                of_gap.entry(index).or_default().push(GapVolts { thrown, volts, setting: number });
            }
        }
    }
    let mut tests = Vec::new();
    for (gap, mut across) in of_gap {
        across.sort_by(|a, b| a.thrown.cmp(&b.thrown).then(b.volts.total_cmp(&a.volts)));
        let mut tested: Vec<[f64; 2]> = Vec::new();
        for GapVolts { volts, setting, .. } in across {
            if tested.iter().any(|[least, most]| (*least..=*most).contains(&volts)) {
                continue;
            }
            let test = phase(hot, gaps[gap], &tried[setting], volts);
            tested.push(test.passes);
            tests.push(test);
        }
    }
    Ok(tests)
}

/// The test of the volts across a gap in a setting.
fn phase(hot: &Hot<'_, '_>, (a, b): (NodeId, NodeId), setting: &[Option<u8>], across: f64) -> Test {
    let circuit = hot.circuit;
    let live = across > NO_VOLTS.value;
    let range = meter::VOLTS;
    let passes = if live {
        [
            across * (1.0 - SUPPLY_SHARE.value) - range.error(across),
            across * (1.0 + SUPPLY_SHARE.value) + range.error(across),
        ]
    } else {
        [0.0, NO_VOLTS.value]
    };
    let supply = circuit.sources.iter().map(|s| s.volts).fold(0.0, f64::max);
    let wrong = if live {
        ("both sides on one pole, or the gap bridged", 0.0)
    } else {
        ("the two sides on opposite poles", supply)
    };
    let set = set_words(circuit, setting);
    let (base, beyond) = (hot.words.node(a), hot.words.node(b));
    let name = if set.is_empty() { base.clone() } else { format!("{base} with {}", hot.words.set(&set)) };
    Test {
        name: format!("hot phase across gap {name}"),
        number: 0,
        kind: TestKind::Hot,
        topic: Topic::Phase,
        about: format!("across {}", hot.words.gap(a, b)),
        between: Some([
            ProbePoint { words: format!("{base}, from side"), node: a },
            ProbePoint { words: format!("{beyond}, to side"), node: b },
        ]),
        on: Vec::new(),
        setting: setting.to_vec(),
        set,
        how: How::Volts,
        range: range.words.to_owned(),
        expected: Some(Spread::exactly(across)),
        passes,
        chain: Vec::new(),
        proves: Vec::new(),
        mistakes: vec![WouldRead { what: wrong.0.to_owned(), reading: wrong.1, in_any_of: None, at_own: Vec::new() }],
    }
}

/// For each node the part of the circuit it is in, supplies counted as joints.
fn parts(circuit: &Circuit, setting: &[Option<u8>]) -> Vec<NodeId> {
    let piece = pieces(circuit, setting);
    let mut of: Vec<NodeId> = NodeId::all(circuit.nodes.len()).collect();
    for source in &circuit.sources {
        let [a, b] = [source.plus, source.node[1]].map(|n| of[piece[n]]);
        of.iter_mut().filter(|p| **p == a).for_each(|p| *p = b);
    }
    piece.into_iter().map(|p: NodeId| of[p]).collect()
}
