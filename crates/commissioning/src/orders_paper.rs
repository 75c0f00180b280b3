//! Work orders as a paper: a table for each stage, cautions where they belong.

use crate::sentences;
use crate::task::{Stage, Task};
use crate::test::{Element, Test};
use schedule::paper::{Block, Cell, Paper, Table, TableColumn};
use schedule::{Job, Number, counts_in_runs};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// The paper.
pub fn orders_paper(job: &Job<'_>, tasks: &[Task], tests: &[Test]) -> Paper {
    let mut blocks = vec![Block::Text(IN_ORDER.to_owned())];
    let mut printed = Vec::new();
    if crate::enabling::is_long(&job.facts.circuit, tasks) {
        blocks.push(Block::Text(crate::sentences::LONG_ORDERS.to_owned()));
    }
    let numbers = numbers_of_tests(tests);
    let stages = by_stage(tasks);
    printed.extend(blocks.iter().cloned());
    for stage in Stage::ALL {
        let Some(places_of) = stages.get(&stage) else { continue };
        blocks.push(Block::Heading(stage.words().to_owned()));
        blocks.push(Block::Text(format!("To hand: {}. Done when: {}.", stage.tools(), stage.check())));
        blocks.extend(stage.cautions().iter().map(|c| Block::Caution((*c).to_owned())));
        let columns = vec![
            TableColumn::short("no."),
            TableColumn::words("task"),
            TableColumn::words("numbers"),
            TableColumn::words("after"),
            TableColumn::words("cold tests"),
            TableColumn::boxes("done"),
        ];
        let mut table = Table::new(stage.name(), columns);
        for row in alike(tasks, places_of.clone()) {
            let task = &tasks[row.start];
            table.push(
                // What is done is said once for all that it is done to.
                Some(format!("{}: {}", task.reach.word(), task.does)),
                vec![
                    Cell::words(numbers_of(&row)),
                    Cell::words(name_of(&tasks[row.clone()])),
                    Cell::words(touched(job, &tasks[row.clone()])),
                    Cell::words(waits(tasks, row.clone(), &stages)),
                    Cell::words(enabled_tests(task, &numbers)),
                    Cell::Box,
                ],
            );
        }
        printed.push(Block::Heading(sentences::capital(stage.words())));
        let cautions = stage.cautions();
        if !cautions.is_empty() {
            printed.push(Block::Caution(cautions.join(" ")));
        }
        printed.push(Block::Text(format!("To hand: {}. Done when: {}.", stage.tools(), stage.check())));
        printed.push(Block::Table(table.clone()));
        blocks.push(Block::Table(table));
    }
    Paper::new("work-orders", "Work orders", blocks).with_print(printed)
}

/// What stands above the tasks.
pub const IN_ORDER: &str = "Do the jobs in this order. Each is done when what stands behind `done when` is so and its cold tests \
                            read well.";

/// Tasks that follow each other and are alike in all but what they are done to, as one row each; what a cold test closes is a
/// row of its own.
pub fn alike(tasks: &[Task], of: Range<usize>) -> Vec<Range<usize>> {
    let mut rows: Vec<Range<usize>> = Vec::new();
    for index in of {
        let task = &tasks[index];
        let same = |row: &Range<usize>| {
            let first = &tasks[row.start];
            first.kind == task.kind
                && (first.reach, &first.does) == (task.reach, &task.does)
                && first.closed_by.is_empty()
                && task.closed_by.is_empty()
        };
        match rows.last_mut().filter(|row| same(row)) {
            Some(row) => row.end = index + 1,
            None => rows.push(index..index + 1),
        }
    }
    rows
}

/// The numbers of tasks that are one row: `2 to 14`.
pub fn numbers_of(row: &Range<usize>) -> String {
    if row.len() == 1 { (row.start + 1).to_string() } else { format!("{} to {}", row.start + 1, row.end) }
}

/// What tasks that are one row are called: `holes: yard lead, ladder 1`.
pub fn name_of(tasks: &[Task]) -> String {
    match tasks {
        [one] => one.name.clone(),
        several => {
            let places: Vec<&str> = several.iter().map(|task| task.place.as_str()).collect();
            format!("{}: {}", several[0].kind, places.join(", "))
        }
    }
}

/// The numbers of what tasks make, those in a row drawn together: `F-1 to F-4, J-2`.
pub fn touched(job: &Job<'_>, tasks: &[Task]) -> String {
    let of = |element: &Element| match *element {
        Element::Edge(edge) => job.numbers.of_edge(edge),
        Element::Gap(a, b) => job.numbers.of_gap(a, b),
    };
    let made = tasks.iter().flat_map(|task| task.makes.iter().filter_map(of));
    let leads = tasks.iter().flat_map(|task| task.leads.iter().filter_map(|&edge| job.numbers.of_edge(edge)));
    let mut numbers: Vec<Number> = made.chain(leads).collect();
    numbers.sort();
    numbers.dedup();
    schedule::in_runs(numbers)
}

/// Where the tasks of each stage are: they stand together.
pub fn by_stage(tasks: &[Task]) -> BTreeMap<Stage, Range<usize>> {
    let mut places: BTreeMap<Stage, Range<usize>> = BTreeMap::new();
    for (index, task) in tasks.iter().enumerate() {
        places.entry(task.stage).or_insert(index..index).end = index + 1;
    }
    places
}

/// The tasks that a row of them waits for by their numbers; whole stages of more than a few by their words. `stages`: see
/// [`by_stage`].
pub fn waits(tasks: &[Task], row: Range<usize>, stages: &BTreeMap<Stage, Range<usize>>) -> String {
    let mut single: BTreeMap<Stage, BTreeSet<usize>> = BTreeMap::new();
    for &before in tasks[row.clone()].iter().flat_map(|task| &task.after) {
        single.entry(tasks[before].stage).or_default().insert(before);
    }
    let whole_stages: BTreeSet<Stage> = tasks[row].iter().flat_map(|task| task.after_stages.iter().copied()).collect();
    let words = stages.iter().filter_map(|(stage, places)| {
        let some = single.get(stage);
        let whole = whole_stages.contains(stage) || some.is_some_and(|some| some.len() == places.len());
        if whole && places.len() > 3 {
            return Some(format!("all of {}", stage.words()));
        }
        let before: Vec<usize> = if whole { places.clone().collect() } else { some?.iter().copied().collect() };
        Some(counts_in_runs(before.into_iter().map(|task| task + 1)))
    });
    words.collect::<Vec<_>>().join("; ")
}

/// The number of each test, by its name.
pub fn numbers_of_tests(tests: &[Test]) -> BTreeMap<&str, usize> {
    tests.iter().map(|test| (test.name.as_str(), test.number)).collect()
}

/// The numbers of the tests that close a task.
pub fn enabled_tests(task: &Task, numbers: &BTreeMap<&str, usize>) -> String {
    let closing: BTreeSet<usize> =
        task.closed_by.iter().filter_map(|name| numbers.get(name.as_str()).copied()).collect();
    counts_in_runs(closing)
}
