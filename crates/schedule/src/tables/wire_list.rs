//! The wire list.

use super::{Sheets, number, paper};
use crate::paper::{Block, Cell, Column, Paper, Table};
use crate::poles::rgb;
use handbook::limits::WIRE_SLACK;
use handbook::quantity::{Metres, Quantity};

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let (share, ends) = WIRE_SLACK.value;
    let units = sheets.job.choices.units;
    let mut blocks = vec![Block::Text(format!(
        "Every wire once. It is cut {:.0} % and {} longer than it runs ({}); where no length stands, measure it on the \
         layout. Each end has a label with the wire's number and, small, where the other end is.",
        share.si() * 100.0,
        units.words(ends),
        WIRE_SLACK.source
    ))];
    if sheets.wires.iter().any(|w| w.run.is_some() && !w.run_said) {
        blocks.push(Block::Text(format!(
            "Lengths marked ~ are not in the plan; {} stands in for them, so measure these first.",
            units.words(handbook::limits::FEEDER_LENGTH.value)
        )));
    }
    blocks.push(Block::Caution(
        "Low voltage still starts fires: no wire thinner than the breaker above it protects. The iron's flux fume harms \
         the lungs: draw it off. Wash your hands after solder with lead."
            .to_owned(),
    ));
    blocks.push(Block::Table(table(sheets)));
    paper("wire-list", "Wire list", blocks)
}

pub(super) fn table(sheets: &Sheets<'_>) -> Table {
    let unit = sheets.job.choices.units.short();
    let mut table = Table::new(
        "wires",
        vec![
            Column::short("number"),
            Column::words("what"),
            Column::words("function"),
            Column::words("from"),
            Column::words("to"),
            Column::short("colour"),
            Column::short("size"),
            Column::number("run", unit),
            Column::short("said"),
            Column::number("cut", unit),
            Column::words("bundle"),
            Column::words("district"),
            Column::boxes("done"),
            Column::boxes("tested"),
        ],
    );
    for wire in &sheets.wires {
        let said = match wire.run {
            None if wire.size.is_none() => "",
            None => "measure",
            Some(_) if !wire.run_said => "~",
            Some(_) => "",
        };
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
                Cell::words(said),
                wire.cut().map_or(Cell::Empty, |cut| sheets.length(cut)),
                Cell::words(&wire.bundle),
                Cell::words(wire.districts.join(", ")),
                Cell::Box,
                Cell::Box,
            ],
        );
    }
    table
}

/// A length in words; for papers that name one.
#[allow(dead_code)]
pub(super) fn length_words(sheets: &Sheets<'_>, metres: f64) -> String {
    sheets.job.choices.units.words(Metres(metres))
}
