//! What each contact must bear until the breaker above it trips.

use crate::{Analysis, feeds};
use circuit::{Breaker, Circuit, EdgeKind, Neighbours, NodeId};
use std::collections::{BTreeMap, BTreeSet};

/// The wires of the circuit, to be followed from one contact after another.
pub struct Wires<'c> {
    circuit: &'c Circuit,
    neighbours: Neighbours,
    /// For each node, whether it is on a rail.
    on_rail: Vec<bool>,
    /// The two ends of each edge of a contact, by where the contact stands in the plan.
    terminals: BTreeMap<usize, Vec<NodeId>>,
}

impl<'c> Wires<'c> {
    /// The wires of a circuit.
    pub fn from_circuit(circuit: &'c Circuit) -> Wires<'c> {
        let mut on_rail = vec![false; circuit.nodes.len()];
        for stop in circuit.segments.iter().flat_map(|s| &s.rails).flat_map(|line| &line.stops) {
            on_rail[stop.before] = true;
            on_rail[stop.after] = true;
        }
        let mut terminals: BTreeMap<usize, Vec<NodeId>> = BTreeMap::new();
        for edge in circuit.edges.iter().filter(|e| e.kind == EdgeKind::Contact) {
            terminals.entry(edge.span.start).or_default().extend([edge.a, edge.b]);
        }
        Wires { circuit, neighbours: circuit.neighbours(), on_rail, terminals }
    }

    /// Nodes reached over edges of these kinds, open or closed.
    fn reached(&self, from: &[NodeId], over: &[EdgeKind]) -> BTreeSet<NodeId> {
        let mut reached: BTreeSet<NodeId> = from.iter().copied().collect();
        let mut queue = from.to_vec();
        while let Some(at) = queue.pop() {
            for &(next, edge) in &self.neighbours[at] {
                if over.contains(&self.circuit.edges[edge].kind) && reached.insert(next) {
                    queue.push(next);
                }
            }
        }
        reached
    }
}

/// For each contact of a motor, relay or toggle, by where it stands in the plan, the current that it must bear until the
/// nearest breaker above it trips, in amperes, and that breaker's supply. Contacts that feed no rail are left out.
pub fn contact_currents(analysis: &Analysis<'_>) -> BTreeMap<usize, (f64, usize)> {
    let wires = Wires::from_circuit(&analysis.circuit);
    let plan = analysis.plan;
    let lists = plan.motor.iter().map(|m| &m.contact);
    let lists = lists.chain(plan.relay.iter().map(|r| &r.contact)).chain(plan.toggle.iter().map(|t| &t.contact));
    let contacts = lists.flat_map(|list| list.iter());
    contacts
        .filter_map(|contact| {
            let (trip, breaker) = above(&wires, &contact.span)?;
            Some((contact.span.start, (trip, breaker.supply)))
        })
        .collect()
}

/// The nearest breaker above a contact, of several the one that trips last, and its trip current; none where the
/// contact feeds no rail, or no trip current is known.
pub fn above<'c>(wires: &Wires<'c>, contact: &std::ops::Range<usize>) -> Option<(f64, &'c Breaker)> {
    let circuit = wires.circuit;
    let terminals = wires.terminals.get(&contact.start).map_or(&[][..], Vec::as_slice);
    // Towards the rails and other contacts: wires. Towards the supply: the bus and its taps too, but no rail and
    // no breaker, so that what is met is the nearest.
    let fed = wires.reached(terminals, &[EdgeKind::Wire, EdgeKind::Contact]);
    if !fed.iter().any(|&n| wires.on_rail[n]) {
        return None;
    }
    let all = [EdgeKind::Wire, EdgeKind::Contact, EdgeKind::Tap, EdgeKind::BusWire];
    let reached = wires.reached(terminals, &all);
    let met = circuit.breakers.iter().filter(|b| b.node.iter().any(|n| reached.contains(n)));
    let known = met.filter_map(|nearest| {
        // Where the plan does not say what trips it, the one it hangs behind must.
        feeds::chain(circuit, nearest).find_map(|b| Some((b.trip_amps?, b)))
    });
    known.max_by(|a, b| a.0.total_cmp(&b.0))
}
