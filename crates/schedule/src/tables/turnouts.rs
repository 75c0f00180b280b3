//! Turnout sheets: one for each turnout, and one for each other piece of trackwork.

use super::gap_words::visible;
use super::{Sheets, paper};
use crate::paper::{Block, Cell, Column, Paper, Table};
use circuit::{Gap, Owner};
use finding::Lines;
use handbook::quantity::{Metres, show_length};
use movement::linkage::linkages;
use plan::{End, Kind};
use review::bench_test::BenchTest;
use review::turnout_wired;
use std::collections::BTreeSet;

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let facts = &sheets.job.facts;
    let lines = Lines::new(facts.text);
    let bench = BenchTest::find();
    let mut blocks = Vec::new();
    for index in 0..facts.plan.turnout.len() {
        let name = &facts.plan.turnout[index].name.value;
        let wired = turnout_wired::of_plan(facts.plan, facts.names, &facts.circuit, &lines, index);
        let type_words = circuit::trackwork::bench::words(wired.wiring);
        let mut rows: Vec<(&str, Vec<String>)> = vec![
            ("hand", vec![wired.hand.word().to_owned()]),
            ("wiring type", vec![format!("{}: {}", wired.wiring.word(), type_words.title)]),
            ("gaps must stand", vec![type_words.gaps.to_owned()]),
            ("goes wrong", vec![type_words.goes_wrong.to_owned()]),
            ("joins", wired.joins),
            ("thrown by", wired.thrown_by),
            ("frog", wired.frog),
            ("contacts", wired.contacts),
        ];
        rows.extend(common(sheets, Kind::Turnout, index));
        head(&mut blocks, &format!("Turnout {name}"));
        blocks.push(Block::Table(facts_table(format!("turnout-{}", index + 1), rows)));
        blocks.push(Block::Text(
            "Before it is laid, with nothing wired: six readings with an ohmmeter say whether it is the type it should be."
                .to_owned(),
        ));
        blocks.push(Block::Table(readings(&bench, wired.wiring, wired.hand, index)));
    }
    for (kind, index, name) in plan::names::each_name(facts.plan) {
        if matches!(kind, Kind::Crossing | Kind::Slip | Kind::ThreeWay | Kind::Turntable) {
            head(&mut blocks, &format!("{} {}", capital(kind.word()), name.value));
            let slug = format!("{}-{}", kind.word().replace(' ', "-"), index + 1);
            blocks.push(Block::Table(facts_table(slug, common(sheets, kind, index))));
        }
    }
    if blocks.is_empty() {
        blocks.push(Block::Text("The plan has no turnout.".to_owned()));
    }
    paper("turnouts", "Turnout sheets", blocks)
}

fn head(blocks: &mut Vec<Block>, words: &str) {
    if !blocks.is_empty() {
        blocks.push(Block::NewPage);
    }
    blocks.push(Block::Heading(words.to_owned()));
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|first| first.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default()
}

fn facts_table(name: String, rows: Vec<(&str, Vec<String>)>) -> Table {
    let mut table = Table::new("turnout", vec![Column::short("what"), Column::words("told")]);
    table.name = name.into();
    for (what, told) in rows {
        for (i, words) in told.into_iter().enumerate() {
            table.push(None, vec![if i == 0 { Cell::words(what) } else { Cell::Empty }, Cell::words(words)]);
        }
    }
    table
}

/// What is told of every piece of trackwork: its wires, its gaps, its motors with their addresses and linkages.
fn common(sheets: &Sheets<'_>, kind: Kind, index: usize) -> Vec<(&'static str, Vec<String>)> {
    let facts = &sheets.job.facts;
    let at = |end: usize, wire: &crate::wires::Wire| wire.ends[end].point.thing == Some((kind, index));
    let wires = sheets.wires.iter().filter(|w| at(0, w) || at(1, w)).map(|w| {
        let cut =
            w.cut().map_or_else(String::new, |cut| format!(", cut {}", sheets.job.choices.units.words(Metres(cut))));
        format!("{} {}: {} — {}{cut}", w.number, w.function, w.ends[0].words, w.ends[1].words)
    });
    let motors: BTreeSet<usize> = (0..facts.plan.motor.len())
        .filter(|&m| {
            let moves = facts.plan.motor[m].moves.0.iter();
            moves
                .filter_map(|t| facts.names.moved(&t.value).ok())
                .any(|moved| (moved.kind, moved.index) == (kind, index))
        })
        .collect();
    vec![
        ("wires", wires.collect()),
        ("gaps", gaps(sheets, kind, index)),
        ("address", addresses(sheets, &motors)),
        ("linkage", linkage(sheets, &motors)),
    ]
}

/// Gaps of a piece of trackwork, and of the tracks at its ends those in the half towards it.
fn gaps(sheets: &Sheets<'_>, kind: Kind, index: usize) -> Vec<String> {
    let facts = &sheets.job.facts;
    let circuit = &facts.circuit;
    let towards = |gap: &Gap| {
        let track = &facts.plan.track[gap.segment];
        let length = circuit.segments[gap.segment].length;
        let text = if gap.x <= length / 2.0 { &track.from } else { &track.to };
        matches!(facts.names.end(facts.plan, &text.value), Ok(End::Work(k, i, _)) if (k, i) == (kind, index))
    };
    let mut seen = BTreeSet::new();
    let mut told = Vec::new();
    for gap in &circuit.gaps {
        let Some(number) = sheets.job.numbers.of_gap(gap.before, gap.after) else { continue };
        let words = match &circuit.segments[gap.segment].owner {
            Owner::Work { kind: k, index: i, .. } if (*k, *i) == (kind, index) => "built in".to_owned(),
            Owner::Track(track) if towards(gap) => {
                format!("{} rail: {}", ["left", "right"][gap.side], visible(sheets, *track, gap.x))
            }
            _ => continue,
        };
        if seen.insert(number) {
            told.push(format!("{number} {words}"));
        }
    }
    told
}

fn addresses(sheets: &Sheets<'_>, motors: &BTreeSet<usize>) -> Vec<String> {
    let facts = &sheets.job.facts;
    let table = review::addresses::AddressTable::of_plan(facts.plan, &facts.circuit);
    let of = |row: &review::addresses::AddressRow| {
        let sets = row.sets.iter().map(|s| format!("output {} sets {}", u8::from(s.output), s.position));
        let sets: Vec<String> = sets.collect();
        format!("{}: {}; {}", row.motor, row.number, sets.join(", "))
    };
    let names: Vec<&String> = motors.iter().map(|&m| &facts.plan.motor[m].name.value).collect();
    table.rows.iter().filter(|row| names.contains(&&row.motor)).map(of).collect()
}

fn linkage(sheets: &Sheets<'_>, motors: &BTreeSet<usize>) -> Vec<String> {
    let facts = &sheets.job.facts;
    let name = |motor: usize| &facts.plan.motor[motor].name.value;
    let mm = |metres: f64| show_length(Metres(metres));
    let all = linkages(facts.plan, facts.names).into_iter();
    let told = all.filter_map(|found| match found {
        Ok(l) => motors.contains(&l.motor).then(|| {
            format!(
                "{}: wire {}, {} below and {} above the fulcrum, arm travels {}; hole of {}; presses {:.2} N as usual",
                name(l.motor),
                mm(l.wire.diameter),
                mm(l.wire.below),
                mm(l.wire.above),
                mm(l.travel),
                mm(l.hole.unwrap_or(l.fit.hole)),
                l.fit.force.typical
            )
        }),
        Err(missing) => motors
            .contains(&missing.motor)
            .then(|| format!("{}: cannot be reckoned, the plan does not say {}", name(missing.motor), missing.missing)),
    });
    told.collect()
}

/// The readings of the bench test, what they should be, and room to write them.
fn readings(bench: &BenchTest, wiring: plan::tables::Wiring, hand: plan::tables::Hand, index: usize) -> Table {
    let columns = vec![
        Column::short("reading"),
        Column::short("set"),
        Column::short("touch"),
        Column::words("that is"),
        Column::short("due"),
        Column::boxes("read"),
    ];
    let mut table = Table::new("turnout", columns);
    table.name = format!("turnout-{}-readings", index + 1).into();
    for (n, reading) in bench.readings.iter().enumerate() {
        let position = match (hand, reading.position) {
            (plan::tables::Hand::Wye, 0) => "left",
            (plan::tables::Hand::Wye, _) => "right",
            (_, 0) => "through",
            _ => "diverging",
        };
        let [one, other] = reading.points(hand);
        let words = if one == other {
            format!("two places on the {}", one.words(hand))
        } else {
            format!("{}, {}", one.words(hand), other.words(hand))
        };
        table.push(
            None,
            vec![
                Cell::words((n + 1).to_string()),
                Cell::words(position),
                Cell::words(format!("{}–{}", one.letters(), other.letters())),
                Cell::words(words),
                Cell::words(if reading.of(wiring, hand) { "joined" } else { "open" }),
                Cell::Box,
            ],
        );
    }
    table
}
