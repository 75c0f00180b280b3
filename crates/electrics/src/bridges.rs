//! Edges over which all of a current must go, read off the shape of the circuit without a number.
//!
//! What flows from a train's left rail to its right one crosses each edge that alone holds the two sides together, a *bridge*
//! of the network in which an ideal source is no more than a joint; over any other edge goes only a part of it, since there is
//! another way of finite resistance around it. One walk finds all bridges (Tarjan, "A note on finding the bridges of a graph",
//! Information Processing Letters 2, 1974); those between two places are then the way between them in the tree that bridges
//! make of the network.

use circuit::EdgeId;

/// The bridges of a network and the tree they make.
pub(crate) struct Bridges {
    /// For each node the next bridge on its way to the root, and the node on its far side.
    above: Vec<Option<(EdgeId, u32)>>,
    /// For each node how many bridges there are on that way.
    depth: Vec<u32>,
}

/// A node that is being walked from.
struct SearchFrame {
    node: u32,
    /// The edge it was reached by.
    by: Option<EdgeId>,
    /// The next of its edges to try.
    next: u32,
}

/// No node or no number.
const NONE: u32 = u32::MAX;

impl Bridges {
    /// Of a network: for each edge its two nodes, none where it is open.
    pub(crate) fn from_graph(nodes: usize, ends: &[Option<[u32; 2]>]) -> Bridges {
        let (start, beside) = neighbours(nodes, ends);
        let mut walk = BridgeSearch { seen: vec![NONE; nodes], low: vec![NONE; nodes], order: Vec::new() };
        for root in 0..nodes as u32 {
            if walk.seen[root as usize] == NONE {
                walk.from(root, &start, &beside);
            }
        }
        let mut bridges = Bridges { above: vec![None; nodes], depth: vec![0; nodes] };
        // A node stands in the order behind the one it was reached from.
        for &(node, from, by) in &walk.order {
            let [node, from] = [node, from].map(|n| n as usize);
            let is_bridge = walk.low[node] > walk.seen[from];
            bridges.above[node] = if is_bridge { Some((by, from as u32)) } else { bridges.above[from] };
            bridges.depth[node] = bridges.depth[from] + u32::from(is_bridge);
        }
        bridges
    }

    /// Whether an edge between two nodes is one.
    pub(crate) fn is_bridge(&self, edge: EdgeId, ends: [u32; 2]) -> bool {
        ends.iter().any(|&end| self.above[end as usize].is_some_and(|up| up.0 == edge))
    }

    /// Those between two nodes of one piece of the network.
    pub(crate) fn between(&self, mut one: u32, mut other: u32) -> Vec<EdgeId> {
        let mut found = Vec::new();
        loop {
            let [mut at, mut beside] =
                [one, other].map(|node| (node, self.depth[node as usize], self.above[node as usize]));
            if at.1 < beside.1 {
                std::mem::swap(&mut at, &mut beside);
            }
            // Where the next bridge of both is the same, they stand on the same side of it, and of all beyond.
            let Some((edge, beyond)) = at.2.filter(|_| at.2.map(|up| up.0) != beside.2.map(|up| up.0)) else { break };
            found.push(edge);
            (one, other) = (beyond, beside.0);
        }
        found.sort_unstable();
        found
    }
}

/// A walk in depth over a network.
struct BridgeSearch {
    /// For each node when it was reached.
    seen: Vec<u32>,
    /// For each node the earliest one that it, or what was reached through it, is joined to but by the edge it was reached by.
    low: Vec<u32>,
    /// Nodes in the order in which they were reached: the node, from where, by which edge; roots left out.
    order: Vec<(u32, u32, EdgeId)>,
}

impl BridgeSearch {
    fn from(&mut self, root: u32, start: &[u32], beside: &[(u32, EdgeId)]) {
        // Pieces have no edge between them, so that each may count from 0.
        let mut time = 0;
        let mut way = vec![self.reached(root, None, start, time)];
        while let Some(step) = way.last_mut() {
            let node = step.node as usize;
            if step.next == start[node + 1] {
                let low = self.low[node];
                way.pop();
                if let Some(before) = way.last() {
                    let before = before.node as usize;
                    self.low[before] = self.low[before].min(low);
                }
                continue;
            }
            let (to, edge) = beside[step.next as usize];
            step.next += 1;
            if step.by == Some(edge) {
                continue;
            }
            if self.seen[to as usize] == NONE {
                let from = step.node;
                time += 1;
                self.order.push((to, from, edge));
                way.push(self.reached(to, Some(edge), start, time));
            } else {
                self.low[node] = self.low[node].min(self.seen[to as usize]);
            }
        }
    }

    fn reached(&mut self, node: u32, by: Option<EdgeId>, start: &[u32], time: u32) -> SearchFrame {
        self.seen[node as usize] = time;
        self.low[node as usize] = time;
        SearchFrame { node, by, next: start[node as usize] }
    }
}

/// For each node where its neighbours begin, and the neighbours with the edges that lead there.
fn neighbours(nodes: usize, ends: &[Option<[u32; 2]>]) -> (Vec<u32>, Vec<(u32, EdgeId)>) {
    let mut start = vec![0; nodes + 1];
    let closed = || EdgeId::each(ends).filter_map(|(edge, ends)| ends.filter(|[a, b]| a != b).map(|ends| (edge, ends)));
    for (_, [a, b]) in closed() {
        start[a as usize + 1] += 1;
        start[b as usize + 1] += 1;
    }
    for node in 0..nodes {
        start[node + 1] += start[node];
    }
    let mut filled = start.clone();
    let mut beside = vec![(NONE, EdgeId::new(0)); start[nodes] as usize];
    for (edge, [a, b]) in closed() {
        for (from, to) in [(a, b), (b, a)] {
            beside[filled[from as usize] as usize] = (to, edge);
            filled[from as usize] += 1;
        }
    }
    (start, beside)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Whether two nodes are joined without one of the edges.
    fn joined(nodes: usize, ends: &[Option<[u32; 2]>], without: usize, one: u32, other: u32) -> bool {
        let mut parent: Vec<u32> = (0..nodes as u32).collect();
        for (_, ends) in ends.iter().enumerate().filter(|(edge, _)| *edge != without) {
            if let Some([a, b]) = ends {
                let (a, b) = (network::set_root(&mut parent, *a), network::set_root(&mut parent, *b));
                parent[a as usize] = b;
            }
        }
        network::set_root(&mut parent, one) == network::set_root(&mut parent, other)
    }

    proptest! {
        /// By what they are: without one of them, the two nodes are no longer joined.
        #[test]
        fn bridges_are_the_edges_without_which_nodes_part(
            nodes in 2usize..14,
            drawn in prop::collection::vec((0u32..14, 0u32..14, prop::bool::weighted(0.9)), 0..22),
            asked in (0u32..14, 0u32..14),
        ) {
            let within = |node: u32| node % nodes as u32;
            let ends: Vec<Option<[u32; 2]>> =
                drawn.iter().map(|&(a, b, closed)| closed.then_some([within(a), within(b)])).collect();
            let (one, other) = (within(asked.0), within(asked.1));
            prop_assume!(joined(nodes, &ends, usize::MAX, one, other));
            let parting = (0..ends.len()).filter(|&edge| !joined(nodes, &ends, edge, one, other));
            let parting: Vec<EdgeId> = parting.map(EdgeId::new).collect();
            prop_assert_eq!(Bridges::from_graph(nodes, &ends).between(one, other), parting);
        }
    }
}
