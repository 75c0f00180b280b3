//! Comma-separated values: any table, in a form that a spreadsheet opens and takes nothing in it for a formula.

use crate::paper::{Cell, Table};
use std::borrow::Cow;

/// Why a text could not be read.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
#[error("line {line}: {what}")]
pub struct ReadError {
    /// The line, from 1.
    pub line: u64,
    /// What is wrong, in words.
    pub what: String,
}

/// A table as comma-separated values: a line of titles, each with its unit, then a line for each row; lines end as
/// RFC 4180 has it. Where rows have groups these are a first column. What looks like a formula is led by an apostrophe
/// (see [`defused`]).
pub fn table_csv(table: &Table) -> String {
    let grouped = table.rows.iter().any(|row| row.group.is_some());
    let group = |word: &str| grouped.then(|| word.to_owned());
    let titles = table.columns.iter().map(|c| match &c.unit {
        Some(unit) => format!("{} ({unit})", c.title),
        None => defused(&c.title).into_owned(),
    });
    let head = group("group").into_iter().chain(titles).collect();
    let rows = table.rows.iter().map(|row| {
        let cells = row.cells.iter().map(|cell| match cell {
            Cell::Number { shown, .. } => shown.clone(),
            other => defused(other.shown()).into_owned(),
        });
        group(&defused(row.group.as_deref().unwrap_or_default())).into_iter().chain(cells).collect()
    });
    lines(std::iter::once(head).chain(rows))
}

/// Rows as comma-separated values, each cell as it is.
pub(crate) fn lines(rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut writer = csv::WriterBuilder::new().flexible(true).terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        // Into memory nothing can fail; if it did, a row would be missing, and a test would tell.
        let _ = writer.write_record(&row);
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// A cell that no spreadsheet takes for a formula: one that begins with `=`, `+`, `-`, `@`, a tab, a carriage return or
/// an apostrophe is led by an apostrophe.
pub fn defused(text: &str) -> Cow<'_, str> {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r', '\'']) { format!("'{text}").into() } else { text.into() }
}

/// The text that [`defused`] made this cell of.
pub fn armed(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@', '\t', '\r', '\'']) => rest,
        _ => cell,
    }
}

/// The lines of comma-separated values, each with its number and its cells as they were before [`defused`].
pub(crate) fn read(text: &str) -> Result<Vec<(u64, Vec<String>)>, ReadError> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut line = 1;
    for record in reader.records() {
        let record = record.map_err(|_| ReadError { line, what: "these are no comma-separated values".to_owned() })?;
        let cells: Vec<String> = record.iter().map(|cell| armed(cell).to_owned()).collect();
        let inside = record.iter().map(|cell| cell.matches('\n').count() as u64).sum::<u64>();
        rows.push((line, cells));
        line += 1 + inside;
    }
    Ok(rows)
}

/// A table that was read: its cells by the titles of their columns.
pub(crate) struct Columns {
    titles: Vec<String>,
    rows: Vec<(u64, Vec<String>)>,
}

impl Columns {
    pub(crate) fn read(text: &str) -> Result<Columns, ReadError> {
        let mut rows = read(text)?;
        if rows.is_empty() {
            return Err(ReadError { line: 1, what: "there is nothing in it".to_owned() });
        }
        Ok(Columns { titles: rows.remove(0).1, rows })
    }

    /// Each row: its line, and what asks a cell of it by the title of its column.
    pub(crate) fn rows(&self) -> impl Iterator<Item = ColumnsRow<'_>> {
        self.rows.iter().map(|(line, cells)| ColumnsRow { titles: &self.titles, line: *line, cells })
    }
}

/// A row of a table that was read.
pub(crate) struct ColumnsRow<'c> {
    titles: &'c [String],
    pub(crate) line: u64,
    cells: &'c [String],
}

impl<'c> ColumnsRow<'c> {
    /// A cell; an error says which column is missing.
    pub(crate) fn cell(&self, title: &str) -> Result<&'c str, ReadError> {
        let at =
            self.titles.iter().position(|t| t == title || t.strip_prefix(title).is_some_and(|r| r.starts_with(" (")));
        at.and_then(|at| self.cells.get(at))
            .map(String::as_str)
            .ok_or_else(|| self.wrong(format!("the column `{title}` is missing")))
    }

    /// A cell as a number; none where it is empty or holds words.
    pub(crate) fn number(&self, title: &str) -> Result<Option<f64>, ReadError> {
        Ok(self.cell(title)?.parse().ok())
    }

    pub(crate) fn wrong(&self, what: impl Into<String>) -> ReadError {
        ReadError { line: self.line, what: what.into() }
    }
}
