//! All tables as one workbook (Office Open XML): a sheet for each, numbers as numbers, units in the titles.

use crate::PapersError;
use crate::binder::Binder;
use crate::layout::header_words;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatBorder, Workbook, Worksheet, XlsxError};
use schedule::paper::{Cell, ColumnSet, Paper, Table};
use std::collections::BTreeSet;
use std::io::{Cursor, Read as _, Write as _};
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{DateTime, ZipArchive, ZipWriter};

/// Sheet names have at most so many characters (ECMA-376 leaves it to the program; 31 is what spreadsheets take).
const LONGEST_NAME: usize = 31;
/// A workbook must say when it was made. Ours says the same always, so that the same plan gives the same bytes.
const MADE: (u16, u8, u8) = (2000, 1, 1);
/// Columns are this wide at most, in characters.
const WIDEST: usize = 60;
/// More places behind the point are not shown.
const MOST_PLACES: usize = 9;

/// The workbook of a binder's tables; none where there is no table.
///
/// # Errors
/// When the workbook cannot be written: a fault of ours.
pub fn workbook(binder: &Binder) -> Result<Option<Vec<u8>>, PapersError> {
    let tables: Vec<&Table> = binder.tables().collect();
    if tables.is_empty() {
        return Ok(None);
    }
    let book = made(binder, &tables).map_err(|e| PapersError::Workbook(e.to_string()))?;
    named(&book).map(Some).map_err(|e| PapersError::Workbook(e.to_string()))
}

/// The tables of a binder, in their order.
impl Binder {
    /// Every table of every paper.
    pub fn tables(&self) -> impl Iterator<Item = &Table> {
        self.papers.iter().flat_map(Paper::tables)
    }
}

/// The part of a workbook that names the program it was made with (ECMA-376 part 1, 15.2.12.3).
const PROGRAM_PART: &str = "docProps/app.xml";

/// The workbook with this program named as the one that made it, and no other: the writer of such files names another.
fn named(book: &[u8]) -> Result<Vec<u8>, ZipError> {
    let mut from = ZipArchive::new(Cursor::new(book))?;
    let mut to = ZipWriter::new(Cursor::new(Vec::new()));
    for at in 0..from.len() {
        let mut part = from.by_index(at)?;
        if part.name()? != PROGRAM_PART {
            to.raw_copy_file(part)?;
            continue;
        }
        let mut text = String::new();
        part.read_to_string(&mut text)?;
        let between =
            |text: &str| Some((text.find("<Application>")? + "<Application>".len(), text.find("</Application>")?));
        if let Some((start, end)) = between(&text) {
            text.replace_range(start..end, "gapwright");
        }
        // The same date always, so that the same plan gives the same bytes.
        to.start_file(PROGRAM_PART, SimpleFileOptions::default().last_modified_time(DateTime::default()))?;
        to.write_all(text.as_bytes())?;
    }
    Ok(to.finish()?.into_inner())
}

fn made(binder: &Binder, tables: &[&Table]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let (year, month, day) = MADE;
    let properties = DocProperties::new()
        .set_title(&binder.layout)
        .set_subject(format!("plan {}", binder.revision))
        .set_author("gapwright")
        .set_creation_datetime(&ExcelDateTime::from_ymd(year, month, day)?);
    book.set_properties(&properties);
    let mut taken = BTreeSet::new();
    for table in tables {
        let sheet = book.add_worksheet();
        sheet.set_name(sheet_name(&table.name, &mut taken))?;
        fill(sheet, table, binder)?;
    }
    book.save_to_buffer()
}

/// A name no other sheet has: names that differ in capitals only are one to a spreadsheet.
fn sheet_name(name: &str, taken: &mut BTreeSet<String>) -> String {
    let allowed: String = name.chars().filter(|c| !"[]:*?/\\'".contains(*c)).collect();
    let mut candidate: String = allowed.chars().take(LONGEST_NAME).collect();
    let mut count = 1;
    while candidate.is_empty() || !taken.insert(candidate.to_lowercase()) {
        count += 1;
        let number = format!(" {count}");
        candidate = allowed.chars().take(LONGEST_NAME - number.len()).collect::<String>() + &number;
    }
    candidate
}

fn fill(sheet: &mut Worksheet, table: &Table, binder: &Binder) -> Result<(), XlsxError> {
    let bold = Format::new().set_bold().set_text_wrap().set_border_bottom(FormatBorder::Thin);
    let words = Format::new().set_text_wrap();
    let numbers: Vec<Format> = (0..=MOST_PLACES).map(|places| Format::new().set_num_format(pattern(places))).collect();
    let grouped = table.rows.iter().any(|row| row.group.is_some());
    let first = u16::from(grouped);
    let mut widths: Vec<usize> = table.columns.iter().map(|c| header_words(c).chars().count()).collect();
    if grouped {
        sheet.set_column_format(0, &words)?;
        sheet.write_string_with_format(0, 0, "group", &bold)?;
    }
    for (column, at) in table.columns.iter().zip(first..) {
        sheet.set_column_format(at, &words)?;
        sheet.write_string_with_format(0, at, header_words(column), &bold)?;
    }
    for (row, at) in table.rows.iter().zip(1..) {
        if let Some(group) = &row.group {
            sheet.write_string(at, 0, group)?;
        }
        for ((cell, column), width) in row.cells.iter().zip(first..).zip(&mut widths) {
            *width = (*width).max(cell.shown().chars().count());
            match cell {
                Cell::Number { value, shown } if value.is_finite() => {
                    sheet.write_number_with_format(at, column, *value, &numbers[places(shown)])?;
                }
                Cell::Empty | Cell::Box => {}
                other => {
                    sheet.write_string(at, column, other.shown())?;
                }
            }
        }
    }
    if grouped {
        let longest = table.rows.iter().filter_map(|r| r.group.as_ref()).map(|g| g.chars().count()).max();
        sheet.set_column_width(0, longest.unwrap_or(8).clamp(8, WIDEST / 2) as f64 + 2.0)?;
    }
    for ((width, column), at) in widths.into_iter().zip(&table.columns).zip(first..) {
        let least = if column.set == ColumnSet::Box { 10 } else { 6 };
        sheet.set_column_width(at, width.clamp(least, WIDEST) as f64 + 2.0)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_print_fit_to_pages(1, 0);
    match binder.choices.page {
        schedule::PageSize::A4 => sheet.set_paper_size(9),
        schedule::PageSize::Letter => sheet.set_paper_size(1),
    };
    let head = format!("&L{} · plan {}&R&A", binder.layout.replace('&', "&&"), binder.revision);
    // A header holds at most 255 characters; a name so long is left out of it.
    if head.chars().count() < 250 {
        sheet.set_header(head);
    }
    sheet
        .set_footer(binder.warning().map_or_else(|| "&Rpage &P of &N".to_owned(), |w| format!("&L{w}&Rpage &P of &N")));
    Ok(())
}

/// How many places behind the point the papers show.
fn places(shown: &str) -> usize {
    let behind = |(_, places): (&str, &str)| places.bytes().take_while(u8::is_ascii_digit).count();
    shown.rsplit_once('.').map_or(0, behind).min(MOST_PLACES)
}

/// The number format that shows so many places.
fn pattern(places: usize) -> String {
    if places == 0 { "0".to_owned() } else { format!("0.{}", "0".repeat(places)) }
}
