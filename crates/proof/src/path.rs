//! The way of the current in one setting, for people to follow with a finger.

use crate::ProofWitness;
use circuit::{Circuit, EdgeId, EdgeKind, Literal, Neighbours, NodeId};
use std::collections::{BTreeSet, VecDeque};

/// The shortest closed path between two nodes in a setting, with some edges cut. Positions not named
/// are first taken as open, so that the path shows nothing that does not matter; where no path is
/// left then, they are taken in their usual positions.
pub(crate) fn witness(
    (circuit, neighbours): (&Circuit, &Neighbours),
    setting: Vec<Literal>,
    from: NodeId,
    to: NodeId,
) -> ProofWitness {
    witness_without((circuit, neighbours), setting, [from, to], &BTreeSet::new())
}

pub(crate) fn witness_without(
    way: (&Circuit, &Neighbours),
    setting: Vec<Literal>,
    ends: [NodeId; 2],
    cut: &BTreeSet<EdgeId>,
) -> ProofWitness {
    let positions = positions(way.0, &setting, false);
    let path = shortest(way, &positions, ends, cut)
        .or_else(|| shortest(way, &self::positions(way.0, &setting, true), ends, cut));
    let (nodes, edges) = path.unwrap_or_default();
    ProofWitness { setting, nodes, edges }
}

/// A position for each control: those named, the first of what settles by itself; and, where `all` is asked for, all others in
/// their usual positions, or as near to them as there is a setting (see [`Circuit::complete`]).
pub(crate) fn positions(circuit: &Circuit, setting: &[Literal], all: bool) -> Vec<Option<u8>> {
    let mut positions: Vec<Option<u8>> = circuit.controls.iter().map(|c| c.settles.then_some(0)).collect();
    for literal in setting {
        positions[literal.control] = Some(literal.position);
    }
    if all { circuit.complete(&positions) } else { positions }
}

/// The path of the fewest pieces, those of the bus not counted: a current takes the bus rather than rail.
pub(crate) fn shortest(
    (circuit, neighbours): (&Circuit, &Neighbours),
    positions: &[Option<u8>],
    [from, to]: [NodeId; 2],
    cut: &BTreeSet<EdgeId>,
) -> Option<(Vec<NodeId>, Vec<EdgeId>)> {
    let closed = |edge: EdgeId| circuit.edges[edge].is_closed(positions) && !cut.contains(&edge);
    let mut came: Vec<Option<(NodeId, EdgeId)>> = vec![None; circuit.nodes.len()];
    let mut pieces = vec![u32::MAX; circuit.nodes.len()];
    pieces[from] = 0;
    // Pieces that do not count are walked before all others, so that nodes come out nearest first.
    let mut queue = VecDeque::from([(0, from)]);
    while let Some((count, node)) = queue.pop_front() {
        if count > pieces[node] {
            continue;
        }
        if node == to {
            let (mut nodes, mut edges) = (vec![to], Vec::new());
            let mut at = to;
            while at != from {
                let (before, edge) = came[at]?;
                nodes.push(before);
                edges.push(edge);
                at = before;
            }
            nodes.reverse();
            edges.reverse();
            return Some((nodes, edges));
        }
        for &(next, edge) in &neighbours[node] {
            let free = matches!(circuit.edges[edge].kind, EdgeKind::BusWire | EdgeKind::Source);
            let there = count + u32::from(!free);
            if there < pieces[next] && closed(edge) {
                pieces[next] = there;
                came[next] = Some((node, edge));
                if free { queue.push_front((there, next)) } else { queue.push_back((there, next)) }
            }
        }
    }
    None
}

/// How likely an edge is the piece at fault, when any one of several would end a short: a gap forgotten in a
/// rail first, then what a hand has wired, the bus last.
pub(crate) fn suspicion(kind: EdgeKind) -> u8 {
    match kind {
        EdgeKind::SlidingJoint | EdgeKind::SolderedJoint => 8,
        EdgeKind::Rail => 7,
        EdgeKind::Feeder => 6,
        EdgeKind::Contact => 5,
        EdgeKind::Wire => 4,
        EdgeKind::Blade => 3,
        EdgeKind::Tap => 1,
        EdgeKind::BusWire | EdgeKind::Source => 0,
    }
}
