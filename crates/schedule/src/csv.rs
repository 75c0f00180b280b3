//! Any paper's table as comma-separated values.

use crate::paper::{Cell, Table};
use text::csv::{escape_formula, lines};

/// A table as comma-separated values: a line of titles, each with its unit, then a line for each row; lines end as
/// RFC 4180 has it. Where rows have groups these are a first column. What looks like a formula is led by an apostrophe
/// (see [`escape_formula`]).
pub fn table_csv(table: &Table) -> String {
    let grouped = table.rows.iter().any(|row| row.group.is_some());
    let group = |word: &str| grouped.then(|| word.to_owned());
    let titles = table.columns.iter().map(|c| match &c.unit {
        Some(unit) => format!("{} ({unit})", c.title),
        None => escape_formula(&c.title).into_owned(),
    });
    let head = group("group").into_iter().chain(titles).collect();
    let rows = table.rows.iter().map(|row| {
        let cells = row.cells.iter().map(|cell| match cell {
            Cell::Number { shown, .. } => shown.clone(),
            other => escape_formula(other.shown()).into_owned(),
        });
        group(&escape_formula(row.group.as_deref().unwrap_or_default())).into_iter().chain(cells).collect()
    });
    lines(std::iter::once(head).chain(rows))
}
