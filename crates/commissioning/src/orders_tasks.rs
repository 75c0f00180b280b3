//! The tasks, each behind all that it waits for.

use crate::orders_owners::{Owned, Owners, TaskOwner};
use crate::task::{BuilderPosition, Site, Stage, Task};
use crate::test::Element;
use circuit::{Circuit, EdgeId, EdgeKind, NodeId};
use plan::names::each_name;
use plan::{EndOf, Kind, Names, Plan};
use schedule::Job;
use std::collections::{BTreeMap, BTreeSet};

pub(crate) struct Planner<'j, 'p> {
    job: &'j Job<'p>,
    plan: &'p Plan,
    circuit: &'j Circuit,
    names: &'p Names,
    owners: Owners<'j, 'p>,
    owned: Owned,
    tasks: Vec<Task>,
    task_of: BTreeMap<TaskOwner, usize>,
    /// For each site where something is laid the task of marking out.
    marking: BTreeMap<Site, usize>,
}

impl<'j, 'p> Planner<'j, 'p> {
    pub(crate) fn new(job: &'j Job<'p>) -> Self {
        let owners = Owners::new(job);
        let (tasks, task_of, marking) = Default::default();
        let (plan, circuit, names) = (job.facts.plan, &job.facts.circuit, job.facts.names);
        Planner { job, plan, circuit, names, owned: owners.share_out(), owners, tasks, task_of, marking }
    }

    /// All tasks, in order.
    pub(crate) fn tasks(mut self) -> Vec<Task> {
        self.mark_out();
        let mut holes: BTreeMap<TaskOwner, Vec<usize>> = BTreeMap::new();
        for track in 0..self.plan.track.len() {
            let owner = TaskOwner::Feeders(track);
            if self.has_wires(owner) {
                let name = ("holes", self.plan.track[track].name.value.as_str());
                let does = "a hole beside the rail for each feeder and contact wire, as the feeder list places them";
                let site = self.owners.site(owner);
                let hole = self.push(Place::at(site), name, Stage::Holes, BuilderPosition::Above, does, Vec::new());
                holes.insert(owner, vec![hole]);
            }
        }
        for (index, motor) in self.plan.motor.iter().enumerate() {
            let does = "the throw wire's hole, and one for the frog's wire where there is one";
            let moved = motor.moves.0.iter().filter_map(|text| self.names.moved(&text.value).ok());
            let sites: BTreeSet<Site> =
                moved.map(|moved| self.owners.site(TaskOwner::Work(moved.kind, moved.index))).collect();
            for (count, site) in sites.into_iter().enumerate() {
                let name = (if count == 0 { "holes" } else { "more holes" }, motor.name.value.as_str());
                let hole = self.push(Place::at(site), name, Stage::Holes, BuilderPosition::Above, does, Vec::new());
                holes.entry(TaskOwner::Motor(index)).or_default().push(hole);
            }
        }
        self.trackwork(&holes);
        self.buses();
        self.moving(&holes);
        self.join_boards();
        self.supplies();
        self.finish();
        self.tasks
    }

    /// Marking out, once at each site where something is laid.
    fn mark_out(&mut self) {
        let tracks = (0..self.plan.track.len()).map(TaskOwner::Track);
        let works = each_name(self.plan).map(|(kind, index, _)| (kind, index)).filter(|(kind, _)| is_trackwork(*kind));
        let owners = tracks.chain(works.map(|(kind, index)| TaskOwner::Work(kind, index)));
        let owners = owners.chain((0..self.plan.bus.len()).map(TaskOwner::Bus));
        let mut sites: BTreeSet<Site> = owners.map(|owner| self.owners.site(owner)).collect();
        if sites.is_empty() {
            sites.insert(Site::SetUp);
        }
        for site in sites {
            let name = match site {
                Site::Bench(Some(board)) => self.plan.board[board].name.value.as_str(),
                _ => "",
            };
            let place = Place::at(site);
            let marking =
                self.push(place, ("marking out", name), Stage::MarkingOut, BuilderPosition::Above, MARKING, Vec::new());
            self.marking.insert(site, marking);
        }
    }

    /// What joins each board to those before it.
    fn join_boards(&mut self) {
        // Where boards hold everything the first of them is what the others are joined to.
        let rest = self.marking.contains_key(&Site::Bench(None))
            || self.owned.makes.contains_key(&TaskOwner::Joining(0))
            || self.tasks.iter().any(|task| task.site == Site::Bench(None));
        for (index, board) in self.plan.board.iter().enumerate().skip(usize::from(!rest)) {
            let does = "stand it beside its neighbour, level it and bolt it on; join or part the rails over the edge as \
                        the list of gaps and joints has them; plugs in; wires that cross the edge without a plug to what their \
                        labels name";
            let place = self.of(TaskOwner::Joining(index));
            let name = ("join", board.name.value.as_str());
            let task = self.push(place, name, Stage::Joining, BuilderPosition::Both, does, Vec::new());
            // What each board has behind it when it is joined to others.
            let at_the_bench = Stage::MarkingOut..=Stage::Motors;
            self.tasks[task].after_stages =
                Stage::ALL.into_iter().filter(|stage| at_the_bench.contains(stage)).collect();
        }
    }

    /// Whether wires end on the rails of a track.
    fn has_wires(&self, feeders: TaskOwner) -> bool {
        self.owned.makes.contains_key(&feeders) || self.owned.leads.contains_key(&feeders)
    }

    fn trackwork(&mut self, holes: &BTreeMap<TaskOwner, Vec<usize>>) {
        for (kind, index, name) in each_name(self.plan) {
            if is_trackwork(kind) {
                let owner = TaskOwner::Work(kind, index);
                let moved = self.motors_of((kind, index));
                let after = moved.iter().filter_map(|m| holes.get(&TaskOwner::Motor(*m))).flatten().copied().collect();
                let does = if self.owned.leads.contains_key(&owner) {
                    "solder the wires of its frogs to it, down their holes; lay it, gauge it, blades free; its own gaps and \
                     bonds looked at before it is fast"
                } else {
                    "lay it, gauge it, blades free; its own gaps and bonds looked at before it is fast"
                };
                let place = self.of(owner);
                self.push(place, ("lay", &name.value), Stage::Trackwork, BuilderPosition::Above, does, after);
            }
        }
        for (index, track) in self.plan.track.iter().enumerate() {
            let mut after: Vec<usize> = holes.get(&TaskOwner::Feeders(index)).cloned().unwrap_or_default();
            for end in [&track.from.value, &track.to.value] {
                if let Ok(EndOf::Work(kind, work, _)) = self.names.end(self.plan, end) {
                    after.extend(self.task_of.get(&TaskOwner::Work(kind, work)));
                }
            }
            let does = "lay it, its joints as the list has them; cut its gaps, fill them and file them flush";
            let owner = TaskOwner::Track(index);
            let place = self.of(owner);
            self.push(place, ("lay", &track.name.value), Stage::Track, BuilderPosition::Above, does, after);
        }
        for (index, track) in self.plan.track.iter().enumerate() {
            let owner = TaskOwner::Feeders(index);
            if self.has_wires(owner) {
                let after = self.task_of.get(&TaskOwner::Track(index)).copied().into_iter().collect();
                let does = "solder each feeder and contact wire to the outside of its rail, down its hole, both ends \
                            labelled";
                let place = self.of(owner);
                self.push(place, ("feeders", &track.name.value), Stage::Feeders, BuilderPosition::Above, does, after);
            }
        }
    }

    fn buses(&mut self) {
        for (index, bus) in self.plan.bus.iter().enumerate() {
            let does = "along its way below, A and B together, both ends labelled; branches onto their trunk";
            let owner = TaskOwner::Bus(index);
            let place = self.of(owner);
            self.push(place, ("bus", &bus.name.value), Stage::Bus, BuilderPosition::Below, does, Vec::new());
        }
        let buses: Vec<usize> =
            (0..self.plan.bus.len()).filter_map(|b| self.task_of.get(&TaskOwner::Bus(b))).copied().collect();
        for (index, bus) in self.plan.bus.iter().enumerate() {
            let owner = TaskOwner::Taps(index);
            let Some(made) = self.owned.makes.get(&owner) else { continue };
            let ends = |e: &Element| match e {
                Element::Edge(edge) => Some(self.circuit.edges[*edge].a),
                Element::Gap(..) => None,
            };
            let ends: BTreeSet<NodeId> = made.iter().filter_map(ends).collect();
            let feeders = self.circuit.edges.iter().filter(|e| e.kind == EdgeKind::Feeder && ends.contains(&e.b));
            let tracks = feeders.filter_map(|e| self.owners.track_of[e.a]);
            let mut after: Vec<usize> =
                tracks.filter_map(|t| self.task_of.get(&TaskOwner::Feeders(t))).copied().collect();
            after.extend(&buses);
            let does = "tap each feeder onto the conductor its label names";
            let place = self.of(owner);
            self.push(place, ("taps", &bus.name.value), Stage::Taps, BuilderPosition::Below, does, after);
        }
    }

    fn moving(&mut self, holes: &BTreeMap<TaskOwner, Vec<usize>>) {
        for (index, motor) in self.plan.motor.iter().enumerate() {
            let mut after: Vec<usize> = holes.get(&TaskOwner::Motor(index)).cloned().unwrap_or_default();
            for moved in &motor.moves.0 {
                let found = self.names.moved(&moved.value).ok();
                after.extend(found.and_then(|m| self.task_of.get(&TaskOwner::Work(m.kind, m.index))));
            }
            let does = "mount it, throw wire in, blades tight both ways by hand";
            let owner = TaskOwner::Motor(index);
            let place = self.of(owner);
            let name = ("motor", motor.name.value.as_str());
            let task = self.push(place, name, Stage::Motors, BuilderPosition::Below, does, after);
            self.tasks[task].motor = Some(index);
        }
        self.drivers();
        for (kind, index, name) in each_name(self.plan) {
            let owner = TaskOwner::Contacts(kind, index);
            if !self.owned.makes.contains_key(&owner) && !self.owned.halves.contains_key(&owner) {
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
            let place = self.of(owner);
            let task = self.push(place, (what, &name.value), stage, reach, does, Vec::new());
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
            let place = self.of(TaskOwner::Driver(index));
            let task = self.push(place, ("driver", &driver.name.value), stage, reach, does, Vec::new());
            self.tasks[task].after_stages = vec![Stage::Bus, Stage::Motors];
        }
    }

    fn supplies(&mut self) {
        for (index, supply) in self.plan.supply.iter().enumerate() {
            let does = "fix it in its place, leads to its buses made and labelled but not plugged in";
            let owner = TaskOwner::Supply(index);
            let name = ("supply", supply.name.value.as_str());
            let place = self.of(owner);
            let task = self.push(place, name, Stage::Supplies, BuilderPosition::Below, does, Vec::new());
            self.tasks[task].after_stages = vec![Stage::Bus];
        }
        for wired in self.job.panels() {
            let panel = &self.plan.panel[wired.parts.panel];
            let numbers = schedule::panel_wires::scheduled(self.job, &wired).into_iter().map(|w| w.number);
            let numbers = schedule::in_runs(numbers);
            let does = if numbers.is_empty() {
                "fit its controls and run its cable, both ends labelled".to_owned()
            } else {
                format!(
                    "build it and test it by its own booklet (panel.pdf), then run its cable, both ends labelled: {numbers}"
                )
            };
            let name = ("panel", panel.name.value.as_str());
            let task = self.push(Place::at(Site::SetUp), name, Stage::Panel, BuilderPosition::Aside, &does, Vec::new());
            self.tasks[task].after_stages = vec![Stage::Motors];
        }
    }

    /// Power and ballast; then all tasks by site and stage, each behind what it waits for.
    fn finish(&mut self) {
        let does = "plug in one supply after the other, and make the hot tests";
        let place = Place::at(Site::SetUp);
        let task = self.push(place, ("power on", ""), Stage::Power, BuilderPosition::Both, does, Vec::new());
        self.tasks[task].after_stages = Stage::ALL.into_iter().filter(|stage| *stage < Stage::Power).collect();
        for track in &self.plan.track {
            let name = ("ballast", track.name.value.as_str());
            let does = "only when all readings are well; keep glue off blades and out of gaps";
            let place = Place::at(Site::SetUp);
            let task = self.push(place, name, Stage::Ballast, BuilderPosition::Above, does, Vec::new());
            self.tasks[task].after_stages = vec![Stage::Power];
        }
        let mut order: Vec<usize> = (0..self.tasks.len()).collect();
        order.sort_by_key(|&t| (self.tasks[t].site, self.tasks[t].stage, t));
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

    fn of(&self, owner: TaskOwner) -> Place {
        Place { owner: Some(owner), site: self.owners.site(owner) }
    }

    fn push(
        &mut self,
        Place { owner, site }: Place,
        (kind, place): (&'static str, &str),
        stage: Stage,
        reach: BuilderPosition,
        does: &str,
        mut after: Vec<usize>,
    ) -> usize {
        let index = self.tasks.len();
        if matches!(stage, Stage::Holes | Stage::Trackwork | Stage::Track | Stage::Bus) {
            after.extend(self.marking.get(&site));
        }
        after.retain(|&before| site.can_wait_for(self.tasks[before].site));
        let of_owner = |lists: &BTreeMap<TaskOwner, Vec<EdgeId>>| owner.and_then(|o| lists.get(&o).cloned());
        let makes = owner.and_then(|o| self.owned.makes.get(&o).cloned()).unwrap_or_default();
        let leads = of_owner(&self.owned.leads).unwrap_or_default();
        let halves = of_owner(&self.owned.halves).unwrap_or_default();
        self.task_of.extend(owner.map(|o| (o, index)));
        let does = does.to_owned();
        self.tasks.push(Task {
            name: format!("{kind} {place}").trim_end().to_owned(),
            kind,
            place: place.to_owned(),
            site,
            stage,
            reach,
            does,
            makes,
            leads,
            halves,
            motor: None,
            after,
            after_stages: Vec::new(),
            closed_by: Vec::new(),
        });
        index
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

/// Whose a task is, and where it is done.
#[derive(Clone, Copy)]
struct Place {
    owner: Option<TaskOwner>,
    site: Site,
}

impl Place {
    /// Of a task that makes no piece.
    fn at(site: Site) -> Place {
        Place { owner: None, site }
    }
}

fn is_trackwork(kind: Kind) -> bool {
    matches!(kind, Kind::Turnout | Kind::Crossing | Kind::Slip | Kind::ThreeWay | Kind::Turntable)
}

const MARKING: &str =
    "centre lines, joints, gaps, feeder holes and throw-wire holes marked on the base from the drawing";
