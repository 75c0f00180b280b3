//! Work orders as a paper: a table for each stage, cautions where they belong.

use crate::task::{Stage, Task};
use crate::test::{Element, Test};
use schedule::paper::{Block, Cell, Paper, Table, TableColumn};
use schedule::{Job, Number};
use std::collections::BTreeMap;
use std::ops::Range;

/// The paper.
pub fn orders_paper(job: &Job<'_>, tasks: &[Task], tests: &[Test]) -> Paper {
    let mut blocks = vec![Block::Text(
        "In this order nothing waits for what comes later. A task is done when its cold tests read well.".to_owned(),
    )];
    if crate::enabling::is_long(&job.facts.circuit, tasks) {
        blocks.push(Block::Text(crate::sentences::LONG_ORDERS.to_owned()));
    }
    let places = places_on_sheet(tests);
    let stages = by_stage(tasks);
    for stage in Stage::ALL {
        let of: Vec<(usize, &Task)> = tasks.iter().enumerate().filter(|(_, t)| t.stage == stage).collect();
        if of.is_empty() {
            continue;
        }
        blocks.push(Block::Heading(stage.words().to_owned()));
        blocks.push(Block::Text(format!("To hand: {}.", stage.tools())));
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
        for (index, task) in of {
            table.push(
                // What is done is said once for all that it is done to.
                Some(format!("{}: {}", task.reach.word(), task.does)),
                vec![
                    Cell::words((index + 1).to_string()),
                    Cell::words(&task.name),
                    Cell::words(touched(job, task)),
                    Cell::words(waits(tasks, task, &stages)),
                    Cell::words(enabled_tests(task, &places)),
                    Cell::Box,
                ],
            );
        }
        blocks.push(Block::Table(table));
    }
    Paper { name: "work-orders".into(), title: "Work orders".to_owned(), blocks }
}

/// The numbers of what a task makes, those in a row drawn together: `F-1 to F-4, J-2`.
pub fn touched(job: &Job<'_>, task: &Task) -> String {
    let of = |element: &Element| match *element {
        Element::Edge(edge) => job.numbers.of_edge(edge),
        Element::Gap(a, b) => job.numbers.of_gap(a, b),
    };
    let mut numbers: Vec<Number> = task.makes.iter().filter_map(of).collect();
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

/// The tasks it waits for by their numbers; whole stages of more than a few by their words. `stages`: see [`by_stage`].
pub fn waits(tasks: &[Task], task: &Task, stages: &BTreeMap<Stage, Range<usize>>) -> String {
    let mut single: BTreeMap<Stage, Vec<usize>> = BTreeMap::new();
    for &before in &task.after {
        single.entry(tasks[before].stage).or_default().push(before);
    }
    let words = stages.iter().filter_map(|(stage, places)| {
        let some = single.get(stage);
        let whole = task.after_stages.contains(stage) || some.is_some_and(|some| some.len() == places.len());
        if whole && places.len() > 3 {
            return Some(format!("all of {}", stage.words()));
        }
        let before = if whole { places.clone().collect() } else { some?.clone() };
        Some(before.iter().map(|b| (b + 1).to_string()).collect::<Vec<_>>().join(", "))
    });
    words.collect::<Vec<_>>().join("; ")
}

/// Where each test stands on its sheet, by its name.
pub fn places_on_sheet(tests: &[Test]) -> BTreeMap<&str, usize> {
    tests.iter().enumerate().map(|(place, test)| (test.name.as_str(), place)).collect()
}

/// The numbers on the cold sheet of the tests that close it.
pub fn enabled_tests(task: &Task, places: &BTreeMap<&str, usize>) -> String {
    let places = task.closed_by.iter().filter_map(|name| places.get(name.as_str()).copied());
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for place in places {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == place => *last = place,
            _ => runs.push((place, place)),
        }
    }
    let words = runs.into_iter().map(|(first, last)| match last - first {
        0 => (first + 1).to_string(),
        1 => format!("{}, {}", first + 1, last + 1),
        _ => format!("{} to {}", first + 1, last + 1),
    });
    words.collect::<Vec<_>>().join(", ")
}
