//! Current detectors: what feeds them, what they keep of the volts, and which rails they see.
//!
//! A detector of diodes keeps a voltage that hardly depends on the current: it is no resistance, but volts lost wherever the feed
//! passes it ([`Circuit::detector_drop`]).

use crate::{Circuit, NodeId, Part, SegmentId, Spot};
use handbook::limits::DETECTOR_DROP;
use handbook::quantity::Quantity;
use plan::{Names, Plan, Pole, Terminal};

/// The conductor of a bus that a detector is in, and the place on it where one is said, in metres.
pub fn fed_from(plan: &Plan, names: &Names, detector: usize) -> Option<(usize, Pole, Option<f64>)> {
    match names.terminal(plan, &plan.detector[detector].from.value) {
        Ok(Terminal::Bus(bus, pole, at)) => Some((bus, pole, at.map(|at| at.si()))),
        _ => None,
    }
}

/// The volts that stay behind in a detector.
pub fn volts(plan: &Plan, detector: usize) -> f64 {
    let table = &plan.detector[detector];
    match (&table.drop, &table.resistance) {
        (Some(drop), _) => drop.value.si(),
        (None, Some(_)) => 0.0,
        (None, None) => DETECTOR_DROP.value.si(),
    }
}

impl Circuit {
    /// The nodes that are joined to a node over edges of a kind, neither past a bus or a supply nor through a detector.
    pub fn seen_from(
        &self,
        neighbours: &crate::Neighbours,
        from: NodeId,
        passes: impl Fn(&crate::Edge) -> bool,
    ) -> Vec<bool> {
        let mut seen = vec![false; self.nodes.len()];
        seen[from] = true;
        let mut stack = vec![from];
        while let Some(node) = stack.pop() {
            for &(next, edge) in &neighbours[node] {
                let edge = &self.edges[edge];
                let ends = matches!(
                    self.nodes[next].spot,
                    Spot::Bus { .. } | Spot::Tap { .. } | Spot::Supply { .. } | Spot::Detector { .. }
                );
                let inside = matches!(edge.part, Part::Detector { .. });
                if !ends && !inside && !edge.removed && passes(edge) && !std::mem::replace(&mut seen[next], true) {
                    stack.push(next);
                }
            }
        }
        seen
    }

    /// The volts with which a source feeds a segment: its own, less what detectors on the way there may keep.
    pub fn volts_on(&self, source: usize, segment: SegmentId) -> f64 {
        let drop = self.detector_drop.get(segment).copied().unwrap_or(0.0);
        (self.sources[source].volts - drop).max(0.0)
    }
}
