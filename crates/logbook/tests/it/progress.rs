//! How far the building is.

use crate::common::{entry, moment, reading};
use logbook::progress::{ByKey, JobState, Next, PlannedJob, PlannedTest, TestState, progress};
use logbook::{Draft, Entry, EntryKind};

fn plan() -> (Vec<PlannedJob>, Vec<PlannedTest>) {
    let job = |key: &str, after: &[usize], tests: &[usize]| PlannedJob {
        key: key.to_owned(),
        place: "dock 1".to_owned(),
        after: after.to_vec(),
        tests: tests.to_vec(),
    };
    let test = |key: &str, hot, yearly| PlannedTest { key: key.to_owned(), hot, yearly };
    (
        vec![job("rails", &[], &[0]), job("bus", &[0], &[1])],
        vec![test("t0", false, true), test("t1", false, false), test("t2", true, false)],
    )
}

fn tick(key: &str) -> Entry {
    entry(Draft { what: key.to_owned(), ..Draft::new(EntryKind::Tick, moment(2026, 0)) })
}

#[test]
fn what_is_next_follows_what_was_done() {
    let (jobs, tests) = plan();
    let now = |entries: &[Entry], year: i32, repaired: Option<i32>| {
        let mut said = ByKey::new();
        entries.iter().for_each(|e| said.entry(e.says.what.clone()).or_default().push(e));
        let well = |_: usize, entry: &Entry| entry.says.value.map(|value| value < 10.0);
        let found = progress(
            &jobs,
            &tests,
            &said,
            well,
            |test| repaired.filter(|_| test == 0).map(|hour| moment(2026, hour)),
            year,
        );
        (found.jobs, found.tests, found.next, found.due)
    };
    use JobState::{Blocked, Done, Fails, Open};
    use TestState::{NotRead, Unclear, Well};
    let read = |key: &str, value: f64, hour: i32| entry(reading(key, "x", value, &moment(2026, hour)));
    assert_eq!(now(&[], 2026, None), (vec![Open, Blocked], vec![NotRead; 3], vec![Next::Job(0)], vec![]));
    let mut entries = vec![tick("rails")];
    assert_eq!(
        now(&entries, 2026, None),
        (vec![Done, Open], vec![NotRead; 3], vec![Next::Test(0), Next::Job(1)], vec![])
    );
    entries.push(read("t0", 20.0, 1));
    assert_eq!(now(&entries, 2026, None).0, [Fails, Open]);
    assert_eq!(now(&entries, 2026, None).2, [Next::Test(0), Next::Job(1)], "a test that fails is made again");
    entries.push(read("t0", 5.0, 2));
    assert_eq!(now(&entries, 2026, None).2, [Next::Job(1)]);
    entries.extend([tick("bus"), read("t1", 5.0, 3)]);
    assert_eq!(now(&entries, 2026, None).2, [Next::Test(2)], "power comes when all else reads well");
    let mut unclear = read("t2", 0.0, 4);
    unclear.says.value = None;
    entries.push(unclear);
    assert_eq!(now(&entries, 2026, None).1, [Well, Well, Unclear]);
    entries.push(read("t2", 5.0, 5));
    assert_eq!(now(&entries, 2026, None), (vec![Done, Done], vec![Well; 3], vec![], vec![]));
    // A year later; and what was read before a repair counts no more.
    assert_eq!(now(&entries, 2027, None).2, [Next::Test(0)]);
    assert_eq!(now(&entries, 2027, None).3, [0]);
    assert_eq!(now(&entries, 2026, Some(1)).1[0], Well);
    assert_eq!(now(&entries, 2026, Some(6)).1[0], NotRead);
    assert_eq!(now(&entries, 2026, Some(6)).2, [Next::Test(0)]);
}
