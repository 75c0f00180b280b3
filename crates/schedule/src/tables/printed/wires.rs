//! The wire list, what is on each bus, the feeder list and the strips, as they are printed.

use super::{colour, cut, end, length_column, starred_cell};
use crate::paper::{Cell, Table, TableColumn};
use crate::tables::{Sheets, number};
use crate::wires::ScheduledWire;
use circuit::Spot;

/// Every wire once, in the order of their numbers.
pub(in crate::tables) fn list(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "wires",
        vec![
            TableColumn::short("no."),
            TableColumn::short("for"),
            TableColumn::words("from"),
            TableColumn::words("to"),
            TableColumn::short("colour"),
            TableColumn::short("size"),
            length_column(sheets, "cut"),
            TableColumn::boxes("done"),
            TableColumn::boxes("tested"),
        ],
    );
    // In usual print the columns for page and square are in its place; the ends of a wire say what it is for.
    let brief_too = sheets.job.choices.large_print;
    if !brief_too {
        table.columns.remove(1);
    }
    for wire in &sheets.printed.wires {
        let size = wire.size.as_ref().map_or(Cell::Empty, Cell::words);
        let cells = vec![
            number(wire.number),
            Cell::words(brief(sheets, wire)),
            Cell::words(end(sheets, wire, 0)),
            Cell::words(end(sheets, wire, 1)),
            colour(wire),
            starred_cell(size, wire.assumed.size),
            cut(sheets, wire),
            Cell::Box,
            Cell::Box,
        ];
        let cells = cells.into_iter().enumerate().filter(|(at, _)| brief_too || *at != 1).map(|cell| cell.1);
        table.push(Some(band(wire)), cells.collect());
    }
    table
}

/// What wires behind each other have in common.
fn band(wire: &ScheduledWire) -> String {
    if wire.what == "bond" {
        return "Bonds inside trackwork: look whether its maker has made them".to_owned();
    }
    let bundle = if wire.bundle.is_empty() { String::new() } else { format!("Bundle {}", wire.bundle) };
    let districts = wire.districts.join(", ");
    let words = match (bundle.is_empty(), districts.is_empty()) {
        (false, false) => format!("{bundle}; district {districts}"),
        (true, false) => format!("District {districts}"),
        (_, true) => bundle,
    };
    match wire.plug {
        Some(_) => super::starred(format!("{words}; with a plug"), wire.assumed.plug),
        None => words,
    }
}

/// What a wire is for, where its ends say the rest.
fn brief(sheets: &Sheets<'_>, wire: &ScheduledWire) -> &'static str {
    let to = wire.ends[1].node.map(|node| &sheets.job.facts.circuit.nodes[node].spot);
    match (wire.what, to) {
        ("contact wire", Some(Spot::Work { .. })) => "frog",
        ("contact wire", Some(Spot::Rail { .. })) => "rail",
        ("contact wire", Some(Spot::Terminal { .. })) => "link",
        ("contact wire", _) => "contact",
        ("motor wire", _) => "motor",
        ("driver wire", _) => "power",
        (what, _) => what,
    }
}

/// What taps each conductor of a bus; the rows are those of the file, without the words for what a wire does.
pub(in crate::tables) fn taps(sheets: &Sheets<'_>, whole: &Table) -> Table {
    let mut table = Table::new(
        "bus-taps",
        vec![
            length_column(sheets, "at"),
            TableColumn::short("wire"),
            TableColumn::words("its other end"),
            TableColumn::boxes("tapped"),
        ],
    );
    for row in &whole.rows {
        let [at, wire, _, other, _] = row.cells.as_slice() else { continue };
        table.push(row.group.clone(), vec![at.clone(), wire.clone(), other.clone(), Cell::Box]);
    }
    table
}

/// One row of the feeder list: a wire and which of its ends is soldered from above.
pub(in crate::tables) struct DrilledRow<'w> {
    pub(in crate::tables) wire: &'w ScheduledWire,
    pub(in crate::tables) end: usize,
    pub(in crate::tables) track: String,
    pub(in crate::tables) rail: &'static str,
    pub(in crate::tables) at: Cell,
    pub(in crate::tables) place: String,
}

/// What is drilled and soldered from above.
pub(in crate::tables) fn feeders(sheets: &Sheets<'_>, rows: &[DrilledRow<'_>]) -> Table {
    let mut table = Table::new(
        "feeders",
        vec![
            TableColumn::short("no."),
            TableColumn::words("track"),
            TableColumn::short("rail"),
            length_column(sheets, "hole at"),
            TableColumn::words("where"),
            TableColumn::short("colour"),
            TableColumn::words("goes to"),
            TableColumn::boxes("hole"),
            TableColumn::boxes("rail"),
            TableColumn::boxes("bus"),
        ],
    );
    for row in rows {
        table.push(
            None,
            vec![
                number(row.wire.number),
                Cell::words(&row.track),
                Cell::words(row.rail),
                row.at.clone(),
                Cell::words(&row.place),
                colour(row.wire),
                Cell::words(end(sheets, row.wire, 1 - row.end)),
                Cell::Box,
                Cell::Box,
                Cell::Box,
            ],
        );
    }
    table
}

/// One position of a strip.
pub(in crate::tables) struct StripRow<'w> {
    pub(in crate::tables) strip: String,
    pub(in crate::tables) count: usize,
    pub(in crate::tables) terminal: String,
    pub(in crate::tables) bridged: bool,
    pub(in crate::tables) wire: &'w ScheduledWire,
    pub(in crate::tables) end: usize,
}

/// What is at each position of each strip.
pub(in crate::tables) fn strips<'w>(sheets: &Sheets<'_>, rows: impl Iterator<Item = StripRow<'w>>) -> Table {
    let mut table = Table::new(
        "strips",
        vec![
            TableColumn::short("pos."),
            TableColumn::words("left: terminal"),
            TableColumn::short("right: wire"),
            TableColumn::short("colour"),
            TableColumn::words("goes to"),
            TableColumn::boxes("done"),
        ],
    );
    for row in rows {
        let terminal = if row.bridged { format!("{}, bridge", row.terminal) } else { row.terminal };
        table.push(
            Some(row.strip),
            vec![
                Cell::words(row.count.to_string()),
                Cell::words(terminal),
                number(row.wire.number),
                colour(row.wire),
                Cell::words(end(sheets, row.wire, 1 - row.end)),
                Cell::Box,
            ],
        );
    }
    table
}

/// What stands on the label at one end of a wire.
pub(in crate::tables) fn label(sheets: &Sheets<'_>, wire: &ScheduledWire, at: usize) -> String {
    format!("{} {}", ["to", "from"][at], end(sheets, wire, 1 - at))
}
