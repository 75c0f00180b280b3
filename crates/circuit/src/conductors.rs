//! What is one piece of metal: nodes that edges join.

use crate::{Circuit, Edge, NodeId};

impl Circuit {
    /// For each node the first of all nodes that the edges that count join it with (union-find with halved paths).
    pub fn conductors(&self, counts: impl Fn(&Edge) -> bool) -> Vec<NodeId> {
        let mut parent: Vec<NodeId> = NodeId::all(self.nodes.len()).collect();
        for edge in self.edges.iter().filter(|edge| counts(edge)) {
            let (a, b) = (root(&mut parent, edge.a), root(&mut parent, edge.b));
            parent[a.max(b)] = a.min(b);
        }
        NodeId::all(parent.len()).map(|node| root(&mut parent, node)).collect()
    }
}

fn root(parent: &mut [NodeId], mut node: NodeId) -> NodeId {
    while parent[node] != node {
        parent[node] = parent[parent[node]];
        node = parent[node];
    }
    node
}
