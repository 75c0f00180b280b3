//! Comma-separated values (RFC 4180), in a form that a spreadsheet opens and takes nothing in it for a formula.

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

/// Rows as comma-separated values, each cell as it is.
pub fn lines(rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut writer = csv::WriterBuilder::new().flexible(true).terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        // Into memory nothing can fail; if it did, a row would be missing, and a test would tell.
        let _ = writer.write_record(&row);
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// A cell that no spreadsheet takes for a formula (CSV or formula injection): one that begins with `=`, `+`, `-`, `@`, a tab, a carriage return or
/// an apostrophe is led by an apostrophe.
pub fn escape_formula(text: &str) -> Cow<'_, str> {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r', '\'']) { format!("'{text}").into() } else { text.into() }
}

/// Words as one field of a line: no formula, and in quotes where they must be.
pub fn field(words: &str) -> String {
    let words = escape_formula(words);
    if words.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", words.replace('"', "\"\""))
    } else {
        words.into_owned()
    }
}

/// The text that [`escape_formula`] made this cell of.
pub fn unescape_formula(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@', '\t', '\r', '\'']) => rest,
        _ => cell,
    }
}

/// The lines of comma-separated values, each with its number and its cells as they were before [`escape_formula`].
///
/// # Errors
/// When it is no table.
pub fn read(text: &str) -> Result<Vec<(u64, Vec<String>)>, ReadError> {
    read_separated(text, b',')
}

/// The same of values that some character separates.
fn read_separated(text: &str, separator: u8) -> Result<Vec<(u64, Vec<String>)>, ReadError> {
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(separator).from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut line = 1;
    for record in reader.records() {
        let record = record.map_err(|_| ReadError { line, what: "these are no comma-separated values".to_owned() })?;
        let cells: Vec<String> = record.iter().map(|cell| unescape_formula(cell).to_owned()).collect();
        let inside = record.iter().map(|cell| cell.matches('\n').count() as u64).sum::<u64>();
        rows.push((line, cells));
        line += 1 + inside;
    }
    Ok(rows)
}

/// A table that was read: its cells by the titles of their columns.
pub struct Columns {
    titles: Vec<String>,
    rows: Vec<(u64, Vec<String>)>,
}

impl Columns {
    /// The titles of the columns.
    pub fn titles(&self) -> &[String] {
        &self.titles
    }

    /// Reads a table whose first line has the titles.
    ///
    /// # Errors
    /// When it is no table, or there is nothing in it.
    pub fn read(text: &str) -> Result<Columns, ReadError> {
        Columns::from_rows(read(text)?)
    }

    /// Reads a table as spreadsheets of all countries write it: with commas, semicolons or tabs, with a byte order mark or without.
    ///
    /// # Errors
    /// When it is no table, or there is nothing in it.
    pub fn read_any(text: &str) -> Result<Columns, ReadError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let titles = text.lines().next().unwrap_or_default();
        let count = |separator: &u8| titles.bytes().filter(|byte| byte == separator).count();
        // The comma where none is there more often.
        let separator = [b'\t', b';', b','].into_iter().max_by_key(count).unwrap_or(b',');
        Columns::from_rows(read_separated(text, separator)?)
    }

    /// A table of rows, each with its line; the first has the titles.
    ///
    /// # Errors
    /// When there is nothing in it.
    pub fn from_rows(mut rows: Vec<(u64, Vec<String>)>) -> Result<Columns, ReadError> {
        if rows.is_empty() {
            return Err(ReadError { line: 1, what: "there is nothing in it".to_owned() });
        }
        Ok(Columns { titles: rows.remove(0).1, rows })
    }

    /// Each row: its line, and what asks a cell of it by the title of its column.
    pub fn rows(&self) -> impl Iterator<Item = ColumnsRow<'_>> {
        self.rows.iter().map(|(line, cells)| ColumnsRow { titles: &self.titles, line: *line, cells })
    }
}

/// A row of a table that was read.
pub struct ColumnsRow<'c> {
    titles: &'c [String],
    /// Its line, from 1.
    pub line: u64,
    cells: &'c [String],
}

impl<'c> ColumnsRow<'c> {
    /// A cell; an error says which column is missing.
    ///
    /// # Errors
    /// When the column is missing.
    pub fn cell(&self, title: &str) -> Result<&'c str, ReadError> {
        let at =
            self.titles.iter().position(|t| t == title || t.strip_prefix(title).is_some_and(|r| r.starts_with(" (")));
        at.and_then(|at| self.cells.get(at))
            .map(String::as_str)
            .ok_or_else(|| self.wrong(format!("the column `{title}` is missing")))
    }

    /// A cell as a number; none where it is empty or holds words.
    ///
    /// # Errors
    /// When the column is missing.
    pub fn number(&self, title: &str) -> Result<Option<f64>, ReadError> {
        Ok(self.cell(title)?.parse().ok())
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.cells.iter().all(|cell| cell.trim().is_empty())
    }

    /// What is wrong with this row.
    pub fn wrong(&self, what: impl Into<String>) -> ReadError {
        ReadError { line: self.line, what: what.into() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn no_field_is_a_formula() {
        assert_eq!(field("=HYPERLINK(1)"), "'=HYPERLINK(1)");
        assert_eq!(field("-5 V, or \"so\""), "\"'-5 V, or \"\"so\"\"\"");
    }

    proptest! {
        #[test]
        fn a_line_of_fields_is_read_as_it_was(cells in prop::collection::vec("[ -~é線\r\n\t]{0,12}", 2..5)) {
            let line: Vec<String> = cells.iter().map(|cell| field(cell)).collect();
            let from_fields = read(&format!("{}\n", line.join(",")));
            prop_assert_eq!(&from_fields.expect("a table")[0].1, &cells);
            let row = cells.iter().map(|c| escape_formula(c).into_owned()).collect();
            prop_assert_eq!(&read(&lines(std::iter::once(row))).expect("a table")[0].1, &cells);
        }
    }
}
