//! What is a bus: joined to a pole for good, over wire alone.

use crate::{Circuit, EdgeId, EdgeKind, NodeId, PoleId};
use std::collections::BTreeMap;

impl Circuit {
    /// For each node that bus wire, taps and terminals join to a pole for good, that pole.
    pub fn on_bus(&self) -> BTreeMap<NodeId, PoleId> {
        let neighbours = self.neighbours();
        let mut poles = BTreeMap::new();
        for pole in self.poles() {
            let mut todo = vec![pole.node(self)];
            while let Some(node) = todo.pop() {
                if poles.insert(node, pole).is_some() {
                    continue;
                }
                let bus = |edge: EdgeId| {
                    let edge = &self.edges[edge];
                    edge.is_always_closed() && matches!(edge.kind, EdgeKind::BusWire | EdgeKind::Source | EdgeKind::Tap)
                };
                todo.extend(neighbours[node].iter().filter(|n| bus(n.1)).map(|n| n.0));
            }
        }
        poles
    }
}
