//! Turnout sheets: one for each turnout, and one for each other piece of trackwork.

use super::gap_words::visible;
use super::printed::{self, turnouts::TurnoutRow, turnouts::WorkRow};
use super::{Sheets, paper};
use crate::number::Number;
use crate::paper::{Block, Cell, Paper, Table, TableColumn};
use analysis::turnout_readings::TurnoutReadings;
use circuit::{Part, RailOwner};
use handbook::quantity::{Metres, Newtons};
use movement::linkage::{Linkage, LinkageNotTold, linkages};
use plan::{EndOf, Kind};
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let facts = &sheets.job.facts;
    let lines = facts.lines();
    let bench = TurnoutReadings::find();
    let at = AtWork::from_sheets(sheets);
    let (mut blocks, mut turnouts, mut others) = (Vec::new(), Vec::new(), Vec::new());
    for index in 0..facts.plan.turnout.len() {
        let name = &facts.plan.turnout[index].name.value;
        let wired = facts.wired_to_turnout(index, &lines);
        let type_words = circuit::trackwork::touch_points::words(wired.wiring);
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
        let told = rows.split_off(4);
        turnouts.push(TurnoutRow {
            name: name.clone(),
            hand: wired.hand,
            wiring: wired.wiring,
            // What its contacts join stands in the contact allocation.
            told: told
                .iter()
                .filter(|row| row.0 != "contacts")
                .cloned()
                .chain(at.numbers((Kind::Turnout, index)))
                .collect(),
        });
        rows.extend(told);
        rows.extend(at.rows((Kind::Turnout, index)));
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
            others.push(WorkRow {
                name: format!("{} {}", capital(kind.word()), name.value),
                told: at.numbers((kind, index)),
            });
            blocks.push(Block::Table(facts_table(slug, at.rows((kind, index)))));
        }
    }
    if blocks.is_empty() {
        blocks.push(Block::Text("The plan has no turnout.".to_owned()));
        return paper("turnouts", "Turnout sheets", blocks).with_print(Vec::new());
    }
    let printed = printed::turnouts::blocks(&turnouts, &others, &bench);
    paper("turnouts", "Turnout sheets", blocks).with_print(printed)
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
    let mut table = Table::new("turnout", vec![TableColumn::short("what"), TableColumn::words("told")]);
    table.name = name.into();
    for (what, shown) in rows {
        for (i, words) in shown.into_iter().enumerate() {
            table.push(None, vec![if i == 0 { Cell::words(what) } else { Cell::Empty }, Cell::words(words)]);
        }
    }
    table
}

/// What is wired, cut and moved at each piece of trackwork, gathered once for all sheets.
#[derive(Default)]
struct AtWork {
    wires: BTreeMap<(Kind, usize), Vec<String>>,
    gaps: BTreeMap<(Kind, usize), Vec<String>>,
    addresses: BTreeMap<(Kind, usize), Vec<String>>,
    linkages: BTreeMap<(Kind, usize), Vec<String>>,
    /// Numbers of wires, and of gaps.
    wire_numbers: BTreeMap<(Kind, usize), BTreeSet<Number>>,
    gap_numbers: BTreeMap<(Kind, usize), BTreeSet<Number>>,
}

impl AtWork {
    fn from_sheets(sheets: &Sheets<'_>) -> AtWork {
        let facts = &sheets.job.facts;
        let mut at = AtWork::default();
        for wire in &sheets.wires {
            let ends = [0, 1].map(|end| wire.ends[end].point.thing);
            let things: BTreeSet<(Kind, usize)> = ends.into_iter().flatten().collect();
            let cut = wire.cut().map(|cut| sheets.job.choices.units.length(Metres(cut)));
            let assumed = wire.assumed.words();
            let assumed = if assumed.is_empty() { assumed } else { format!(" (assumed: {assumed})") };
            let cut = cut.map_or_else(String::new, |cut| format!(", cut {cut}"));
            let [from, to] = [0, 1].map(|end| &wire.ends[end].words);
            let words = format!("{} {}: {from} — {to}{cut}{assumed}", wire.number, wire.function);
            for thing in things {
                at.wires.entry(thing).or_default().push(words.clone());
                at.wire_numbers.entry(thing).or_default().insert(wire.number);
            }
            // What throws it stands on its sheet too.
            if let Some(Part::MotorWire { motor, .. }) = wire.edges.first().map(|&e| &facts.circuit.edges[e].part) {
                let moved = facts.plan.motor[*motor].moves.0.iter().filter_map(|t| facts.names.moved(&t.value).ok());
                let works: BTreeSet<(Kind, usize)> = moved.map(|m| (m.kind, m.index)).collect();
                for work in works {
                    at.wires.entry(work).or_default().push(words.clone());
                    at.wire_numbers.entry(work).or_default().insert(wire.number);
                }
            }
        }
        at.gather_gaps(sheets);
        // What each motor moves.
        let mut moved: BTreeMap<usize, BTreeSet<(Kind, usize)>> = BTreeMap::new();
        for (index, motor) in facts.plan.motor.iter().enumerate() {
            let works = motor.moves.0.iter().filter_map(|t| facts.names.moved(&t.value).ok());
            moved.insert(index, works.map(|m| (m.kind, m.index)).collect());
        }
        let works = |motor: usize| moved.get(&motor).into_iter().flatten().copied();
        for row in facts.addresses().rows {
            let Some((Kind::Motor, motor)) = facts.names.get(&row.motor) else { continue };
            let sets = row.sets.iter().map(|s| format!("output {} sets {}", u8::from(s.output), s.position));
            let words = format!("{}: {}; {}", row.motor, row.number, sets.collect::<Vec<_>>().join(", "));
            works(motor).for_each(|work| at.addresses.entry(work).or_default().push(words.clone()));
        }
        for found in linkages(facts.plan, facts.names) {
            let (motor, words) = linkage_words(sheets, found);
            works(motor).for_each(|work| at.linkages.entry(work).or_default().push(words.clone()));
        }
        at
    }

    /// Gaps of a piece of trackwork, and of the tracks at its ends those in the half towards it.
    fn gather_gaps(&mut self, sheets: &Sheets<'_>) {
        let facts = &sheets.job.facts;
        let circuit = &facts.circuit;
        let mut seen = BTreeSet::new();
        for gap in &circuit.gaps {
            let number = sheets.job.numbers.of_gap(gap.before, gap.after);
            let Some(number) = number.filter(|&n| seen.insert(n)) else { continue };
            match &circuit.segments[gap.segment].owner {
                RailOwner::Work { kind, index, .. } => {
                    self.gap_numbers.entry((*kind, *index)).or_default().insert(number);
                    self.gaps.entry((*kind, *index)).or_default().push(format!("{number} built in"));
                }
                RailOwner::Track(index) => {
                    let track = &facts.plan.track[*index];
                    let near = gap.x <= circuit.segments[gap.segment].length / 2.0;
                    let text = if near { &track.from } else { &track.to };
                    if let Ok(EndOf::Work(kind, work, _)) = facts.names.end(facts.plan, &text.value) {
                        let side = gap.side.word();
                        let words = format!("{number} {side} rail: {}", visible(sheets, *index, gap.x));
                        self.gap_numbers.entry((kind, work)).or_default().insert(number);
                        self.gaps.entry((kind, work)).or_default().push(words);
                    }
                }
            }
        }
    }

    /// The same for print: wires and gaps by their numbers.
    fn numbers(&self, work: (Kind, usize)) -> Vec<(&'static str, Vec<String>)> {
        let of = |list: &BTreeMap<(Kind, usize), BTreeSet<Number>>| {
            let numbers = list.get(&work).into_iter().flatten().copied();
            Some(crate::in_runs(numbers)).filter(|words| !words.is_empty()).into_iter().collect()
        };
        let words = |list: &BTreeMap<(Kind, usize), Vec<String>>| list.get(&work).cloned().unwrap_or_default();
        vec![
            ("wires", of(&self.wire_numbers)),
            ("gaps", of(&self.gap_numbers)),
            ("address", words(&self.addresses)),
            ("linkage", words(&self.linkages)),
        ]
    }

    /// What is reported of every piece of trackwork.
    fn rows(&self, work: (Kind, usize)) -> Vec<(&'static str, Vec<String>)> {
        let of = |list: &BTreeMap<(Kind, usize), Vec<String>>| list.get(&work).cloned().unwrap_or_default();
        vec![
            ("wires", of(&self.wires)),
            ("gaps", of(&self.gaps)),
            ("address", of(&self.addresses)),
            ("linkage", of(&self.linkages)),
        ]
    }
}

/// What a motor's throw wire does.
fn linkage_words(sheets: &Sheets<'_>, found: Result<Linkage, LinkageNotTold>) -> (usize, String) {
    let name = |motor: usize| &sheets.job.facts.plan.motor[motor].name.value;
    let mm = |metres: f64| sheets.job.choices.units.fine(metres);
    match found {
        Ok(l) => {
            let words = format!(
                "{}: wire {}, {} below and {} above the fulcrum, arm travels {}; hole of {}; presses {} as usual",
                name(l.motor),
                mm(l.wire.diameter),
                mm(l.wire.below),
                mm(l.wire.above),
                mm(l.travel),
                mm(l.hole.unwrap_or(l.fit.hole)),
                sheets.job.choices.units.force(Newtons(l.fit.force.typical))
            );
            (l.motor, words)
        }
        Err(missing) => {
            let words =
                format!("{}: cannot be worked out, the plan does not say {}", name(missing.motor), missing.missing);
            (missing.motor, words)
        }
    }
}

/// The readings of the bench test, what they should be, and room to write them.
fn readings(bench: &TurnoutReadings, wiring: plan::tables::Wiring, hand: plan::tables::Hand, index: usize) -> Table {
    let columns = vec![
        TableColumn::short("reading"),
        TableColumn::short("set"),
        TableColumn::short("touch"),
        TableColumn::words("that is"),
        TableColumn::short("due"),
        TableColumn::boxes("read"),
    ];
    let mut table = Table::new("turnout", columns);
    table.name = format!("turnout-{}-readings", index + 1).into();
    for (n, reading) in bench.readings.iter().enumerate() {
        let position = printed::turnouts::position_word(hand, reading.position);
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
                Cell::words(if reading.reads(wiring, hand) { "joined" } else { "open" }),
                Cell::Box,
            ],
        );
    }
    table
}
