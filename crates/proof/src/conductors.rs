//! What is joined for good is one conductor; between conductors only switches are left.

use crate::TooComplex;
use crate::logic::Logic;
use circuit::{Circuit, EdgeId, NodeId, PoleId};
use network::{Condition, LiveConditions, Pattern, set_root};
use std::collections::BTreeMap;

/// The conductor each node belongs to.
#[derive(Clone, Debug)]
pub struct Conductors {
    /// For each node, its conductor.
    pub of: Vec<u32>,
    /// How many conductors there are.
    pub count: usize,
}

impl Conductors {
    /// Joins nodes over all edges that are closed in every setting, except those cut.
    pub fn from_circuit(circuit: &Circuit, cut: &[EdgeId]) -> Conductors {
        let mut parent: Vec<u32> = (0..circuit.nodes.len() as u32).collect();
        let cut = is_cut(circuit, cut);
        for (id, edge) in EdgeId::each(&circuit.edges) {
            if edge.is_always_closed() && !cut[id] {
                let (a, b) = (set_root(&mut parent, u32::from(edge.a)), set_root(&mut parent, u32::from(edge.b)));
                parent[a.max(b) as usize] = a.min(b);
            }
        }
        let mut number: Vec<Option<u32>> = vec![None; parent.len()];
        let mut count = 0;
        let of = (0..parent.len() as u32)
            .map(|node| {
                let r = set_root(&mut parent, node) as usize;
                *number[r].get_or_insert_with(|| {
                    count += 1;
                    count - 1
                })
            })
            .collect();
        Conductors { of, count: count as usize }
    }
}

/// For each edge, whether it is among those cut.
fn is_cut(circuit: &Circuit, cut: &[EdgeId]) -> Vec<bool> {
    let mut is_cut = vec![false; circuit.edges.len()];
    cut.iter().for_each(|&edge| is_cut[edge] = true);
    is_cut
}

/// When each conductor is joined to each pole of each source.
pub(crate) struct PoleConditions {
    pub(crate) conductors: Conductors,
    reach: LiveConditions,
    /// For each source, the conductors of its poles.
    poles: Vec<[u32; 2]>,
    /// For each pole of the reach, the poles of sources that it is; several where they are one conductor.
    pole_of: Vec<Vec<PoleId>>,
}

impl PoleConditions {
    /// Works it out for the poles of all sources, with some edges cut.
    pub(crate) fn from_circuit(circuit: &Circuit, logic: &Logic, cut: &[EdgeId]) -> Result<PoleConditions, TooComplex> {
        let sources: Vec<[NodeId; 2]> = circuit.sources.iter().map(|s| s.node).collect();
        PoleConditions::between(circuit, logic, cut, &sources)
    }

    /// Works it out for any pairs of nodes, such as the terminals of breakers; a pole's source is then the place of its pair.
    pub(crate) fn between(
        circuit: &Circuit,
        logic: &Logic,
        cut: &[EdgeId],
        pairs: &[[NodeId; 2]],
    ) -> Result<PoleConditions, TooComplex> {
        let conductors = Conductors::from_circuit(circuit, cut);
        let cut = is_cut(circuit, cut);
        let mut ends = Vec::new();
        let mut guards = Vec::new();
        for (id, edge) in EdgeId::each(&circuit.edges) {
            let (a, b) = (conductors.of[edge.a], conductors.of[edge.b]);
            if a != b && !cut[id] {
                ends.push((a, b));
                guards.push(if edge.removed { logic.never() } else { logic.guard(&edge.guard)? });
            }
        }
        let poles: Vec<[u32; 2]> = pairs.iter().map(|p| p.map(|n| conductors.of[n])).collect();
        let kept: Vec<u32> = poles.iter().flatten().copied().collect();
        // The same order and fill as the resistances use: one elimination, two algebras.
        let pattern = Pattern::new(conductors.count, &ends, &kept);
        let reach = network::reach(&pattern, &guards, &logic.diagrams).map_err(|e| TooComplex { limit: e.limit })?;
        let place: BTreeMap<u32, usize> = reach.poles().iter().enumerate().map(|(i, &c)| (c, i)).collect();
        let mut pole_of = vec![Vec::new(); place.len()];
        for (source, pair) in poles.iter().enumerate() {
            for id in PoleId::both(source) {
                pole_of[place[&pair[id.pole]]].push(id);
            }
        }
        Ok(PoleConditions { conductors, reach, poles, pole_of })
    }

    /// When a node is joined to a pole over no other pole.
    pub(crate) fn live(&self, node: NodeId, pole: PoleId) -> Condition {
        let conductor = self.conductors.of[node];
        self.reach.live(conductor, self.conductor(pole))
    }

    /// The conductor that a pole is.
    fn conductor(&self, pole: PoleId) -> u32 {
        self.poles[pole.source][pole.pole]
    }

    /// The poles that a node can be joined to over no other pole, in order, and when.
    pub(crate) fn live_from(&self, node: NodeId) -> Vec<(PoleId, Condition)> {
        let conductor = self.conductors.of[node];
        let found = self.reach.live_from(conductor);
        let mut all: Vec<_> =
            found.flat_map(|(place, when)| self.pole_of[place].iter().map(move |&pole| (pole, when))).collect();
        all.sort_by_key(|l| l.0);
        all
    }

    /// When two poles meet over no third one; always, where they are one conductor.
    pub(crate) fn meet(&self, one: PoleId, other: PoleId) -> Condition {
        let (a, b) = (self.conductor(one), self.conductor(other));
        if a == b { Condition::ALWAYS } else { self.reach.between_poles(a, b) }
    }

    /// When the two poles of a source meet over no third one.
    pub(crate) fn own_meet(&self, source: usize) -> Condition {
        let [a, b] = PoleId::both(source);
        self.meet(a, b)
    }

    /// Whether the two poles of a source are one conductor for good.
    pub(crate) fn merged(&self, source: usize) -> bool {
        self.poles[source][0] == self.poles[source][1]
    }

    pub(crate) fn largest(&self) -> usize {
        self.reach.largest()
    }

    pub(crate) fn decision_nodes(&self) -> usize {
        self.reach.decision_nodes()
    }

    /// Joins of conditions that the elimination and the way back took.
    pub(crate) fn steps(&self) -> usize {
        self.reach.steps()
    }
}
