//! A pair of hands that builds a layout from its work orders alone, task by task, and reaches only what is not yet covered.
//!
//! What hands can and cannot reach (common practice, no source): a hole is drilled through the bare base, so before what it
//! is for lies there; what ends at a rail or frog is soldered from above, a frog's before its trackwork is fast, a rail's
//! before it is ballasted; a wire's lower end is made where what it goes to hangs already; a motor is hung below trackwork that
//! lies; nothing is soldered, and no probe finds a rail, under ballast. Orders whose tasks are exchanged are refused: the hands can fail.

use crate::common::{PLANS, text_of};
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, Part, Spot};
use commissioning::task::{BuilderPosition, Stage, Task};
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
    powered: bool,
}

struct Site<'s> {
    plan: &'s Plan,
    names: &'s Names,
    circuit: &'s Circuit,
    /// For each track the tests that touch or prove something of it.
    tests: &'s [Test],
}

impl Site<'_> {
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
        // Wires from below that end on a rail or frog: the hole is there, and the place is in reach from above.
        let feeders = task.makes.iter().filter_map(|element| match *element {
            Element::Edge(edge) if self.circuit.edges[edge].kind == EdgeKind::Feeder => Some(edge),
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
                need(
                    over.iter().all(|thing| !hands.laid.contains(thing)),
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
    let site = Site { plan: &reading.plan, names: &reading.names, circuit, tests: &sheet.tests };
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
    PLANS.into_iter().chain(["quay"]).map(|name| (name, text_of(name)))
}

#[test]
fn every_demo_plan_can_be_built_by_its_orders() {
    for (name, text) in demos() {
        let tasks = build(&text, |_| {}).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert!(tasks > 8, "{name}");
    }
}

fn random(plans: std::ops::Range<u64>) -> usize {
    plans
        .map(|seed| {
            let text = sample(seed, 6, PlantedFault::None).text;
            build(&text, |_| {}).unwrap_or_else(|why| panic!("seed {seed}: {why}\n{text}"))
        })
        .sum()
}

#[test]
fn random_plans_can_be_built_by_their_orders() {
    let tasks = random(0..100);
    println!("{tasks} tasks");
    assert!(tasks > 1000, "{tasks}");
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
}
