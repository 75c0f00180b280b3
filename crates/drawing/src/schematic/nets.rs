//! The wires of a plan by the nodes they end at, and its contacts: what schematics are drawn from.

use circuit::{Circuit, EdgeId, EdgeKind, NodeId, Part, Spot};
use plan::{Kind, Plan};
use schedule::places::PlaceNames;
use schedule::wires::{ScheduledWire, wires_named};
use schedule::{Job, Number};
use std::collections::BTreeMap;

/// A wire as it is drawn.
pub(crate) struct DrawnWire {
    pub(crate) number: Number,
    /// Its edges from its first node to its last.
    pub(crate) edges: Vec<EdgeId>,
    /// The nodes it ends at, the bus and not the tap on it where it taps one.
    pub(crate) nodes: [NodeId; 2],
    /// What its ends are called.
    pub(crate) words: [String; 2],
    /// Its number and its colour: `W-12 white`.
    pub(crate) label: String,
}

/// A contact: which one of what.
pub(crate) type ContactId = (Kind, usize, usize);

/// A contact with its throws.
pub(crate) struct DrawnContact {
    pub(crate) id: ContactId,
    pub(crate) common: NodeId,
    pub(crate) throws: Vec<Throw>,
}

pub(crate) struct Throw {
    pub(crate) node: NodeId,
    pub(crate) edge: EdgeId,
    /// The word of the throw: `through`.
    pub(crate) word: &'static str,
}

/// What schematics are drawn from.
pub(crate) struct Nets<'j> {
    pub(crate) plan: &'j Plan,
    pub(crate) circuit: &'j Circuit,
    pub(crate) job: &'j Job<'j>,
    pub(crate) places: PlaceNames<'j>,
    pub(crate) wires: Vec<DrawnWire>,
    /// Of each node the wires that end there, and which of their ends does.
    pub(crate) at: BTreeMap<NodeId, Vec<(usize, usize)>>,
    pub(crate) contacts: Vec<DrawnContact>,
    /// Labels of the conductors of buses, by bus and pole.
    pub(crate) buses: BTreeMap<(usize, plan::Pole), (Number, String)>,
}

impl<'j> Nets<'j> {
    pub(crate) fn new(job: &'j Job<'j>) -> Nets<'j> {
        let (plan, circuit) = (job.facts.plan, &job.facts.circuit);
        let hands = || PlaceNames::for_hands(circuit, plan, job.choices.units);
        let places = hands();
        let mut nets = Nets {
            plan,
            circuit,
            job,
            places,
            wires: Vec::new(),
            at: BTreeMap::new(),
            contacts: contacts(circuit),
            buses: BTreeMap::new(),
        };
        for wire in wires_named(job, hands()) {
            nets.put(&wire);
        }
        nets.branches();
        nets
    }

    /// Where branches start: joints with their trunks, which have the numbers of the branches.
    fn branches(&mut self) {
        for (id, edge) in EdgeId::each(&self.circuit.edges) {
            let Part::BranchJoint { bus, trunk, pole } = edge.part else { continue };
            let Some((number, label)) = self.buses.get(&(bus, pole)).cloned() else { continue };
            let on_trunk =
                |node: NodeId| matches!(self.circuit.nodes[node].spot, Spot::Bus { bus, .. } if bus == trunk);
            let nodes = if on_trunk(edge.a) { [edge.a, edge.b] } else { [edge.b, edge.a] };
            let words = nodes.map(|node| self.places.words(node));
            let label = if self.plan.bus[bus].plug.is_some() { format!("plug · {label}") } else { label };
            let index = self.wires.len();
            self.wires.push(DrawnWire { number, edges: vec![id], nodes, words, label });
            for (end, node) in nodes.into_iter().enumerate() {
                self.at.entry(node).or_default().push((index, end));
            }
        }
    }

    fn put(&mut self, wire: &ScheduledWire) {
        let label = [Some(wire.number.to_string()), wire.colour.map(str::to_owned)];
        let label = label.into_iter().flatten().collect::<Vec<_>>().join(" ");
        if wire.what == "bus" {
            let (Some((Kind::Bus, bus)), part) = (wire.ends[1].point.thing, &wire.ends[1].point.part) else { return };
            let pole = if part == plan::Pole::A.word() { plan::Pole::A } else { plan::Pole::B };
            self.buses.insert((bus, pole), (wire.number, label));
            return;
        }
        let Some(&first) = wire.edges.first() else { return };
        // What its maker has made inside trackwork is on no schematic.
        if wire.what == "bond" {
            return;
        }
        let edge = &self.circuit.edges[first];
        let nodes = match wire.edges.get(1) {
            Some(&tap) => [edge.a, self.circuit.edges[tap].b],
            // An input of a reverser is its tap on the bus.
            None if edge.kind == EdgeKind::Tap => [edge.b, edge.a],
            None => [edge.a, edge.b],
        };
        let named = |end: usize| {
            let end = &wire.ends[end];
            let assumed = end.node.and_then(|node| self.places.assumed_tap(node));
            let assumed = assumed.filter(|_| wire.what != "reverser input");
            assumed.map_or_else(|| end.words.clone(), |place| format!("{place}*"))
        };
        let words = [named(0), named(1)];
        let index = self.wires.len();
        self.wires.push(DrawnWire { number: wire.number, edges: wire.edges.clone(), nodes, words, label });
        for (end, node) in nodes.into_iter().enumerate() {
            self.at.entry(node).or_default().push((index, end));
        }
    }

    /// The wires that end at a node, and which of their ends does.
    pub(crate) fn wires_at(&self, node: NodeId) -> &[(usize, usize)] {
        self.at.get(&node).map_or(&[], Vec::as_slice)
    }

    /// The nodes of a thing's terminals that are no contacts', in the order of the circuit.
    pub(crate) fn nodes(&self, is: impl Fn(&Spot) -> bool) -> Vec<NodeId> {
        NodeId::each(&self.circuit.nodes).filter(|(_, node)| is(&node.spot)).map(|(id, _)| id).collect()
    }

    /// The edges of which this is true.
    pub(crate) fn edges(&self, is: impl Fn(&Part) -> bool) -> Vec<EdgeId> {
        EdgeId::each(&self.circuit.edges).filter(|(_, edge)| is(&edge.part)).map(|(id, _)| id).collect()
    }
}

fn contacts(circuit: &Circuit) -> Vec<DrawnContact> {
    let mut found: BTreeMap<ContactId, DrawnContact> = BTreeMap::new();
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let Part::Contact { kind, index, contact, terminal } = edge.part else { continue };
        let of = (kind, index, contact);
        let drawn = found.entry(of).or_insert_with(|| DrawnContact { id: of, common: edge.a, throws: Vec::new() });
        drawn.throws.push(Throw { node: edge.b, edge: id, word: terminal });
    }
    found.into_values().collect()
}
