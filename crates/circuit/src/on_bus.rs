//! What is a bus: joined to a pole for good, over wire alone.

use crate::{Circuit, EdgeKind, NodeId};
use std::collections::BTreeMap;

impl Circuit {
    /// For each node that bus wire, taps and terminals join to a pole for good: its source, and 0 for A, 1 for B.
    pub fn on_bus(&self) -> BTreeMap<NodeId, (usize, usize)> {
        let neighbours = self.neighbours();
        let mut poles = BTreeMap::new();
        for (source, nodes) in self.sources.iter().enumerate() {
            for (pole, &node) in nodes.node.iter().enumerate() {
                let mut todo = vec![node];
                while let Some(node) = todo.pop() {
                    if poles.insert(node, (source, pole)).is_some() {
                        continue;
                    }
                    let bus = |edge: u32| {
                        let edge = &self.edges[edge as usize];
                        edge.is_always_closed()
                            && matches!(edge.kind, EdgeKind::BusWire | EdgeKind::Source | EdgeKind::Tap)
                    };
                    todo.extend(neighbours[node as usize].iter().filter(|n| bus(n.1)).map(|n| n.0));
                }
            }
        }
        poles
    }
}
