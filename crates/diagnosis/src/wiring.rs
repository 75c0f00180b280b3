//! The wiring as a network with a place for every fault: what can be at fault, how likely, and which conductances it changes.

use crate::fault::{Element, Fault, TOO_MUCH};
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, Part, Spot, WorkPiece};
use commissioning::mistake::{self, Mistake};
use handbook::faults::{self, FaultRate};
use network::Pattern;
use std::collections::BTreeMap;

/// Siemens of what is open: damp wood, 1 MΩ. A true zero would leave what floats without a potential.
pub const LEAK: f64 = 1e-6;
/// Ohms of a bridged gap, and of a wire on the wrong conductor.
pub const TOUCHING_OHMS: f64 = 1e-3;
/// Ohms by which an ideal source is short: it has none, and a number is needed.
const IDEAL_OHMS: f64 = 1e-6;

/// A place in the network: an edge of the circuit by its own number, then pairs that faults may join.
pub type Slot = usize;

/// A conductance that is another one: by how many siemens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Where.
    pub slot: Slot,
    /// By how much.
    pub siemens: f64,
}

/// A thing that may be at fault, and how.
#[derive(Clone, Debug)]
pub struct Suspect {
    /// What it is.
    pub element: Element,
    /// What can be wrong with it, and which share of all its faults that is.
    pub faults: Vec<(Fault, f64)>,
    /// How often things of its kind are at fault.
    pub rate: FaultRate,
    /// Whether warmth moves it.
    pub moves_with_warmth: bool,
}

/// A circuit made ready.
pub struct Wiring {
    /// The circuit; blades that touch beside a bond stand behind its own edges.
    pub circuit: Circuit,
    /// Ends of each place.
    pub ends: Vec<[NodeId; 2]>,
    /// The things that may be at fault.
    pub suspects: Vec<Suspect>,
    slots: BTreeMap<[NodeId; 2], Slot>,
    links: Vec<Slot>,
    /// For each edge whether it is unplugged while the power is off.
    unplugged: Vec<bool>,
    pattern: Pattern,
}

impl Wiring {
    /// Of a circuit as it is meant.
    pub fn new(meant: &Circuit) -> Wiring {
        let mut circuit = meant.clone();
        circuit.edges.append(&mut circuit.touching);
        let settles = |edge: &circuit::Edge| edge.guard.iter().any(|l| circuit.controls[l.control].settles);
        let unplugged: Vec<bool> = circuit.edges.iter().map(|e| e.kind == EdgeKind::Source || settles(e)).collect();
        let mut wiring = Wiring {
            ends: circuit.edges.iter().map(|e| [e.a, e.b]).collect(),
            suspects: Vec::new(),
            slots: BTreeMap::new(),
            links: Vec::new(),
            unplugged,
            pattern: Pattern::new(0, &[], &[]),
            circuit,
        };
        wiring.links = meant.sources.iter().map(|s| wiring.place([s.plus, s.node[1]])).collect();
        wiring.suspects = wiring.find_suspects();
        for suspect in wiring.suspects.clone() {
            for (fault, _) in &suspect.faults {
                wiring.joins(*fault).into_iter().for_each(|pair| {
                    wiring.place(pair);
                });
            }
        }
        let ends: Vec<(u32, u32)> = wiring.ends.iter().map(|e| (u32::from(e[0]), u32::from(e[1]))).collect();
        wiring.pattern = Pattern::new(wiring.circuit.nodes.len(), &ends, &[]);
        wiring
    }

    pub(crate) fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    fn place(&mut self, pair: [NodeId; 2]) -> Slot {
        let pair = [pair[0].min(pair[1]), pair[0].max(pair[1])];
        *self.slots.entry(pair).or_insert_with(|| {
            self.ends.push(pair);
            self.ends.len() - 1
        })
    }

    fn placed(&self, pair: [NodeId; 2]) -> Option<Slot> {
        self.slots.get(&[pair[0].min(pair[1]), pair[0].max(pair[1])]).copied()
    }

    /// The pairs that a fault joins.
    fn joins(&self, fault: Fault) -> Vec<[NodeId; 2]> {
        let edge = |e: EdgeId| &self.circuit.edges[e];
        match fault {
            Fault::Open(_) | Fault::More(..) => Vec::new(),
            Fault::Bridged(a, b) => vec![[a, b]],
            Fault::Exchanged(one, other) => vec![[edge(one).a, edge(other).b], [edge(other).a, edge(one).b]],
            Fault::OtherConductor { tap, at } => vec![[edge(tap).a, at]],
        }
    }

    /// Siemens of every place, with these resistances of the edges.
    pub(crate) fn conductances(&self, powered: bool, setting: &[Option<u8>], ohms: impl Fn(usize) -> f64) -> Vec<f64> {
        let mut siemens = vec![0.0; self.ends.len()];
        for (index, edge) in self.circuit.edges.iter().enumerate() {
            if edge.is_closed(setting) && (powered || !self.unplugged[index]) {
                siemens[index] = 1.0 / ohms(index);
            }
        }
        if powered {
            self.links.iter().for_each(|&link| siemens[link] = 1.0 / IDEAL_OHMS);
        }
        siemens
    }

    /// What a fault changes in a network of these conductances; nothing where it shows in none of its readings.
    pub(crate) fn changes(&self, fault: Fault, siemens: &[f64]) -> Vec<Change> {
        let mut changes = Vec::new();
        let mut add = |slot: Slot, by: f64| changes.push(Change { slot, siemens: by });
        match fault {
            Fault::Open(edge) => {
                let own = siemens[edge.index()];
                if own > 0.0 {
                    add(edge.index(), LEAK - own);
                }
            }
            Fault::More(edge, step) => {
                let own = siemens[edge.index()];
                if own > 0.0 {
                    add(edge.index(), 1.0 / (1.0 / own + TOO_MUCH[usize::from(step)]) - own);
                }
            }
            Fault::Bridged(a, b) => {
                if let Some(slot) = self.placed([a, b]) {
                    add(slot, 1.0 / TOUCHING_OHMS);
                }
            }
            Fault::Exchanged(one, other) => {
                let pairs = self.joins(fault);
                for (edge, pair) in [one, other].into_iter().zip(pairs) {
                    let own = siemens[edge.index()];
                    if own > 0.0 {
                        add(edge.index(), LEAK - own);
                        if let Some(slot) = self.placed(pair) {
                            add(slot, own);
                        }
                    }
                }
            }
            Fault::OtherConductor { tap, .. } => {
                let own = siemens[tap.index()];
                if own > 0.0 {
                    add(tap.index(), LEAK - own);
                    for pair in self.joins(fault) {
                        if let Some(slot) = self.placed(pair) {
                            add(slot, own);
                        }
                    }
                }
            }
        }
        changes
    }

    fn find_suspects(&self) -> Vec<Suspect> {
        let circuit = &self.circuit;
        let loose = mistake::loose_ends(circuit);
        let mut found = Vec::new();
        for (id, edge) in EdgeId::each(&circuit.edges) {
            let spare = edge.kind == EdgeKind::Contact && [edge.a, edge.b].iter().any(|end| loose.contains(end));
            if !mistake::is_made(edge) || spare {
                continue;
            }
            let (mut rate, moves) = rate_of(edge);
            // The wire and the contact it passes are one piece of the circuit; either can be at fault.
            if circuit.plugs.contains_key(&id) {
                rate = rate.and(&faults::PLUG);
            }
            let more = (1.0 - rate.open) / TOO_MUCH.len() as f64;
            let mut faults = vec![(Fault::Open(id), rate.open)];
            faults.extend((0..TOO_MUCH.len()).map(|step| (Fault::More(id, step as u8), more)));
            found.push(Suspect { element: Element::Edge(id), faults, rate, moves_with_warmth: moves });
        }
        let single = |fault: Fault, rate: FaultRate, moves: bool| Suspect {
            element: fault.element(),
            faults: vec![(fault, 1.0)],
            rate,
            moves_with_warmth: moves,
        };
        for (a, b) in mistake::gaps(circuit) {
            found.push(single(Fault::Bridged(a, b), faults::GAP, true));
        }
        for made in mistake::mistakes(circuit) {
            if let Mistake::Exchanged(one, other) = made {
                found.push(single(Fault::Exchanged(one, other), faults::EXCHANGE, false));
            }
        }
        found.extend(self.other_conductors().into_iter().map(|fault| single(fault, faults::EXCHANGE, false)));
        found
    }

    /// Each tap on the other conductor of its bus, at the nearest place that has a node there.
    fn other_conductors(&self) -> Vec<Fault> {
        let circuit = &self.circuit;
        let mut places: BTreeMap<(usize, usize), Vec<(f64, NodeId)>> = BTreeMap::new();
        for (node, n) in NodeId::each(&circuit.nodes) {
            if let Spot::Bus { bus, pole, x } = n.spot {
                places.entry((bus, pole.index())).or_default().push((x, node));
            }
        }
        let mut found = Vec::new();
        for (tap, edge) in EdgeId::each(&circuit.edges) {
            let Part::Tap { bus, pole, x } = edge.part else { continue };
            let near = places.get(&(bus, pole.other().index())).into_iter().flatten();
            let nearest = near.min_by(|one, other| (one.0 - x).abs().total_cmp(&(other.0 - x).abs()));
            if let Some(&(_, at)) = nearest {
                // The wire's own side is `a` or `b`, whichever is not on the bus.
                if matches!(circuit.nodes[edge.a].spot, Spot::Tap { .. }) {
                    found.push(Fault::OtherConductor { tap, at });
                }
            }
        }
        found
    }
}

/// How often a piece is at fault, and whether warmth moves it.
fn rate_of(edge: &circuit::Edge) -> (FaultRate, bool) {
    match (edge.kind, &edge.part) {
        (EdgeKind::SlidingJoint, _) => (faults::SLIDING_JOINT, true),
        (EdgeKind::Blade, _) => (faults::BLADE, true),
        (EdgeKind::Contact, _) => (faults::CONTACT, false),
        (EdgeKind::Tap, _) => (faults::TAP, false),
        (EdgeKind::Feeder, _) => (faults::FEEDER, false),
        (EdgeKind::BusWire, Part::BusRun { .. }) => (faults::BUS_WIRE, false),
        (EdgeKind::SolderedJoint, _) | (_, Part::Work { piece: WorkPiece::Bond, .. }) => (faults::SOLDERED_JOINT, true),
        _ => (faults::WIRE, false),
    }
}
