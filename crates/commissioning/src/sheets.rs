//! The sheets as papers: boxes to write readings into, rows in the order in which tests are made.

use crate::cold::ColdSheet;
use crate::test::{How, Test, Topic, shown};
use crate::work::Work;
use crate::{printed, printed_hot, sentences};
use circuit::Circuit;
use schedule::Job;
use schedule::paper::{Block, Cell, ColumnSet, Paper, Table, TableColumn, TableRow};
use std::collections::BTreeMap;

/// The sheet of cold tests.
pub fn cold_paper(job: &Job<'_>, sheet: &ColdSheet) -> Paper {
    let mut blocks = vec![
        Block::Caution(sentences::UNPLUGGED.to_owned()),
        Block::Text(sentences::BEFORE_COLD.to_owned()),
        Block::Text(sentences::MILLIVOLTS.to_owned()),
        Block::Text(sentences::NUMBERS.to_owned()),
        Block::Text(format!("As at first: {}.", sentences::at_first(&job.facts.circuit))),
        Block::Text(sentences::how_few(sheet)),
        Block::Table(tests_table("cold-tests", &sheet.tests, "mistakes", sentences::cold_group)),
    ];
    if !job.facts.plan.detector.is_empty() {
        blocks.insert(1, Block::Caution(sentences::DETECTORS.to_owned()));
    }
    if !sheet.not_proved.is_empty() {
        blocks.push(Block::Heading("Not proved by this sheet".to_owned()));
        let mut table = Table::new("cold-not-proved", vec![TableColumn::words("what"), TableColumn::words("why")]);
        for (what, why) in sentences::not_proved(sheet) {
            table.push(None, vec![Cell::words(what), Cell::words(why)]);
        }
        blocks.push(Block::Table(table));
    }
    Paper::new("cold-tests", "Cold tests", blocks).with_print(printed::cold(job, sheet))
}

/// The words for tests of volts.
const VOLTS: &str = "volts without and with the load";

/// The sheet of hot tests.
pub fn hot_paper(job: &Job<'_>, work: &Work) -> Paper {
    let mut blocks = vec![
        Block::Caution(sentences::FIRST_POWER.to_owned()),
        Block::Text(format!("As at first: {}.", sentences::at_first(&job.facts.circuit))),
        Block::Text(format!("The load: {}. {}", sentences::load(work.load), sentences::SQUARE_WAVE)),
    ];
    blocks.extend(work.hot.left_out.iter().map(|words| Block::Text(format!("Not on this sheet: {words}."))));
    let part = |wanted: &str| -> Vec<Test> {
        work.hot.tests.iter().filter(|t| sentences::hot_group(t) == wanted).cloned().collect()
    };
    let with = |test: &Test| {
        let set: Vec<String> = test.set.iter().map(|(c, p)| format!("{c} {p}")).collect();
        if set.is_empty() { "all as at first".to_owned() } else { format!("{}, the rest as at first", set.join(", ")) }
    };
    let volts = part(VOLTS);
    if !volts.is_empty() {
        blocks.push(Block::Heading(sentences::capital(VOLTS)));
        blocks.push(Block::Table(volts_table(&volts, with)));
    }
    for (group, name) in [("coin test", "hot-coin"), ("phase across gaps", "hot-phase")] {
        let tests = part(group);
        if !tests.is_empty() {
            blocks.push(Block::Heading(sentences::capital(group)));
            if name == "hot-coin" {
                blocks.push(Block::Caution(sentences::COIN.to_owned()));
            }
            blocks.push(Block::Table(tests_table(name, &tests, "mistakes", with)));
        }
    }
    let storage = part("storage");
    if !storage.is_empty() {
        blocks.push(Block::Heading("Storage: a lamp or an engine on each track".to_owned()));
        blocks.push(Block::Table(matrix(job, &storage)));
    }
    for (group, name) in [("reversing", "hot-reversing"), ("motors", "hot-motors")] {
        let tests = part(group);
        if !tests.is_empty() {
            blocks.push(Block::Heading(sentences::capital(group)));
            let columns = vec![
                TableColumn::short("no."),
                TableColumn::words("test"),
                TableColumn::words("what to do"),
                TableColumn::words("due"),
                TableColumn::boxes("done"),
            ];
            let mut table = Table::new(name, columns);
            for test in &tests {
                let words = [&test.name, &test.about, &test.range].map(|w| Cell::words(w.as_str()));
                let number = Cell::words(test.number.to_string());
                table.push(None, std::iter::once(number).chain(words).chain([Cell::Box]).collect());
            }
            blocks.push(Block::Table(table));
        }
    }
    Paper::new("hot-tests", "Hot tests", blocks).with_print(printed_hot::hot(job, work))
}

/// What is read again once a year.
pub fn yearly_paper(job: &Job<'_>, tests: &[Test]) -> Paper {
    let mut blocks = vec![
        Block::Caution(sentences::UNPLUGGED.to_owned()),
        Block::Text(sentences::AGES.to_owned()),
        Block::Text(sentences::MILLIVOLTS.to_owned()),
        Block::Text(sentences::NUMBERS.to_owned()),
        Block::Text(format!("As at first: {}.", sentences::at_first(&job.facts.circuit))),
    ];
    let columns = vec![
        TableColumn::short("no."),
        TableColumn::words("what"),
        TableColumn::words("set"),
        TableColumn::words("probes"),
        TableColumn::number("usual", "mV"),
        TableColumn::short("well"),
        TableColumn::boxes("when built"),
        TableColumn::boxes("last year"),
        TableColumn::boxes("today"),
        TableColumn::of_files("test"),
    ];
    let mut table = Table::new("yearly-checks", columns);
    for test in tests {
        let set: Vec<String> = test.set.iter().map(|(c, p)| format!("{c} {p}")).collect();
        table.push(
            None,
            vec![
                Cell::words(test.number.to_string()),
                Cell::words(sentences::looked_at(test)),
                Cell::words(set.join(", ")),
                Cell::words(sentences::places(test)),
                number(test),
                Cell::words(test.passes_words()),
                Cell::Box,
                Cell::Box,
                Cell::Box,
                Cell::words(short_name(test)),
            ],
        );
    }
    blocks.push(Block::Table(table));
    Paper::new("yearly-checks", "Yearly checks", blocks).with_print(printed::yearly(job, tests))
}

/// Tests as a table; rows that share what `group` says stand together.
pub fn tests_table(
    name: &'static str,
    tests: &[Test],
    mistakes: &'static str,
    group: impl Fn(&Test) -> String,
) -> Table {
    // What is looked at is said once where a coin is laid: the breaker.
    let coins = tests.iter().all(|test| test.how == How::Coin);
    let tell_mistakes = tests.iter().any(|test| !test.mistakes.is_empty());
    let mut columns = vec![TableColumn::short("no.")];
    if !coins {
        columns.push(TableColumn::words("what"));
    }
    columns.extend([TableColumn::words("probes"), TableColumn::short("reads"), TableColumn::short("well")]);
    if tell_mistakes {
        columns.push(TableColumn::words(mistakes));
    }
    // Who reads the sheet sees the test's name in what is tested and where.
    columns.extend([TableColumn::boxes("reading"), TableColumn::of_files("test")]);
    let mut table = Table::new(name, columns);
    for test in tests {
        let mut cells = vec![Cell::words(test.number.to_string())];
        let mut group = group(test);
        if coins {
            group = format!("{group}; {}", test.about);
        } else {
            cells.push(Cell::words(sentences::looked_at(test)));
        }
        cells.extend([
            Cell::words(sentences::places(test)),
            Cell::words(test.expected_words()),
            Cell::words(test.passes_words()),
        ]);
        if tell_mistakes {
            cells.push(Cell::words(sentences::mistakes(test).join("; ")));
        }
        cells.extend([Cell::Box, Cell::words(short_name(test))]);
        table.push(Some(group), cells);
    }
    table
}

/// Volts and by how much they fall under the load: two readings at one place, on one row.
fn volts_table(tests: &[Test], group: impl Fn(&Test) -> String) -> Table {
    let columns = vec![
        TableColumn::short("no."),
        TableColumn::words("probes"),
        TableColumn::short("volts"),
        TableColumn::short("well"),
        TableColumn::boxes("reading"),
        TableColumn::short("fall"),
        TableColumn::short("well under load"),
        TableColumn::boxes("reading under load"),
        TableColumn::words("mistakes"),
        TableColumn::of_files("test"),
        TableColumn::of_files("test under load"),
    ];
    let mut table = Table::new("hot-volts", columns);
    let pairs = tests.chunk_by(|one, other| sentences::places(one) == sentences::places(other) && one.set == other.set);
    for pair in pairs {
        let of = |how: How| pair.iter().find(|test| test.how == how);
        let name = |how: How| of(how).map_or(Cell::Empty, |test| Cell::words(short_name(test)));
        let reads = |how: How| match of(how) {
            Some(test) => [Cell::words(test.expected_words()), Cell::words(test.passes_words()), Cell::Box],
            None => [const { Cell::Empty }; 3],
        };
        let numbers: Vec<String> = pair.iter().map(|test| test.number.to_string()).collect();
        let mut cells = vec![Cell::words(numbers.join(", ")), Cell::words(sentences::places(&pair[0]))];
        cells.extend(reads(How::Volts));
        cells.extend(reads(How::Drop));
        cells.push(Cell::words(sentences::volts_mistakes(pair)));
        cells.extend([name(How::Volts), name(How::Drop)]);
        table.push(Some(group(&pair[0])), cells);
    }
    table
}

/// Ways down, storage tracks across.
fn matrix(job: &Job<'_>, tests: &[Test]) -> Table {
    let circuit: &Circuit = &job.facts.circuit;
    let storage = analysis::storage(job.facts.plan, job.facts.names).map(|s| s.tracks).unwrap_or_default();
    let mut columns = vec![TableColumn::words("route"), TableColumn::words("set")];
    for &track in &storage {
        columns.push(TableColumn {
            title: circuit.segments[track].name.clone().into(),
            unit: None,
            set: ColumnSet::Short,
        });
    }
    columns.push(TableColumn::boxes("as due"));
    let mut table = Table::new("hot-storage", columns);
    let mut rows: BTreeMap<usize, (String, String, BTreeMap<usize, String>)> = BTreeMap::new();
    for test in tests {
        let Topic::Storage { way, track, live } = test.topic else { continue };
        let set: Vec<String> = test.set.iter().map(|(c, p)| format!("{c} {p}")).collect();
        let row = rows.entry(way).or_insert_with(|| (test.about.clone(), set.join(", "), BTreeMap::new()));
        row.2.insert(track, format!("{}: {}", test.number, if live { "live" } else { "dead" }));
    }
    for (way, set, due) in rows.into_values() {
        let mut cells = vec![Cell::words(way), Cell::words(set)];
        for &track in &storage {
            // Where it depends on turnouts the way does not set, nothing is due.
            cells.push(Cell::words(due.get(&track).map_or("-", String::as_str)));
        }
        cells.push(Cell::Box);
        table.rows.push(TableRow { group: None, cells });
    }
    table
}

/// The name of a test without the word for its sheet.
pub fn short_name(test: &Test) -> &str {
    let sheet = test.kind.to_string();
    test.name.get(sheet.len() + 1..).unwrap_or(&test.name)
}

fn number(test: &Test) -> Cell {
    let value = test.expected.map_or(0.0, |e| e.typical);
    Cell::Number { value, shown: shown(How::Millivolts, value) }
}
