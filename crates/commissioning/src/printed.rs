//! Sheets of tests as they are printed: a row a test, what mistakes read in columns of their own, pieces by their numbers.

use crate::cold::ColdSheet;
use crate::sentences::{self, capital};
use crate::test::{How, Test, WouldRead, Wrong, shown, shown_with_unit};
use circuit::{EdgeId, EdgeKind, NodeId, Spot};
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
        Block::Text([sentences::BEFORE_COLD, sentences::MILLIVOLTS, sentences::NUMBERS].join(" ")),
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
const IF_WRONG: &str = "At a joint or gap the probes go on both sides of it. `meter` is the range: of the ohmmeter, or of the millivoltmeter (DC) with 1 A flowing. The columns `open` and `1 Ω` say what it reads where a piece under test is open, or has an ohm too much; `else` where it is \
                        exchanged with the one beside it, or a gap is bridged. Other mistakes stand behind what is under test.";

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
            TableColumn::words("open"),
            TableColumn::words("1 Ω"),
            TableColumn::words("else"),
            TableColumn::boxes("reading"),
        ],
    );
    for test in tests {
        let others = test.mistakes.iter().filter(|m| m.at_own.is_empty());
        let others: Vec<String> =
            others.map(|m| format!("{}: {}", shown_with_unit(test.how, m.reading), m.what)).collect();
        let mut what = under_test(job, test);
        if !others.is_empty() {
            what = format!("{what} ({})", others.join("; "));
        }
        let if_wrong = |wrong: &[Wrong]| Cell::words(readings(test, wrong));
        table.push(
            Some(settings(test)),
            vec![
                Cell::words(test.number.to_string()),
                Cell::words(test.range.trim_end_matches(" DC")),
                Cell::words(what),
                Cell::words(probes(job, test)),
                Cell::words(test.expected.map_or_else(String::new, |e| shown(test.how, e.typical))),
                Cell::words(well(test)),
                if_wrong(&[Wrong::Open]),
                if_wrong(&[Wrong::Resistive]),
                if_wrong(&[Wrong::Exchanged, Wrong::Bridged]),
                Cell::Box,
            ],
        );
    }
    table
}

/// What the meter reads where the pieces under test have some mistake: from the least to the most where several have it.
fn readings(test: &Test, wrong: &[Wrong]) -> String {
    let has = |m: &&WouldRead| m.at_own.iter().any(|own| wrong.contains(own));
    let mut read: Vec<f64> = test.mistakes.iter().filter(has).map(|m| m.reading).collect();
    read.sort_by(f64::total_cmp);
    match (read.first(), read.last()) {
        (Some(&least), Some(&most)) => {
            let [least, most] = [least, most].map(|reading| shown(test.how, reading));
            if least == most { least } else { format!("{least} to {most}") }
        }
        _ => String::new(),
    }
}

/// From where to where a reading is well, the unit left to the meter's range.
fn well(test: &Test) -> String {
    match (test.how, test.passes) {
        (How::Millivolts, [from, to]) if to.is_finite() => {
            format!("{} to {}", shown(test.how, from.max(0.0)), shown(test.how, to))
        }
        _ => test.passes_words(),
    }
}

/// Where the probes go. Where they go on both sides of a joint or gap, its place alone: the number under test says the rest.
pub(crate) fn probes(job: &Job<'_>, test: &Test) -> String {
    let Some([one, other]) = &test.between else { return sentences::places(test) };
    let circuit = &job.facts.circuit;
    let name = |node: NodeId| circuit.nodes[node].name.as_str();
    let is_joint = |edge: EdgeId| {
        let found = &circuit.edges[edge];
        let ends = [found.a, found.b];
        let on_it = ends == [one.node, other.node] || ends == [other.node, one.node];
        on_it && matches!(found.kind, EdgeKind::SolderedJoint | EdgeKind::SlidingJoint)
    };
    let of_track = |node: NodeId| matches!(circuit.nodes[node].spot, Spot::Rail { .. });
    match test.chain.as_slice() {
        [edge] if is_joint(*edge) => name(if of_track(one.node) { one.node } else { other.node }).to_owned(),
        [] if job.numbers.of_gap(one.node, other.node).is_some() => {
            let names = [one, other].map(|place| name(place.node));
            if names[0] == names[1] { names[0].to_owned() } else { names.join(" – ") }
        }
        _ => sentences::places(test),
    }
}

/// What is read again once a year.
pub(crate) fn yearly(job: &Job<'_>, tests: &[Test]) -> Vec<Block> {
    let columns = vec![
        TableColumn::short("no."),
        TableColumn::words("what"),
        TableColumn::words("set"),
        TableColumn::words("probes"),
        TableColumn::short("usual"),
        TableColumn::short("well (mV)"),
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
            probes(job, test),
            test.expected.map_or_else(String::new, |e| shown(How::Millivolts, e.typical)),
            well(test),
        ];
        let cells = words.into_iter().map(Cell::words);
        table.push(None, cells.chain([Cell::Box, Cell::Box, Cell::Box]).collect());
    }
    vec![
        Block::Caution(sentences::UNPLUGGED.to_owned()),
        Block::Text([sentences::AGES, sentences::MILLIVOLTS, sentences::NUMBERS].join(" ")),
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
