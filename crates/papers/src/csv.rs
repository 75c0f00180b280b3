//! A table as comma-separated values (RFC 4180): one line of titles with units, one line a row.
//!
//! All forms that hold comma-separated values come through [`table`], so that they are written one way.

use crate::layout::header_words;
use schedule::paper::{Cell, Table};

/// The comma-separated values of a table.
pub fn table(table: &Table) -> String {
    let grouped = table.rows.iter().any(|row| row.group.is_some());
    let mut out = String::new();
    let titles = table.columns.iter().map(|column| field_words(&header_words(column)));
    line(&mut out, grouped.then(|| "group".to_owned()).into_iter().chain(titles));
    for row in &table.rows {
        let group = grouped.then(|| field_words(row.group.as_deref().unwrap_or_default()));
        line(&mut out, group.into_iter().chain(row.cells.iter().map(cell)));
    }
    out
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Number { shown, .. } => shown.clone(),
        other => field_words(other.shown()),
    }
}

/// Words that no spreadsheet takes for a formula.
fn field_words(words: &str) -> String {
    if words.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{words}") } else { words.to_owned() }
}

fn line(out: &mut String, fields: impl Iterator<Item = String>) {
    for (at, field) in fields.enumerate() {
        if at > 0 {
            out.push(',');
        }
        if field.contains([',', '"', '\n', '\r']) || field != field.trim() {
            out.push('"');
            out.push_str(&field.replace('"', "\"\""));
            out.push('"');
        } else {
            out.push_str(&field);
        }
    }
    out.push_str("\r\n");
}
