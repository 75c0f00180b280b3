//! Turnouts and other trackwork as they are printed: what is said of a kind once, then each turnout in a few lines, then a row of
//! boxes for the readings of each.

use crate::paper::{Block, Cell, Table, TableColumn};
use analysis::turnout_readings::TurnoutReadings;
use plan::tables::{Hand, Wiring};

/// A turnout.
pub(in crate::tables) struct TurnoutRow {
    pub(in crate::tables) name: String,
    pub(in crate::tables) hand: Hand,
    pub(in crate::tables) wiring: Wiring,
    /// What is told of it, with the word for it.
    pub(in crate::tables) told: Vec<(&'static str, Vec<String>)>,
}

/// A piece of trackwork without bench readings.
pub(in crate::tables) struct WorkRow {
    pub(in crate::tables) name: String,
    pub(in crate::tables) told: Vec<(&'static str, Vec<String>)>,
}

/// All of them.
pub(in crate::tables) fn blocks(turnouts: &[TurnoutRow], others: &[WorkRow], bench: &TurnoutReadings) -> Vec<Block> {
    let mut blocks = Vec::new();
    if !turnouts.is_empty() {
        blocks.push(Block::Table(types(turnouts)));
    }
    let mut each = Table::new("turnouts", vec![TableColumn::words("what"), TableColumn::words("told")]);
    let with_kind =
        turnouts.iter().map(|t| (format!("Turnout {}: {}, {}", t.name, t.hand.word(), t.wiring.word()), &t.told));
    let others = others.iter().map(|o| (o.name.clone(), &o.told));
    for (words, told) in with_kind.chain(others) {
        for (what, lines) in told.iter().filter(|(_, lines)| !lines.is_empty()) {
            each.push(Some(words.clone()), vec![Cell::words(*what), Cell::words(lines.join("; "))]);
        }
    }
    blocks.push(Block::Table(each));
    if turnouts.is_empty() {
        return blocks;
    }
    blocks.push(Block::Heading("Bench readings before a turnout is laid".to_owned()));
    blocks.push(Block::Text(
        "With nothing wired: six readings with an ohmmeter say whether a turnout is the type it should be. What each is due to read \
         stands first; tick it at the turnout where it does."
            .to_owned(),
    ));
    blocks.push(Block::Table(due(turnouts, bench)));
    blocks.push(Block::Table(ticks(turnouts, bench)));
    blocks
}

/// The kinds of turnouts there are, each once.
fn kinds(turnouts: &[TurnoutRow]) -> Vec<(Wiring, Hand)> {
    let mut kinds: Vec<(Wiring, Hand)> = Vec::new();
    for turnout in turnouts {
        if !kinds.contains(&(turnout.wiring, turnout.hand)) {
            kinds.push((turnout.wiring, turnout.hand));
        }
    }
    kinds
}

fn types(turnouts: &[TurnoutRow]) -> Table {
    let columns = vec![
        TableColumn::words("type"),
        TableColumn::words("what it is"),
        TableColumn::words("gaps must stand"),
        TableColumn::words("goes wrong"),
    ];
    let mut table = Table::new("turnout-types", columns);
    let mut said: Vec<Wiring> = Vec::new();
    for (wiring, _) in kinds(turnouts) {
        if said.contains(&wiring) {
            continue;
        }
        said.push(wiring);
        let words = circuit::trackwork::touch_points::words(wiring);
        let cells = [wiring.word(), words.title, words.gaps, words.goes_wrong];
        table.push(None, cells.into_iter().map(Cell::words).collect());
    }
    table
}

/// What each reading is due to be, for each kind.
fn due(turnouts: &[TurnoutRow], bench: &TurnoutReadings) -> Table {
    let columns = vec![
        TableColumn::short("reading"),
        TableColumn::short("set"),
        TableColumn::short("touch"),
        TableColumn::words("that is"),
        TableColumn::short("due"),
    ];
    let mut table = Table::new("turnout-readings-due", columns);
    for (wiring, hand) in kinds(turnouts) {
        for (n, reading) in bench.readings.iter().enumerate() {
            let position = position_word(hand, reading.position);
            let [one, other] = reading.points(hand);
            let words = if one == other {
                format!("two places on the {}", one.words(hand))
            } else {
                format!("{}, {}", one.words(hand), other.words(hand))
            };
            table.push(
                Some(format!("{}, {}", hand.word(), wiring.word())),
                vec![
                    Cell::words((n + 1).to_string()),
                    Cell::words(position),
                    Cell::words(format!("{}–{}", one.letters(), other.letters())),
                    Cell::words(words),
                    Cell::words(if reading.reads(wiring, hand) { "joined" } else { "open" }),
                ],
            );
        }
    }
    table
}

/// A box for each reading of each turnout.
fn ticks(turnouts: &[TurnoutRow], bench: &TurnoutReadings) -> Table {
    let mut columns = vec![TableColumn::words("turnout")];
    columns.extend(
        (1..=bench.readings.len()).map(|n| TableColumn { title: n.to_string().into(), ..TableColumn::boxes("") }),
    );
    let mut table = Table::new("turnout-readings", columns);
    for (wiring, hand) in kinds(turnouts) {
        for turnout in turnouts.iter().filter(|t| (t.wiring, t.hand) == (wiring, hand)) {
            let cells = std::iter::once(Cell::words(&turnout.name)).chain(bench.readings.iter().map(|_| Cell::Box));
            table.push(Some(format!("{}, {}", hand.word(), wiring.word())), cells.collect());
        }
    }
    table
}

/// The word for a position of a turnout: 0 is the first.
pub(in crate::tables) fn position_word(hand: Hand, position: u8) -> &'static str {
    match (hand, position) {
        (Hand::Wye, 0) => "left",
        (Hand::Wye, _) => "right",
        (_, 0) => "through",
        _ => "diverging",
    }
}
