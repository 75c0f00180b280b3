//! Contacts, drivers and motors as they are printed.

use super::starred;
use crate::number::Number;
use crate::paper::{Cell, Table, TableColumn};
use std::collections::BTreeMap;

/// A throw of a contact.
pub(in crate::tables) struct ThrowRow {
    pub(in crate::tables) terminal: String,
    /// The terminal that all throws of the contact are joined to.
    pub(in crate::tables) common: String,
    pub(in crate::tables) when: String,
    pub(in crate::tables) wires: Vec<Number>,
    pub(in crate::tables) at_common: Vec<Number>,
    pub(in crate::tables) bears: Option<String>,
    pub(in crate::tables) made_for: Option<String>,
}

fn numbers(of: &[Number]) -> String {
    if of.is_empty() { "no wire".to_owned() } else { crate::in_runs(of.iter().copied()) }
}

/// A contact a row: the wires at its common, and at each of its throws with when it is closed.
pub(in crate::tables) fn contacts(throws: &[ThrowRow]) -> Table {
    let rated = throws.iter().any(|throw| throw.made_for.is_some());
    let mut columns =
        vec![TableColumn::words("common"), TableColumn::words("its wires"), TableColumn::words("throws: when, wires")];
    if rated {
        columns.push(TableColumn::short("made for"));
    }
    columns.push(TableColumn::boxes("tested"));
    let mut table = Table::new("contacts", columns);
    for contact in throws.chunk_by(|one, other| one.common == other.common) {
        let first = &contact[0];
        let each =
            contact.iter().map(|throw| format!("{} ({}): {}", throw.terminal, throw.when, numbers(&throw.wires)));
        let mut cells = vec![
            Cell::words(&first.common),
            Cell::words(numbers(&first.at_common)),
            Cell::words(each.collect::<Vec<_>>().join("; ")),
        ];
        if rated {
            cells.push(first.made_for.as_ref().map_or(Cell::Empty, |amps| Cell::words(format!("{amps} A"))));
        }
        cells.push(Cell::Box);
        let bears = first.bears.as_ref().map(|amps| format!("Must bear {amps} A"));
        table.push(bears, cells);
    }
    table
}

/// A contact a row, with what it must bear, where schematics show its throws.
pub(in crate::tables) fn contacts_borne(throws: &[ThrowRow]) -> Table {
    let rated = throws.iter().any(|throw| throw.made_for.is_some());
    let mut columns = vec![TableColumn::words("common"), TableColumn::words("its wires")];
    if rated {
        columns.push(TableColumn::short("made for"));
    }
    columns.push(TableColumn::boxes("tested"));
    let mut table = Table::new("contacts", columns);
    for contact in throws.chunk_by(|one, other| one.common == other.common) {
        let first = &contact[0];
        let mut cells = vec![Cell::words(&first.common), Cell::words(numbers(&first.at_common))];
        if rated {
            cells.push(first.made_for.as_ref().map_or(Cell::Empty, |amps| Cell::words(format!("{amps} A"))));
        }
        cells.push(Cell::Box);
        let bears = first.bears.as_ref().map(|amps| format!("Must bear {amps} A"));
        table.push(bears, cells);
    }
    table
}

/// Words of rows that a band says once: title, unit and what stands in each cell.
fn common_words(table: &Table, row: usize, columns: &[(usize, &str)], is_assumed: &dyn Fn(&str) -> bool) -> String {
    let cells = &table.rows[row].cells;
    let of = |&(column, word): &(usize, &str)| {
        let shown = cells[column].shown();
        let head = &table.columns[column];
        let unit = head.unit.as_ref().map_or_else(String::new, |unit| format!(" {unit}"));
        let shown = starred(format!("{shown}{unit}"), is_assumed(&head.title));
        if cells[column].shown().is_empty() { None } else { Some(format!("{word} {shown}").trim().to_owned()) }
    };
    columns.iter().filter_map(of).collect::<Vec<_>>().join(", ")
}

/// What the rows of a table have in common said in bands above them: `common` are columns and the word before what stands in
/// them, `own` the columns that stay, the last one a box. What the column `assumed` names has a star.
fn banded(table: &Table, common: &[(usize, &str)], own: &[usize]) -> Table {
    let at = table.columns.iter().position(|column| column.title == "assumed");
    let columns = own.iter().map(|&column| table.columns[column].clone()).collect();
    let mut banded = Table::new(table.name.clone(), columns);
    let mut bands: Vec<(String, Vec<Vec<Cell>>)> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for (index, row) in table.rows.iter().enumerate() {
        let assumed = at.map_or("", |at| row.cells[at].shown());
        let is_assumed = |title: &str| assumed.split(", ").any(|word| word == title);
        let words = common_words(table, index, common, &is_assumed);
        let cells: Vec<Cell> = own.iter().map(|&column| row.cells[column].clone()).collect();
        let at = *known.entry(words.clone()).or_insert_with(|| {
            bands.push((words, Vec::new()));
            bands.len() - 1
        });
        bands[at].1.push(cells);
    }
    for (words, rows) in bands {
        rows.into_iter().for_each(|cells| banded.push(Some(words.clone()), cells));
    }
    banded
}

/// Outputs of drivers: a band for each driver.
pub(in crate::tables) fn drivers(table: &Table) -> Table {
    banded(table, &[(0, ""), (1, ""), (5, "power from"), (6, "keeps"), (7, "holds"), (8, "draws")], &[2, 3, 4, 10])
}

/// What is on the terminals of motors: a band for motors that are alike.
pub(in crate::tables) fn drives(table: &Table) -> Table {
    banded(table, &[(1, ""), (5, "gets"), (6, "made for"), (7, "needs at least"), (8, "draws")], &[0, 2, 3, 4, 10])
}

/// What motors draw: a band for motors that are alike.
pub(in crate::tables) fn loads(table: &Table) -> Table {
    let mut banded = Table { rows: Vec::new(), columns: table.columns[..2].to_vec(), ..table.clone() };
    for (index, row) in table.rows.iter().enumerate() {
        let common = [(2, "always"), (3, "while it moves"), (4, "a throw takes"), (5, "said by")];
        let words = common_words(table, index, &common, &|_| false);
        let words = format!("{}: {words}", row.group.as_deref().unwrap_or_default());
        banded.push(Some(words), row.cells[..2].to_vec());
    }
    banded
}

/// Supplies in rows, and which buses and tracks they feed apart from them: such lists are long.
pub(in crate::tables) fn districts(table: &Table) -> (Table, Option<Table>) {
    const LONG: [&str; 2] = ["feeds", "tracks"];
    let at = |title: &str| table.columns.iter().position(|column| column.title == title);
    let assumed = at("assumed");
    let kept: Vec<usize> = (0..table.columns.len())
        .filter(|&column| Some(column) != assumed && !LONG.contains(&table.columns[column].title.as_ref()))
        .collect();
    let columns = kept.iter().map(|&column| table.columns[column].clone()).collect();
    let mut own = Table { columns, rows: Vec::new(), ..table.clone() };
    let columns = vec![TableColumn::words("supply"), TableColumn::words("buses"), TableColumn::words("tracks")];
    let mut feeds = Table::new("district-tracks", columns);
    for row in &table.rows {
        let is_assumed = |column: usize| assumed.is_some_and(|at| row.cells[at].shown() == table.columns[column].title);
        own.push(None, kept.iter().map(|&c| super::starred_cell(row.cells[c].clone(), is_assumed(c))).collect());
        let long = LONG.map(|title| at(title).map_or(Cell::Empty, |at| row.cells[at].clone()));
        if long.iter().any(|cell| !cell.shown().is_empty()) {
            let [buses, tracks] = long;
            feeds.push(None, vec![row.cells[0].clone(), buses, tracks]);
        }
    }
    (own, Some(feeds).filter(|feeds| !feeds.rows.is_empty()))
}
