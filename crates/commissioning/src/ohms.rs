//! Resistance between pairs of places, as the wiring is meant and with a mistake in it.

use crate::mistake::{BAD_JOINT_OHMS, BRIDGED_GAP_OHMS, Mistake};
use circuit::{Circuit, EdgeId, Neighbours, NodeId};
use electrics::Level;
use handbook::Spread;
use network::{BadConductance, Factor, Pattern, SelectedInverse};
use std::collections::{BTreeMap, BTreeSet};

/// The network of a circuit without supplies, made for some pairs of places and some mistakes.
///
/// The pairs stand among the edges as edges that are never closed: one elimination then gives the resistance between the
/// ends of all of them ([`SelectedInverse::resistance_between_ends`]), within islands too.
pub struct PairReader<'c> {
    circuit: &'c Circuit,
    factor: Factor,
    inverse: SelectedInverse,
    /// Where each pair stands that a mistake joins.
    slots: BTreeMap<(NodeId, NodeId), usize>,
    pairs: std::ops::Range<usize>,
    conductance: Vec<f64>,
    no_ground: Vec<f64>,
}

/// Ohms of every pair at each level.
pub struct PairOhms {
    low: Vec<f64>,
    typical: Vec<f64>,
    high: Vec<f64>,
}

impl PairOhms {
    /// The three lists as a band.
    pub fn each(&self) -> Spread<&[f64]> {
        Spread::new(&self.low, &self.typical, &self.high)
    }
}

impl<'c> PairReader<'c> {
    /// A network for these pairs and mistakes. No other mistakes must be asked of it.
    ///
    /// # Errors
    /// Never but by a fault of this program: the first elimination is one of open edges.
    ///
    /// # Panics
    /// When a pair or a mistake names a node or edge that is not there.
    pub fn new(
        circuit: &'c Circuit,
        pairs: &[[NodeId; 2]],
        mistakes: &[Mistake],
    ) -> Result<PairReader<'c>, BadConductance> {
        // The nodes of the network are those of the circuit.
        let between = |a: NodeId, b: NodeId| (u32::from(a), u32::from(b));
        let mut ends: Vec<(u32, u32)> = circuit.edges.iter().map(|e| between(e.a, e.b)).collect();
        let mut slots = BTreeMap::new();
        for pair in mistakes.iter().flat_map(|m| joined_by(circuit, m)) {
            slots.entry(pair.0).or_insert_with(|| {
                ends.push(between(pair.0.0, pair.0.1));
                ends.len() - 1
            });
        }
        let first = ends.len();
        ends.extend(pairs.iter().map(|p| between(p[0], p[1])));
        let pattern = Pattern::new(circuit.nodes.len(), &ends, &[]);
        let conductance = vec![0.0; ends.len()];
        let no_ground = vec![0.0; circuit.nodes.len()];
        let factor = Factor::new(&pattern, &conductance, &no_ground)?;
        let inverse = factor.selected_inverse();
        Ok(PairReader { circuit, factor, inverse, slots, pairs: first..ends.len(), conductance, no_ground })
    }

    /// As [`PairReader::read`], at all three levels.
    ///
    /// # Errors
    /// As [`PairReader::read`].
    pub fn levels(&mut self, setting: &[Option<u8>], mistake: Option<&Mistake>) -> Result<PairOhms, BadConductance> {
        Ok(PairOhms {
            low: self.read(setting, Level::Low, mistake)?,
            typical: self.read(setting, Level::Typical, mistake)?,
            high: self.read(setting, Level::High, mistake)?,
        })
    }

    /// Ohms between the ends of each pair in a setting, at a level, with a mistake or none; infinite where they are not
    /// joined.
    ///
    /// # Errors
    /// When a resistance is none that can be calculated with.
    pub fn read(
        &mut self,
        setting: &[Option<u8>],
        level: Level,
        mistake: Option<&Mistake>,
    ) -> Result<Vec<f64>, BadConductance> {
        self.conductance.fill(0.0);
        for (conductance, edge) in self.conductance.iter_mut().zip(&self.circuit.edges) {
            if edge.is_closed(setting) {
                *conductance = 1.0 / level.pick(edge.ohms);
            }
        }
        match mistake {
            None => {}
            Some(Mistake::Open(edge)) => self.conductance[*edge] = 0.0,
            Some(Mistake::Resistive(edge)) => {
                let conductance = &mut self.conductance[*edge];
                if *conductance > 0.0 {
                    *conductance = 1.0 / (1.0 / *conductance + BAD_JOINT_OHMS);
                }
            }
            Some(Mistake::Bridged(..)) => {
                for (pair, _) in mistake.iter().flat_map(|m| joined_by(self.circuit, m)) {
                    self.conductance[self.slots[&pair]] += 1.0 / BRIDGED_GAP_OHMS;
                }
            }
            Some(Mistake::Exchanged(one, other)) => {
                let closed = [one, other].map(|e| std::mem::take(&mut self.conductance[*e]));
                for (pair, which) in mistake.iter().flat_map(|m| joined_by(self.circuit, m)) {
                    self.conductance[self.slots[&pair]] += closed[which];
                }
            }
        }
        self.factor.refactor(&self.conductance, &self.no_ground)?;
        self.inverse.update(&self.factor);
        Ok(self.pairs.clone().map(|pair| self.inverse.resistance_between_ends(pair)).collect())
    }
}

/// The part of a circuit that the ends of some pairs are joined to in a setting, with the pairs by its own nodes; none where
/// it has more edges than this, if there is such a bound.
pub fn around(
    circuit: &Circuit,
    neighbours: &Neighbours,
    setting: &[Option<u8>],
    pairs: &[[NodeId; 2]],
    most_edges: Option<usize>,
) -> Option<(Circuit, Vec<[NodeId; 2]>)> {
    let mut own: BTreeMap<NodeId, NodeId> = BTreeMap::new();
    let mut queue: Vec<NodeId> = pairs.iter().flatten().copied().collect();
    let mut edges: BTreeSet<EdgeId> = BTreeSet::new();
    while let Some(node) = queue.pop() {
        let next = NodeId::new(own.len());
        if *own.entry(node).or_insert(next) != next {
            continue;
        }
        for &(beyond, edge) in &neighbours[node] {
            if circuit.edges[edge].is_closed(setting) && edges.insert(edge) {
                queue.push(beyond);
            }
        }
        if most_edges.is_some_and(|most| edges.len() > most) {
            return None;
        }
    }
    let mut part = Circuit::default();
    let mut nodes: Vec<(NodeId, NodeId)> = own.iter().map(|(&node, &place)| (place, node)).collect();
    nodes.sort_unstable();
    part.nodes = nodes.into_iter().map(|(_, node)| circuit.nodes[node].clone()).collect();
    part.edges = edges.into_iter().map(|edge| circuit.edges[edge].clone()).collect();
    for edge in &mut part.edges {
        (edge.a, edge.b) = (own[&edge.a], own[&edge.b]);
    }
    let pairs = pairs.iter().map(|pair| pair.map(|node| own[&node])).collect();
    Some((part, pairs))
}

/// The pairs of nodes a mistake joins, and by which of its edges.
fn joined_by(circuit: &Circuit, mistake: &Mistake) -> Vec<((NodeId, NodeId), usize)> {
    match *mistake {
        Mistake::Open(_) | Mistake::Resistive(_) => Vec::new(),
        Mistake::Bridged(a, b) => vec![((a, b), 0)],
        Mistake::Exchanged(one, other) => {
            let [one, other] = [one, other].map(|e| &circuit.edges[e]);
            vec![((one.a, other.b), 0), ((other.a, one.b), 1)]
        }
    }
}
