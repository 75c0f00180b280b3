//! Walks through a circuit in one setting: what is joined, the easiest path, the nearest way to a pole.

use circuit::{Circuit, EdgeId, Neighbours, NodeId, PoleId};
use plan::Pole;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// A circuit in one setting.
pub struct CircuitSetting<'c> {
    pub circuit: &'c Circuit,
    /// A position for each control.
    pub positions: Vec<Option<u8>>,
    neighbours: Neighbours,
    /// For each source and pole, what is joined to it.
    of_pole: Vec<[Vec<bool>; 2]>,
}

/// What is joined to the poles A and B of each source in a setting: for each node whether it is.
pub fn joined_poles(circuit: &Circuit, positions: &[Option<u8>]) -> Vec<[Vec<bool>; 2]> {
    CircuitSetting::new(circuit, positions).of_pole
}

impl<'c> CircuitSetting<'c> {
    pub fn new(circuit: &'c Circuit, positions: &[Option<u8>]) -> Self {
        let neighbours = circuit.neighbours();
        let mut setting = CircuitSetting { circuit, positions: positions.to_vec(), neighbours, of_pole: Vec::new() };
        setting.of_pole =
            (0..circuit.sources.len()).map(|s| PoleId::both(s).map(|p| setting.reached(setting.start(p)))).collect();
        setting
    }

    fn closed(&self, edge: EdgeId) -> bool {
        self.circuit.edges[edge].is_closed(&self.positions)
    }

    /// Where paths from a pole start: pole A behind the source's own resistance.
    pub fn start(&self, pole: PoleId) -> NodeId {
        match pole.pole {
            Pole::A => self.circuit.sources[pole.source].plus,
            Pole::B => pole.node(self.circuit),
        }
    }

    /// All nodes that are one conductor with a node.
    pub fn reached(&self, from: NodeId) -> Vec<bool> {
        let mut reached = vec![false; self.circuit.nodes.len()];
        reached[from] = true;
        let mut queue = vec![from];
        while let Some(at) = queue.pop() {
            for &(next, edge) in &self.neighbours[at] {
                if self.closed(edge) && !std::mem::replace(&mut reached[next], true) {
                    queue.push(next);
                }
            }
        }
        reached
    }

    /// Whether a node is joined to a pole.
    pub fn joined(&self, pole: PoleId, node: NodeId) -> bool {
        self.of_pole[pole.source][pole.pole][node]
    }
}

/// A resistance that can be put in order.
#[derive(Clone, Copy, PartialEq)]
struct OrderedOhms(f64);

impl Eq for OrderedOhms {}
impl PartialOrd for OrderedOhms {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for OrderedOhms {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// The edges of the path of least resistance from a pole to a node, as usual; none where there is no path.
pub fn easiest(setting: &CircuitSetting<'_>, pole: PoleId, to: NodeId) -> Vec<EdgeId> {
    let start = setting.start(pole);
    let mut best = vec![f64::INFINITY; setting.circuit.nodes.len()];
    let mut came: BTreeMap<NodeId, (NodeId, EdgeId)> = BTreeMap::new();
    best[start] = 0.0;
    let mut heap = BinaryHeap::from([Reverse((OrderedOhms(0.0), start))]);
    while let Some(Reverse((OrderedOhms(ohms), at))) = heap.pop() {
        if ohms > best[at] {
            continue;
        }
        for &(next, edge) in setting.neighbours[at].iter().filter(|(_, e)| setting.closed(*e)) {
            let there = ohms + setting.circuit.edges[edge].ohms.typical;
            if there < best[next] {
                best[next] = there;
                came.insert(next, (at, edge));
                heap.push(Reverse((OrderedOhms(there), next)));
            }
        }
    }
    let mut path = Vec::new();
    let mut at = to;
    while at != start {
        let Some(&(before, edge)) = came.get(&at) else { return Vec::new() };
        path.push(edge);
        at = before;
    }
    path.reverse();
    path
}

/// Something open on a way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Opening {
    /// A switch that stands otherwise.
    Edge(EdgeId),
    /// A gap, by its index.
    Gap(usize),
}

/// The fewest open switches and gaps between a node and a pole, in order from the node; of equally many, those with
/// fewer gaps. A way over what is joined to another pole is none. None where no way leads there at all.
pub fn nearest(setting: &CircuitSetting<'_>, from: NodeId, pole: PoleId) -> Option<Vec<Opening>> {
    let circuit = setting.circuit;
    let mut over_gap: BTreeMap<NodeId, Vec<(NodeId, usize)>> = BTreeMap::new();
    for (index, gap) in circuit.gaps.iter().enumerate() {
        over_gap.entry(gap.before).or_default().push((gap.after, index));
        over_gap.entry(gap.after).or_default().push((gap.before, index));
    }
    let barred = |node: NodeId| !setting.joined(pole, node) && circuit.poles().any(|p| setting.joined(p, node));
    // Openings, gaps among them, pieces.
    type Cost = (usize, usize, usize);
    let mut best: BTreeMap<NodeId, Cost> = BTreeMap::from([(from, (0, 0, 0))]);
    let mut came: BTreeMap<NodeId, (NodeId, Option<Opening>)> = BTreeMap::new();
    let mut heap = BinaryHeap::from([Reverse(((0, 0, 0), from))]);
    while let Some(Reverse((cost, at))) = heap.pop() {
        if best.get(&at).is_some_and(|b| *b < cost) {
            continue;
        }
        if setting.joined(pole, at) {
            let mut steps = Vec::new();
            let mut back = at;
            while back != from {
                let &(before, opening) = came.get(&back)?;
                steps.extend(opening);
                back = before;
            }
            steps.reverse();
            return Some(steps);
        }
        let (opens, gaps, pieces) = cost;
        let edges = setting.neighbours[at].iter().map(|&(next, edge)| {
            let opening = (!setting.closed(edge)).then_some(Opening::Edge(edge));
            ((opens + usize::from(opening.is_some()), gaps, pieces + 1), next, opening)
        });
        let jumps = over_gap.get(&at).into_iter().flatten();
        let jumps = jumps.map(|&(next, gap)| ((opens + 1, gaps + 1, pieces + 1), next, Some(Opening::Gap(gap))));
        for (there, next, opening) in edges.chain(jumps) {
            if !barred(next) && best.get(&next).is_none_or(|b| there < *b) {
                best.insert(next, there);
                came.insert(next, (at, opening));
                heap.push(Reverse((there, next)));
            }
        }
    }
    None
}
