//! How rails are walked: which way round is how long, and where the middle of pieces lies.

use circuit::NodeId;

/// How nodes were come to, from where each run starts.
pub(crate) struct Tree {
    /// For each node the one before it (of a start itself), how many there are before it, and how far it was walked, metres.
    before: Vec<(NodeId, u32, f64)>,
    /// How many more steps back may be walked.
    left: usize,
}

/// How many steps back may be walked for all ways round together: some hundred passing loops on a line of 100,000 nodes.
const MOST_STEPS: usize = 20_000_000;

impl Tree {
    /// With no node come to as yet.
    pub(crate) fn with_nodes(nodes: usize) -> Tree {
        Tree { before: NodeId::all(nodes).map(|start| (start, 0, 0.0)).collect(), left: MOST_STEPS }
    }

    /// Notes that a node was come to from another.
    pub(crate) fn grow(&mut self, from: NodeId, to: NodeId, metres: f64) {
        let (_, steps, walked) = self.before[from];
        self.before[to] = (from, steps + 1, walked + metres);
    }

    /// The length of the way round that a link between two nodes closes; no end of it once too much has been walked.
    pub(crate) fn round(&mut self, one: NodeId, other: NodeId, metres: f64) -> f64 {
        let (mut a, mut b) = (one, other);
        while a != b {
            if self.left == 0 {
                return f64::INFINITY;
            }
            self.left -= 1;
            let [(before_a, steps_a, _), (before_b, steps_b, _)] = [a, b].map(|n| self.before[n]);
            if steps_a >= steps_b {
                a = before_a;
            } else {
                b = before_b;
            }
        }
        let walked = |node: NodeId| self.before[node].2;
        walked(one) + walked(other) - 2.0 * walked(a) + metres
    }
}

/// Where half of the rail lies below: `edges` are where pieces start (+1) and end (−1).
pub(crate) fn middle(edges: &mut [(f64, f64)], half: f64) -> f64 {
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut below, mut beside, mut last) = (0.0, 0.0, edges.first().map_or(0.0, |e| e.0));
    for &(coordinate, change) in edges.iter() {
        let more = beside * (coordinate - last);
        if beside > 0.0 && below + more >= half {
            return last + (half - below) / beside;
        }
        below += more;
        beside += change;
        last = coordinate;
    }
    last
}
