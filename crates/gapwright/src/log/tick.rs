//! Ticking jobs of the work orders.

use super::enter::kept_as;
use super::{At, append, say, say_behind, with_desk};
use crate::exit::CliError;
use commissioning::TestKind;
use commissioning::task::Stage;
use logbook::EntryKind;
use logbook::progress::{JobState, TestState};
use site::logged::{Desk, Subject};

/// Ticks jobs.
pub fn tick(at: &At, words: &str) -> Result<bool, CliError> {
    with_desk(at, |desk| {
        let orders = orders_of(at, desk, words)?;
        tick_orders(at, desk, &orders)
    })
}

/// Ticks jobs by their indices, and says what can be tested now.
pub fn tick_orders(at: &At, desk: &mut Desk<'_, '_>, orders: &[usize]) -> Result<bool, CliError> {
    let mut drafts = Vec::new();
    for &order in orders {
        let subject = Subject::Task(order);
        if let Some(before) = desk.about(subject, EntryKind::Tick).last() {
            say(&format!("{} was ticked on {} already", desk.called(subject), before.says.time.day()))?;
            continue;
        }
        let mut draft = desk.draft(EntryKind::Tick, Some(subject), &at.hand, at.moment());
        draft.typed = "done".to_owned();
        drafts.push(draft);
    }
    if drafts.is_empty() {
        return Ok(true);
    }
    let kept = append(at, desk, drafts)?;
    let progress = desk.progress(at.time.year());
    for &order in orders {
        say(&format!("ticked: {}", desk.called(Subject::Task(order))))?;
        let before = |before: &&usize| !matches!(progress.jobs[**before], JobState::Done | JobState::Fails);
        if let Some(first) = desk.before(order).iter().find(before) {
            say_behind("  ", &format!("before it comes {}, which is not ticked", desk.called(Subject::Task(*first))))?;
        }
        if desk.work().tasks[order].stage == Stage::Power {
            let cold = |index: &usize| desk.tests()[*index].kind == TestKind::Cold;
            let left = (0..progress.tests.len()).filter(cold).filter(|index| progress.tests[*index] != TestState::Well);
            let left: Vec<usize> = left.map(|index| desk.tests()[index].number).collect();
            if !left.is_empty() {
                let words = "power goes on only when every cold test reads well; these do not, or were not read:";
                say_behind("  CAUTION: ", &format!("{words} {}", schedule::counts_in_runs(left)))?;
            }
        }
        let now: Vec<usize> =
            desk.tests_of(Subject::Task(order)).into_iter().map(|test| desk.tests()[test].number).collect();
        if !now.is_empty() {
            say_behind("  ", &format!("now read test {}", schedule::counts_in_runs(now)))?;
        }
    }
    kept_as(&kept)?;
    Ok(true)
}

/// The jobs of some words: numbers, `2 to 14`, `2-14`, or a name.
fn orders_of(at: &At, desk: &Desk<'_, '_>, words: &str) -> Result<Vec<usize>, CliError> {
    let tasks = &desk.work().tasks;
    let wrong = |what: String| {
        let help =
            format!("write `gapwright log {} tick 12` or `tick 2 to 14`; `gapwright orders` lists them", at.shown());
        CliError::new(format!("{what}; nothing was entered")).help(help)
    };
    let plain = words.trim().trim_start_matches("order").trim();
    if let Some(index) = tasks.iter().position(|task| task.name.to_lowercase() == words.trim().to_lowercase()) {
        return Ok(vec![index]);
    }
    let one = |word: &str| -> Result<usize, CliError> {
        let number: usize = word.trim().parse().map_err(|_| wrong(format!("`{}` is no order", word.trim())))?;
        if number == 0 || number > tasks.len() {
            return Err(wrong(format!("there is no order {number}; they go from 1 to {}", tasks.len())));
        }
        Ok(number - 1)
    };
    let mut found = Vec::new();
    for part in plain.split(',') {
        match part.split_once(" to ").or_else(|| part.split_once(['-', '–'])) {
            Some((from, to)) => {
                let (from, to) = (one(from)?, one(to)?);
                if from > to {
                    return Err(wrong(format!("`{}` goes backwards", part.trim())));
                }
                found.extend(from..=to);
            }
            None => {
                for word in part.split_whitespace() {
                    found.push(one(word)?);
                }
            }
        }
    }
    found.sort_unstable();
    found.dedup();
    if found.is_empty() { Err(wrong("no order was named".to_owned())) } else { Ok(found) }
}
