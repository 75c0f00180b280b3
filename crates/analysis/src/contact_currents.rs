//! What contacts, plugs and wires must bear until the breaker above them trips.

use crate::{Analysis, feeds};
use circuit::{Breaker, Circuit, EdgeId, EdgeKind, Neighbours, NodeId, Spot};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// The wires of the circuit and what hangs together by them: found once, asked for one contact after another.
pub struct Wires<'c> {
    /// For each node the piece of wires and contacts that it is in.
    fed: Vec<u32>,
    /// For each of those pieces whether any of its nodes is on a rail.
    on_rail: Vec<bool>,
    /// For each node the piece of wires, contacts, taps and buses that it is in.
    supplied: Vec<u32>,
    /// For each of those pieces the breaker on it that trips last and at what current; none where that is known of none.
    above: Vec<Option<LastToTrip<'c>>>,
    /// The two ends of each edge of a contact, by where the contact stands in the plan.
    terminals: BTreeMap<usize, Vec<NodeId>>,
}

impl<'c> Wires<'c> {
    /// The wires of a circuit.
    pub fn from_circuit(circuit: &'c Circuit) -> Wires<'c> {
        let neighbours = circuit.neighbours();
        // Towards the rails and other contacts: wires. Towards the supply: the bus and its taps too, but no rail and
        // no breaker, so that what is met is the nearest.
        let (fed, count) = pieces(circuit, &neighbours, &[EdgeKind::Wire, EdgeKind::Contact]);
        let mut on_rail = vec![false; count];
        for stop in circuit.segments.iter().flat_map(|s| &s.rails).flat_map(|line| &line.stops) {
            on_rail[fed[stop.before] as usize] = true;
            on_rail[fed[stop.after] as usize] = true;
        }
        let all = [EdgeKind::Wire, EdgeKind::Contact, EdgeKind::Tap, EdgeKind::BusWire];
        let (supplied, count) = pieces(circuit, &neighbours, &all);
        let mut above: Vec<Option<LastToTrip>> = vec![None; count];
        for (number, nearest) in circuit.breakers.iter().enumerate() {
            let known = feeds::known_trip(circuit, nearest);
            let known = known.map(|(amps, breaker)| LastToTrip { amps, number, breaker });
            for node in nearest.node {
                let last = &mut above[supplied[node] as usize];
                *last = known.into_iter().chain(*last).max_by(LastToTrip::order);
            }
        }
        let mut terminals: BTreeMap<usize, Vec<NodeId>> = BTreeMap::new();
        for edge in circuit.edges.iter().filter(|e| e.kind == EdgeKind::Contact) {
            terminals.entry(edge.span.start).or_default().extend([edge.a, edge.b]);
        }
        Wires { fed, on_rail, supplied, above, terminals }
    }

    /// The breaker above any of these nodes, of several the one that trips last, and its trip current.
    fn above(&self, nodes: &[NodeId]) -> Option<(f64, &'c Breaker)> {
        let met = nodes.iter().filter_map(|&node| self.above[self.supplied[node] as usize]);
        met.max_by(LastToTrip::order).map(|last| (last.amps, last.breaker))
    }

    /// The nearest breaker above a wire or the start of a branch, and its trip current; none where none is known. What is on a bus for
    /// good is behind the breaker of that bus, whatever contacts join that with.
    pub fn above_wire(&self, facts: &'c Analysis<'_>, wire: EdgeId) -> Option<(f64, &'c Breaker)> {
        let circuit = &facts.circuit;
        let edge = &circuit.edges[wire];
        let bus = [edge.a, edge.b].into_iter().find_map(|node| match circuit.nodes[node].spot {
            Spot::Tap { bus, .. } | Spot::Bus { bus, .. } => Some(bus),
            _ => None,
        });
        match bus {
            Some(bus) => feeds::known_trip(circuit, &circuit.breakers[feeds::breaker_of_bus(facts, bus)?]),
            None => self.above(&[edge.a, edge.b]),
        }
    }
}

/// A breaker with a known trip current.
#[derive(Clone, Copy)]
struct LastToTrip<'c> {
    amps: f64,
    /// Of the breaker that is met; the one that trips may be one it hangs behind.
    number: usize,
    breaker: &'c Breaker,
}

impl LastToTrip<'_> {
    /// By the current; of the same current the later of the plan is last.
    fn order(&self, other: &Self) -> Ordering {
        self.amps.total_cmp(&other.amps).then(self.number.cmp(&other.number))
    }
}

/// For each node the piece that edges of these kinds make, open or closed, and how many pieces there are.
fn pieces(circuit: &Circuit, neighbours: &Neighbours, over: &[EdgeKind]) -> (Vec<u32>, usize) {
    let mut piece = vec![u32::MAX; circuit.nodes.len()];
    let mut count = 0;
    let mut queue = Vec::new();
    for first in NodeId::all(circuit.nodes.len()) {
        if piece[first] != u32::MAX {
            continue;
        }
        piece[first] = count;
        queue.push(first);
        while let Some(at) = queue.pop() {
            for &(next, edge) in &neighbours[at] {
                if piece[next] == u32::MAX && over.contains(&circuit.edges[edge].kind) {
                    piece[next] = count;
                    queue.push(next);
                }
            }
        }
        count += 1;
    }
    (piece, count as usize)
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
    let terminals = wires.terminals.get(&contact.start)?;
    if !terminals.iter().any(|&node| wires.on_rail[wires.fed[node] as usize]) {
        return None;
    }
    wires.above(terminals)
}
