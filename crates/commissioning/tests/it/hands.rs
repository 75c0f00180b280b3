//! A pair of hands that builds a layout from its work orders alone, task by task, and reaches only what is not yet covered.
//!
//! What hands can and cannot reach (common practice, no source): a hole is drilled through the bare base, so before what it
//! is for lies there; what ends at a rail or frog is soldered from above, a frog's before its trackwork is fast, a rail's
//! before it is ballasted; a wire's lower end is made where what it goes to hangs already; a motor is hung below trackwork that
//! lies; nothing is soldered, and no probe finds a rail, under ballast. A board that comes apart is built at the bench by itself: nothing
//! that is made there, and no probe, reaches over its edge; what does is made when the boards are joined, and a wire with a plug has both
//! its halves by then. Orders whose tasks are exchanged are refused: the hands can fail.

use crate::common::{PLANS, text_of};
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, Part, Spot};
use commissioning::task::{BuilderPosition, Site, Stage, Task};
use commissioning::{Age, Element, Test, cold_sheet, orders};
use oracle::generator::{PlantedFault, sample};
use plan::{Kind, Names, Plan};
use schedule::{Choices, Job};
use std::collections::{BTreeMap, BTreeSet};

/// What the hands have done so far.
#[derive(Default)]
struct Hands {
    drilled: BTreeSet<String>,
    laid: BTreeSet<(Kind, usize)>,
    hung: BTreeSet<(Kind, usize)>,
    ballasted: BTreeSet<usize>,
    soldered: BTreeSet<EdgeId>,
    made: BTreeSet<Element>,
    buses: BTreeSet<usize>,
    /// Halves of wires with a plug, by the board on which they are.
    halves: BTreeSet<(EdgeId, Option<usize>)>,
    joined: bool,
    powered: bool,
}

struct Ground<'s> {
    plan: &'s Plan,
    names: &'s Names,
    circuit: &'s Circuit,
    /// For each track the tests that touch or prove something of it.
    tests: &'s [Test],
}

impl Ground<'_> {
    fn thing(&self, node: NodeId) -> Option<(Kind, usize)> {
        match self.circuit.nodes[node].spot {
            Spot::Rail { track, .. } => Some((Kind::Track, track)),
            Spot::Work { kind, index, .. } | Spot::Terminal { kind, index, .. } => Some((kind, index)),
            Spot::Bus { bus, .. } | Spot::Tap { bus, .. } => Some((Kind::Bus, bus)),
            Spot::Driver { driver, .. } => Some((Kind::Driver, driver)),
            Spot::Motor { motor, .. } => Some((Kind::Motor, motor)),
            Spot::Coil { relay, .. } => Some((Kind::Relay, relay)),
            Spot::Reverser { reverser, .. } => Some((Kind::Reverser, reverser)),
            _ => None,
        }
    }

    fn name(&self, thing: (Kind, usize)) -> String {
        plan::names::each_name(self.plan)
            .find(|(kind, index, _)| (*kind, *index) == thing)
            .map_or_else(String::new, |(_, _, name)| name.value.clone())
    }

    /// Why a task cannot be done now; it is done otherwise.
    fn does(&self, hands: &mut Hands, task: &Task) -> Result<(), String> {
        let need = |is: bool, why: String| if is { Ok(()) } else { Err(format!("{}: {why}", task.name)) };
        let named = |kind: &[Kind]| self.names.get(&task.place).filter(|found| kind.contains(&found.0));
        let works = [Kind::Turnout, Kind::Crossing, Kind::Slip, Kind::ThreeWay, Kind::Turntable];
        let above = task.reach == BuilderPosition::Above;
        self.stays_on_its_board(hands, task)?;
        let joining = task.stage == Stage::Joining;
        hands.joined |= joining;
        if joining {
            for wire in task.makes.iter().filter_map(|e| if let Element::Edge(edge) = e { Some(*edge) } else { None }) {
                self.has_both_halves(hands, wire)?;
            }
        }
        // Wires from below that end on a rail or frog: the hole is there, and the place is in reach from above.
        let feeders = task.makes.iter().filter_map(|element| match *element {
            // What hangs from its rail already is brought to where it goes when boards are joined.
            Element::Edge(edge) if self.circuit.edges[edge].kind == EdgeKind::Feeder && !joining => Some(edge),
            _ => None,
        });
        for edge in feeders.chain(task.leads.iter().copied()) {
            let wire = &self.circuit.edges[edge];
            let on = [wire.a, wire.b].into_iter().filter_map(|n| self.thing(n));
            let on: Vec<(Kind, usize)> = on.filter(|(kind, _)| *kind == Kind::Track || works.contains(kind)).collect();
            let Some(&(kind, index)) = on.first() else { continue };
            need(above, format!("{} is soldered from below", wire.name))?;
            if kind == Kind::Track {
                need(hands.drilled.contains(&self.name((kind, index))), format!("no hole for {}", wire.name))?;
                need(hands.laid.contains(&(kind, index)), format!("no rail yet for {}", wire.name))?;
                need(!hands.ballasted.contains(&index), format!("{} ends under ballast", wire.name))?;
            } else {
                need(!hands.laid.contains(&(kind, index)), format!("{}: its frog is fast already", wire.name))?;
            }
            hands.soldered.insert(edge);
        }
        match task.stage {
            Stage::Holes => {
                let motor = named(&[Kind::Motor]).map(|found| &self.plan.motor[found.1]);
                let over: Vec<(Kind, usize)> = match motor {
                    Some(motor) => {
                        let moved = motor.moves.0.iter().filter_map(|text| self.names.moved(&text.value).ok());
                        moved.map(|m| (m.kind, m.index)).collect()
                    }
                    None => named(&[Kind::Track]).into_iter().collect(),
                };
                // A motor below several boards has its holes in each of them.
                let here = |thing: &(Kind, usize)| match task.site {
                    Site::Bench(board) => self.circuit.board_of_thing(*thing) == Some(board),
                    Site::SetUp => true,
                };
                need(
                    over.iter().filter(|thing| here(thing)).all(|thing| !hands.laid.contains(thing)),
                    "drilled through what lies there".to_owned(),
                )?;
                hands.drilled.insert(task.place.clone());
            }
            Stage::Trackwork | Stage::Track => {
                let thing = named(&[&works[..], &[Kind::Track]].concat()).ok_or("nothing of this name")?;
                hands.laid.insert(thing);
            }
            Stage::Bus => {
                hands.buses.extend(named(&[Kind::Bus]).map(|found| found.1));
            }
            Stage::Motors => {
                let (_, motor) = named(&[Kind::Motor]).ok_or("no motor of this name")?;
                for text in &self.plan.motor[motor].moves.0 {
                    let moved = self.names.moved(&text.value).map_err(|_| "it moves nothing".to_owned())?;
                    let lies = hands.laid.contains(&(moved.kind, moved.index));
                    need(lies, format!("{} does not lie yet", text.value))?;
                }
                need(hands.drilled.contains(&task.place), "no hole for its throw wire".to_owned())?;
                hands.hung.insert((Kind::Motor, motor));
            }
            Stage::Power => hands.powered = true,
            Stage::Ballast => {
                need(hands.powered, "covered before power was on".to_owned())?;
                let (_, track) = named(&[Kind::Track]).ok_or("no track of this name")?;
                hands.ballasted.insert(track);
            }
            _ => {}
        }
        // The device itself is fitted in the task that makes its wires.
        hands.hung.extend(named(&[Kind::Driver, Kind::Relay, Kind::Toggle, Kind::Reverser]));
        // The other ends of wires: what they go to hangs, and what was to be soldered above is soldered.
        for element in &task.makes {
            let Element::Edge(edge) = *element else { continue };
            let wire = &self.circuit.edges[edge];
            if !matches!(wire.kind, EdgeKind::Wire | EdgeKind::Tap | EdgeKind::Feeder) {
                continue;
            }
            for node in [wire.a, wire.b] {
                let Some((kind, index)) = self.thing(node) else { continue };
                match kind {
                    Kind::Bus if wire.kind != EdgeKind::Feeder => {
                        need(hands.buses.contains(&index), format!("{}: no bus to end at", wire.name))?;
                    }
                    Kind::Motor if matches!(wire.part, Part::MotorWire { .. }) => {
                        need(hands.hung.contains(&(kind, index)), format!("{}: the motor does not hang", wire.name))?;
                    }
                    Kind::Track => need(hands.soldered.contains(&edge), format!("{} hangs nowhere", wire.name))?,
                    _ if works.contains(&kind) && matches!(wire.part, Part::ContactWire { .. }) => {
                        need(hands.soldered.contains(&edge), format!("{} hangs from no frog", wire.name))?;
                    }
                    _ => {}
                }
            }
        }
        hands.made.extend(task.makes.iter().copied());
        for &edge in &task.halves {
            let ends = [self.circuit.edges[edge].a, self.circuit.edges[edge].b];
            let here = ends.into_iter().filter_map(|node| self.board(node));
            hands.halves.extend(here.filter(|board| task.site == Site::Bench(*board)).map(|board| (edge, board)));
        }
        // A test that closes it needs what it proves, and bare metal under both probes.
        for test in self.tests.iter().filter(|test| task.closed_by.contains(&test.name)) {
            let proved = test.proves.iter().all(|e| hands.made.contains(e) || !is_made(self.circuit, e));
            need(proved, format!("{} proves what is not there", test.name))?;
            for probe in test.between.iter().flatten() {
                if let Some((kind, index)) = self.thing(probe.node)
                    && (kind == Kind::Track || works.contains(&kind))
                {
                    need(hands.laid.contains(&(kind, index)), format!("{}: nothing to probe", test.name))?;
                    need(!hands.ballasted.contains(&index) || kind != Kind::Track, format!("{}: ballast", test.name))?;
                }
            }
        }
        Ok(())
    }
}

impl Ground<'_> {
    fn board(&self, node: NodeId) -> Option<Option<usize>> {
        self.circuit.board_at(&self.circuit.nodes[node])
    }

    /// At the bench there is one board and nothing else.
    fn stays_on_its_board(&self, hands: &Hands, task: &Task) -> Result<(), String> {
        let Site::Bench(board) = task.site else { return Ok(()) };
        let need = |is: bool, why: String| if is { Ok(()) } else { Err(format!("{}: {why}", task.name)) };
        need(!hands.joined, "at the bench when the boards are joined".to_owned())?;
        let elsewhere = |node: NodeId| self.board(node).is_some_and(|other| other != board);
        let ends = |edge: EdgeId| [self.circuit.edges[edge].a, self.circuit.edges[edge].b];
        for element in &task.makes {
            let nodes = match *element {
                Element::Edge(edge) => ends(edge),
                Element::Gap(a, b) => [a, b],
            };
            need(!nodes.into_iter().any(elsewhere), format!("{element:?} reaches over the edge of its board"))?;
        }
        for &edge in task.leads.iter().chain(&task.halves) {
            let here = ends(edge).into_iter().any(|node| !elsewhere(node));
            need(here, format!("{} has no end here", self.circuit.edges[edge].name))?;
        }
        for test in self.tests.iter().filter(|test| task.closed_by.contains(&test.name)) {
            let reached = !test.between.iter().flatten().any(|probe| elsewhere(probe.node));
            need(reached, format!("{} has a probe on another board", test.name))?;
        }
        Ok(())
    }

    /// A wire with a plug was made on either board before they are joined.
    fn has_both_halves(&self, hands: &Hands, edge: EdgeId) -> Result<(), String> {
        let wire = &self.circuit.edges[edge];
        let is_single = matches!(wire.kind, EdgeKind::Feeder | EdgeKind::Wire);
        if !is_single || !self.circuit.plugs.contains_key(&edge) {
            return Ok(());
        }
        for node in [wire.a, wire.b] {
            let made = match self.circuit.nodes[node].spot {
                Spot::Rail { .. } | Spot::Work { .. } => hands.soldered.contains(&edge),
                Spot::Tap { .. } => EdgeId::each(&self.circuit.edges)
                    .filter(|(_, e)| e.kind == EdgeKind::Tap && e.a == node)
                    .all(|(tap, _)| hands.made.contains(&Element::Edge(tap))),
                Spot::Terminal { .. } | Spot::Driver { .. } | Spot::Motor { .. } => {
                    self.board(node).is_some_and(|board| hands.halves.contains(&(edge, board)))
                }
                _ => true,
            };
            if !made {
                return Err(format!("{}: nobody made the half at {}", wire.name, self.circuit.nodes[node].name));
            }
        }
        Ok(())
    }
}

/// Whether something is made in some task: rail comes with its track.
fn is_made(circuit: &Circuit, element: &Element) -> bool {
    match element {
        Element::Edge(edge) => !matches!(circuit.edges[*edge].kind, EdgeKind::Rail),
        Element::Gap(..) => true,
    }
}

/// Builds a plan by its orders, or says at which task the hands stand still.
fn build(text: &str, change: impl FnOnce(&mut Vec<Task>)) -> Result<usize, String> {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}", reading.findings);
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let job = Job::new(facts, Choices::default());
    let sheet = cold_sheet(&job, Age::New).unwrap();
    let mut tasks = orders(&job, &sheet.tests).unwrap();
    change(&mut tasks);
    let circuit = &job.facts.circuit;
    let site = Ground { plan: &reading.plan, names: &reading.names, circuit, tests: &sheet.tests };
    let mut hands = Hands::default();
    for task in &tasks {
        site.does(&mut hands, task)?;
    }
    // All is made, and every wire from below that ends at a rail or frog was soldered there.
    let missing = commissioning::orders::to_make(circuit).into_iter().find(|element| !hands.made.contains(element));
    if let Some(element) = missing {
        return Err(format!("{element:?} was never made"));
    }
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let ends = matches!(circuit.nodes[edge.b].spot, Spot::Rail { .. } | Spot::Work { .. });
        if ends && matches!(edge.part, Part::ContactWire { .. }) && !hands.soldered.contains(&id) {
            return Err(format!("nobody soldered {}", edge.name));
        }
    }
    Ok(tasks.len())
}

fn demos() -> impl Iterator<Item = (&'static str, String)> {
    let boards = include_str!("../../../schedule/tests/it/common/boards.toml").to_owned();
    PLANS.into_iter().chain(["quay"]).map(|name| (name, text_of(name))).chain([("boards", boards)])
}

#[test]
fn every_demo_plan_can_be_built_by_its_orders() {
    for (name, text) in demos() {
        let tasks = build(&text, |_| {}).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert!(tasks > 8, "{name}");
    }
}

fn random(plans: std::ops::Range<u64>, parted: &mut usize) -> usize {
    plans
        .map(|seed| {
            let sample = sample(seed, 6, PlantedFault::None);
            *parted += usize::from(sample.parts.contains("board"));
            let text = sample.text;
            build(&text, |_| {}).unwrap_or_else(|why| panic!("seed {seed}: {why}\n{text}"))
        })
        .sum()
}

#[test]
fn random_plans_can_be_built_by_their_orders() {
    let mut parted = 0;
    let tasks = random(0..100, &mut parted);
    println!("{tasks} tasks, {parted} of 100 layouts on boards");
    assert!(tasks > 1000 && parted > 20, "{tasks} {parted}");
}

/// The hands can fail: each kind of task that others wait for, put behind them, is missed.
#[test]
fn orders_in_another_order_are_refused() {
    let mut refused = BTreeMap::new();
    for (name, text) in demos() {
        for stage in [Stage::Holes, Stage::Trackwork, Stage::Feeders, Stage::Bus, Stage::Motors, Stage::Power] {
            let moved = |tasks: &mut Vec<Task>| {
                let (late, rest): (Vec<Task>, Vec<Task>) = tasks.drain(..).partition(|task| task.stage == stage);
                tasks.extend(rest.into_iter().chain(late));
            };
            *refused.entry(stage).or_insert(0) += usize::from(build(&text, moved).is_err());
        }
        // Trackwork before its holes are drilled, or ballast before power.
        let early = |tasks: &mut Vec<Task>| {
            let (first, rest): (Vec<Task>, Vec<Task>) = tasks.drain(..).partition(|task| task.stage == Stage::Track);
            tasks.extend(first.into_iter().chain(rest));
        };
        assert!(build(&text, early).is_err(), "{name}");
    }
    assert!(refused.values().all(|count| *count > 0), "{refused:?}");
    // Boards joined before they are built, one built after, or a wire over an edge made at a bench.
    for (name, text) in demos().filter(|(name, _)| ["quay", "boards"].contains(name)) {
        let early = |tasks: &mut Vec<Task>| tasks.sort_by_key(|task| task.stage != Stage::Joining);
        assert!(build(&text, early).is_err(), "{name}");
        let late = |tasks: &mut Vec<Task>| {
            let last = tasks.iter().map(|task| task.site).filter(|site| *site != Site::SetUp).max().unwrap();
            tasks.sort_by_key(|task| task.site == last);
        };
        assert!(build(&text, late).is_err(), "{name}");
        let over = |tasks: &mut Vec<Task>| {
            let joining = tasks.iter_mut().find(|task| task.stage == Stage::Joining && !task.makes.is_empty()).unwrap();
            let made = joining.makes.split_off(0);
            tasks[0].makes.extend(made);
        };
        assert!(build(&text, over).is_err(), "{name}");
        let halved = |tasks: &mut Vec<Task>| tasks.iter_mut().for_each(|task| task.halves.clear());
        assert!(build(&text, halved).is_err(), "{name}");
    }
}
