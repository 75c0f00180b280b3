//! One number for one test, on every paper, kept over changes of the plan.

use crate::common::{PLANS, text_of, with_demo};
use commissioning::{Test, TestLoad, Work, changes, papers, work};
use oracle::rewrite::Rewrite;
use schedule::paper::Cell;
use schedule::{Choices, Job, NumbersRecord};
use std::collections::{BTreeMap, BTreeSet};

/// The work of a plan whose numbers go on from a record, and the record as it is kept in a file.
fn worked(text: &str, record: Option<&NumbersRecord>) -> (Work, NumbersRecord) {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}", reading.findings);
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let job = Job::carried_where_kept(facts, Choices::default(), record);
    let done = work(&job, TestLoad::default()).unwrap();
    let record = job.record();
    let read = NumbersRecord::read(&record.to_csv()).unwrap();
    assert_eq!(read, record, "a record is read as it was written");
    (done, read)
}

fn all(work: &Work) -> impl Iterator<Item = &Test> {
    work.cold.tests.iter().chain(&work.hot.tests)
}

fn by_name(work: &Work) -> BTreeMap<&str, usize> {
    all(work).map(|test| (test.name.as_str(), test.number)).collect()
}

#[test]
fn every_test_has_one_number_on_all_papers() {
    for name in PLANS {
        with_demo(name, |job| {
            let done = work(job, TestLoad::default()).unwrap();
            let numbers: BTreeSet<usize> = all(&done).map(|test| test.number).collect();
            assert_eq!(numbers.len(), all(&done).count(), "{name}");
            assert_eq!(numbers.iter().copied().max(), Some(numbers.len()), "{name}: from one, without a hole");
            // Each stands on a sheet, and none on two.
            let mut printed: Vec<usize> = Vec::new();
            for table in papers(job).iter().flat_map(|paper| paper.tables().cloned().collect::<Vec<_>>()) {
                let column = table.columns.iter().position(|column| column.title == "no.");
                for row in &table.rows {
                    let words = |cell: &Cell| match cell {
                        Cell::Words(words) => words.to_string(),
                        _ => String::new(),
                    };
                    if table.name == "hot-storage" {
                        let cells = row.cells.iter().map(words);
                        printed.extend(cells.filter_map(|cell| cell.split_once(": ")?.0.parse::<usize>().ok()));
                    } else if ["cold-tests"].contains(&&*table.name) || table.name.starts_with("hot-") {
                        let numbers = words(&row.cells[column.unwrap()]);
                        printed.extend(numbers.split(", ").map(|n| n.parse::<usize>().unwrap()));
                    }
                }
            }
            printed.sort_unstable();
            assert_eq!(printed, numbers.into_iter().collect::<Vec<_>>(), "{name}");
        });
    }
}

#[test]
fn renaming_everything_changes_no_number_of_a_test() {
    for name in PLANS {
        let text = text_of(name);
        let mut rewrite = Rewrite::from_text(&text);
        rewrite.rename(|old, index| format!("{old} anew {index}"));
        let renamed = rewrite.text();
        let (before, record) = worked(&text, None);
        let (after, _) = worked(&renamed, Some(&record));
        let numbers = |work: &Work| all(work).map(|test| test.number).collect::<Vec<_>>();
        assert_eq!(numbers(&before), numbers(&after), "{name}");
    }
}

/// A track, a turnout and feeders put in at the very beginning: tests of what was there keep their numbers.
#[test]
fn what_is_put_in_before_leaves_numbers_as_they_are() {
    let text = text_of("two-ladders");
    let (before, record) = worked(&text, None);
    let reading = plan::read(&text);
    let bus = &reading.plan.bus[0].name.value;
    let first = text.find("[[track]]").unwrap();
    let new = format!(
        "[[track]]\nname = \"apart\"\nfrom = \"beyond\"\nto = \"buffer\"\nlength = \"3 m\"\nleft = \"{bus}.A\"\n\
         right = \"{bus}.B\"\nfeeders = [\"1 m\"]\n\n"
    );
    let longer = format!("{}{new}{}", &text[..first], &text[first..]);
    let (after, record_after) = worked(&longer, Some(&record));
    let (then, now) = (by_name(&before), by_name(&after));
    let kept = then.iter().filter(|(name, number)| now.get(*name) == Some(number)).count();
    let moved: Vec<_> = then
        .iter()
        .filter(|(name, number)| now.get(*name).is_some_and(|n| n != *number))
        .map(|(name, _)| name)
        .collect();
    assert!(moved.is_empty(), "{moved:?}");
    assert!(kept * 10 > then.len() * 9, "{kept} of {}", then.len());
    let new: Vec<usize> = now.iter().filter(|(name, _)| name.contains("apart")).map(|(_, number)| *number).collect();
    assert!(!new.is_empty() && new.iter().all(|number| *number > then.len()), "{new:?}");
    // Without the record the same tests would have other numbers: what is asked here can fail.
    let (without, _) = worked(&longer, None);
    assert!(then.iter().any(|(name, number)| by_name(&without).get(name).is_some_and(|n| n != number)));
    // Taken out again, all is as it was, and what had been given is given to nobody else.
    let (back, record_back) = worked(&text, Some(&record_after));
    let others = then.iter().filter(|(name, number)| by_name(&back).get(*name) != Some(number)).count();
    // What another test stood in for meanwhile has a new number, as a wire that was taken out and comes again.
    assert!(others <= 2, "{others} of {}", then.len());
    let (again, _) = worked(&longer, Some(&record_back));
    let highest = new.iter().max().unwrap();
    assert!(by_name(&again).iter().filter(|(name, _)| name.contains("apart")).all(|(_, n)| n > highest));
}

#[test]
fn changes_name_tests_by_their_numbers() {
    let [old, new] = ["thistle-dock", "thistle-dock-mended"].map(text_of);
    let readings = [&old, &new].map(|text| plan::read(text));
    let of = |i: usize| analysis::Analysis::of([&old, &new][i], &readings[i].plan, &readings[i].names);
    let none = changes::changes(of(0), of(0), Choices::default(), None).unwrap();
    assert_eq!(none.tests, schedule::changes::TestsToRepeat::default());
    let found = changes::changes(of(0), of(1), Choices::default(), None).unwrap();
    let (before, record) = worked(&old, None);
    let (after, _) = worked(&new, Some(&record));
    let there: BTreeSet<usize> = all(&after).map(|test| test.number).collect();
    let known: BTreeSet<usize> = all(&before).map(|test| test.number).collect();
    assert!(!found.tests.cold.is_empty() && !found.tests.new.is_empty(), "{:?}", found.tests);
    let again = found.tests.cold.iter().chain(&found.tests.hot);
    assert!(again.clone().all(|n| there.contains(n) && known.contains(n)), "{:?}", found.tests);
    assert!(found.tests.new.iter().all(|n| there.contains(n) && !known.contains(n)));
    // Those of dock 2, which the change is about, are among them.
    let due = all(&after).filter(|t| known.contains(&t.number) && t.name.contains("dock 2"));
    let named: BTreeSet<usize> = again.copied().collect();
    let missing: Vec<&str> = due.filter(|t| !named.contains(&t.number)).map(|t| t.name.as_str()).collect();
    assert!(missing.is_empty(), "{missing:?}");
}
