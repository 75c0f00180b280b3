//! Address and way tables: for the panel and the handset.

use super::{Sheets, paper, printed, significant};
use crate::paper::{Block, Cell, Paper, Table, TableColumn};
use analysis::addresses::AddressTable;
use analysis::ways_table::WaysTable;
use proof::StorageStanding;

/// The heading above what is live for storage.
const STORAGE: &str = "Storage tracks";

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let facts = &sheets.job.facts;
    let addresses = facts.addresses();
    let ways = facts.all_ways();
    let mut blocks = vec![Block::Heading("Addresses".to_owned()), Block::Table(address_table(&addresses))];
    if !addresses.without.is_empty() {
        blocks.push(Block::Text(format!("Without an address: {}.", addresses.without.join(", "))));
    }
    blocks.push(Block::Heading("Routes".to_owned()));
    if let Some((amps, from)) = &ways.train {
        blocks.push(Block::Text(format!("Volts are the least with {} A ({from}).", significant(*amps, 3))));
    }
    if !ways.complete {
        blocks.push(Block::Text(format!("There are more routes than these {}.", ways.found)));
    }
    blocks.push(Block::Table(way_table(sheets, &ways)));
    if let Some(storage) = &ways.storage {
        blocks.push(Block::Heading(STORAGE.to_owned()));
        blocks.push(Block::Text(format!("When storage tracks are to be live: {}.", storage.policy)));
        blocks.push(Block::Table(storage_table(&ways)));
    }
    let set: Vec<String> = ways.ways.iter().map(|way| printed::operation::positions(&way.set)).collect();
    let live = storage_table(&ways);
    let told_live = blocks.iter().any(|block| matches!(block, Block::Table(table) if table.name == "storage"));
    let mut printed: Vec<Block> = Vec::new();
    for block in &blocks {
        match block {
            Block::Table(table) if table.name == "addresses" => {
                printed.push(Block::Table(printed::operation::addresses(table)));
            }
            Block::Table(table) if table.name == "routes" => {
                printed.push(Block::Table(printed::operation::routes(table, &set, &live)));
            }
            Block::Table(table) if table.name == "storage" => {}
            Block::Heading(words) if told_live && words == STORAGE => {}
            other => printed.push(other.clone()),
        }
    }
    paper("addresses-and-routes", "Addresses and routes", blocks).with_print(printed)
}

fn address_table(addresses: &AddressTable) -> Table {
    let mut table = Table::new(
        "addresses",
        vec![
            TableColumn::short("address"),
            TableColumn::words("motor"),
            TableColumn::words("moves"),
            TableColumn::words("position"),
            TableColumn::short("output"),
            TableColumn::short("packet"),
            TableColumn::boxes("tested"),
        ],
    );
    for row in &addresses.rows {
        for (i, set) in row.sets.iter().enumerate() {
            let first = |words: String| if i == 0 { Cell::words(words) } else { Cell::Empty };
            let bytes: Vec<String> = set.bytes.iter().map(|b| format!("{b:02X}")).collect();
            table.push(
                None,
                vec![
                    first(row.number.to_string()),
                    first(row.motor.clone()),
                    first(row.moves.clone()),
                    Cell::words(&set.position),
                    Cell::words(u8::from(set.output).to_string()),
                    Cell::words(bytes.join(" ")),
                    Cell::Box,
                ],
            );
        }
    }
    table
}

fn way_table(sheets: &Sheets<'_>, ways: &WaysTable) -> Table {
    let unit = sheets.job.choices.units.short();
    let mut table = Table::new(
        "routes",
        vec![
            TableColumn::short("route"),
            TableColumn::words("from"),
            TableColumn::words("to"),
            TableColumn::words("set"),
            TableColumn::number("length", unit),
            TableColumn::number("least", "V"),
            TableColumn::number("short draws", "A"),
            TableColumn::boxes("run"),
        ],
    );
    for (index, way) in ways.ways.iter().enumerate() {
        let set: Vec<String> = way.set.iter().map(|(control, position)| format!("{control} {position}")).collect();
        let shown = |value: f64| Cell::Number { value, shown: significant(value, 3) };
        let numbers = way.numbers.as_ref();
        table.push(
            None,
            vec![
                Cell::words((index + 1).to_string()),
                Cell::words(&way.from),
                Cell::words(&way.to),
                Cell::words(if set.is_empty() { "nothing".to_owned() } else { set.join(", ") }),
                sheets.length(way.length),
                numbers.map_or(Cell::Empty, |n| shown(n.volts.typical)),
                numbers.map_or(Cell::Empty, |n| shown(n.fault_amps.typical)),
                Cell::Box,
            ],
        );
    }
    table
}

fn storage_table(ways: &WaysTable) -> Table {
    let columns = vec![
        TableColumn::short("route"),
        TableColumn::words("from"),
        TableColumn::words("to"),
        TableColumn::words("live"),
    ];
    let mut table = Table::new("storage", columns);
    let Some(storage) = &ways.storage else { return table };
    for (index, (way, live)) in ways.ways.iter().zip(&storage.live).enumerate() {
        let names = storage.tracks.iter().zip(live).filter_map(|(track, standing)| match standing {
            StorageStanding::Never => None,
            StorageStanding::Always => Some(track.clone()),
            StorageStanding::Depends => Some(format!("{track} in some settings")),
        });
        let names: Vec<String> = names.collect();
        table.push(
            None,
            vec![
                Cell::words((index + 1).to_string()),
                Cell::words(&way.from),
                Cell::words(&way.to),
                Cell::words(if names.is_empty() { "none".to_owned() } else { names.join(", ") }),
            ],
        );
    }
    table
}
