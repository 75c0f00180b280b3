//! Terminal-strip schedules: one strip at each driver, motor, relay, toggle, reverser and supply.
//!
//! On the left of a strip is what belongs to the device, on the right what goes away from it. Of several wires at one
//! terminal each has a position of its own, bridged to the one above.

use super::printed::{self, wires::StripRow};
use super::{Sheets, number, paper};
use crate::number::Number;
use crate::paper::{Block, Cell, Label, Paper, Table, TableColumn};
use crate::poles::rgb;
use crate::wires::ScheduledWire;
use plan::Kind;
use std::collections::BTreeMap;

/// Devices whose wires end at a strip, in the order of the strips.
const WITH_STRIPS: [Kind; 7] =
    [Kind::Supply, Kind::Driver, Kind::Motor, Kind::Relay, Kind::Toggle, Kind::Reverser, Kind::Detector];

/// A position of a strip.
struct Position<'w> {
    strip: String,
    count: usize,
    terminal: String,
    bridged: bool,
    wire: &'w ScheduledWire,
    /// The wire's end here.
    end: usize,
}

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let words = "One strip at each driver, motor, relay, toggle, reverser and supply. Left goes what belongs to the device, right the \
                 wire that leaves it. A position marked `bridge` is joined to the one above it by a bridge or a short link.";
    let rows = positions(sheets, &sheets.printed.wires).into_iter().map(|p| {
        let Position { strip, count, terminal, bridged, wire, end } = p;
        StripRow { strip, count, terminal, bridged, wire, end }
    });
    let printed =
        vec![Block::Text(format!("{words} {}", printed::STAR)), Block::Table(printed::wires::strips(sheets, rows))];
    let blocks = vec![Block::Text(words.to_owned()), Block::Table(table(sheets))];
    paper("terminal-strips", "Terminal strips", blocks).with_print(printed)
}

/// The wires of a strip by terminal, number and which of their ends is here.
type Strip<'w> = BTreeMap<(String, Number, usize), &'w ScheduledWire>;

fn positions<'w>(sheets: &Sheets<'_>, wires: &'w [ScheduledWire]) -> Vec<Position<'w>> {
    let mut strips: BTreeMap<(usize, usize), Strip<'w>> = BTreeMap::new();
    for wire in wires {
        for end in 0..2 {
            let point = &wire.ends[end].point;
            let Some((kind, index)) = point.thing else { continue };
            let Some(order) = WITH_STRIPS.iter().position(|k| *k == kind) else { continue };
            let strip = strips.entry((order, index)).or_default();
            strip.insert((point.part.clone(), wire.number, end), wire);
        }
    }
    let mut list = Vec::new();
    for ((order, index), wires) in strips {
        let strip = format!("strip at {}", sheets.places.name(WITH_STRIPS[order], index));
        let mut last: Option<String> = None;
        for (count, ((terminal, _, end), wire)) in wires.into_iter().enumerate() {
            let bridged = last.as_deref() == Some(&terminal);
            last = Some(terminal.clone());
            list.push(Position { strip: strip.clone(), count: count + 1, terminal, bridged, wire, end });
        }
    }
    list
}

fn table(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "strips",
        vec![
            TableColumn::short("position"),
            TableColumn::words("left: terminal"),
            TableColumn::short("right: wire"),
            TableColumn::short("colour"),
            TableColumn::short("assumed"),
            TableColumn::words("goes to"),
            TableColumn::short("bridge"),
            TableColumn::boxes("done"),
        ],
    );
    for position in positions(sheets, &sheets.wires) {
        let Position { strip, count, terminal, bridged, wire, end } = position;
        table.push(
            Some(strip),
            vec![
                Cell::words(count.to_string()),
                Cell::words(terminal),
                number(wire.number),
                wire.colour.map_or(Cell::Empty, |word| Cell::Colour { word: word.to_owned(), rgb: rgb(word) }),
                if wire.assumed.colour { Cell::words("colour") } else { Cell::Empty },
                Cell::words(&wire.ends[1 - end].words),
                if bridged { Cell::words("bridge") } else { Cell::Empty },
                Cell::Box,
            ],
        );
    }
    table
}

/// One label for each strip, saying what is on it.
pub(super) fn labels(sheets: &Sheets<'_>) -> Vec<Label> {
    let mut counts: Vec<(String, usize)> = Vec::new();
    for position in positions(sheets, &sheets.wires) {
        match counts.last_mut().filter(|(strip, _)| *strip == position.strip) {
            Some((_, count)) => *count = position.count,
            None => counts.push((position.strip, position.count)),
        }
    }
    let label = |(strip, count): (String, usize)| Label {
        number: strip.trim_start_matches("strip at ").to_owned(),
        says: format!("strip, positions 1 to {count}"),
    };
    counts.into_iter().map(label).collect()
}

/// How many positions all strips have.
pub(super) fn count(sheets: &Sheets<'_>) -> usize {
    positions(sheets, &sheets.wires).len()
}
