//! The way of the current in one setting, for people to follow with a finger.

use crate::Witness;
use circuit::{Circuit, EdgeId, EdgeKind, Literal, NodeId};
use std::collections::VecDeque;

/// The shortest closed path between two nodes in a setting, with some edges cut. Positions not named
/// are first taken as open, so that the path shows nothing that does not matter; where no path is
/// left then, they are taken as their first position.
pub(crate) fn witness(circuit: &Circuit, setting: Vec<Literal>, from: NodeId, to: NodeId) -> Witness {
    witness_without(circuit, setting, from, to, &[])
}

pub(crate) fn witness_without(
    circuit: &Circuit,
    setting: Vec<Literal>,
    from: NodeId,
    to: NodeId,
    cut: &[EdgeId],
) -> Witness {
    let positions = positions(circuit, &setting, None);
    let path = shortest(circuit, &positions, from, to, cut)
        .or_else(|| shortest(circuit, &self::positions(circuit, &setting, Some(0)), from, to, cut));
    let (nodes, edges) = path.unwrap_or_default();
    Witness { setting, nodes, edges }
}

pub(crate) fn positions(circuit: &Circuit, setting: &[Literal], rest: Option<u8>) -> Vec<Option<u8>> {
    let mut positions = vec![rest; circuit.controls.len()];
    for literal in setting {
        positions[literal.control] = Some(literal.position);
    }
    positions
}

/// Breadth first, so the fewest pieces.
pub(crate) fn shortest(
    circuit: &Circuit,
    positions: &[Option<u8>],
    from: NodeId,
    to: NodeId,
    cut: &[EdgeId],
) -> Option<(Vec<NodeId>, Vec<EdgeId>)> {
    let neighbours = circuit.neighbours();
    let closed = |edge: EdgeId| Circuit::holds(&circuit.edges[edge as usize].guard, positions) && !cut.contains(&edge);
    let mut came: Vec<Option<(NodeId, EdgeId)>> = vec![None; circuit.nodes.len()];
    let mut queue = VecDeque::from([from]);
    while let Some(node) = queue.pop_front() {
        if node == to {
            let (mut nodes, mut edges) = (vec![to], Vec::new());
            let mut at = to;
            while at != from {
                let (before, edge) = came[at as usize]?;
                nodes.push(before);
                edges.push(edge);
                at = before;
            }
            nodes.reverse();
            edges.reverse();
            return Some((nodes, edges));
        }
        for &(next, edge) in &neighbours[node as usize] {
            if next != from && came[next as usize].is_none() && closed(edge) {
                came[next as usize] = Some((node, edge));
                queue.push_back(next);
            }
        }
    }
    None
}

/// How likely an edge is the piece at fault, when any one of several would end a short: what a hand
/// has wired before what a factory has made.
pub(crate) fn suspicion(kind: EdgeKind) -> u8 {
    match kind {
        EdgeKind::Feeder => 7,
        EdgeKind::Contact => 6,
        EdgeKind::Wire => 5,
        EdgeKind::SlidingJoint | EdgeKind::SolderedJoint => 4,
        EdgeKind::Blade => 3,
        EdgeKind::Rail => 2,
        EdgeKind::Tap => 1,
        EdgeKind::BusWire | EdgeKind::Source => 0,
    }
}
