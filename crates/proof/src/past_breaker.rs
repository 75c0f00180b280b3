//! Which breaker feeds what: wires that come from a neighbouring district, and the breakers that a short at a
//! turnout trips.

use crate::conductors::PoleConditions;
use crate::logic::Logic;
use crate::path::witness_without;
use crate::{MOST_TOLD, ProofWitness, QueryContext, TooComplex};
use circuit::{BreakerPole, Circuit, EdgeId, EdgeKind, NodeId, PoleId, RailOwner};
use plan::tables::RailSide;
use plan::{Kind, Pole};
use std::collections::{BTreeMap, BTreeSet};

/// What a wire from another district lands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Landing {
    /// A track's rail.
    Rail(usize, RailSide),
    /// A frog: index into the circuit's frogs.
    Frog(usize),
}

/// Something that is fed by a wire from behind another breaker than its own.
#[derive(Clone, Debug, PartialEq)]
pub struct PastBreaker {
    /// What.
    pub landing: Landing,
    /// Its own breaker: the one its rails, or those around the frog, are meant to be fed from.
    pub meant: usize,
    /// The breaker that the wire comes from.
    pub from: usize,
    /// A setting, and the path from that breaker's terminal.
    pub witness: ProofWitness,
}

/// Edges of these kinds, as a list of what to leave out.
fn of_kinds(circuit: &Circuit, kinds: &[EdgeKind]) -> Vec<EdgeId> {
    EdgeId::all(circuit.edges.len()).filter(|&e| kinds.contains(&circuit.edges[e].kind)).collect()
}

/// Looks at the wiring alone, without rails, for wires that land in another district.
pub(crate) fn past_breakers(q: &QueryContext<'_>) -> Result<Vec<PastBreaker>, TooComplex> {
    let (circuit, logic) = (q.circuit, q.logic);
    let mut found = Vec::new();
    if circuit.breakers.len() < 2 {
        return Ok(found);
    }
    use EdgeKind::{Blade, Rail, SlidingJoint, SolderedJoint, Source};
    let cut = of_kinds(circuit, &[Source, Rail, SlidingJoint, SolderedJoint, Blade]);
    let pairs: Vec<[NodeId; 2]> = circuit.breakers.iter().map(|b| b.node).collect();
    let poles = PoleConditions::between(circuit, logic, &cut, &pairs)?;
    let mut reported = BTreeSet::new();
    let left_out: BTreeSet<EdgeId> = cut.into_iter().collect();
    for (landing, node, meant) in landings(circuit) {
        if found.len() >= MOST_TOLD {
            break;
        }
        for (PoleId { source: from, pole }, live) in poles.live_from(node) {
            let own = |&m: &usize| m == from || opener(circuit, m, pole) == opener(circuit, from, pole);
            if meant.iter().any(own) || reported.contains(&(landing, from)) {
                continue;
            }
            let condition = logic.restrict_to_legal(live)?;
            if condition.is_false() {
                continue;
            }
            reported.insert((landing, from));
            let ends = [pairs[from][pole], node];
            let witness = witness_without((circuit, q.neighbours), logic.shortest_cube(condition), ends, &left_out);
            let witness = logic.without_automatic_controls(witness);
            found.push(PastBreaker { landing, meant: meant[0], from, witness });
        }
    }
    Ok(found)
}

/// The breaker that opens a pole behind a breaker: itself, or the one above it that the pole is common with.
fn opener(circuit: &Circuit, breaker: usize, pole: Pole) -> usize {
    let mut at = breaker;
    while let (false, Some(above)) = (circuit.breakers[at].opens[pole], circuit.breakers[at].behind) {
        at = above;
    }
    at
}

/// Rails and frogs with the node that a wire can land on and the breakers they are meant to be behind.
fn landings(circuit: &Circuit) -> Vec<(Landing, NodeId, Vec<usize>)> {
    let mut all = Vec::new();
    for track in 0..circuit.tracks {
        for side in RailSide::ALL {
            let Some(BreakerPole { breaker: meant, .. }) = circuit.intended_pole[track][side] else { continue };
            let nodes = circuit.segments[track].rails[side].stops.iter().flat_map(|s| [s.before, s.after]);
            let own: BTreeSet<NodeId> = nodes.collect();
            all.extend(own.into_iter().map(|node| (Landing::Rail(track, side), node, vec![meant])));
        }
    }
    let around = around(circuit);
    for (index, &(kind, work, node, _)) in circuit.frogs.iter().enumerate() {
        // Trackwork on a boundary may be fed from either side.
        let meant: Vec<usize> = around.get(&(kind, work)).into_iter().flatten().copied().collect();
        if !meant.is_empty() {
            all.push((Landing::Frog(index), node, meant));
        }
    }
    all
}

/// For each trackwork, the breakers that the tracks at its ends are meant to be behind.
fn around(circuit: &Circuit) -> BTreeMap<(Kind, usize), BTreeSet<usize>> {
    let mut around: BTreeMap<(Kind, usize), BTreeSet<usize>> = BTreeMap::new();
    for segment in &circuit.segments {
        if let RailOwner::Work { kind, index, .. } = segment.owner {
            let tracks = segment.ends.iter().flat_map(|e| &e.next).map(|n| n.0).filter(|&t| t < circuit.tracks);
            let breakers = tracks.flat_map(|t| circuit.intended_pole[t].iter().flatten().map(|m| m.breaker));
            around.entry((kind, index)).or_default().extend(breakers);
        }
    }
    around
}

/// The breakers that a short at each trackwork can trip: those that feed its rails, by their own terminals.
///
/// # Errors
/// When a condition outgrows its limit.
pub(crate) fn tripped_at(
    circuit: &Circuit,
    logic: &Logic,
) -> Result<BTreeMap<(Kind, usize), BTreeSet<usize>>, TooComplex> {
    let mut tripped: BTreeMap<(Kind, usize), BTreeSet<usize>> = BTreeMap::new();
    let works = circuit.segments.iter().filter(|s| matches!(s.owner, RailOwner::Work { .. }));
    let all: BTreeSet<usize> = (0..circuit.breakers.len()).collect();
    if all.len() == 1 {
        // One breaker for everything that is fed at all.
        for segment in works {
            if let RailOwner::Work { kind, index, .. } = segment.owner {
                tripped.insert((kind, index), all.clone());
            }
        }
        return Ok(tripped);
    }
    let cut = of_kinds(circuit, &[EdgeKind::Source]);
    let pairs: Vec<[NodeId; 2]> = circuit.breakers.iter().map(|b| b.node).collect();
    let poles = PoleConditions::between(circuit, logic, &cut, &pairs)?;
    for segment in works {
        let RailOwner::Work { kind, index, .. } = segment.owner else { continue };
        let nodes = segment.rails.iter().flat_map(|r| r.stops.iter().flat_map(|s| [s.before, s.after]));
        let nodes: BTreeSet<NodeId> = nodes.collect();
        let slot = tripped.entry((kind, index)).or_default();
        slot.extend(nodes.into_iter().flat_map(|n| poles.live_from(n)).map(|(pole, _)| pole.source));
    }
    Ok(tripped)
}
