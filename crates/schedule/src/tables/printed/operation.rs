//! Addresses and routes as they are printed.

use crate::paper::{Cell, Table, TableColumn};

/// A motor a row, with what each of its positions sends.
pub(in crate::tables) fn addresses(table: &Table) -> Table {
    let columns = vec![
        TableColumn::short("address"),
        TableColumn::words("motor"),
        TableColumn::words("moves"),
        TableColumn::words("position: output, packet"),
        TableColumn::boxes("tested"),
    ];
    let mut printed = Table::new("addresses", columns);
    let mut rows: Vec<Vec<String>> = Vec::new();
    for row in &table.rows {
        let [address, motor, moves, position, output, packet] = [0, 1, 2, 3, 4, 5].map(|at| row.cells[at].shown());
        let sends = format!("{position}: {output}, {packet}");
        // Further positions of a motor have their first cells empty.
        match rows.last_mut() {
            Some(last) if address.is_empty() && motor.is_empty() => last.push(sends),
            _ => rows.push([address, motor, moves].into_iter().map(str::to_owned).chain([sends]).collect()),
        }
    }
    for row in rows {
        let (first, sends) = row.split_at(3);
        let cells = first.iter().map(Cell::words).chain([Cell::words(sends.join("; ")), Cell::Box]);
        printed.push(None, cells.collect());
    }
    printed
}

/// Positions with each position said once: `through: T1, T2; diverging: T3`.
pub(in crate::tables) fn positions(set: &[(String, String)]) -> String {
    let mut by_position: Vec<(&str, Vec<&str>)> = Vec::new();
    for (control, position) in set {
        match by_position.iter_mut().find(|known| known.0 == position) {
            Some(known) => known.1.push(control),
            None => by_position.push((position, vec![control])),
        }
    }
    let words = by_position.into_iter().map(|(position, controls)| format!("{} {position}", controls.join(", ")));
    let words = words.collect::<Vec<_>>().join("; ");
    if words.is_empty() { "nothing".to_owned() } else { words }
}

/// Routes, with the tracks that are live on each where some are for storage: `live` is empty where none are.
pub(in crate::tables) fn routes(table: &Table, set: &[String], live: &Table) -> Table {
    let mut columns = table.columns.clone();
    let stored = !live.rows.is_empty();
    if stored {
        columns.insert(4, TableColumn::words("live for storage"));
    }
    let mut printed = Table::new(table.name.clone(), columns);
    for (index, row) in table.rows.iter().enumerate() {
        let mut cells = row.cells.clone();
        cells[3] = Cell::words(&set[index]);
        if stored {
            let words = live.rows.get(index).map_or(Cell::Empty, |row| row.cells[3].clone());
            cells.insert(4, words);
        }
        printed.push(None, cells);
    }
    printed
}
