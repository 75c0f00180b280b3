//! Rail lines: stops, the rail between them, and the gaps that are left where nothing joins.

use crate::{Circuit, Gap, NodeId, RailLine, Stop};
use crate::{EdgeId, trackwork::LocalStop};
use plan::tables::RailSide;
use std::collections::{BTreeMap, BTreeSet};

/// The line of a template's rail, once its nodes and edges exist.
///
/// Where the template has no rail between two stops the line ends early; a test holds every template
/// to having one.
pub(crate) fn local_line(
    stops: &[LocalStop],
    node: &impl Fn(usize) -> NodeId,
    edge_of: &BTreeMap<(usize, usize), EdgeId>,
) -> RailLine {
    let mut line = RailLine::default();
    for (i, stop) in stops.iter().enumerate() {
        if i > 0 {
            let (from, to) = (stops[i - 1].nodes[1], stop.nodes[0]);
            let Some(&edge) = edge_of.get(&(from, to)).or_else(|| edge_of.get(&(to, from))) else { break };
            line.pieces.push(edge);
        }
        line.stops.push(Stop { x: stop.x, before: node(stop.nodes[0]), after: node(stop.nodes[1]) });
    }
    line
}

/// Every place where a rail's two sides are joined by nothing at all, in no position.
pub(crate) fn gaps(circuit: &Circuit) -> Vec<Gap> {
    let joined: BTreeSet<(NodeId, NodeId)> = circuit.edges.iter().flat_map(|e| [(e.a, e.b), (e.b, e.a)]).collect();
    let mut gaps = Vec::new();
    for (segment, s) in circuit.segments.iter().enumerate() {
        for (side, line) in RailSide::ALL.into_iter().zip(&s.rails) {
            for (place, stop) in line.stops.iter().enumerate() {
                // At the far end of a track the node behind the gap is the neighbour's.
                let own = if place + 1 == line.stops.len() { stop.before } else { stop.after };
                if stop.before != stop.after && !joined.contains(&(stop.before, stop.after)) {
                    gaps.push(Gap {
                        segment,
                        side,
                        x: stop.x,
                        before: stop.before,
                        after: stop.after,
                        span: circuit.nodes[own].span.clone(),
                    });
                }
            }
        }
    }
    gaps
}
