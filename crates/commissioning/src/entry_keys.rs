//! By what entries of a logbook know tests and jobs: what they look at and what they are done to, never names or numbers.

use crate::numbering::key;
use crate::task::Task;
use crate::test::Test;
use schedule::Job;
use schedule::items::ItemEnd;
use schedule::test_numbers::{TestKey, TestKeys};
use std::collections::BTreeMap;

/// Keys of tests, each another.
pub fn test_keys<'t>(job: &Job<'_>, keys: &TestKeys, tests: impl Iterator<Item = &'t Test>) -> Vec<TestKey> {
    each_another(tests.map(|test| key(job, keys, test)))
}

/// Keys of tasks, each another.
pub fn task_keys(job: &Job<'_>, keys: &TestKeys, tasks: &[Task]) -> Vec<TestKey> {
    each_another(tasks.iter().map(|task| match job.facts.names.get(&task.place) {
        Some(thing) if keys.things().at(thing).is_some() => {
            let end = ItemEnd { thing: Some(thing), part: String::new(), place: None };
            keys.key(format!("task {}", task.kind), &[end], &[])
        }
        // What is done once; or to what no wire ends at, such as panels: these are counted.
        _ => keys.key(format!("task {}", task.kind), &[], &[]),
    }))
}

/// Keys that are the same are counted in their order.
fn each_another(keys: impl Iterator<Item = TestKey>) -> Vec<TestKey> {
    let mut count: BTreeMap<TestKey, usize> = BTreeMap::new();
    let numbered = keys.map(|key| {
        let count = count.entry(key.clone()).or_default();
        *count += 1;
        if *count == 1 { key } else { key.counted(*count) }
    });
    numbered.collect()
}
