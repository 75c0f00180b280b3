//! Entries as tables: the same set comes back, whatever stands in it, and whatever a spreadsheet did to the file.

use crate::common::{any_entry, moment, reading};
use logbook::{Entry, Logbook, sheet, table};
use proptest::prelude::*;
use serde_json::{Map, Value};

fn sorted(mut entries: Vec<Entry>) -> Vec<Entry> {
    entries.sort_by_key(|entry| entry.id);
    entries
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_is_exported_and_imported_is_the_same_set(entries in proptest::collection::vec(any_entry(), 0..8)) {
        let csv = table::to_csv(&entries);
        let back = table::from_csv(&csv).unwrap();
        prop_assert_eq!(&back, &sorted(entries));
        prop_assert_eq!(table::to_csv(&back), csv, "the same bytes again");
    }

    #[test]
    fn rows_are_what_the_schema_says(entries in proptest::collection::vec(any_entry(), 1..4)) {
        let mut schemas = boon::Schemas::new();
        let mut compiler = boon::Compiler::new();
        compiler.add_resource("rows.json", table::schema()).unwrap();
        let schema = compiler.compile("rows.json", &mut schemas).unwrap();
        let rows = text::csv::read(&table::to_csv(&entries)).unwrap();
        for (_, cells) in &rows[1..] {
            let row: Map<String, Value> = rows[0].1.iter().cloned().zip(cells.iter().cloned().map(Value::String)).collect();
            prop_assert!(schemas.validate(&Value::Object(row.clone()), schema).is_ok(), "{:?}", row);
            let mut wrong = row;
            wrong.insert("kind".to_owned(), Value::String("mood".to_owned()));
            prop_assert!(schemas.validate(&Value::Object(wrong), schema).is_err());
        }
    }
}

#[test]
fn the_schema_knows_what_is_wrong() {
    let mut schemas = boon::Schemas::new();
    let mut compiler = boon::Compiler::new();
    compiler.add_resource("rows.json", table::schema()).unwrap();
    let schema = compiler.compile("rows.json", &mut schemas).unwrap();
    let csv = table::to_csv(&[crate::common::entry(reading("a", "0.4", 0.4, &moment(2026, 0)))]);
    let rows = text::csv::read(&csv).unwrap();
    let row: Map<String, Value> = rows[0].1.iter().cloned().zip(rows[1].1.iter().cloned().map(Value::String)).collect();
    assert!(schemas.validate(&Value::Object(row.clone()), schema).is_ok());
    for (cell, wrong) in [("id", "12"), ("time", "1.5.2026"), ("value", "much"), ("air", "warm"), ("supersedes", "it")]
    {
        let mut row = row.clone();
        row.insert(cell.to_owned(), Value::String(wrong.to_owned()));
        assert!(schemas.validate(&Value::Object(row), schema).is_err(), "{cell} {wrong}");
    }
}

#[test]
fn no_cell_is_a_formula() {
    let mut draft = reading("=HYPERLINK(\"http://x\")", "-0.3", -0.3, &moment(2026, 0));
    draft.note = "@sum".to_owned();
    let csv = table::to_csv(&[crate::common::entry(draft)]);
    let cells = csv.lines().nth(1).unwrap();
    for formula in [",=", ",\"=", ",-", ",@"] {
        assert!(!cells.contains(formula), "{formula}: {cells}");
    }
}

#[test]
fn a_file_that_a_spreadsheet_saved_is_read_as_it_was() {
    let entries = [reading("a; b", "0,4", 0.4, &moment(2026, 0)), reading("c", "OL", f64::INFINITY, &moment(2026, 1))];
    let entries = entries.map(crate::common::entry);
    let csv = table::to_csv(&entries);
    // As it is saved where commas stand before decimals: semicolons, a byte order mark, decimal commas, an empty line at the end.
    let rows = text::csv::read(&csv).unwrap();
    let quoted = |cell: &String| {
        if cell.contains([';', '"']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell.clone() }
    };
    let mut lines: Vec<String> =
        rows.iter().map(|(_, cells)| cells.iter().map(quoted).collect::<Vec<_>>().join(";")).collect();
    lines[1] = lines[1].replace(";0.4;", ";0,4;");
    let saved = format!("\u{feff}{}\r\n{}\r\n", lines.join("\r\n"), ";".repeat(17));
    assert_eq!(table::from_csv(&saved).unwrap(), entries);
    assert_eq!(table::from_columns(&sheet::read(saved.as_bytes()).unwrap()).unwrap(), entries);
}

#[test]
fn a_workbook_is_read_as_its_table_is() {
    let mut below = reading("c", "-0,3", -0.3, &moment(2026, 2));
    below.note = "=1+1".to_owned();
    let entries =
        [reading("a, b", "0,4", 0.4, &moment(2026, 0)), reading("c", "OL", f64::INFINITY, &moment(2026, 1)), below];
    let entries = entries.map(crate::common::entry);
    let rows = text::csv::read(&table::to_csv(&entries)).unwrap();
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (down, (_, cells)) in rows.iter().enumerate() {
        for (across, cell) in cells.iter().enumerate() {
            // Two empty rows above, and numbers as numbers.
            let (down, across) = (down as u32 + 2, across as u16);
            match cell.parse::<f64>() {
                Ok(number) => sheet.write_number(down, across, number).unwrap(),
                Err(_) => sheet.write_string(down, across, cell).unwrap(),
            };
        }
    }
    let bytes = book.save_to_buffer().unwrap();
    assert_eq!(table::from_columns(&logbook::sheet::read(&bytes).unwrap()).unwrap(), entries);
    let broken = logbook::sheet::read(&bytes[..bytes.len() / 2]).map(|_| ()).unwrap_err();
    assert!(broken.what.starts_with("this is no workbook"), "{broken}");
}

#[test]
fn what_is_no_entry_is_told_by_its_line() {
    let good = table::to_csv(&[crate::common::entry(reading("a", "0.4", 0.4, &moment(2026, 0)))]);
    let line = good.lines().nth(1).unwrap();
    for (from, to, says) in [
        (",reading,", ",mood,", "`kind`"),
        ("2026-01-01T00:00:00.000+01:00", "01.01.2026", "`time`"),
        (",0.4,mV", ",much,mV", "`value`"),
        (&line[..8], "xxxxxxxx", "`id`"),
    ] {
        let wrong = table::from_csv(&good.replace(from, to)).unwrap_err();
        assert_eq!(wrong.line, 2, "{wrong}");
        assert!(wrong.what.contains(says), "{wrong}");
    }
    assert!(table::from_csv("").is_err());
    assert!(table::from_csv("a,b\n1,2\n").is_err());
    assert!(sheet::read(&[b'a', 0xff, b'b']).is_err());
}

#[test]
fn an_export_of_an_older_form_can_be_imported() {
    let entries = [crate::common::entry(reading("a", "0.4", 0.4, &moment(2026, 0)))];
    let csv = table::to_csv(&entries).replace(",judged", "").replace(",,,,,\r\n", ",,,,\r\n");
    assert_eq!(table::from_csv(&csv).unwrap(), entries);
    let folder = tempfile::tempdir().unwrap();
    let mut log = Logbook::open_or_create(&folder.path().join("x.logbook")).unwrap();
    assert_eq!(log.take_over(&table::from_csv(&csv).unwrap()).unwrap().new, 1);
    assert_eq!(log.take_over(&table::from_csv(&csv).unwrap()).unwrap().known, 1);
}
