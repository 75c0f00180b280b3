//! The number of each test: one for one test on every paper, page and list, kept over changes of the plan as the numbers of
//! wires are.
//!
//! A test is what it is by its kind, the places it looks at and the positions it is made in, all of them by the things of the
//! plan; so renaming changes no number, and a test whose feeder moved along its rail stays the test it was.

use crate::Job;
use crate::items::{ItemEnd, KeyPoint};
use crate::record::NumbersRecord;
pub use crate::test_key::TestKey;
use crate::things::{ThingId, Things};
use circuit::ControlId;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

/// Makes keys of the tests of one job.
pub struct TestKeys {
    things: Things,
    /// For each control what it is; none of one that settles by itself.
    controls: Vec<Option<ControlKey>>,
}

/// A control by its thing.
struct ControlKey {
    thing: Option<ThingId>,
    /// Which of that thing's controls it is, from 1.
    which: usize,
    positions: Vec<String>,
}

impl TestKeys {
    /// For a job.
    pub fn new(job: &Job<'_>) -> TestKeys {
        let things = Things::from_plan(job.facts.plan, job.facts.names);
        let mut of_thing: BTreeMap<Option<usize>, usize> = BTreeMap::new();
        let controls = job.facts.circuit.controls.iter().map(|control| {
            let thing = things.spanned(&control.span);
            let count = of_thing.entry(thing).or_default();
            *count += 1;
            (!control.settles).then(|| ControlKey {
                thing: thing.map(ThingId::Listed),
                which: *count,
                positions: control.positions.clone(),
            })
        });
        TestKeys { controls: controls.collect(), things }
    }

    /// The things of the plan.
    pub fn things(&self) -> &Things {
        &self.things
    }

    /// The key of a test: what it looks at, and how; where; and the position of every control.
    pub fn key(&self, what: String, ends: &[ItemEnd], setting: &[Option<u8>]) -> TestKey {
        let ends = ends.iter().map(|end| KeyPoint::from_end(end, &self.things)).collect();
        let moved = ControlId::each(setting).filter_map(|(control, position)| {
            let position = position.filter(|p| *p != 0)?;
            let ControlKey { thing, which, positions } = self.controls.get(control.index())?.as_ref()?;
            Some((*thing, format!("{which} {}", positions.get(usize::from(position))?)))
        });
        TestKey { what, ends, set: moved.collect() }.in_order()
    }
}

/// Numbers of a job's tests: what is known from earlier records, and what was given.
#[derive(Debug, Default)]
pub struct TestNumbers {
    known: Vec<(u32, TestKey)>,
    highest: u32,
    given: OnceLock<Vec<(u32, TestKey)>>,
}

impl TestNumbers {
    /// Going on from earlier records, the first one's numbers before those of the others.
    pub(crate) fn carried(facts: &analysis::Analysis<'_>, records: &[&NumbersRecord]) -> TestNumbers {
        let things = Things::from_plan(facts.plan, facts.names);
        let mut numbers = TestNumbers::default();
        for record in records {
            let to = things.matched(&record.things);
            let free = numbers.highest;
            let new = record.tests.iter().filter(|(number, _)| *number > free);
            numbers.known.extend(new.map(|(number, key)| (*number, key.clone().renumbered(&to))));
            numbers.highest = numbers.highest.max(record.highest_test);
        }
        numbers
    }

    /// Gives each test the number that is known of it, or the next one; what is given first is what the record keeps.
    pub fn give(&self, keys: Vec<TestKey>) -> Vec<u32> {
        let mut of: Vec<Option<u32>> = vec![None; keys.len()];
        let mut taken: BTreeSet<u32> = BTreeSet::new();
        for level in [TestKey::clone, TestKey::anywhere] {
            let mut groups: BTreeMap<TestKey, Vec<u32>> = BTreeMap::new();
            for (number, key) in self.known.iter().filter(|(number, _)| !taken.contains(number)) {
                groups.entry(level(key)).or_default().push(*number);
            }
            let mut next: BTreeMap<TestKey, std::vec::IntoIter<u32>> =
                groups.into_iter().map(|(key, numbers)| (key, numbers.into_iter())).collect();
            for (key, number) in keys.iter().zip(&mut of).filter(|(_, number)| number.is_none()) {
                *number = next.get_mut(&level(key)).and_then(Iterator::next);
                taken.extend(*number);
            }
        }
        let mut highest = self.highest;
        let numbers: Vec<u32> = of
            .into_iter()
            .map(|known| {
                known.unwrap_or_else(|| {
                    highest = highest.saturating_add(1);
                    highest
                })
            })
            .collect();
        let _ = self.given.set(numbers.iter().copied().zip(keys).collect());
        numbers
    }

    /// What a record keeps: the tests with their numbers, and the highest that was ever given.
    pub(crate) fn kept(&self) -> (Vec<(u32, TestKey)>, u32) {
        // Where no tests were made those of the earlier record stay known, as far as their things are there.
        let there = |key: &TestKey| {
            let mut things = key.ends.iter().map(|end| end.thing).chain(key.set.iter().map(|s| s.0));
            things.all(|thing| thing.is_none_or(|t| t.listed().is_some()))
        };
        let known = || self.known.iter().filter(|(_, key)| there(key)).cloned().collect();
        let kept: Vec<(u32, TestKey)> = self.given.get().cloned().unwrap_or_else(known);
        let highest = kept.iter().map(|(number, _)| *number).max().unwrap_or(0).max(self.highest);
        (kept, highest)
    }
}
