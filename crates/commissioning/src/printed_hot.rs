//! The sheet of hot tests as it is printed.

use crate::printed::{at_first, pieces, probes, set, settings};
use crate::sentences::{self, capital, numbers_of_tests};
use crate::test::{How, Test, Topic, Wrong, shown};
use crate::work::Work;
use circuit::Circuit;
use schedule::Job;
use schedule::paper::{Block, Cell, ColumnSet, Table, TableColumn, TableRow};
use std::collections::{BTreeMap, BTreeSet};

/// The hot sheet.
pub(crate) fn hot(job: &Job<'_>, work: &Work) -> Vec<Block> {
    let mut blocks = vec![
        Block::Caution(sentences::FIRST_POWER.to_owned()),
        Block::Text(format!("As at first: {}.", at_first(job))),
        Block::Text(format!("The load: {}. {}", sentences::load(work.load), sentences::SQUARE_WAVE)),
    ];
    blocks.extend(work.hot.left_out.iter().map(|words| Block::Text(format!("Not on this sheet: {words}."))));
    let part = |wanted: fn(&Topic) -> bool| -> Vec<&Test> {
        work.hot.tests.iter().filter(|test| wanted(&test.topic)).collect()
    };
    let mut with = |tests: &[&Test], told: Vec<Block>, table: fn(&Job<'_>, &[&Test]) -> Table| {
        if let Some(first) = tests.first() {
            blocks.push(Block::Heading(capital(sentences::hot_group(first))));
            blocks.extend(told);
            blocks.push(Block::Table(table(job, tests)));
        }
    };
    with(&part(|t| *t == Topic::Volts), vec![Block::Text(IF_WRONG.to_owned())], volts);
    with(&part(|t| *t == Topic::Coin), vec![Block::Caution(sentences::COIN.to_owned())], coins);
    let gaps = part(|t| *t == Topic::Phase);
    with(&gaps, right_and_wrong(&gaps), phases);
    let told =
        vec![Block::Text("A lamp or an engine on each track; a dash where it depends on other turnouts.".to_owned())];
    with(&part(|t| matches!(t, Topic::Storage { .. })), told, storage);
    with(&part(|t| *t == Topic::Reversing), Vec::new(), watched);
    with(&part(|t| *t == Topic::Motor), Vec::new(), watched);
    blocks
}

/// What the columns of mistakes mean.
const IF_WRONG: &str = "Where one of the pieces on the way is open, the meter reads 0 V; where one has an ohm too much, the volts \
                        fall under the load by what stands under `1 Ω`.";

/// Volts and by how much they fall under the load: two readings at one place, on one row.
fn volts(job: &Job<'_>, tests: &[&Test]) -> Table {
    let columns = vec![
        TableColumn::short("no."),
        TableColumn::words("probes"),
        TableColumn::boxes("reading"),
        TableColumn::short("falls by"),
        TableColumn::short("well"),
        TableColumn::boxes("reading under load"),
        TableColumn::short("1 Ω"),
        TableColumn::words("on the way"),
    ];
    let mut table = Table::new("hot-volts", columns);
    let pairs = tests.chunk_by(|one, other| sentences::places(one) == sentences::places(other) && one.set == other.set);
    for pair in pairs {
        let of = |how: How| pair.iter().find(|test| test.how == how);
        let level = of(How::Volts);
        let falls = of(How::Drop);
        let reads =
            level.map_or_else(String::new, |t| format!("; reads {}, well {}", t.expected_words(), t.passes_words()));
        let more = falls.and_then(|t| t.mistakes.iter().find(|m| m.at_own.contains(&Wrong::Resistive)));
        let cell = |words: Option<String>| words.map_or(Cell::Empty, Cell::words);
        let box_of = |there: bool| if there { Cell::Box } else { Cell::Empty };
        table.push(
            Some(format!("{}{reads}", settings(pair[0]))),
            vec![
                Cell::words(numbers_of_tests(pair)),
                Cell::words(sentences::places(pair[0])),
                box_of(level.is_some()),
                cell(falls.map(|t| t.expected_words())),
                cell(falls.map(|t| t.passes_words())),
                box_of(falls.is_some()),
                cell(more.map(|m| shown(How::Drop, m.reading))),
                Cell::words(pieces(job, &pair[0].chain)),
            ],
        );
    }
    table
}

/// Where a coin is laid, the breaker that must open said once.
fn coins(_: &Job<'_>, tests: &[&Test]) -> Table {
    let mut columns = vec![TableColumn::short("no."), TableColumn::words("set"), TableColumn::words("coin on")];
    let tell_mistakes = tests.iter().any(|test| !test.mistakes.is_empty());
    if tell_mistakes {
        columns.push(TableColumn::words("stays closed with"));
    }
    columns.push(TableColumn::boxes("opens"));
    let mut table = Table::new("hot-coin", columns);
    for test in tests {
        let words = [test.number.to_string(), set(test), sentences::places(test)];
        let mut cells: Vec<Cell> = words.into_iter().map(Cell::words).collect();
        if tell_mistakes {
            cells.push(Cell::words(sentences::mistakes(test).join("; ")));
        }
        cells.push(Cell::Box);
        table.push(Some(test.about.clone()), cells);
    }
    table
}

/// What is well across gaps, and what wrong readings mean, each said once.
fn right_and_wrong(tests: &[&Test]) -> Vec<Block> {
    let mut said = BTreeSet::new();
    let mut words = Vec::new();
    let mut say = |sentence: String| {
        if said.insert(sentence.clone()) {
            words.push(sentence);
        }
    };
    for test in tests {
        say(format!("Where {} is due, {} is well.", test.expected_words(), test.passes_words()));
        for mistake in &test.mistakes {
            let read = crate::test::shown_with_unit(test.how, mistake.reading);
            say(format!("{read} where {} is due: {}.", test.expected_words(), mistake.what));
        }
    }
    vec![Block::Text(format!("The probes go on both sides of the gap. {}", words.join(" ")))]
}

/// Volts across gaps, those of one setting together. What is well is said once where it follows from what is due.
fn phases(job: &Job<'_>, tests: &[&Test]) -> Table {
    let columns = vec![
        TableColumn::short("no."),
        TableColumn::short("gap"),
        TableColumn::words("place"),
        TableColumn::short("reads"),
        TableColumn::boxes("reading"),
    ];
    let mut table = Table::new("hot-phase", columns);
    let mut by_setting: Vec<(String, Vec<&Test>)> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for test in tests {
        let words = settings(test);
        let at = *known.entry(words.clone()).or_insert_with(|| {
            by_setting.push((words, Vec::new()));
            by_setting.len() - 1
        });
        by_setting[at].1.push(test);
    }
    for (words, tests) in by_setting {
        for test in tests {
            let gap = test.between.as_ref().and_then(|[one, other]| job.numbers.of_gap(one.node, other.node));
            let cells = [
                test.number.to_string(),
                gap.map_or_else(|| test.about.clone(), |number| number.to_string()),
                probes(job, test),
                test.expected_words(),
            ];
            table.push(Some(words.clone()), cells.into_iter().map(Cell::words).chain([Cell::Box]).collect());
        }
    }
    table
}

/// Routes down, storage tracks across.
fn storage(job: &Job<'_>, tests: &[&Test]) -> Table {
    let circuit: &Circuit = &job.facts.circuit;
    let tracks = analysis::storage(job.facts.plan, job.facts.names).map(|s| s.tracks).unwrap_or_default();
    let mut columns = vec![TableColumn::words("no."), TableColumn::words("route"), TableColumn::words("set")];
    columns.extend(tracks.iter().map(|&track| {
        let title = circuit.segments[track].name.clone().into();
        TableColumn { title, unit: None, set: ColumnSet::Short }
    }));
    columns.push(TableColumn::boxes("as due"));
    let mut table = Table::new("hot-storage", columns);
    let mut rows: BTreeMap<usize, Vec<&Test>> = BTreeMap::new();
    for test in tests {
        if let Topic::Storage { way, .. } = test.topic {
            rows.entry(way).or_default().push(test);
        }
    }
    for tests in rows.into_values() {
        let mut cells =
            vec![Cell::words(numbers_of_tests(&tests)), Cell::words(&tests[0].about), Cell::words(set(tests[0]))];
        for &wanted in &tracks {
            let due = tests.iter().find_map(|test| match test.topic {
                Topic::Storage { track, live, .. } if track == wanted => Some(if live { "LIVE" } else { "dead" }),
                _ => None,
            });
            cells.push(Cell::words(due.unwrap_or("-")));
        }
        cells.push(Cell::Box);
        table.rows.push(TableRow { group: None, cells });
    }
    table
}

/// What is watched.
fn watched(_: &Job<'_>, tests: &[&Test]) -> Table {
    let columns = vec![
        TableColumn::short("no."),
        TableColumn::words("what to do"),
        TableColumn::words("due"),
        TableColumn::boxes("done"),
    ];
    let motors = tests.first().is_some_and(|test| test.topic == Topic::Motor);
    let mut table = Table::new(if motors { "hot-motors" } else { "hot-reversing" }, columns);
    for test in tests {
        let cells = [test.number.to_string(), test.about.clone(), test.range.clone()];
        table.push(None, cells.into_iter().map(Cell::words).chain([Cell::Box]).collect());
    }
    table
}
