//! Assessing a long plan: each test against the mistakes at its own pieces, by closed forms.
//!
//! Let `R` be what is read between the ends of a chain of pieces in a row, `C` the sum of the pieces, and `P` all that lies
//! beside the chain: `1/R = 1/C + 1/P`. With one piece open `P` is read, with an ohm too much in one the two in parallel with
//! that ohm in `C`; across a bridged gap, `R` beside the bridge. No elimination is needed but the one for `R`.

use crate::assessed::{Assessed, expect, when_well};
use crate::candidates::{Candidate, Looks};
use crate::mistake::{BAD_JOINT_OHMS, BRIDGED_GAP_OHMS, Mistake};
use crate::test::How;
use circuit::{Circuit, EdgeId, NodeId};
use electrics::Level;
use handbook::Spread;
use network::BadConductance;
use std::collections::BTreeMap;

/// What is left beside a chain must be less than this part of its conductance to be called nothing: the subtraction has no
/// more digits.
const NOTHING: f64 = 1e-9;

/// Assesses candidates, each against the mistakes at its own pieces.
///
/// # Errors
/// When a resistance is none that can be calculated with.
pub fn assess(
    circuit: &Circuit,
    settings: &[Vec<Option<u8>>],
    candidates: Vec<Candidate>,
    mistakes: &[Mistake],
) -> Result<Vec<Assessed>, BadConductance> {
    let well = when_well(circuit, settings, &candidates)?;
    let mut of_edge: BTreeMap<EdgeId, Vec<usize>> = BTreeMap::new();
    let mut of_gap: BTreeMap<(NodeId, NodeId), usize> = BTreeMap::new();
    for (number, mistake) in mistakes.iter().enumerate() {
        mistake.edges().into_iter().for_each(|e| of_edge.entry(e).or_default().push(number));
        if let Mistake::Bridged(a, b) = mistake {
            of_gap.insert((*a, *b), number);
        }
    }
    let mut assessed = Vec::new();
    for (candidate, well) in candidates.into_iter().zip(well) {
        let Some(ohms) = well else { continue };
        let mut test = expect(candidate, ohms);
        match test.candidate.looks {
            Looks::Gap => {
                if let Some(&number) = of_gap.get(&(test.candidate.pair[0], test.candidate.pair[1])) {
                    test.record_reading(number, ohms.map(|r| beside(r, BRIDGED_GAP_OHMS)), true);
                }
            }
            Looks::Chain if in_a_row(circuit, &test.candidate) => chain(circuit, &mut test, ohms, &of_edge, mistakes),
            _ => {}
        }
        assessed.push(test);
    }
    exchanged(circuit, &mut assessed, mistakes);
    Ok(assessed)
}

fn beside(one: f64, other: f64) -> f64 {
    if one.is_infinite() { other } else { one * other / (one + other) }
}

/// Whether nothing but the chain itself ends inside it. A bus with its taps is no such chain.
fn in_a_row(circuit: &Circuit, candidate: &Candidate) -> bool {
    let bus = |e: &EdgeId| circuit.edges[*e].kind == circuit::EdgeKind::BusWire;
    candidate.chain.len() == 1 || !candidate.chain.iter().any(bus)
}

fn chain(
    circuit: &Circuit,
    test: &mut Assessed,
    read: Spread<f64>,
    of_edge: &BTreeMap<EdgeId, Vec<usize>>,
    mistakes: &[Mistake],
) {
    let own = |level: Level| -> f64 { test.candidate.chain.iter().map(|&e| level.pick(circuit.edges[e].ohms)).sum() };
    let sum = Spread::new(own(Level::Low), own(Level::Typical), own(Level::High));
    let rest = |read: f64, own: f64| {
        let siemens = 1.0 / read - 1.0 / own;
        if siemens * own <= NOTHING { f64::INFINITY } else { 1.0 / siemens }
    };
    let both = [(read.low, sum.low), (read.typical, sum.typical), (read.high, sum.high)];
    let open = both.map(|(read, own)| rest(read, own));
    let bad = both.map(|(read, own)| beside(rest(read, own), own + BAD_JOINT_OHMS));
    let chain = test.candidate.chain.clone();
    for number in chain.iter().filter_map(|e| of_edge.get(e)).flatten() {
        let [low, typical, high] = match mistakes[*number] {
            Mistake::Open(_) => open,
            Mistake::Resistive(_) => bad,
            // Where nothing lies beside, two pieces exchanged leave the chain open.
            Mistake::Exchanged(..) if open.iter().all(|r| r.is_infinite()) => open,
            _ => continue,
        };
        test.record_reading(*number, Spread::new(low, typical, high), true);
    }
}

/// Feeders of one place exchanged where both rails have others: the two poles meet, which a test of the poles against each
/// other in the first setting notices.
fn exchanged(circuit: &Circuit, assessed: &mut [Assessed], mistakes: &[Mistake]) {
    let mut fed_otherwise: BTreeMap<EdgeId, bool> = BTreeMap::new();
    for test in assessed.iter().filter(|t| t.candidate.looks == Looks::Chain && t.candidate.setting == 0) {
        let own: f64 = test.candidate.chain.iter().map(|&e| circuit.edges[e].ohms.typical).sum();
        let more = test.how == How::Millivolts && test.expected.typical < own * 1e3 * (1.0 - NOTHING);
        for &edge in &test.candidate.chain {
            *fed_otherwise.entry(edge).or_insert(more) &= more;
        }
    }
    let piece = crate::candidates::pieces(circuit, &vec![Some(0); circuit.controls.len()]);
    let mut poles: BTreeMap<[NodeId; 2], usize> = BTreeMap::new();
    for (index, test) in assessed.iter().enumerate() {
        if test.candidate.looks == Looks::Conductors && test.candidate.setting == 0 && test.how == How::Open {
            let mut on = test.candidate.pair.map(|n| piece[n]);
            on.sort_unstable();
            poles.entry(on).or_insert(index);
        }
    }
    for (number, mistake) in mistakes.iter().enumerate() {
        let Mistake::Exchanged(one, other) = *mistake else { continue };
        // One of them is enough: its rail joins the pole it has with the one it is wired to.
        let joins = [one, other].iter().any(|e| fed_otherwise.get(e) == Some(&true));
        let mut on = [one, other].map(|e| piece[circuit.edges[e].b]);
        on.sort_unstable();
        if let Some(&index) = poles.get(&on).filter(|_| joins) {
            // How little it then reads is not calculated; that it reads less than 100 kΩ is enough to know.
            assessed[index].notices.insert(number);
        }
    }
}
