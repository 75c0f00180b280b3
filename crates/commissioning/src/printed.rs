//! Sheets of tests as they are printed: a row a test, what mistakes read in columns of their own, pieces by their numbers.

use crate::cold::ColdSheet;
use crate::sentences::{self, capital};
use crate::test::{How, Test, Wrong, shown, shown_with_unit};
use circuit::{EdgeId, EdgeKind};
use schedule::paper::{Block, Cell, Table, TableColumn};
use schedule::{Job, Number};
use std::collections::BTreeMap;

/// The cold sheet.
pub(crate) fn cold(job: &Job<'_>, sheet: &ColdSheet) -> Vec<Block> {
    let mut blocks = vec![Block::Caution(sentences::UNPLUGGED.to_owned())];
    if !job.facts.plan.detector.is_empty() {
        blocks.push(Block::Caution(sentences::DETECTORS.to_owned()));
    }
    blocks.extend([
        Block::Text(format!("{} {}", sentences::BEFORE_COLD, sentences::MILLIVOLTS)),
        Block::Text(format!("As at first: {}.", at_first(job))),
        Block::Text(format!("{} {IF_WRONG}", sentences::how_few(sheet))),
        Block::Table(tests(job, &sheet.tests)),
    ]);
    if !sheet.not_proved.is_empty() {
        blocks.push(Block::Heading("Not proved by this sheet".to_owned()));
        let mut table = Table::new("cold-not-proved", vec![TableColumn::words("why"), TableColumn::words("what")]);
        let mut by_reason: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        let mut reasons = Vec::new();
        for (what, why) in sentences::not_proved(sheet) {
            let of = by_reason.entry(why).or_default();
            if of.is_empty() {
                reasons.push(why);
            }
            of.push(what);
        }
        for why in reasons {
            table.push(None, vec![Cell::words(why), Cell::words(by_reason[why].join("; "))]);
        }
        blocks.push(Block::Table(table));
    }
    blocks
}

/// What the columns of mistakes mean.
const IF_WRONG: &str = "`meter` is the range: of the ohmmeter, or of the millivoltmeter (DC) with 1 A flowing. The columns `open` and `1 Ω` say what the meter reads where one of the pieces under test is open, or has an \
                        ohm too much; what else reads wrong stands behind it.";

/// Tests in rows, those of one setting and range together.
fn tests(job: &Job<'_>, tests: &[Test]) -> Table {
    let mut table = Table::new(
        "cold-tests",
        vec![
            TableColumn::short("no."),
            TableColumn::short("meter"),
            TableColumn::words("under test"),
            TableColumn::words("probes"),
            TableColumn::short("reads"),
            TableColumn::short("well"),
            TableColumn::short("open"),
            TableColumn::short("1 Ω"),
            TableColumn::boxes("reading"),
        ],
    );
    for test in tests {
        let of = |wrong: Wrong| test.mistakes.iter().find(|m| m.at_own.as_ref().is_some_and(|own| own.0 == wrong));
        let named: Vec<_> = [Wrong::Open, Wrong::Resistive].into_iter().filter_map(of).collect();
        let others = test.mistakes.iter().filter(|m| !named.iter().any(|known| std::ptr::eq(*known, *m)));
        let mut others: Vec<String> =
            others.map(|m| format!("{}: {}", shown_with_unit(test.how, m.reading), m.what)).collect();
        let alike = named.iter().filter_map(|m| Some((m.reading, m.at_own.as_ref()?.1.as_ref()?)));
        others.extend(alike.map(|(reading, what)| format!("{}: {what}", shown_with_unit(test.how, reading))));
        let mut what = under_test(job, test);
        if !others.is_empty() {
            what = format!("{what} ({})", others.join("; "));
        }
        let if_wrong = |wrong: Wrong| of(wrong).map_or(Cell::Empty, |m| Cell::words(shown(test.how, m.reading)));
        table.push(
            Some(settings(test)),
            vec![
                Cell::words(test.number.to_string()),
                Cell::words(test.range.trim_end_matches(" DC")),
                Cell::words(what),
                Cell::words(sentences::places(test)),
                Cell::words(test.expected.map_or_else(String::new, |e| shown(test.how, e.typical))),
                Cell::words(test.passes_words()),
                if_wrong(Wrong::Open),
                if_wrong(Wrong::Resistive),
                Cell::Box,
            ],
        );
    }
    table
}

/// What is read again once a year.
pub(crate) fn yearly(job: &Job<'_>, tests: &[Test]) -> Vec<Block> {
    let columns = vec![
        TableColumn::short("no."),
        TableColumn::words("what"),
        TableColumn::words("set"),
        TableColumn::words("probes"),
        TableColumn::short("usual"),
        TableColumn::short("well"),
        written("when built"),
        written("last year"),
        written("today"),
    ];
    let mut table = Table::new("yearly-checks", columns);
    for test in tests {
        let words = [
            test.number.to_string(),
            under_test(job, test),
            set(test),
            sentences::places(test),
            test.expected.map_or_else(String::new, |e| shown(How::Millivolts, e.typical)),
            test.passes_words(),
        ];
        let cells = words.into_iter().map(Cell::words);
        table.push(None, cells.chain([Cell::Box, Cell::Box, Cell::Box]).collect());
    }
    vec![
        Block::Caution(sentences::UNPLUGGED.to_owned()),
        Block::Text(format!("{} {}", sentences::AGES, sentences::MILLIVOLTS)),
        Block::Text(format!("As at first: {}.", at_first(job))),
        Block::Table(table),
    ]
}

/// A column of boxes to write millivolts into.
fn written(title: &'static str) -> TableColumn {
    TableColumn { unit: Some("mV".into()), ..TableColumn::boxes(title) }
}

/// What is set for a test, in words that stand over those that share it.
pub(crate) fn settings(test: &Test) -> String {
    if test.set.is_empty() { "All as at first".to_owned() } else { format!("{}, the rest as at first", set(test)) }
}

/// The positions of a test that are not the first.
pub(crate) fn set(test: &Test) -> String {
    positions(test.set.iter().map(|(control, position)| (control.as_str(), position.as_str())))
}

/// Positions with each position said once: `T1, T2 through; T3 diverging`.
pub(crate) fn positions<'w>(set: impl Iterator<Item = (&'w str, &'w str)>) -> String {
    let mut by_position: Vec<(&str, Vec<&str>)> = Vec::new();
    for (control, position) in set {
        match by_position.iter_mut().find(|known| known.0 == position) {
            Some(known) => known.1.push(control),
            None => by_position.push((position, vec![control])),
        }
    }
    let words = by_position.into_iter().map(|(position, controls)| format!("{} {position}", controls.join(", ")));
    words.collect::<Vec<_>>().join("; ")
}

/// What everything stands at where nothing else is said.
pub(crate) fn at_first(job: &Job<'_>) -> String {
    let circuit = &job.facts.circuit;
    let usual = circuit.complete(&[]);
    let first = circuit.controls.iter().zip(&usual).filter(|(c, _)| !c.settles);
    let named = first.filter_map(|(c, at)| Some((c.name.as_str(), c.positions.get(usize::from((*at)?))?.as_str())));
    let words = positions(named);
    if words.is_empty() { "nothing to set".to_owned() } else { words }
}

/// What a test looks at: wires, joints and gaps by their numbers, contacts by their terminals.
pub(crate) fn under_test(job: &Job<'_>, test: &Test) -> String {
    if test.chain.is_empty() { capital(&sentences::looked_at(test)) } else { pieces(job, &test.chain) }
}

/// Pieces, wires and joints by their numbers, contacts by their terminals.
pub(crate) fn pieces(job: &Job<'_>, chain: &[EdgeId]) -> String {
    let circuit = &job.facts.circuit;
    let mut numbers: Vec<Number> = chain.iter().filter_map(|&edge| job.numbers.of_edge(edge)).collect();
    numbers.sort();
    numbers.dedup();
    let mut words = Vec::new();
    if !numbers.is_empty() {
        words.push(schedule::in_runs(numbers));
    }
    let of = |kind: EdgeKind| chain.iter().filter(move |&&edge| circuit.edges[edge].kind == kind);
    match of(EdgeKind::Tap).count() {
        0 => {}
        1 => words.push("its tap".to_owned()),
        _ => words.push("their taps".to_owned()),
    }
    let contacts: Vec<EdgeId> = of(EdgeKind::Contact).copied().collect();
    match contacts.as_slice() {
        // The wires say which.
        [_, _, ..] if !words.is_empty() => words.push(format!("the {} contacts between", contacts.len())),
        several => words.extend(several.iter().map(|&edge| circuit.edges[edge].part.throw_words(job.facts.plan))),
    }
    let others = chain.iter().filter(|&&edge| {
        let kind = circuit.edges[edge].kind;
        job.numbers.of_edge(edge).is_none() && kind != EdgeKind::Tap && kind != EdgeKind::Contact
    });
    words.extend(others.map(|&edge| circuit.edges[edge].name.clone()));
    words.dedup();
    words.join(", ")
}
