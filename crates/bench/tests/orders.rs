//! Work orders of the demo plans.
#![allow(clippy::unwrap_used)]

mod common;

use bench::orders::{Stage, orders, to_make};
use bench::{Age, Element, cold_sheet};
use common::each_demo;
use std::collections::{BTreeMap, BTreeSet};

#[test]
fn everything_is_made_in_exactly_one_task() {
    each_demo(|name, job| {
        let tasks = orders(job, &[]);
        let mut made: BTreeMap<Element, usize> = BTreeMap::new();
        for element in tasks.iter().flat_map(|t| &t.makes) {
            *made.entry(*element).or_default() += 1;
        }
        let circuit = &job.facts.circuit;
        for element in to_make(circuit) {
            let words = match element {
                Element::Edge(edge) => circuit.edges[edge as usize].name.clone(),
                Element::Gap(a, _) => format!("gap at {}", circuit.nodes[a as usize].name),
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
        let tasks = orders(job, &[]);
        for (index, task) in tasks.iter().enumerate() {
            assert!(task.after.iter().all(|&before| before < index), "{name}: {}", task.name);
            assert!(index == 0 || tasks[index - 1].stage <= task.stage, "{name}: {}", task.name);
        }
        let of = |stage: Stage| tasks.iter().filter(move |t| t.stage == stage);
        // A feeder is soldered after its track is laid, and a turnout lies before its motor is hung under it.
        assert!(of(Stage::Feeders).all(|t| t.after.iter().any(|&b| tasks[b].stage == Stage::Track)), "{name}");
        assert!(of(Stage::Motors).all(|t| t.after.iter().any(|&b| tasks[b].stage == Stage::Trackwork)), "{name}");
        assert!(of(Stage::Taps).all(|t| t.after.iter().any(|&b| tasks[b].stage == Stage::Feeders)), "{name}");
        assert_eq!(tasks.last().unwrap().after.len(), tasks.len() - 1, "{name}: power comes last");
    });
}

#[test]
fn every_cold_test_closes_one_task_and_after_all_it_proves_is_made() {
    each_demo(|name, job| {
        let sheet = cold_sheet(job, Age::New).unwrap();
        let tasks = orders(job, &sheet.tests);
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
        let wired = tasks.iter().filter(|t| matches!(t.stage, Stage::Taps | Stage::Contacts) && !t.makes.is_empty());
        assert!(wired.clone().count() > 0 && wired.clone().all(|t| !t.closed_by.is_empty()), "{name}");
    });
}
