//! Can two poles ever meet?

use crate::conductors::Poles;
use crate::logic::Logic;
use crate::path::{positions, suspicion, witness_without};
use crate::{TooComplex, Witness};
use biodivine_lib_bdd::Bdd;
use circuit::{Circuit, EdgeId, Neighbours, NodeId};
use std::collections::{BTreeMap, BTreeSet};

/// Shorts beyond this many are not told one by one.
const MOST_SHORTS: usize = 12;

/// Two poles: for each its source and 0 for A, 1 for B.
pub type PolePair = [(usize, usize); 2];

/// A way in which two poles can meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Short {
    /// The poles.
    pub poles: PolePair,
    /// A setting, and the path from one to the other.
    pub witness: Witness,
    /// Pieces of the path of which cutting any single one ends this short, the most suspect first.
    pub cuts: Vec<EdgeId>,
}

impl Short {
    /// Whether it is there in every setting.
    pub fn always(&self) -> bool {
        self.witness.setting.is_empty()
    }
}

/// What was found of shorts, and what to ask on of.
pub(crate) struct Shorts {
    pub(crate) found: Vec<Short>,
    /// The conditions of the circuit as it is or, where two poles are one conductor for good (and so everything is
    /// shorted in every setting), of the circuit with those shorts cut.
    pub(crate) to_ask: Poles,
    /// Where something is cut in those, the conditions of the circuit as it is.
    pub(crate) uncut: Option<Poles>,
}

/// Finds shorts one after another: each is cut at its most suspect piece before the next is looked
/// for, so that each cause is told once.
pub(crate) fn shorts(circuit: &Circuit, logic: &Logic) -> Result<Shorts, TooComplex> {
    let mut found: Vec<Short> = Vec::new();
    let mut cut: Vec<EdgeId> = Vec::new();
    let (mut to_ask, mut uncut) = (None, None);
    let neighbours = circuit.neighbours();
    loop {
        let poles = Poles::of(circuit, logic, &cut)?;
        let Some((pair, condition)) = first_meeting(circuit, logic, &poles)? else {
            return Ok(Shorts { found, to_ask: to_ask.unwrap_or(poles), uncut });
        };
        if to_ask.is_none() {
            if !logic.is_certain(&condition)? {
                to_ask = Some(poles);
            } else if cut.is_empty() {
                uncut = Some(poles);
            }
        }
        let setting = logic.smallest(&condition);
        let ends = pair.map(|(source, pole)| circuit.sources[source].node[pole]);
        let witness = witness_without((circuit, &neighbours), setting, ends, &cut.iter().copied().collect());
        let cuts = single_cuts((circuit, &neighbours), &witness, &cut);
        // Where several paths lie side by side no single cut will do; then cut this one and go on.
        let suspect = cuts.first().copied().or_else(|| most_suspect(circuit, &witness.edges).first().copied());
        let witness = logic.told(witness);
        let told = found.iter().any(|s| s.poles == pair && s.witness.setting == witness.setting && cuts.is_empty());
        if !told {
            found.push(Short { poles: pair, witness, cuts });
        }
        match suspect {
            Some(edge) if found.len() < MOST_SHORTS && cut.len() < 4 * MOST_SHORTS => cut.push(edge),
            _ => {
                let poles = Poles::of(circuit, logic, &cut)?;
                return Ok(Shorts { found, to_ask: to_ask.unwrap_or(poles), uncut });
            }
        }
    }
}

/// The first pair of poles that can meet, and when: A and B of one source before those of different ones. Where
/// controls settle by themselves, only what they cannot avoid.
fn first_meeting(circuit: &Circuit, logic: &Logic, poles: &Poles) -> Result<Option<(PolePair, Bdd)>, TooComplex> {
    let sources = circuit.sources.len();
    let own = (0..sources).map(|s| vec![[(s, 0), (s, 1)]]);
    // Two sources: a reverser may take them from one meeting to another, so their poles are looked at together.
    let across = (0..sources).flat_map(move |s| {
        (s + 1..sources).map(move |t| (0..4).map(|k| [(s, k / 2), (t, k % 2)]).collect::<Vec<PolePair>>())
    });
    for pairs in own.chain(across) {
        if pairs.iter().all(|pair| poles.meet(pair[0], pair[1]).is_false()) {
            continue;
        }
        let fault = logic.unavoidable(pairs.iter().map(|pair| poles.meet(pair[0], pair[1])))?;
        for pair in pairs {
            let condition = logic.and(poles.meet(pair[0], pair[1]), &fault)?;
            if !condition.is_false() {
                return Ok(Some((pair, condition)));
            }
        }
    }
    Ok(None)
}

fn most_suspect(circuit: &Circuit, edges: &[EdgeId]) -> Vec<EdgeId> {
    let mut sorted = edges.to_vec();
    sorted.sort_by_key(|&e| (std::cmp::Reverse(suspicion(circuit.edges[e as usize].kind)), e));
    sorted
}

/// Pieces of a path that every other path in the setting must take too, the most suspect first.
fn single_cuts((circuit, neighbours): (&Circuit, &Neighbours), witness: &Witness, cut: &[EdgeId]) -> Vec<EdgeId> {
    let positions = positions(circuit, &witness.setting, Some(0));
    let mut away: BTreeSet<EdgeId> = cut.iter().copied().collect();
    away.extend(&witness.edges);
    let mut place: BTreeMap<NodeId, usize> = BTreeMap::new();
    for (i, &node) in witness.nodes.iter().enumerate() {
        place.entry(node).or_insert(i);
    }
    // From each node of the path in turn, how far along it one comes without it: what nothing leads round is passed
    // by all.
    let mut seen = vec![false; circuit.nodes.len()];
    let mut furthest = 0;
    let mut passed = Vec::new();
    for (i, &edge) in witness.edges.iter().enumerate() {
        let mut stack = vec![witness.nodes[i]];
        while let Some(node) = stack.pop() {
            if std::mem::replace(&mut seen[node as usize], true) {
                continue;
            }
            furthest = furthest.max(place.get(&node).copied().unwrap_or(0));
            let closed =
                |edge: EdgeId| !away.contains(&edge) && Circuit::holds(&circuit.edges[edge as usize].guard, &positions);
            stack.extend(neighbours[node as usize].iter().filter(|n| closed(n.1)).map(|n| n.0));
        }
        if furthest <= i {
            passed.push(edge);
        }
    }
    most_suspect(circuit, &passed)
}
