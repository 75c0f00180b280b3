//! Which task makes what: each piece and gap goes to the task of whatever it is part of.

use crate::mistake::gaps;
use crate::task::{BuilderPosition, Stage, Task};
use crate::test::Element;
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, Part, Spot};
use plan::driven;
use plan::names::each_name;
use plan::{EndOf, Kind, Names, Plan, TrackEnd};
use schedule::Job;
use std::collections::{BTreeMap, BTreeSet};

/// Whose task a piece belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum TaskOwner {
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
}

pub(crate) struct Planner<'j, 'p> {
    plan: &'p Plan,
    circuit: &'j Circuit,
    names: &'p Names,
    track_of: Vec<Option<usize>>,
    makes: BTreeMap<TaskOwner, Vec<Element>>,
    /// Wires from below that end on a rail or frog, by who solders that end.
    leads: BTreeMap<TaskOwner, Vec<EdgeId>>,
    tasks: Vec<Task>,
    task_of: BTreeMap<TaskOwner, usize>,
}

impl<'j, 'p> Planner<'j, 'p> {
    pub(crate) fn new(job: &'j Job<'p>) -> Self {
        let (plan, circuit) = (job.facts.plan, &job.facts.circuit);
        let names = job.facts.names;
        let mut track_of = vec![None; circuit.nodes.len()];
        for (track, segment) in circuit.segments[..circuit.tracks].iter().enumerate() {
            // Where a gap stands at an end the node beyond is the neighbour's; pieces of rail are its own.
            for &piece in segment.rails.iter().flat_map(|line| &line.pieces) {
                let edge = &circuit.edges[piece];
                track_of[edge.a] = Some(track);
                track_of[edge.b] = Some(track);
            }
        }
        let (makes, leads, tasks, task_of) = Default::default();
        Planner { plan, circuit, names, track_of, makes, leads, tasks, task_of }
    }

    /// All tasks, in order.
    pub(crate) fn tasks(mut self) -> Vec<Task> {
        self.share_out();
        let marking =
            self.push(None, ("marking out", ""), Stage::MarkingOut, BuilderPosition::Above, MARKING, Vec::new());
        let mut holes: BTreeMap<TaskOwner, usize> = BTreeMap::new();
        for track in 0..self.plan.track.len() {
            if self.has_wires(TaskOwner::Feeders(track)) {
                let name = ("holes", self.plan.track[track].name.value.as_str());
                let does = "a hole beside the rail for each feeder and contact wire, as the feeder list places them";
                holes.insert(
                    TaskOwner::Feeders(track),
                    self.push(None, name, Stage::Holes, BuilderPosition::Above, does, vec![marking]),
                );
            }
        }
        for (index, motor) in self.plan.motor.iter().enumerate() {
            let name = ("holes", motor.name.value.as_str());
            let does = "the throw wire's hole, and one for the frog's wire where there is one";
            holes.insert(
                TaskOwner::Motor(index),
                self.push(None, name, Stage::Holes, BuilderPosition::Above, does, vec![marking]),
            );
        }
        self.trackwork(marking, &holes);
        self.buses(marking);
        self.moving(&holes);
        self.supplies();
        self.finish();
        self.tasks
    }

    /// Whether wires end on the rails of a track.
    fn has_wires(&self, feeders: TaskOwner) -> bool {
        self.makes.contains_key(&feeders) || self.leads.contains_key(&feeders)
    }

    fn trackwork(&mut self, marking: usize, holes: &BTreeMap<TaskOwner, usize>) {
        for (kind, index, name) in each_name(self.plan) {
            if matches!(kind, Kind::Turnout | Kind::Crossing | Kind::Slip | Kind::ThreeWay | Kind::Turntable) {
                let owner = TaskOwner::Work(kind, index);
                let moved = self.motors_of((kind, index));
                let after =
                    moved.iter().filter_map(|m| holes.get(&TaskOwner::Motor(*m))).copied().chain([marking]).collect();
                let does = if self.leads.contains_key(&owner) {
                    "solder the wires of its frogs to it, down their holes; lay it, gauge it, blades free; its own gaps and \
                     bonds looked at before it is fast"
                } else {
                    "lay it, gauge it, blades free; its own gaps and bonds looked at before it is fast"
                };
                self.push(Some(owner), ("lay", &name.value), Stage::Trackwork, BuilderPosition::Above, does, after);
            }
        }
        for (index, track) in self.plan.track.iter().enumerate() {
            let mut after = vec![marking];
            after.extend(holes.get(&TaskOwner::Feeders(index)));
            for end in [&track.from.value, &track.to.value] {
                if let Ok(EndOf::Work(kind, work, _)) = self.names.end(self.plan, end) {
                    after.extend(self.task_of.get(&TaskOwner::Work(kind, work)));
                }
            }
            let does = "lay it, its joints as the list has them; cut its gaps, fill them and file them flush";
            let owner = TaskOwner::Track(index);
            self.push(Some(owner), ("lay", &track.name.value), Stage::Track, BuilderPosition::Above, does, after);
        }
        for (index, track) in self.plan.track.iter().enumerate() {
            let owner = TaskOwner::Feeders(index);
            if self.has_wires(owner) {
                let after = self.task_of.get(&TaskOwner::Track(index)).copied().into_iter().collect();
                let does = "solder each feeder and contact wire to the outside of its rail, down its hole, both ends \
                            labelled";
                self.push(
                    Some(owner),
                    ("feeders", &track.name.value),
                    Stage::Feeders,
                    BuilderPosition::Above,
                    does,
                    after,
                );
            }
        }
    }

    fn buses(&mut self, marking: usize) {
        for (index, bus) in self.plan.bus.iter().enumerate() {
            let does = "along its way below, A and B together, both ends labelled; branches onto their trunk";
            let owner = TaskOwner::Bus(index);
            self.push(Some(owner), ("bus", &bus.name.value), Stage::Bus, BuilderPosition::Below, does, vec![marking]);
        }
        let buses: Vec<usize> =
            (0..self.plan.bus.len()).filter_map(|b| self.task_of.get(&TaskOwner::Bus(b))).copied().collect();
        for (index, bus) in self.plan.bus.iter().enumerate() {
            let owner = TaskOwner::Taps(index);
            let Some(made) = self.makes.get(&owner) else { continue };
            let ends = |e: &Element| match e {
                Element::Edge(edge) => Some(self.circuit.edges[*edge].a),
                Element::Gap(..) => None,
            };
            let ends: BTreeSet<NodeId> = made.iter().filter_map(ends).collect();
            let feeders = self.circuit.edges.iter().filter(|e| e.kind == EdgeKind::Feeder && ends.contains(&e.b));
            let tracks = feeders.filter_map(|e| self.track_of[e.a]);
            let mut after: Vec<usize> =
                tracks.filter_map(|t| self.task_of.get(&TaskOwner::Feeders(t))).copied().collect();
            after.extend(&buses);
            let does = "tap each feeder onto the conductor its label names";
            self.push(Some(owner), ("taps", &bus.name.value), Stage::Taps, BuilderPosition::Below, does, after);
        }
    }

    fn moving(&mut self, holes: &BTreeMap<TaskOwner, usize>) {
        for (index, motor) in self.plan.motor.iter().enumerate() {
            let mut after: Vec<usize> = holes.get(&TaskOwner::Motor(index)).copied().into_iter().collect();
            for moved in &motor.moves.0 {
                let found = self.names.moved(&moved.value).ok();
                after.extend(found.and_then(|m| self.task_of.get(&TaskOwner::Work(m.kind, m.index))));
            }
            let does = "mount it, throw wire in, blades tight both ways by hand";
            let owner = TaskOwner::Motor(index);
            let task = self.push(
                Some(owner),
                ("motor", &motor.name.value),
                Stage::Motors,
                BuilderPosition::Below,
                does,
                after,
            );
            self.tasks[task].motor = Some(index);
        }
        self.drivers();
        for (kind, index, name) in each_name(self.plan) {
            let owner = TaskOwner::Contacts(kind, index);
            if !self.makes.contains_key(&owner) {
                continue;
            }
            let (stage, reach) = if kind == Kind::Toggle {
                (Stage::Panel, BuilderPosition::Aside)
            } else {
                (Stage::Contacts, BuilderPosition::Below)
            };
            // Wires end at buses, rails and frogs, all of which are there by now; those on rails and frogs hang down already.
            let does = "its wires to the terminals their labels name, as the wire list has them";
            let what = match kind {
                Kind::Reverser => "reverser",
                Kind::Detector => "detector",
                _ => "contacts",
            };
            let task = self.push(Some(owner), (what, &name.value), stage, reach, does, Vec::new());
            self.tasks[task].after_stages =
                vec![Stage::Trackwork, Stage::Track, Stage::Feeders, Stage::Bus, Stage::Motors];
        }
    }

    /// Drivers, behind the motors they throw and the bus they hang on.
    fn drivers(&mut self) {
        for (index, driver) in self.plan.driver.iter().enumerate() {
            let by_hand = !driver.kind.value.has_address();
            let (stage, reach) = if by_hand {
                (Stage::Panel, BuilderPosition::Aside)
            } else {
                (Stage::Contacts, BuilderPosition::Below)
            };
            let does =
                "mount it; then its wires to its bus and to each motor, terminal by terminal as the wire list has them";
            let task = self.push(
                Some(TaskOwner::Driver(index)),
                ("driver", &driver.name.value),
                stage,
                reach,
                does,
                Vec::new(),
            );
            self.tasks[task].after_stages = vec![Stage::Bus, Stage::Motors];
        }
    }

    fn supplies(&mut self) {
        for (index, supply) in self.plan.supply.iter().enumerate() {
            let does = "fix it in its place, leads to its buses made and labelled but not plugged in";
            let owner = TaskOwner::Supply(index);
            let name = ("supply", supply.name.value.as_str());
            let task = self.push(Some(owner), name, Stage::Supplies, BuilderPosition::Below, does, Vec::new());
            self.tasks[task].after_stages = vec![Stage::Bus];
        }
        for panel in &self.plan.panel {
            let does = "fit its controls and run its cable, both ends labelled";
            let task =
                self.push(None, ("panel", &panel.name.value), Stage::Panel, BuilderPosition::Aside, does, Vec::new());
            self.tasks[task].after_stages = vec![Stage::Motors];
        }
    }

    /// Power and ballast; then all tasks by stage, each behind what it waits for.
    fn finish(&mut self) {
        let does = "plug in one supply after the other, and make the hot tests";
        let task = self.push(None, ("power on", ""), Stage::Power, BuilderPosition::Both, does, Vec::new());
        self.tasks[task].after_stages = Stage::ALL.into_iter().filter(|stage| *stage < Stage::Power).collect();
        for track in &self.plan.track {
            let name = ("ballast", track.name.value.as_str());
            let does = "only when all readings are well; keep glue off blades and out of gaps";
            let task = self.push(None, name, Stage::Ballast, BuilderPosition::Above, does, Vec::new());
            self.tasks[task].after_stages = vec![Stage::Power];
        }
        let mut order: Vec<usize> = (0..self.tasks.len()).collect();
        order.sort_by_key(|&t| (self.tasks[t].stage, t));
        let mut place = vec![0; order.len()];
        order.iter().enumerate().for_each(|(new, &old)| place[old] = new);
        let mut tasks: Vec<Task> = order.iter().map(|&old| self.tasks[old].clone()).collect();
        for task in &mut tasks {
            task.after.iter_mut().for_each(|t| *t = place[*t]);
            task.after.sort_unstable();
            task.after.dedup();
        }
        self.tasks = tasks;
    }

    fn push(
        &mut self,
        owner: Option<TaskOwner>,
        (kind, place): (&'static str, &str),
        stage: Stage,
        reach: BuilderPosition,
        does: &str,
        after: Vec<usize>,
    ) -> usize {
        let index = self.tasks.len();
        let makes = owner.and_then(|o| self.makes.get(&o).cloned()).unwrap_or_default();
        let leads = owner.and_then(|o| self.leads.get(&o).cloned()).unwrap_or_default();
        self.task_of.extend(owner.map(|o| (o, index)));
        let does = does.to_owned();
        self.tasks.push(Task {
            name: format!("{kind} {place}").trim_end().to_owned(),
            kind,
            place: place.to_owned(),
            stage,
            reach,
            does,
            makes,
            leads,
            motor: None,
            after,
            after_stages: Vec::new(),
            closed_by: Vec::new(),
        });
        index
    }

    /// Gives every piece and gap to whom it belongs.
    fn share_out(&mut self) {
        // What depends on the wire's side of each tap.
        let mut hangs: BTreeMap<NodeId, EdgeId> = BTreeMap::new();
        for (id, edge) in EdgeId::each(&self.circuit.edges).filter(|(_, e)| e.kind != EdgeKind::Tap) {
            for end in [edge.a, edge.b] {
                hangs.entry(end).or_insert(id);
            }
        }
        for (id, edge) in EdgeId::each(&self.circuit.edges).filter(|(_, e)| e.kind != EdgeKind::Rail) {
            let owner = match edge.kind {
                EdgeKind::Tap => match hangs.get(&edge.a).map(|&e| &self.circuit.edges[e]) {
                    Some(wire) if matches!(wire.kind, EdgeKind::Wire | EdgeKind::Contact) => self.owner(wire),
                    Some(wire) if wire.kind == EdgeKind::Feeder => match edge.part {
                        Part::Tap { bus, .. } => Some(TaskOwner::Taps(bus)),
                        _ => self.owner(edge),
                    },
                    _ => self.owner(edge),
                },
                _ => self.owner(edge),
            };
            if let Some(owner) = owner {
                self.makes.entry(owner).or_default().push(Element::Edge(id));
            }
            // What ends at a rail or frog is soldered from above, before that is out of reach.
            if let Part::ContactWire { .. } = edge.part {
                let end = match self.circuit.nodes[edge.b].spot {
                    Spot::Rail { track, .. } => Some(TaskOwner::Feeders(track)),
                    Spot::Work { kind, index, .. } => Some(TaskOwner::Work(kind, index)),
                    _ => None,
                };
                if let Some(end) = end {
                    self.leads.entry(end).or_default().push(id);
                }
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
            if let Some(owner) = owner {
                self.makes.entry(owner).or_default().push(Element::Gap(a, b));
            }
        }
    }

    /// Whose a piece is; nobody's if it is a length of rail, which its track or trackwork brings along.
    fn owner(&self, edge: &circuit::Edge) -> Option<TaskOwner> {
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
            Part::MotorWire { motor, .. } => TaskOwner::Driver(driven::of_motor(self.plan, self.names, motor)?.driver),
            Part::CoilWire { relay, .. } => TaskOwner::Driver(driven::of_relay(self.plan, self.names, relay)?.driver),
            Part::Reverser { reverser, .. } => TaskOwner::Contacts(Kind::Reverser, reverser),
            Part::DetectorFeed { detector } | Part::Detector { detector } => {
                TaskOwner::Contacts(Kind::Detector, detector)
            }
            Part::Work { kind, index, .. } => TaskOwner::Work(kind, index),
        })
    }

    /// The motors that move a piece of trackwork or a part of it.
    fn motors_of(&self, work: (Kind, usize)) -> Vec<usize> {
        let motors = self.plan.motor.iter().enumerate();
        let moves = |m: &plan::tables::Motor| {
            let mut moved = m.moves.0.iter().filter_map(|t| self.names.moved(&t.value).ok());
            moved.any(|moved| (moved.kind, moved.index) == work)
        };
        motors.filter(|(_, m)| moves(m)).map(|m| m.0).collect()
    }
}

const MARKING: &str =
    "centre lines, joints, gaps, feeder holes and throw-wire holes marked on the base from the drawing";
