//! What builders get wrong, as changes of the circuit.

use crate::test::Wrong;
use circuit::{Circuit, Edge, EdgeId, EdgeKind, NodeId, Part, WorkPiece};
use handbook::Spread;
use std::collections::{BTreeMap, BTreeSet};

/// Ohms that a bad joint has too much: cold solder, a tap that touches its wire with one strand. Our own default.
pub const BAD_JOINT_OHMS: f64 = 1.0;
/// Ohms of a gap that is none: a burr, a joiner of metal, a gap that was not cut. Our own default, that of solder.
pub const BRIDGED_GAP_OHMS: f64 = 1e-3;

/// One thing done wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mistake {
    /// A wire left off, a joint that does not touch, a contact that stays open.
    Open(EdgeId),
    /// A joint with an ohm too much.
    Resistive(EdgeId),
    /// A gap whose sides touch, by the nodes before and behind it.
    Bridged(NodeId, NodeId),
    /// Two wires, or the two throws of a contact, exchanged at their far ends.
    Exchanged(EdgeId, EdgeId),
}

impl Mistake {
    /// The circuit with the mistake in it. Edges keep their numbers; a bridged gap is one more.
    pub fn circuit_with(&self, circuit: &Circuit) -> Circuit {
        let mut made = circuit.clone();
        match *self {
            Mistake::Open(edge) => made.edges[edge].removed = true,
            Mistake::Resistive(edge) => {
                let edge = &mut made.edges[edge];
                edge.ohms = edge.ohms.map(|r| r + BAD_JOINT_OHMS);
            }
            Mistake::Bridged(a, b) => made.edges.push(Edge {
                a,
                b,
                guard: Vec::new(),
                removed: false,
                ohms: Spread::exactly(BRIDGED_GAP_OHMS),
                henries: Spread::exactly(0.0),
                kind: EdgeKind::SolderedJoint,
                part: Part::Loose,
                name: "bridged gap".to_owned(),
                span: 0..0,
                input: 0,
            }),
            Mistake::Exchanged(one, other) => {
                let ends = (made.edges[one].b, made.edges[other].b);
                (made.edges[other].b, made.edges[one].b) = ends;
            }
        }
        made
    }

    /// What kind of mistake it is.
    pub fn wrong(&self) -> Wrong {
        match self {
            Mistake::Open(_) => Wrong::Open,
            Mistake::Resistive(_) => Wrong::Resistive,
            Mistake::Bridged(..) => Wrong::Bridged,
            Mistake::Exchanged(..) => Wrong::Exchanged,
        }
    }

    /// The edges it is made at; none for a gap.
    pub fn edges(&self) -> Vec<EdgeId> {
        match *self {
            Mistake::Open(edge) | Mistake::Resistive(edge) => vec![edge],
            Mistake::Bridged(..) => Vec::new(),
            Mistake::Exchanged(one, other) => vec![one, other],
        }
    }
}

/// Whether an edge is something a builder made or wired, and not a length of rail, nor a blade that touches beside its bond.
pub fn is_made(edge: &Edge) -> bool {
    let touching = matches!(edge.part, Part::Work { piece: WorkPiece::Touching, .. });
    !matches!(edge.kind, EdgeKind::Rail | EdgeKind::Source) && !touching && !edge.removed
}

/// The nodes at which nothing but one edge ends: spare terminals of contacts, ends of leads.
pub fn loose_ends(circuit: &Circuit) -> BTreeSet<NodeId> {
    let mut degree: BTreeMap<NodeId, usize> = BTreeMap::new();
    for end in circuit.edges.iter().flat_map(|e| [e.a, e.b]) {
        *degree.entry(end).or_default() += 1;
    }
    degree.into_iter().filter(|d| d.1 == 1).map(|d| d.0).collect()
}

/// Every mistake that can be made in a circuit whose supplies are unplugged, in the order of its edges and gaps. Halves
/// of contacts to which nothing is wired are left out: they can be as they like.
pub fn mistakes(circuit: &Circuit) -> Vec<Mistake> {
    let loose = loose_ends(circuit);
    let wired = |edge: &Edge| edge.kind != EdgeKind::Contact || !loose.contains(&edge.a) && !loose.contains(&edge.b);
    let mut found = Vec::new();
    for (id, edge) in EdgeId::each(&circuit.edges).filter(|(_, e)| is_made(e) && wired(e)) {
        found.push(Mistake::Open(id));
        if edge.kind != EdgeKind::BusWire {
            found.push(Mistake::Resistive(id));
        }
    }
    found.extend(gaps(circuit).into_iter().map(|(a, b)| Mistake::Bridged(a, b)));
    found.extend(exchanges(circuit, &loose));
    found
}

/// Every gap once, by its nodes in the order of the first segment that has it.
pub fn gaps(circuit: &Circuit) -> Vec<(NodeId, NodeId)> {
    let mut seen = BTreeSet::new();
    let all = circuit.gaps.iter().map(|g| (g.before, g.after));
    all.filter(|&(a, b)| seen.insert((a.min(b), a.max(b)))).collect()
}

/// Feeders of both rails at one place, the two leads of a bus, the two wires of a driver, motor or coil, the two throws of a
/// contact.
fn exchanges(circuit: &Circuit, loose: &BTreeSet<NodeId>) -> Vec<Mistake> {
    let mut found = Vec::new();
    let mut pairs: Vec<(Part, EdgeId)> = Vec::new();
    let mut by_common: BTreeMap<NodeId, EdgeId> = BTreeMap::new();
    for (id, edge) in EdgeId::each(&circuit.edges).filter(|(_, e)| is_made(e)) {
        match edge.kind {
            EdgeKind::Contact => match by_common.get(&edge.a) {
                // Where neither throw is wired there is nothing to exchange.
                Some(&first) => {
                    let ends = [circuit.edges[first].b, edge.b];
                    if !loose.contains(&edge.a) && !ends.iter().all(|end| loose.contains(end)) {
                        found.push(Mistake::Exchanged(first, id));
                    }
                }
                None => {
                    by_common.insert(edge.a, id);
                }
            },
            _ => {
                let Some(other) = beside(&edge.part) else { continue };
                match pairs.iter().rposition(|(part, _)| *part == other) {
                    Some(first) => found.push(Mistake::Exchanged(pairs.swap_remove(first).1, id)),
                    None => pairs.push((edge.part.clone(), id)),
                }
            }
        }
    }
    found
}

/// What lies beside a piece on the other rail or conductor, of the pieces that are wired in pairs.
fn beside(part: &Part) -> Option<Part> {
    Some(match *part {
        Part::Feeder { track, side, x } => Part::Feeder { track, side: side.other(), x },
        Part::DeckFeeder { turntable, track, side } => Part::DeckFeeder { turntable, track, side: side.other() },
        Part::BusLead { bus, supply, pole } => Part::BusLead { bus, supply, pole: pole.other() },
        Part::DriverFeed { driver, pole } => Part::DriverFeed { driver, pole: pole.other() },
        Part::DriverCommands { driver, pole } => Part::DriverCommands { driver, pole: pole.other() },
        Part::MotorWire { motor, terminal } => Part::MotorWire { motor, terminal: terminal.twin()? },
        Part::CoilWire { relay, terminal } => Part::CoilWire { relay, terminal: terminal.other() },
        _ => return None,
    })
}
