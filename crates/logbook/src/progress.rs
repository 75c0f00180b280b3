//! How far the building is, from the jobs and tests of a plan and the entries that hold. Jobs and tests are known by their keys alone.

use crate::clock::Moment;
use crate::entry::{Entry, EntryKind};
use std::collections::{BTreeMap, BTreeSet};

/// A job of the work orders.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedJob {
    /// What it is known by in entries.
    pub key: String,
    /// Where it is; empty where it is done once.
    pub place: String,
    /// The jobs that come before it, by their index.
    pub after: Vec<usize>,
    /// The tests that close it, by their index.
    pub tests: Vec<usize>,
}

/// A test.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedTest {
    /// What it is known by in entries.
    pub key: String,
    /// Whether power is on when it is made.
    pub hot: bool,
    /// Whether it is read again every year.
    pub yearly: bool,
}

/// How a test stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TestState {
    /// It was never read, or not since what it proves was repaired.
    NotRead,
    /// It reads well.
    Well,
    /// It does not.
    Fails,
    /// It was read, and what was read does not tell.
    Unclear,
}

/// How a job stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JobState {
    /// It is ticked, and none of its tests fails.
    Done,
    /// It is ticked, and a test of it fails.
    Fails,
    /// It can be done.
    Open,
    /// Something before it is not done.
    Blocked,
}

/// What to do next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// Make a test, by its index.
    Test(usize),
    /// Do a job, by its index.
    Job(usize),
}

/// How far all of it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Progress<'e> {
    /// How each job stands.
    pub jobs: Vec<JobState>,
    /// How each test stands.
    pub tests: Vec<TestState>,
    /// The last reading of each test.
    pub last: Vec<Option<&'e Entry>>,
    /// Tests to be read again this year, by their index.
    pub due: Vec<usize>,
    /// What to do, first things first.
    pub next: Vec<Next>,
}

impl Progress<'_> {
    /// How much is done, in a sentence.
    pub fn sentence(&self) -> String {
        let jobs = self.jobs.iter().filter(|state| matches!(state, JobState::Done | JobState::Fails)).count();
        let count = |state: TestState| self.tests.iter().filter(|s| **s == state).count();
        let mut words = format!(
            "{jobs} of {} jobs ticked; {} of {} tests read well",
            self.jobs.len(),
            count(TestState::Well),
            self.tests.len()
        );
        for (state, what) in [(TestState::Fails, "fail"), (TestState::Unclear, "not clear")] {
            if count(state) > 0 {
                words.push_str(&format!(", {} {what}", count(state)));
            }
        }
        words + "."
    }
}

/// Entries that hold, by the key that what they are about has in the plan as it is now; in order of time.
pub type ByKey<'e> = BTreeMap<String, Vec<&'e Entry>>;

/// How far all of it is. `is_well` judges a reading of a test: none where it does not tell; `repaired` says when something that a test
/// proves was last repaired; `year` is this year.
pub fn progress<'e>(
    jobs: &[PlannedJob],
    tests: &[PlannedTest],
    said: &ByKey<'e>,
    is_well: impl Fn(usize, &Entry) -> Option<bool>,
    repaired: impl Fn(usize) -> Option<Moment>,
    year: i32,
) -> Progress<'e> {
    let of = |key: &str, kind: EntryKind| {
        said.get(key).into_iter().flatten().copied().rfind(|entry: &&Entry| entry.says.kind == kind)
    };
    let last: Vec<Option<&Entry>> = tests.iter().map(|test| of(&test.key, EntryKind::Reading)).collect();
    let since_repair = |index: usize, entry: &Entry| repaired(index).is_none_or(|then| then <= entry.says.time);
    let states = last.iter().enumerate().map(|(index, last)| match last {
        Some(entry) if since_repair(index, entry) => match is_well(index, entry) {
            Some(true) => TestState::Well,
            Some(false) => TestState::Fails,
            None => TestState::Unclear,
        },
        _ => TestState::NotRead,
    });
    let states: Vec<TestState> = states.collect();
    let ticked: Vec<bool> = jobs.iter().map(|job| of(&job.key, EntryKind::Tick).is_some()).collect();
    let job_state = |(index, job): (usize, &PlannedJob)| match ticked[index] {
        true if job.tests.iter().any(|&test| states[test] == TestState::Fails) => JobState::Fails,
        true => JobState::Done,
        false if job.after.iter().any(|&before| !ticked[before]) => JobState::Blocked,
        false => JobState::Open,
    };
    let job_states: Vec<JobState> = jobs.iter().enumerate().map(job_state).collect();
    let due = |(index, test): &(usize, &PlannedTest)| {
        test.yearly && last[*index].is_some_and(|entry| entry.says.time.year() < year)
    };
    let due: Vec<usize> = tests.iter().enumerate().filter(due).map(|(index, _)| index).collect();
    let next = next(jobs, tests, (&job_states, &states, &ticked), &due);
    Progress { jobs: job_states, tests: states, last, due, next }
}

/// Tests that can be made come before the next job: what is found at once can still be reached. Power comes last.
fn next(
    jobs: &[PlannedJob],
    tests: &[PlannedTest],
    (job_states, states, ticked): (&[JobState], &[TestState], &[bool]),
    due: &[usize],
) -> Vec<Next> {
    let to_do = |test: &usize| states[*test] != TestState::Well;
    let enabled = jobs.iter().zip(ticked).filter(|(_, ticked)| **ticked).flat_map(|(job, _)| job.tests.iter().copied());
    let mut next: Vec<Next> = enabled.filter(|test| to_do(test) && !tests[*test].hot).map(Next::Test).collect();
    let open = job_states.iter().enumerate().filter(|(_, state)| **state == JobState::Open);
    next.extend(open.map(|(job, _)| Next::Job(job)));
    let cold_is_well = tests.iter().zip(states).all(|(test, state)| test.hot || *state == TestState::Well);
    if cold_is_well {
        next.extend((0..tests.len()).filter(|&test| tests[test].hot && to_do(&test)).map(Next::Test));
    }
    let there: BTreeSet<usize> =
        next.iter().filter_map(|n| if let Next::Test(test) = n { Some(*test) } else { None }).collect();
    next.extend(due.iter().filter(|test| !there.contains(test)).map(|&test| Next::Test(test)));
    next
}
