//! How far the building is.

use super::{At, say, say_behind, with_desk};
use crate::exit::CliError;
use logbook::progress::{JobState, Next, Progress, TestState};
use schedule::counts_in_runs;
use site::logged::{Desk, Subject};
use std::collections::BTreeMap;

/// Places that are told one by one.
const MOST_PLACES: usize = 40;

/// Shows progress; false where a test fails.
pub fn progress(at: &At) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let progress = desk.progress(at.time.year());
        failing(desk, &progress)?;
        summary(desk, &progress)?;
        places(desk, &progress)?;
        blocked(desk, &progress)?;
        due(desk, &progress, at.time.year())?;
        next(at, desk, &progress)?;
        Ok(!progress.tests.contains(&TestState::Fails))
    })
}

/// Tests that fail, first.
fn failing(desk: &Desk<'_, '_>, progress: &Progress<'_>) -> Result<(), CliError> {
    for (index, last) in progress.last.iter().enumerate() {
        if let (TestState::Fails, Some(entry)) = (progress.tests[index], last) {
            let test = desk.tests()[index];
            let words = format!(
                "test {}, {}: read {}; well: {}",
                test.number,
                test.name,
                entry.says.typed,
                test.passes_words()
            );
            say_behind("FAIL: ", &words)?;
        }
    }
    Ok(())
}

/// How much is done, in a line or two.
pub fn summary(desk: &Desk<'_, '_>, progress: &Progress<'_>) -> Result<(), CliError> {
    let layout = desk.job().facts.plan.layout.as_ref().map_or("", |layout| layout.value.name.value.as_str());
    say(&format!("{layout}: {}", progress.sentence()))
}

/// What is done at each place.
fn places(desk: &Desk<'_, '_>, progress: &Progress<'_>) -> Result<(), CliError> {
    let mut of: BTreeMap<&str, [usize; 2]> = BTreeMap::new();
    let mut order: Vec<&str> = Vec::new();
    for (task, state) in desk.work().tasks.iter().zip(&progress.jobs) {
        let place = task.place.as_str();
        if !of.contains_key(place) {
            order.push(place);
        }
        let [done, all] = of.entry(place).or_default();
        *done += usize::from(matches!(state, JobState::Done | JobState::Fails));
        *all += 1;
    }
    let all_done = of.values().filter(|[done, all]| done == all).count();
    let begun = |place: &&&str| of.get(**place).is_some_and(|[done, all]| *done > 0 && done < all);
    if all_done > 0 {
        say(&format!("{all_done} of {} places are done", of.len()))?;
    }
    for place in order.iter().filter(begun).take(MOST_PLACES) {
        let [done, all] = of.get(*place).copied().unwrap_or_default();
        let name = if place.is_empty() { "whole layout" } else { place };
        say_behind("  ", &format!("{name}: {done} of {all} jobs"))?;
    }
    Ok(())
}

/// What keeps most other jobs waiting.
fn blocked(desk: &Desk<'_, '_>, progress: &Progress<'_>) -> Result<(), CliError> {
    let mut waiting: BTreeMap<usize, usize> = BTreeMap::new();
    let blocked = progress.jobs.iter().filter(|state| **state == JobState::Blocked).count();
    for (job, _) in progress.jobs.iter().enumerate().filter(|(_, state)| **state == JobState::Blocked) {
        for before in desk.before(job).into_iter().filter(|before| progress.jobs[*before] == JobState::Open) {
            *waiting.entry(before).or_default() += 1;
        }
    }
    if blocked == 0 {
        return Ok(());
    }
    let most = waiting.iter().max_by_key(|(job, count)| (**count, std::cmp::Reverse(**job)));
    let by = most.map_or_else(String::new, |(job, count)| {
        format!("; {count} of them wait for {}", desk.called(Subject::Task(*job)))
    });
    say(&format!("{blocked} jobs are blocked by others{by}"))
}

/// What is to be read again this year.
fn due(desk: &Desk<'_, '_>, progress: &Progress<'_>, year: i32) -> Result<(), CliError> {
    if progress.due.is_empty() {
        return Ok(());
    }
    let numbers = progress.due.iter().map(|&test| desk.tests()[test].number).collect::<Vec<_>>();
    say(&format!("due in {year}: test {}", counts_in_runs(numbers)))
}

/// What to do next.
pub fn next(at: &At, desk: &Desk<'_, '_>, progress: &Progress<'_>) -> Result<(), CliError> {
    let plan = at.shown();
    match progress.next.first() {
        Some(Next::Test(index)) => {
            let test = desk.tests()[*index];
            say(&format!("next: test {}, {}: gapwright log {plan} reading {} …", test.number, test.name, test.number))
        }
        Some(Next::Job(index)) => {
            say(&format!("next: {}: gapwright log {plan} tick {}", desk.called(Subject::Task(*index)), index + 1))
        }
        None => say("nothing is left to do this year"),
    }
}
