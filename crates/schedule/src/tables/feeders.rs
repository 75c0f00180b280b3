//! The feeder list: where to drill for what ends on a rail or frog, and where it goes.

use super::printed::{self, wires::DrilledRow};
use super::{Sheets, number, paper};
use crate::paper::{Block, Cell, Paper, Table, TableColumn};
use crate::poles::rgb;
use crate::wires::ScheduledWire;
use circuit::Spot;

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let words = "Every wire that ends on a rail or frog is drilled and soldered from above, before that piece is out of reach: \
                 feeders and the wires of contacts. The hole stands at the place named, along the rail from the track's `from` \
                 end; drill outside the rail where the track bends, and keep clear of what runs below.";
    let caution = Block::Caution("Look below before you drill: buses and joists.".to_owned());
    let rows = rows(sheets, true);
    let printed = vec![
        Block::Text(format!(
            "{words} Sizes and lengths stand in the wire list. Tick `hole` when it is drilled, `rail` when the wire is soldered there, `bus` when its other end is connected. {}",
            printed::STAR
        )),
        caution.clone(),
        Block::Table(printed::wires::feeders(sheets, &rows)),
    ];
    let blocks = vec![Block::Text(words.to_owned()), caution, Block::Table(table(sheets))];
    paper("feeders", "Feeder list", blocks).with_print(printed)
}

/// The end of a wire that is on a rail or trackwork: of a feeder the first, of a contact's wire the second where it is one.
fn rail_end(sheets: &Sheets<'_>, wire: &ScheduledWire) -> usize {
    if wire.what == "feeder" {
        return 0;
    }
    let spot = wire.ends[1].node.map(|node| &sheets.job.facts.circuit.nodes[node].spot);
    usize::from(matches!(spot, Some(Spot::Rail { .. } | Spot::Work { .. })))
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
            TableColumn::short("assumed"),
            TableColumn::number("cut", unit),
            TableColumn::words("goes to"),
            TableColumn::boxes("drilled"),
            TableColumn::boxes("soldered"),
            TableColumn::boxes("connected"),
        ],
    );
    for row in rows(sheets, false) {
        let DrilledRow { wire, end, track, rail, at, place } = row;
        let place =
            if wire.ends[end].node.is_some_and(|n| matches!(sheets.job.facts.circuit.nodes[n].spot, Spot::Rail { .. }))
            {
                format!("{track}, {place}")
            } else {
                place
            };
        table.push(
            Some(track),
            vec![
                number(wire.number),
                Cell::words(rail),
                at,
                Cell::words(place),
                wire.colour.map_or(Cell::Empty, |word| Cell::Colour { word: word.to_owned(), rgb: rgb(word) }),
                wire.size.as_ref().map_or(Cell::Empty, Cell::words),
                Cell::words(wire.assumed.words()),
                wire.cut().map_or(Cell::Empty, |cut| sheets.length(cut)),
                Cell::words(&wire.ends[1 - end].words),
                Cell::Box,
                Cell::Box,
                Cell::Box,
            ],
        );
    }
    table
}

/// What is drilled and soldered from above, track by track.
fn rows<'w>(sheets: &'w Sheets<'_>, printed: bool) -> Vec<DrilledRow<'w>> {
    let wires = if printed { &sheets.printed.wires } else { &sheets.wires };
    let nodes = &sheets.job.facts.circuit.nodes;
    // A wire from below that ends on a rail or frog is drilled and soldered from above, as a feeder is.
    let above =
        |wire: &&ScheduledWire| wire.what == "feeder" || (wire.what == "contact wire" && rail_end(sheets, wire) == 1);
    let mut rows: Vec<(usize, &ScheduledWire)> =
        wires.iter().filter(above).map(|wire| (rail_end(sheets, wire), wire)).collect();
    // Track by track, whatever the wire is.
    let track = |(end, wire): &(usize, &ScheduledWire)| match wire.ends[*end].node.map(|node| &nodes[node].spot) {
        Some(Spot::Rail { track, x, .. }) => (0, *track, (x * 1e5) as i64),
        _ => (1, 0, 0),
    };
    rows.sort_by_key(|row| (track(row), row.1.number));
    let row = |(end, wire): (usize, &'w ScheduledWire)| {
        let spot = wire.ends[end].node.map(|node| &nodes[node].spot);
        let (track, rail, at, place) = match spot {
            Some(Spot::Rail { track, side, x, .. }) => (
                sheets.job.facts.plan.track[*track].name.value.clone(),
                side.word(),
                if printed { printed::length(sheets, *x) } else { sheets.exact(*x) },
                super::gap_words::visible_from(sheets, *track, *x, printed),
            ),
            Some(Spot::Work { kind, index, .. }) if wire.what == "contact wire" => (
                sheets.places.name(*kind, *index).to_owned(),
                "frog",
                Cell::Empty,
                "under the frog; solder it before the trackwork is fixed".to_owned(),
            ),
            _ => (wire.ends[end].words.clone(), "", Cell::Empty, "the deck's middle; over the pivot".to_owned()),
        };
        DrilledRow { wire, end, track, rail, at, place }
    };
    rows.into_iter().map(row).collect()
}
