//! The least sum of weighted distances between whole numbers that keep apart: a network simplex.
//!
//! The dual is a flow of least cost; a basis of it is a spanning tree of tight edges, and the flow on an edge of the tree
//! is the sum of the weights that leave its subtree less those that enter it. Method: the ranking of directed graphs by
//! Gansner, Koutsofios, North and Vo, "A technique for drawing directed graphs", IEEE Transactions on Software Engineering
//! 19 (1993).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// That one number is at least so much greater than another, and what each step of their distance costs.
#[derive(Clone, Copy, Debug)]
struct SeparationConstraint {
    low: usize,
    high: usize,
    apart: i64,
    weight: i64,
}

/// Numbers for `count` things: `high − low ≥ apart` for each `(low, high, apart)` of `separations`, and the sum of
/// `weight · |a − b|` over the `(a, b, weight)` of `objective` as small as can be. The least of them is 0.
///
/// `separations` must not lead in a circle, and all things must hang together by `separations` and `objective`.
pub(crate) fn solve(count: usize, separations: &[(usize, usize, i64)], objective: &[(usize, usize, i64)]) -> Vec<i64> {
    let mut edges: Vec<SeparationConstraint> =
        separations.iter().map(|&(low, high, apart)| SeparationConstraint { low, high, apart, weight: 0 }).collect();
    for (index, &(a, b, weight)) in objective.iter().enumerate() {
        // The distance of two numbers is the sum of theirs from one below both.
        let below = count + index;
        edges.extend([a, b].map(|high| SeparationConstraint { low: below, high, apart: 0, weight }));
    }
    if count == 0 {
        return Vec::new();
    }
    let mut basis = Basis::new(count + objective.len(), edges);
    // Enough for any drawing; what is found so far keeps apart what must be, wherever it stops.
    for _ in 0..200 * basis.at.len() {
        let Some(leaving) = basis.leaving() else { break };
        if !basis.pivot(leaving) {
            break;
        }
    }
    let least = basis.at[..count].iter().copied().min().unwrap_or(0);
    basis.at[..count].iter().map(|a| a - least).collect()
}

struct Basis {
    edges: Vec<SeparationConstraint>,
    /// The edges of each node.
    of: Vec<Vec<usize>>,
    at: Vec<i64>,
    /// The tree: each node's edge to its parent, and the edges of the tree at each node.
    up: Vec<usize>,
    tree: Vec<Vec<usize>>,
    /// Weights that leave the subtree of a node less those that enter it.
    net: Vec<i64>,
    /// Where to go on looking for an edge to leave.
    cursor: usize,
    mark: Vec<usize>,
    stamp: usize,
}

const NONE: usize = usize::MAX;

impl Basis {
    fn new(count: usize, edges: Vec<SeparationConstraint>) -> Basis {
        let mut of: Vec<Vec<usize>> = vec![Vec::new(); count];
        let mut net = vec![0; count];
        for (index, edge) in edges.iter().enumerate() {
            of[edge.low].push(index);
            of[edge.high].push(index);
            net[edge.low] += edge.weight;
            net[edge.high] -= edge.weight;
        }
        let at = lowest(count, &edges, &of);
        let mut basis = Basis {
            edges,
            of,
            at,
            up: vec![NONE; count],
            tree: vec![Vec::new(); count],
            net,
            cursor: 0,
            mark: vec![0; count],
            stamp: 0,
        };
        let grown = basis.grow();
        for &node in grown.iter().skip(1).rev() {
            let parent = basis.other(basis.up[node], node);
            basis.net[parent] += basis.net[node];
        }
        basis
    }

    fn other(&self, edge: usize, node: usize) -> usize {
        let e = &self.edges[edge];
        if e.low == node { e.high } else { e.low }
    }

    fn slack(&self, edge: usize) -> i64 {
        let e = &self.edges[edge];
        self.at[e.high] - self.at[e.low] - e.apart
    }

    /// A spanning tree of tight edges from node 0; gives the nodes, parents first.
    fn grow(&mut self) -> Vec<usize> {
        let count = self.at.len();
        let mut inside = vec![false; count];
        let mut grown = vec![0];
        inside[0] = true;
        // How far the tree has been moved; nodes are moved when it is done.
        let mut moved = 0_i64;
        let mut entered = vec![0_i64; count];
        let mut heaps: [BinaryHeap<Reverse<(i64, usize)>>; 2] = [BinaryHeap::new(), BinaryHeap::new()];
        let mut newest = 0;
        loop {
            for &edge in &self.of[newest] {
                let e = self.edges[edge];
                let outside = if e.low == newest { e.high } else { e.low };
                if !inside[outside] {
                    // Slacks as they would be with the tree not moved at all.
                    let (slot, key) = if e.low == newest {
                        (0, self.at[e.high] - (self.at[newest] - entered[newest]) - e.apart)
                    } else {
                        (1, self.at[newest] - entered[newest] - self.at[e.low] - e.apart)
                    };
                    heaps[slot].push(Reverse((key, edge)));
                }
            }
            for (slot, heap) in heaps.iter_mut().enumerate() {
                while heap.peek().is_some_and(|Reverse((_, edge))| {
                    let e = &self.edges[*edge];
                    inside[if slot == 0 { e.high } else { e.low }]
                }) {
                    heap.pop();
                }
            }
            let up = heaps[0].peek().map(|Reverse((key, edge))| (key - moved, *edge));
            let down = heaps[1].peek().map(|Reverse((key, edge))| (key + moved, *edge));
            let (step, edge, node) = match (up, down) {
                (Some((slack, edge)), None) => (slack, edge, self.edges[edge].high),
                (None, Some((slack, edge))) => (-slack, edge, self.edges[edge].low),
                (Some(up), Some(down)) if up <= down => (up.0, up.1, self.edges[up.1].high),
                (Some(_), Some(down)) => (-down.0, down.1, self.edges[down.1].low),
                (None, None) => break,
            };
            moved += step;
            inside[node] = true;
            entered[node] = moved;
            self.up[node] = edge;
            let parent = self.other(edge, node);
            self.tree[node].push(edge);
            self.tree[parent].push(edge);
            grown.push(node);
            newest = node;
        }
        for &node in &grown {
            self.at[node] += moved - entered[node];
        }
        grown
    }

    /// The flow on the edge from a node to its parent; below 0 the edge should not be tight.
    fn flow(&self, node: usize) -> i64 {
        if self.edges[self.up[node]].low == node { self.net[node] } else { -self.net[node] }
    }

    /// A node whose edge to its parent should leave the tree: the worst of some.
    fn leaving(&mut self) -> Option<usize> {
        let count = self.at.len();
        let (mut worst, mut seen) = (None, 0);
        for step in 0..count {
            let node = (self.cursor + step) % count;
            if self.up[node] == NONE {
                continue;
            }
            let flow = self.flow(node);
            if flow < 0 {
                if worst.is_none_or(|(least, _)| flow < least) {
                    worst = Some((flow, node));
                }
                seen += 1;
                if seen == 20 {
                    self.cursor = (node + 1) % count;
                    break;
                }
            }
        }
        worst.map(|w| w.1)
    }

    /// Takes the edge above a node out of the tree and puts in the one that is tight first when the two parts move apart.
    fn pivot(&mut self, child: usize) -> bool {
        let leaving = self.up[child];
        let parent = self.other(leaving, child);
        self.stamp += 1;
        let stamp = self.stamp;
        let mut part = vec![child];
        self.mark[child] = stamp;
        let mut next = 0;
        while next < part.len() {
            let node = part[next];
            next += 1;
            for &edge in &self.tree[node] {
                let other = self.other(edge, node);
                if edge != leaving && self.mark[other] != stamp {
                    self.mark[other] = stamp;
                    part.push(other);
                }
            }
        }
        // The part below moves down against the other where the child is the lower end, and up where it is the higher.
        let down = self.edges[leaving].low == child;
        let mut best: Option<(i64, usize)> = None;
        for &node in &part {
            for &edge in &self.of[node] {
                let e = &self.edges[edge];
                let (mine, theirs) = if down { (e.high, e.low) } else { (e.low, e.high) };
                if mine == node && self.mark[theirs] != stamp {
                    let found = (self.slack(edge), edge);
                    if best.is_none_or(|b| found < b) {
                        best = Some(found);
                    }
                }
            }
        }
        let Some((slack, entering)) = best else { return false };
        let step = if down { -slack } else { slack };
        part.iter().for_each(|&node| self.at[node] += step);
        let (foot, hold) = {
            let e = &self.edges[entering];
            if self.mark[e.low] == stamp { (e.low, e.high) } else { (e.high, e.low) }
        };
        self.tree[child].retain(|&e| e != leaving);
        self.tree[parent].retain(|&e| e != leaving);
        self.tree[foot].push(entering);
        self.tree[hold].push(entering);
        let whole = self.net[child];
        self.climb(parent, -whole);
        self.climb(hold, whole);
        // Within the part, the way from its new foot to its old one is turned round.
        let (mut node, mut edge, mut below) = (foot, entering, 0);
        loop {
            let old = self.up[node];
            let before = self.net[node];
            self.up[node] = edge;
            self.net[node] = whole - below;
            below = before;
            if node == child {
                break;
            }
            (node, edge) = (self.other(old, node), old);
        }
        true
    }

    fn climb(&mut self, mut node: usize, by: i64) {
        loop {
            self.net[node] += by;
            if self.up[node] == NONE {
                break;
            }
            node = self.other(self.up[node], node);
        }
    }
}

/// The lowest numbers that keep apart what must be.
fn lowest(count: usize, edges: &[SeparationConstraint], of: &[Vec<usize>]) -> Vec<i64> {
    let mut at = vec![0; count];
    let mut waits = vec![0_usize; count];
    edges.iter().for_each(|e| waits[e.high] += 1);
    let mut ready: Vec<usize> = (0..count).filter(|&n| waits[n] == 0).collect();
    while let Some(node) = ready.pop() {
        for &edge in &of[node] {
            let e = &edges[edge];
            if e.low == node {
                at[e.high] = at[e.high].max(at[node] + e.apart);
                waits[e.high] -= 1;
                if waits[e.high] == 0 {
                    ready.push(e.high);
                }
            }
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cost(at: &[i64], objective: &[(usize, usize, i64)]) -> i64 {
        objective.iter().map(|&(a, b, weight)| weight * (at[a] - at[b]).abs()).sum()
    }

    /// The least cost of all numbers from 0 to `most` that keep apart what must be.
    fn tried(count: usize, most: i64, keep: &[(usize, usize, i64)], objective: &[(usize, usize, i64)]) -> i64 {
        let mut at = vec![0; count];
        let mut least = i64::MAX;
        loop {
            if keep.iter().all(|&(low, high, apart)| at[high] - at[low] >= apart) {
                least = least.min(cost(&at, objective));
            }
            let Some(next) = at.iter().position(|&a| a < most) else { return least };
            at[..next].fill(0);
            at[next] += 1;
        }
    }

    #[test]
    fn no_numbers_are_better() {
        let mut state = 7_u64;
        let mut next = |below: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % below
        };
        for _ in 0..300 {
            let count = 3 + next(3) as usize;
            let keep: Vec<(usize, usize, i64)> = (0..next(7))
                .filter_map(|_| {
                    let (a, b) = (next(count as u64) as usize, next(count as u64) as usize);
                    (a != b).then(|| (a.min(b), a.max(b), next(3) as i64))
                })
                .collect();
            let mut objective: Vec<(usize, usize, i64)> = (1..count).map(|k| (k - 1, k, 1 + next(8) as i64)).collect();
            objective.extend(
                (0..next(4)).map(|_| (next(count as u64) as usize, next(count as u64) as usize, 1 + next(8) as i64)),
            );
            let found = solve(count, &keep, &objective);
            assert!(keep.iter().all(|&(low, high, apart)| found[high] - found[low] >= apart), "{keep:?}: {found:?}");
            // Longer than the longest chain of what keeps apart no best answer is.
            let most = 2 * (count as i64 - 1);
            assert_eq!(
                cost(&found, &objective),
                tried(count, most, &keep, &objective),
                "{keep:?} {objective:?}: {found:?}"
            );
        }
    }
}
