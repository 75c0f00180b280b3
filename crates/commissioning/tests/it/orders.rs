//! Work orders of the demo plans.

use crate::common::{each_demo, reading};
use circuit::{EdgeId, EdgeKind, Part, Spot};
use commissioning::enabling::made_by;
use commissioning::orders::{orders, to_make};
use commissioning::task::{BuilderPosition, Stage};
use commissioning::unpowered::unpowered;
use commissioning::{Age, Element, cold_sheet};
use electrics::Level;
use std::collections::{BTreeMap, BTreeSet};

#[test]
fn everything_is_made_in_exactly_one_task() {
    each_demo(|name, job| {
        let tasks = orders(job, &[]).unwrap();
        let mut made: BTreeMap<Element, usize> = BTreeMap::new();
        for element in tasks.iter().flat_map(|t| &t.makes) {
            *made.entry(*element).or_default() += 1;
        }
        let circuit = &job.facts.circuit;
        for element in to_make(circuit) {
            let words = match element {
                Element::Edge(edge) => circuit.edges[edge].name.clone(),
                Element::Gap(a, _) => format!("gap at {}", circuit.nodes[a].name),
            };
            assert_eq!(made.remove(&element), Some(1), "{name}: {words}");
        }
        assert!(made.is_empty(), "{name}: {made:?} is made although it is not there");
        let motors: Vec<usize> = tasks.iter().filter_map(|t| t.motor).collect();
        assert_eq!(
            motors.iter().copied().collect::<BTreeSet<_>>(),
            (0..job.facts.plan.motor.len()).collect(),
            "{name}"
        );
        assert_eq!(motors.len(), job.facts.plan.motor.len(), "{name}");
        let names: BTreeSet<&str> = tasks.iter().map(|t| t.name.as_str()).collect();
        assert_eq!(names.len(), tasks.len(), "{name}: names");
    });
}

#[test]
fn every_task_comes_behind_all_that_it_waits_for() {
    each_demo(|name, job| {
        let tasks = orders(job, &[]).unwrap();
        for (index, task) in tasks.iter().enumerate() {
            assert!(task.after.iter().all(|&before| before < index), "{name}: {}", task.name);
            let joins = task.stage == Stage::Joining;
            assert!(joins || task.after_stages.iter().all(|before| *before < task.stage), "{name}: {}", task.name);
            let key = |task: &commissioning::Task| (task.site, task.stage);
            assert!(index == 0 || key(&tasks[index - 1]) <= key(task), "{name}: {}", task.name);
        }
        let of = |stage: Stage| tasks.iter().filter(move |t| t.stage == stage);
        // A feeder is soldered after its track is laid, and a turnout lies before its motor is hung under it.
        assert!(of(Stage::Feeders).all(|t| t.after.iter().any(|&b| tasks[b].stage == Stage::Track)), "{name}");
        assert!(of(Stage::Motors).all(|t| t.after.iter().any(|&b| tasks[b].stage == Stage::Trackwork)), "{name}");
        assert!(of(Stage::Taps).all(|t| t.after.iter().any(|&b| tasks[b].stage == Stage::Feeders)), "{name}");
        // Power comes when all is connected, and before anything is covered.
        let power = of(Stage::Power).next().unwrap();
        let before = |stage: Stage| stage < Stage::Power;
        assert!(tasks.iter().all(|t| before(t.stage) == power.after_stages.contains(&t.stage)), "{name}");
        assert!(of(Stage::Ballast).all(|t| t.after_stages == [Stage::Power]), "{name}");
    });
}

/// A pair of hands that reach a rail from above until its track is ballasted, a frog until it is laid, and all else from below.
#[test]
fn hands_reach_what_a_task_asks_for() {
    each_demo(|name, job| {
        let circuit = &job.facts.circuit;
        let tasks = orders(job, &[]).unwrap();
        let mut soldered = BTreeSet::new();
        let mut drilled = BTreeSet::new();
        let mut covered = false;
        for task in &tasks {
            let above = task.reach == BuilderPosition::Above;
            let joining = task.stage == Stage::Joining;
            covered |= task.stage == Stage::Ballast;
            if task.stage == Stage::Holes {
                drilled.insert(task.place.clone());
            }
            let feeders = task.makes.iter().filter_map(|e| match e {
                Element::Edge(edge) if circuit.edges[*edge].kind == EdgeKind::Feeder && !joining => Some(*edge),
                _ => None,
            });
            for edge in feeders.chain(task.leads.iter().copied()) {
                let words = &circuit.edges[edge].name;
                let on = [circuit.edges[edge].a, circuit.edges[edge].b].map(|node| &circuit.nodes[node].spot);
                if let Some(Spot::Rail { track, .. }) = on.into_iter().find(|s| matches!(s, Spot::Rail { .. })) {
                    assert!(drilled.contains(&job.facts.plan.track[*track].name.value), "{name}: no hole for {words}");
                }
                assert!(above && !covered, "{name}: {words} cannot be reached");
                soldered.insert(edge);
            }
        }
        for (id, edge) in EdgeId::each(&circuit.edges) {
            let ends = matches!(circuit.nodes[edge.b].spot, Spot::Rail { .. } | Spot::Work { .. });
            if ends && matches!(edge.part, Part::ContactWire { .. }) || edge.kind == EdgeKind::Feeder {
                assert!(soldered.contains(&id), "{name}: nobody solders {}", edge.name);
            }
        }
        assert!(Stage::ALL.iter().all(|stage| !stage.check().is_empty()));
    });
}

#[test]
fn every_cold_test_closes_one_task_and_after_all_it_proves_is_made() {
    each_demo(|name, job| {
        let sheet = cold_sheet(job, Age::New).unwrap();
        let tasks = orders(job, &sheet.tests).unwrap();
        let mut closes: BTreeMap<&str, usize> = BTreeMap::new();
        for (index, task) in tasks.iter().enumerate() {
            for test in &task.closed_by {
                assert!(closes.insert(test, index).is_none(), "{name}: {test} closes two tasks");
            }
        }
        for test in &sheet.tests {
            let closed = closes[test.name.as_str()];
            assert!(tasks[closed].stage < Stage::Ballast, "{name}: {} would be read under ballast", test.name);
            for (index, task) in tasks.iter().enumerate() {
                let makes = task.makes.iter().any(|e| test.proves.contains(e));
                assert!(!makes || index <= closed, "{name}: {} before {}", test.name, task.name);
            }
        }
        assert_eq!(closes.len(), sheet.tests.len(), "{name}");
        // Not everything is left for the end.
        assert!(closes.values().any(|&t| tasks[t].stage < Stage::Contacts), "{name}");
    });
}

/// With only what is made by then, every test reads within its limits when its task is done: by operating points.
#[test]
fn readings_hold_when_their_task_is_done() {
    let mut compared = 0;
    each_demo(|name, job| {
        let sheet = cold_sheet(job, Age::New).unwrap();
        let tasks = orders(job, &sheet.tests).unwrap();
        let mut made_in: BTreeMap<Element, usize> = BTreeMap::new();
        for (index, task) in tasks.iter().enumerate() {
            made_in.extend(task.makes.iter().map(|&e| (e, index)));
        }
        let whole = unpowered(&job.facts.circuit, Age::New);
        for (index, task) in tasks.iter().enumerate() {
            let so_far = made_by(&whole, &made_in, index);
            for test in sheet.tests.iter().filter(|t| task.closed_by.contains(&t.name)) {
                for level in Level::ALL {
                    let read = reading(&so_far, test, level);
                    assert!(test.is_well(read), "{name}, {} after {}: {read}", test.name, task.name);
                    compared += 1;
                }
            }
        }
    });
    assert!(compared > 1000, "{compared}");
}
