//! The wire list.

use super::{Sheets, milliohms, number, paper, printed};
use crate::items::ItemEnd;
use crate::paper::{Block, Cell, ColumnSet, Paper, Table, TableColumn};
use crate::poles::rgb;
use crate::wires::{ScheduledWire, WireAssumed};
use handbook::limits::{FEEDER_LENGTH, WIRE_SLACK, usual_feeder_wire};
use handbook::quantity::Quantity;
use plan::Kind;

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let (share, ends) = WIRE_SLACK.value;
    let units = sheets.job.choices.units;
    let mut blocks = vec![Block::Text(format!(
        "Every wire once. It is cut {:.0} % and {} longer than it runs ({}); where no length stands, measure it on the \
         layout. Each end has a label with the wire's number and, small, where the other end is.",
        share.si() * 100.0,
        units.length(ends),
        WIRE_SLACK.source
    ))];
    if sheets.wires.iter().any(|w| w.assumed != WireAssumed::default()) {
        blocks.push(Block::Text(format!(
            "The column `assumed` names what your plan does not say. A length is then the way along the track between both \
             ends and {} for going down and across; a size is the usual one, {}; a colour is one of ours, which you may change.",
            units.length(FEEDER_LENGTH.value),
            usual_feeder_wire(units)
        )));
    }
    blocks.push(caution());
    let mut printed = vec![Block::Text(format!(
        "Every wire once. It is cut {:.0} % and {} longer than it runs ({}). Each end has a label with the wire's number and where \
         the other end is. {}",
        share.si() * 100.0,
        units.length(ends),
        WIRE_SLACK.source,
        printed::STAR
    ))];
    if sheets.wires.iter().any(|w| w.assumed != WireAssumed::default()) {
        printed.push(Block::Text(format!(
            "A length with a star is the way along the track between both ends and {} for going down and across; a size is the \
             usual one, {}; a colour is one of ours, which you may change; a place on a bus is the nearest point: join it there. \
             Where `measure` stands, measure on the layout.",
            units.length(FEEDER_LENGTH.value),
            usual_feeder_wire(units)
        )));
    }
    printed.push(caution());
    printed.push(Block::Table(printed::wires::list(sheets)));
    // In usual print the schematics of the buses show it.
    if sheets.job.choices.large_print {
        printed.push(Block::Heading("What is on each bus, from its start".to_owned()));
        printed.push(Block::Table(printed::wires::taps(sheets, &taps(sheets, true))));
    }
    blocks.push(Block::Table(table(sheets)));
    blocks.push(Block::Heading("What is on each bus, from its start".to_owned()));
    blocks.push(Block::Table(taps(sheets, false)));
    paper("wire-list", "Wire list", blocks).with_print(printed)
}

fn caution() -> Block {
    Block::Caution(
        "Low voltage still starts fires: no wire thinner than the breaker above it protects. The iron's flux fume harms \
         the lungs: draw it off. Wash your hands after solder with lead."
            .to_owned(),
    )
}

pub(super) fn table(sheets: &Sheets<'_>) -> Table {
    let unit = sheets.job.choices.units.short();
    let mut table = Table::new(
        "wires",
        vec![
            TableColumn::short("number"),
            TableColumn::words("what"),
            TableColumn::words("function"),
            TableColumn::words("from"),
            TableColumn::words("to"),
            TableColumn::short("colour"),
            TableColumn::short("size"),
            TableColumn::number("run", unit),
            TableColumn::short("assumed"),
            TableColumn::number("cut", unit),
            TableColumn::words("bundle"),
            TableColumn::words("district"),
            TableColumn::boxes("done"),
            TableColumn::boxes("tested"),
            TableColumn { set: ColumnSet::File, ..TableColumn::number("plug", "mΩ") },
        ],
    );
    for wire in &sheets.wires {
        let [from, to] = [0, 1].map(|end| Cell::words(&wire.ends[end].words));
        table.push(
            None,
            vec![
                number(wire.number),
                Cell::words(wire.what),
                Cell::words(&wire.function),
                from,
                to,
                wire.colour.map_or(Cell::Empty, |word| Cell::Colour { word: word.to_owned(), rgb: rgb(word) }),
                wire.size.as_ref().map_or(Cell::Empty, Cell::words),
                wire.run.map_or(Cell::Empty, |run| sheets.exact(run)),
                Cell::words(wire.assumed.words()),
                wire.cut().map_or(Cell::Empty, |cut| sheets.length(cut)),
                Cell::words(&wire.bundle),
                Cell::words(wire.districts.join(", ")),
                Cell::Box,
                Cell::Box,
                wire.plug.map_or(Cell::Empty, milliohms),
            ],
        );
    }
    table
}

/// What taps each conductor of a bus, in order along it.
fn taps(sheets: &Sheets<'_>, printed: bool) -> Table {
    let wires = if printed { &sheets.printed.wires } else { &sheets.wires };
    let unit = sheets.job.choices.units.short();
    let columns = vec![
        TableColumn::number("at", unit),
        TableColumn::short("wire"),
        TableColumn::words("function"),
        TableColumn::words("its other end"),
        TableColumn::boxes("tapped"),
    ];
    let mut table = Table::new("bus-taps", columns);
    let on = |wire: &ScheduledWire, end: usize| match (wire.what, &wire.ends[end].point) {
        // A bus's own ends are no taps, but the place where a branch starts is one of its trunk.
        ("bus", point) if end == 1 || point.thing == wire.ends[1].point.thing => None,
        (_, ItemEnd { thing: Some((Kind::Bus, bus)), part, place: Some(place) }) => Some((*bus, part.clone(), *place)),
        _ => None,
    };
    let mut taps: Vec<((usize, String, i64), usize, &ScheduledWire)> = Vec::new();
    for wire in wires {
        taps.extend((0..2).filter_map(|end| Some((on(wire, end)?, end, wire))));
    }
    taps.sort_by(|a, b| (&a.0, a.2.number).cmp(&(&b.0, b.2.number)));
    for ((bus, pole, place), end, wire) in taps {
        let conductor = sheets.job.numbers.of_bus(bus, u8::from(pole == "B"));
        let name = sheets.places.name(Kind::Bus, bus);
        table.push(
            Some(format!("{} {name}.{pole}", conductor.map_or_else(String::new, |n| n.to_string())).trim().to_owned()),
            vec![
                if printed { printed::length(sheets, place as f64 * 1e-5) } else { sheets.exact(place as f64 * 1e-5) },
                number(wire.number),
                Cell::words(&wire.function),
                Cell::words(&wire.ends[1 - end].words),
                Cell::Box,
            ],
        );
    }
    table
}
