//! The number of each test, kept from one plan to the next, and which tests a change asks to repeat.

use crate::test::{Element, Test, Topic};
use circuit::{Circuit, NodeId};
use plan::Kind;
use schedule::items::{ItemEnd, point};
use schedule::retest::Retest;
use schedule::test_numbers::{TestKey, TestKeys};
use schedule::{Job, things};
use std::collections::BTreeSet;

/// Gives each test of a job its number: the one that an earlier record gave it, or the next one.
pub(crate) fn number(job: &Job<'_>, cold: &mut [Test], hot: &mut [Test]) {
    let keys = TestKeys::new(job);
    let of: Vec<TestKey> = cold.iter().chain(hot.iter()).map(|test| key(job, &keys, test)).collect();
    let numbers = job.tests.give(of);
    for (test, number) in cold.iter_mut().chain(hot).zip(numbers) {
        test.number = number as usize;
    }
}

pub(crate) fn key(job: &Job<'_>, keys: &TestKeys, test: &Test) -> TestKey {
    let what = match test.topic {
        Topic::Wiring => "wiring",
        Topic::Volts => "volts",
        Topic::Coin => "coin",
        Topic::Phase => "phase",
        Topic::Storage { .. } => "storage",
        Topic::Reversing => "reversing",
        Topic::Motor => "motor",
    };
    let how = format!("{:?}", test.how).to_lowercase();
    keys.key(format!("{} {what} {how}", test.kind), &looked_at(&job.facts.circuit, test), &test.setting)
}

/// What a test looks at, by the things of the plan.
fn looked_at(circuit: &Circuit, test: &Test) -> Vec<ItemEnd> {
    let probes = test.between.iter().flatten().map(|probe| point(circuit, probe.node));
    probes.chain(test.on.iter().cloned()).collect()
}

/// Whether a test is to be repeated where these things were worked on or read otherwise now: it looks at one of them or
/// proves a piece of one.
pub fn is_touched(job: &Job<'_>, retest: &Retest, test: &Test) -> bool {
    let facts = &job.facts;
    let lists = [&retest.tracks, &retest.trackwork, &retest.contacts, &retest.buses];
    let touched: BTreeSet<&str> = lists.into_iter().flatten().map(String::as_str).collect();
    let things = things::Things::from_plan(facts.plan, facts.names);
    let is_one = |thing: Option<(Kind, usize)>| {
        let listed = thing.and_then(|t| things.at(t)).and_then(|t| things.list.get(t));
        listed.is_some_and(|t| touched.contains(t.name.as_str()))
    };
    let nodes = |element: &Element| -> [NodeId; 2] {
        match *element {
            Element::Edge(edge) => [facts.circuit.edges[edge].a, facts.circuit.edges[edge].b],
            Element::Gap(a, b) => [a, b],
        }
    };
    let proved = test.proves.iter().flat_map(nodes).map(|node| point(&facts.circuit, node));
    let on_way = |test: &Test| match test.topic {
        Topic::Storage { way, .. } => retest.ways.contains(&facts.ways().list[way].name),
        _ => false,
    };
    looked_at(&facts.circuit, test).into_iter().chain(proved).any(|end| is_one(end.thing)) || on_way(test)
}
