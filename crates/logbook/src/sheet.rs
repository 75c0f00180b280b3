//! Tables that people bring: comma-separated values as their spreadsheet writes them, or the first sheet of a workbook (XLSX).

use calamine::{Data, Reader as _, Xlsx};
use std::io::Cursor;
use text::csv::{Columns, ReadError, unescape_formula};

/// Cells of a sheet beyond which it is none of readings.
const MOST_CELLS: usize = 2_000_000;

/// Reads a table: a workbook where it is one, else comma-separated values.
///
/// # Errors
/// With the line, where it is none.
pub fn read(bytes: &[u8]) -> Result<Columns, ReadError> {
    // A workbook is a zip archive.
    if bytes.starts_with(b"PK\x03\x04") {
        return workbook(bytes);
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let line = 1 + bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count() as u64;
        ReadError { line, what: "this is not UTF-8; save it as `CSV UTF-8`".to_owned() }
    })?;
    Columns::read_any(text)
}

fn workbook(bytes: &[u8]) -> Result<Columns, ReadError> {
    let wrong = |what: String| ReadError { line: 1, what };
    let mut book: Xlsx<_> = calamine::open_workbook_from_rs(Cursor::new(bytes))
        .map_err(|error| wrong(format!("this is no workbook: {error}")))?;
    let sheet = match book.worksheet_range_at(0) {
        Some(sheet) => sheet.map_err(|error| wrong(format!("its first sheet cannot be read: {error}")))?,
        None => return Err(wrong("there is no sheet in it".to_owned())),
    };
    if sheet.height().saturating_mul(sheet.width()) > MOST_CELLS {
        return Err(wrong("its first sheet is too large for one of readings".to_owned()));
    }
    // Empty rows above the table are no part of the range.
    let first = sheet.start().map_or(0, |(row, _)| u64::from(row));
    // A table that was opened and saved as a workbook still has the marks that keep its cells from being formulas.
    let plain = |data: &Data| unescape_formula(&cell(data)).to_owned();
    let rows = sheet.rows().enumerate().map(|(index, row)| (first + 1 + index as u64, row.iter().map(plain).collect()));
    Columns::from_rows(rows.collect())
}

/// A cell as it would have been typed.
fn cell(cell: &Data) -> String {
    match cell {
        Data::Empty => String::new(),
        Data::Int(number) => number.to_string(),
        Data::Float(number) => number.to_string(),
        Data::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        // Days since the spreadsheet's own beginning, as a day and a time.
        Data::DateTime(moment) if moment.is_datetime() => {
            let (year, month, day, hour, minute, second, _) = moment.to_ymd_hms_milli();
            format!("{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}:{second:02}")
        }
        other => other.to_string(),
    }
}
