//! What changes from one plan to the next, with the tests to repeat by their numbers.

use crate::numbering::is_touched;
use crate::test::TestKind;
use crate::test_load::TestLoad;
use crate::work::{WorkError, work};
use analysis::Analysis;
use schedule::changes::{Changes, TestsToRepeat, between};
use schedule::{Choices, Job, NumbersRecord};
use std::collections::BTreeSet;

/// What there is to do from an old plan to a new one, and which tests of the new one are to be made again, or for the first
/// time; `record` has the numbers of the old one where they are not simply in its order.
///
/// # Errors
/// Where a resistance of one of the plans is none that can be calculated with.
pub fn changes(
    old: Analysis<'_>,
    new: Analysis<'_>,
    choices: Choices,
    record: Option<&NumbersRecord>,
) -> Result<Changes, WorkError> {
    let old = Job::carried_where_kept(old, choices, record);
    let before = work(&old, TestLoad::default())?;
    let kept = old.record();
    let new = Job::carried(new, choices, &kept);
    let now = work(&new, TestLoad::default())?;
    let mut changes = between(&old, &new);
    let numbers = |work: &crate::work::Work| -> BTreeSet<usize> {
        work.cold.tests.iter().chain(&work.hot.tests).map(|test| test.number).collect()
    };
    let (known, there) = (numbers(&before), numbers(&now));
    let mut tests = TestsToRepeat { gone: known.difference(&there).copied().collect(), ..TestsToRepeat::default() };
    for test in now.cold.tests.iter().chain(&now.hot.tests) {
        let list = match (known.contains(&test.number), test.kind) {
            (false, _) => &mut tests.new,
            (true, kind) if is_touched(&new, &changes.retest, test) => match kind {
                TestKind::Cold => &mut tests.cold,
                TestKind::Hot => &mut tests.hot,
            },
            _ => continue,
        };
        list.push(test.number);
    }
    for list in [&mut tests.cold, &mut tests.hot, &mut tests.new] {
        list.sort_unstable();
    }
    changes.tests = tests;
    changes.record = new.record();
    Ok(changes)
}
