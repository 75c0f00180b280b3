//! The feeder list: where to drill and where each feeder taps its bus.

use super::{Sheets, number, paper};
use crate::paper::{Block, Cell, Paper, Table, TableColumn};
use crate::poles::rgb;
use circuit::Spot;

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let words = "Each feeder goes down through a hole beside its rail. The hole stands at the place told, along the rail from \
                 the track's `from` end; drill outside the rail where the track bends, and keep clear of what runs below.";
    paper(
        "feeders",
        "Feeder list",
        vec![
            Block::Text(words.to_owned()),
            Block::Caution("Look below before you drill: buses and joists.".to_owned()),
            Block::Table(table(sheets)),
        ],
    )
}

fn table(sheets: &Sheets<'_>) -> Table {
    let unit = sheets.job.choices.units.short();
    let mut table = Table::new(
        "feeders",
        vec![
            TableColumn::short("number"),
            TableColumn::short("rail"),
            TableColumn::number("hole at", unit),
            TableColumn::words("where"),
            TableColumn::short("colour"),
            TableColumn::short("size"),
            TableColumn::number("cut", unit),
            TableColumn::words("taps"),
            TableColumn::boxes("drilled"),
            TableColumn::boxes("soldered"),
            TableColumn::boxes("tapped"),
        ],
    );
    let nodes = &sheets.job.facts.circuit.nodes;
    for wire in sheets.wires.iter().filter(|w| w.what == "feeder") {
        let spot = wire.ends[0].node.map(|node| &nodes[node].spot);
        let (group, rail, x, place) = match spot {
            Some(Spot::Rail { track, side, x, .. }) => (
                sheets.job.facts.plan.track[*track].name.value.clone(),
                side.word(),
                sheets.exact(*x),
                super::gap_words::visible(sheets, *track, *x),
            ),
            _ => (wire.ends[0].words.clone(), "", Cell::Empty, "the deck's middle; over the pivot".to_owned()),
        };
        table.push(
            Some(group),
            vec![
                number(wire.number),
                Cell::words(rail),
                x,
                Cell::words(place),
                wire.colour.map_or(Cell::Empty, |word| Cell::Colour { word: word.to_owned(), rgb: rgb(word) }),
                wire.size.as_ref().map_or(Cell::Empty, Cell::words),
                wire.cut().map_or(Cell::Empty, |cut| sheets.length(cut)),
                Cell::words(&wire.ends[1].words),
                Cell::Box,
                Cell::Box,
                Cell::Box,
            ],
        );
    }
    table
}
