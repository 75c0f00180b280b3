//! Whose task makes what: each piece and gap goes to the task of whatever it is part of.

use crate::mistake::gaps;
use crate::task::Site;
use crate::test::Element;
use circuit::{Circuit, Edge, EdgeId, EdgeKind, NodeId, Part, Spot};
use plan::driven;
use plan::{EndOf, Kind, Names, Plan, TrackEnd};
use schedule::Job;
use std::collections::BTreeMap;

/// Whose task a piece belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum TaskOwner {
    /// Special trackwork.
    Work(Kind, usize),
    /// A track's rails.
    Track(usize),
    /// A track's feeders.
    Feeders(usize),
    /// A bus.
    Bus(usize),
    /// The taps of a bus.
    Taps(usize),
    /// A motor.
    Motor(usize),
    /// A driver, with its wires.
    Driver(usize),
    /// The contacts of a motor, relay or toggle, and reversers.
    Contacts(Kind, usize),
    /// A supply or breaker.
    Supply(usize),
    /// What joins a board to those before it.
    Joining(usize),
}

/// What the tasks of a layout make.
#[derive(Default)]
pub(crate) struct Owned {
    pub(crate) makes: BTreeMap<TaskOwner, Vec<Element>>,
    /// Wires from below that end on a rail or frog, by who solders that end.
    pub(crate) leads: BTreeMap<TaskOwner, Vec<EdgeId>>,
    /// Wires with a plug to another board, by who makes an end of them.
    pub(crate) halves: BTreeMap<TaskOwner, Vec<EdgeId>>,
}

pub(crate) struct Owners<'j, 'p> {
    plan: &'p Plan,
    circuit: &'j Circuit,
    names: &'p Names,
    /// The track on whose rail each node is.
    pub(crate) track_of: Vec<Option<usize>>,
}

impl<'j, 'p> Owners<'j, 'p> {
    pub(crate) fn new(job: &'j Job<'p>) -> Self {
        let circuit = &job.facts.circuit;
        let mut track_of = vec![None; circuit.nodes.len()];
        for (track, segment) in circuit.segments[..circuit.tracks].iter().enumerate() {
            // Where a gap stands at an end the node beyond is the neighbour's; pieces of rail are its own.
            for &piece in segment.rails.iter().flat_map(|line| &line.pieces) {
                let edge = &circuit.edges[piece];
                track_of[edge.a] = Some(track);
                track_of[edge.b] = Some(track);
            }
        }
        Owners { plan: job.facts.plan, circuit, names: job.facts.names, track_of }
    }

    /// Where what an owner makes is made.
    pub(crate) fn site(&self, owner: TaskOwner) -> Site {
        let thing = match owner {
            _ if self.plan.board.is_empty() => return Site::SetUp,
            TaskOwner::Work(kind, index) | TaskOwner::Contacts(kind, index) => (kind, index),
            TaskOwner::Track(track) | TaskOwner::Feeders(track) => (Kind::Track, track),
            TaskOwner::Bus(bus) | TaskOwner::Taps(bus) => (Kind::Bus, bus),
            TaskOwner::Motor(motor) => (Kind::Motor, motor),
            TaskOwner::Driver(driver) => (Kind::Driver, driver),
            TaskOwner::Supply(_) | TaskOwner::Joining(_) => return Site::SetUp,
        };
        self.circuit.board_of_thing(thing).map_or(Site::SetUp, Site::Bench)
    }

    /// Gives every piece and gap to whom it belongs.
    pub(crate) fn share_out(&self) -> Owned {
        let mut owned = Owned::default();
        // What depends on the wire's side of each tap.
        let mut hangs: BTreeMap<NodeId, EdgeId> = BTreeMap::new();
        for (id, edge) in EdgeId::each(&self.circuit.edges).filter(|(_, e)| e.kind != EdgeKind::Tap) {
            for end in [edge.a, edge.b] {
                hangs.entry(end).or_insert(id);
            }
        }
        for (id, edge) in EdgeId::each(&self.circuit.edges).filter(|(_, e)| e.kind != EdgeKind::Rail) {
            let owner = match edge.kind {
                EdgeKind::Tap => self.owner_of_tap(edge, hangs.get(&edge.a).copied()),
                _ => self.owner(edge),
            };
            use EdgeKind::{Feeder, SlidingJoint, SolderedJoint, Tap, Wire};
            let may_join = matches!(edge.kind, Feeder | SlidingJoint | SolderedJoint | Tap | Wire);
            let joins = self.joining([edge.a, edge.b]).filter(|_| may_join);
            if let Some(owner) = owner {
                owned.makes.entry(joins.unwrap_or(owner)).or_default().push(Element::Edge(id));
            }
            // What ends at a rail or frog is soldered from above, before that is out of reach.
            let soldered = match self.circuit.nodes[edge.b].spot {
                Spot::Rail { track, .. } => Some(TaskOwner::Feeders(track)),
                Spot::Work { kind, index, .. } => Some(TaskOwner::Work(kind, index)),
                _ => None,
            };
            if let (Part::ContactWire { .. }, Some(end)) = (&edge.part, soldered) {
                owned.leads.entry(end).or_default().push(id);
            }
            if joins.is_none() {
                continue;
            }
            // A wire to another board hangs from its rail until the boards are joined.
            if let (EdgeKind::Feeder, Some(owner)) = (edge.kind, owner) {
                owned.leads.entry(owner).or_default().push(id);
            }
            if self.circuit.plugs.contains_key(&id) {
                let ends = [edge.a, edge.b].into_iter().filter_map(|node| self.maker_of_end(node));
                ends.for_each(|end| owned.halves.entry(end).or_default().push(id));
            }
        }
        for (a, b) in gaps(self.circuit) {
            let gap = self.circuit.gaps.iter().find(|g| (g.before, g.after) == (a, b));
            let owner = gap.map(|g| match &self.circuit.segments[g.segment].owner {
                // A gap between two tracks is made when the second one of them is laid.
                circuit::RailOwner::Track(track) => {
                    let sides = [a, b].into_iter().filter_map(|node| self.track_of[node]);
                    TaskOwner::Track(sides.chain([*track]).max().unwrap_or(*track))
                }
                circuit::RailOwner::Work { kind, index, .. } => TaskOwner::Work(*kind, *index),
            });
            if let Some(owner) = owner.map(|owner| self.joining([a, b]).unwrap_or(owner)) {
                owned.makes.entry(owner).or_default().push(Element::Gap(a, b));
            }
        }
        owned
    }

    /// Who joins the boards that two nodes lie on; nobody where that is one board.
    fn joining(&self, nodes: [NodeId; 2]) -> Option<TaskOwner> {
        let [Some(one), Some(other)] = nodes.map(|node| self.circuit.board_at(&self.circuit.nodes[node])) else {
            return None;
        };
        if one == other { None } else { one.max(other).map(TaskOwner::Joining) }
    }

    /// Whose a tap is, `wire` being what hangs on it.
    fn owner_of_tap(&self, tap: &Edge, wire: Option<EdgeId>) -> Option<TaskOwner> {
        let Some(id) = wire else { return self.owner(tap) };
        let wire = &self.circuit.edges[id];
        let of_bus = if let Part::Tap { bus, .. } = tap.part { Some(TaskOwner::Taps(bus)) } else { self.owner(tap) };
        match (wire.kind, self.joining([wire.a, wire.b])) {
            // With a plug in it the half on this board is tapped at the bench.
            (EdgeKind::Feeder | EdgeKind::Wire, Some(joining)) => {
                if self.circuit.plugs.contains_key(&id) {
                    of_bus
                } else {
                    Some(joining)
                }
            }
            (EdgeKind::Wire | EdgeKind::Contact, None) => self.owner(wire),
            (EdgeKind::Feeder, None) => of_bus,
            _ => self.owner(tap),
        }
    }

    /// Who makes the end of a wire with a plug that is neither soldered from above nor tapped.
    fn maker_of_end(&self, node: NodeId) -> Option<TaskOwner> {
        Some(match self.circuit.nodes[node].spot {
            Spot::Terminal { kind, index, .. } => TaskOwner::Contacts(kind, index),
            Spot::Driver { driver, .. } => TaskOwner::Driver(driver),
            Spot::Motor { motor, .. } => TaskOwner::Motor(motor),
            Spot::Detector { detector, .. } => TaskOwner::Contacts(Kind::Detector, detector),
            Spot::Bus { bus, .. } => TaskOwner::Bus(bus),
            _ => return None,
        })
    }

    /// Whose a piece is; nobody's if it is a length of rail, which its track or trackwork brings along.
    fn owner(&self, edge: &Edge) -> Option<TaskOwner> {
        Some(match edge.part {
            Part::Loose | Part::Rail { .. } => return None,
            Part::Joint { track, .. } => TaskOwner::Track(track),
            // A joint between two tracks is made when the second one of them is laid.
            Part::EndJoint { track, end, .. } => {
                let table = &self.plan.track[track];
                let text = if end == TrackEnd::From { &table.from } else { &table.to };
                match self.names.end(self.plan, &text.value) {
                    Ok(EndOf::Track(other, _)) => TaskOwner::Track(track.max(other)),
                    _ => TaskOwner::Track(track),
                }
            }
            Part::Feeder { track, .. } => TaskOwner::Feeders(track),
            Part::DeckFeeder { turntable, .. } => TaskOwner::Work(Kind::Turntable, turntable),
            Part::Tap { bus, .. } | Part::BranchJoint { bus, .. } | Part::BusRun { bus, .. } => TaskOwner::Bus(bus),
            Part::BusLead { supply, .. }
            | Part::Inside { supply }
            | Part::Breaker { supply, .. }
            | Part::Common { supply, .. } => TaskOwner::Supply(supply),
            Part::Contact { kind, index, .. } | Part::ContactWire { kind, index, .. } => {
                TaskOwner::Contacts(kind, index)
            }
            Part::DriverFeed { driver, .. } | Part::DriverCommands { driver, .. } | Part::DriverLink { driver, .. } => {
                TaskOwner::Driver(driver)
            }
            Part::MotorWire { motor, .. } => {
                let driver = TaskOwner::Driver(driven::of_motor(self.plan, self.names, motor)?.driver);
                // What hangs below several boards is mounted and wired when they are joined.
                let later = self.site(TaskOwner::Motor(motor)) > self.site(driver);
                if later && self.site(TaskOwner::Motor(motor)) == Site::SetUp {
                    TaskOwner::Motor(motor)
                } else {
                    driver
                }
            }
            Part::CoilWire { relay, .. } => match driven::of_relay(self.plan, self.names, relay) {
                Some(output) => TaskOwner::Driver(output.driver),
                None => TaskOwner::Contacts(Kind::Relay, relay),
            },
            Part::Reverser { reverser, .. } => TaskOwner::Contacts(Kind::Reverser, reverser),
            Part::DetectorFeed { detector } | Part::Detector { detector } => {
                TaskOwner::Contacts(Kind::Detector, detector)
            }
            Part::Work { kind, index, .. } => TaskOwner::Work(kind, index),
        })
    }
}
