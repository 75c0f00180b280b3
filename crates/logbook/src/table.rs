//! Entries as comma-separated values, and back: the same set.

use crate::clock::Moment;
use crate::entry::{Draft, Entry, EntryId, EntryKind};
use serde_json::{Value, json};
use text::csv::{Columns, ColumnsRow, ReadError, escape_formula, lines};

/// The columns, in their order, each with what it holds.
pub const COLUMNS: [(&str, &str); 18] = [
    ("id", "what the entry is known by on all copies: a UUID of version 7 (RFC 9562)"),
    ("device", "the machine it was written on"),
    ("time", "when it was so, with the offset of the place (RFC 3339)"),
    ("plan", "the revision of the plan, as papers have it; empty for what belongs to no plan"),
    ("kind", "what it tells"),
    ("what", "what it is about: a key of the program, which finds it again after names and numbers changed"),
    ("setting", "what the turnouts were set for"),
    ("typed", "what was typed, as it was typed"),
    (
        "value",
        "that as a number, in `unit`; `open` where the meter showed more than it can read; empty where it is no number",
    ),
    ("unit", "the unit of the value"),
    ("range", "the range of the meter"),
    ("instrument", "the name of the meter"),
    ("lead_zero", "what its leads read when held together, in Ω"),
    ("air", "how warm the air was, in °C"),
    ("who", "who did or saw it"),
    ("note", "a remark"),
    ("judged", "what the program said of it then"),
    ("supersedes", "the id of the entry that this one stands in place of"),
];

/// Entries as comma-separated values, in the order of their ids, so that the same set gives the same bytes. No cell is taken for a
/// formula by a spreadsheet.
pub fn to_csv(entries: &[Entry]) -> String {
    let mut ordered: Vec<&Entry> = entries.iter().collect();
    ordered.sort_by_key(|entry| entry.id);
    let head = std::iter::once(COLUMNS.iter().map(|(name, _)| (*name).to_owned()).collect());
    let row = |entry: &&Entry| cells(entry).into_iter().map(|cell| escape_formula(&cell).into_owned()).collect();
    lines(head.chain(ordered.iter().map(row)))
}

fn cells(entry: &Entry) -> Vec<String> {
    let says = &entry.says;
    let number = |number: Option<f64>| match number {
        Some(value) if value == f64::INFINITY => "open".to_owned(),
        // The shortest digits that are read back as the same number.
        Some(value) => value.to_string(),
        None => String::new(),
    };
    vec![
        entry.id.to_string(),
        says.device.clone(),
        says.time.to_string(),
        says.plan.clone(),
        says.kind.word().to_owned(),
        says.what.clone(),
        says.setting.clone(),
        says.typed.clone(),
        number(says.value),
        says.unit.clone(),
        says.range.clone(),
        says.instrument.clone(),
        number(says.lead_zero),
        number(says.air),
        says.who.clone(),
        says.note.clone(),
        says.judged.clone(),
        says.supersedes.map_or_else(String::new, |id| id.to_string()),
    ]
}

/// Reads entries that [`to_csv`] wrote, also after a spreadsheet saved them with semicolons, with tabs or with a byte order mark, or
/// with its columns in another order.
///
/// # Errors
/// With the line, where it holds no entries.
pub fn from_csv(text: &str) -> Result<Vec<Entry>, ReadError> {
    from_columns(&Columns::read_any(text)?)
}

/// Reads entries of a table.
///
/// # Errors
/// With the line, where it holds no entries.
pub fn from_columns(table: &Columns) -> Result<Vec<Entry>, ReadError> {
    table.rows().filter(|row| !row.is_empty()).map(|row| entry(&row)).collect()
}

fn entry(row: &ColumnsRow<'_>) -> Result<Entry, ReadError> {
    // Tables of an older form have fewer columns.
    let text = |title: &str| row.cell(title).unwrap_or_default().to_owned();
    let number = |title: &str| match row.cell(title).unwrap_or_default().trim() {
        "" => Ok(None),
        "open" => Ok(Some(f64::INFINITY)),
        // A spreadsheet that writes commas before decimals.
        cell => match cell.replace(',', ".").parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(Some(number)),
            _ => Err(row.wrong(format!("`{title}` is a number such as 0.4, or `open`, not `{cell}`"))),
        },
    };
    let id = |title: &str, cell: &str| {
        EntryId::parse(cell).ok_or_else(|| row.wrong(format!("`{title}` is the id of an entry, not `{cell}`")))
    };
    let time = row.cell("time")?;
    let kind = row.cell("kind")?;
    let time = Moment::parse(time).ok_or_else(|| {
        row.wrong(format!(
            "`time` is written as 2026-05-01T18:20:00.000+02:00, not as `{time}`; a spreadsheet may have changed it"
        ))
    })?;
    let kind = EntryKind::from_word(kind).ok_or_else(|| row.wrong(format!("`kind` is no kind of entry: `{kind}`")))?;
    let supersedes = text("supersedes");
    Ok(Entry {
        id: id("id", row.cell("id")?)?,
        says: Draft {
            time,
            device: text("device"),
            plan: text("plan"),
            kind,
            what: row.cell("what")?.to_owned(),
            setting: text("setting"),
            typed: row.cell("typed")?.to_owned(),
            value: number("value")?,
            unit: text("unit"),
            range: text("range"),
            instrument: text("instrument"),
            lead_zero: number("lead_zero")?,
            air: number("air")?,
            who: text("who"),
            note: text("note"),
            judged: text("judged"),
            supersedes: if supersedes.is_empty() { None } else { Some(id("supersedes", &supersedes)?) },
        },
    })
}

/// The JSON Schema of the rows, each as an object of its cells by the titles of their columns.
pub fn schema() -> Value {
    const NUMBER: &str = "^('?-?[0-9]+(\\.[0-9]+)?(e-?[0-9]+)?)?$";
    const ID: &str = "[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}";
    let kinds: Vec<&str> = EntryKind::ALL.iter().map(|kind| kind.word()).collect();
    let properties = COLUMNS.iter().map(|(name, words)| {
        let mut cell = json!({ "type": "string", "description": words });
        match *name {
            "id" => cell["pattern"] = json!(format!("^{ID}$")),
            "supersedes" => cell["pattern"] = json!(format!("^({ID})?$")),
            "time" => {
                cell["pattern"] = json!(
                    "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\\.[0-9]+)?(Z|[+-][0-9]{2}:[0-9]{2})$"
                )
            }
            "kind" => cell["enum"] = json!(kinds),
            "value" => cell["pattern"] = json!(format!("^open$|{NUMBER}")),
            "lead_zero" | "air" => cell["pattern"] = json!(NUMBER),
            _ => {}
        }
        ((*name).to_owned(), cell)
    });
    let properties: serde_json::Map<String, Value> = properties.collect();
    let names: Vec<&str> = COLUMNS.iter().map(|(name, _)| *name).collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A row of a logbook as comma-separated values",
        "description": "An entry, its cells by the titles of their columns. A cell that begins with = + - @ ' or a tab is led by an apostrophe, so that no spreadsheet takes it for a formula.",
        "type": "object",
        "properties": properties,
        "required": names,
        "additionalProperties": false,
    })
}
