//! A club's spreadsheet made a plan: a table of tracks, and where there are such tables of turnouts and of wires.
//!
//! What the tables do not say is assumed, and every line of the plan that was assumed says so.

mod wires;

use handbook::quantity::{Metres, parse};
use handbook::scales;
use plan::edit::quoted;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use text::csv::{Columns, ColumnsRow, ReadError};
use wires::SheetWires;

/// The tables, as comma-separated values with a line of titles.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sheets<'s> {
    /// Tracks: name, from, to, length.
    pub tracks: &'s str,
    /// Turnouts: name, and where they are known hand, number and wiring.
    pub turnouts: Option<&'s str>,
    /// Wires: from, to, and where they are known wire and length.
    pub wires: Option<&'s str>,
    /// The layout's name.
    pub name: &'s str,
    /// Its scale.
    pub scale: &'s str,
}

/// A plan that was made of tables.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetPlan {
    /// Its text.
    pub text: String,
    /// How many tracks and turnouts it has.
    pub counts: [usize; 2],
    /// What was assumed, in words.
    pub assumed: Vec<String>,
}

/// Why tables make no plan.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum SheetError {
    /// A table cannot be read.
    #[error("the table of {table}: {why}")]
    Table {
        /// Of what it is.
        table: &'static str,
        /// The line and what is wrong.
        why: ReadError,
    },
    /// It is no scale.
    #[error("there is no scale `{said}`; the scales are {known}")]
    Scale {
        /// What was said.
        said: String,
        /// Those there are.
        known: String,
    },
}

/// Words that a column may have as its title.
const TITLES: [(&str, &[&str]); 9] = [
    ("name", &["name", "track", "turnout", "id"]),
    ("from", &["from", "start"]),
    ("to", &["to", "end"]),
    ("length", &["length", "long"]),
    ("hand", &["hand", "side"]),
    ("number", &["number", "frog", "frog number"]),
    ("wiring", &["wiring", "type"]),
    ("wire", &["wire", "gauge", "size"]),
    ("at", &["at"]),
];

/// A table with its columns found by their titles, whatever case they are in.
struct Sheet {
    columns: Columns,
    title_of: BTreeMap<&'static str, String>,
    table: &'static str,
}

impl Sheet {
    fn read(text: &str, table: &'static str, needed: &[&'static str]) -> Result<Sheet, SheetError> {
        let text = text.trim_start_matches('\u{feff}');
        let columns = Columns::read_any(text).map_err(|why| SheetError::Table { table, why })?;
        let mut title_of = BTreeMap::new();
        for title in columns.titles() {
            // `Length (mm)` is a length in millimetres.
            let plain = title.split(['(', '[']).next().unwrap_or_default().trim().to_lowercase();
            let known = TITLES.iter().find(|(_, words)| words.contains(&plain.as_str()));
            if let Some((key, _)) = known {
                title_of.entry(*key).or_insert_with(|| title.clone());
            }
        }
        let missing: Vec<&str> = needed.iter().copied().filter(|key| !title_of.contains_key(key)).collect();
        if !missing.is_empty() {
            let what = format!("no column is called {}; the first line must name the columns", missing.join(", "));
            return Err(SheetError::Table { table, why: ReadError { line: 1, what } });
        }
        Ok(Sheet { columns, title_of, table })
    }

    fn cell(&self, row: &ColumnsRow<'_>, key: &str) -> String {
        let title = self.title_of.get(key);
        title.and_then(|title| row.cell(title).ok()).map(str::trim).unwrap_or_default().to_owned()
    }

    fn wrong(&self, row: &ColumnsRow<'_>, what: impl Into<String>) -> SheetError {
        SheetError::Table { table: self.table, why: row.wrong(what) }
    }

    /// A length, in the unit of its cell or else of its column's title: `Length (mm)`.
    fn length(&self, row: &ColumnsRow<'_>) -> Result<Option<String>, SheetError> {
        let cell = self.cell(row, "length");
        if cell.is_empty() {
            return Ok(None);
        }
        let title = self.title_of.get("length").map_or("", String::as_str);
        let unit = title.split_once(['(', '[']).map_or("", |(_, rest)| rest.trim_end_matches([')', ']']).trim());
        let bare = cell.chars().all(|c| c.is_ascii_digit() || c == '.' || c == ',');
        let words = if bare && !unit.is_empty() { format!("{} {unit}", cell.replace(',', ".")) } else { cell.clone() };
        match parse::<Metres>(&words) {
            Ok(_) => Ok(Some(words)),
            Err(why) => Err(self.wrong(
                row,
                format!("`{cell}` is no length: {why}; write its unit, here or in the title: `length (m)`"),
            )),
        }
    }
}

/// One track of the table.
struct SheetTrack {
    name: String,
    ends: [String; 2],
    length: String,
}

/// Makes a plan of tables.
///
/// # Errors
/// With the line of the table that cannot be read, and why.
pub fn plan_from_sheets(sheets: Sheets<'_>) -> Result<SheetPlan, SheetError> {
    let scale = scales::scale(sheets.scale).ok_or_else(|| SheetError::Scale {
        said: sheets.scale.to_owned(),
        known: scales::scales().iter().map(|s| s.name).collect::<Vec<_>>().join(", "),
    })?;
    let sheet = Sheet::read(sheets.tracks, "tracks", &["name", "from", "to", "length"])?;
    let mut turnouts: BTreeMap<String, [String; 3]> = BTreeMap::new();
    if let Some(text) = sheets.turnouts {
        let table = Sheet::read(text, "turnouts", &["name"])?;
        for row in table.columns.rows().filter(|r| !r.is_empty()) {
            let name = table.cell(&row, "name");
            turnouts.insert(name, ["hand", "number", "wiring"].map(|key| table.cell(&row, key)));
        }
    }
    let rows: Vec<ColumnsRow<'_>> = sheet.columns.rows().filter(|r| !r.is_empty()).collect();
    let names: Vec<String> = rows.iter().map(|row| sheet.cell(row, "name")).collect();
    let cells: Vec<[String; 2]> = rows.iter().map(|row| ["from", "to"].map(|key| sheet.cell(row, key))).collect();
    let mut tracks = Vec::new();
    for (index, row) in rows.iter().enumerate() {
        if names[index].is_empty() {
            return Err(sheet.wrong(row, "this track has no name"));
        }
        let length = sheet.length(row)?.ok_or_else(|| sheet.wrong(row, "this track has no length"))?;
        let mut ends: [String; 2] = Default::default();
        for (end, cell) in cells[index].iter().enumerate() {
            ends[end] = end_of(cell, index, &names, &cells, &mut turnouts).map_err(|what| sheet.wrong(row, what))?;
        }
        tracks.push(SheetTrack { name: names[index].clone(), ends, length });
    }
    let mut wires = SheetWires::default();
    if let Some(text) = sheets.wires {
        wires.read(&Sheet::read(text, "wires", &["from", "to"])?, &names, &turnouts)?;
    }
    let mut assumed = Vec::new();
    let mut out = format!("[layout]\nname  = {}\nscale = {}\n", quoted(sheets.name), quoted(scale.name));
    assumed.push("the supply: its voltage and what trips it".to_owned());
    let volts = scale.nominal_voltage.value.0;
    let _ = write!(
        out,
        "\n[[supply]]\nname    = \"booster\"\nvoltage = \"{volts} V\" # assumed\ntrips   = {{ at = \"4 A\" }} # assumed\n"
    );
    wires.buses(&mut out, &mut assumed);
    for track in &tracks {
        let [from, to] = &track.ends;
        let _ = write!(
            out,
            "\n[[track]]\nname   = {}\nfrom   = {}\nto     = {}\nlength = {}\n",
            quoted(&track.name),
            quoted(from),
            quoted(to),
            quoted(&track.length)
        );
        wires.of_track(&track.name, &mut out);
    }
    for (name, [hand, number, wiring]) in &turnouts {
        let _ = write!(out, "\n[[turnout]]\nname   = {}\n", quoted(name));
        let mut key = |key: &str, said: &str, usual: &str, is_number: bool| {
            let value = |words: &str| if is_number { words.to_owned() } else { quoted(words) };
            if said.is_empty() {
                let _ = writeln!(out, "{key:6} = {} # assumed", value(usual));
                assumed.push(format!("{key} of `{name}`: {usual}"));
            } else {
                let _ = writeln!(out, "{key:6} = {}", value(said));
            }
        };
        key("hand", hand, "left", false);
        if !number.is_empty() {
            key("number", number, "6", number.parse::<f64>().is_ok());
        }
        key("wiring", wiring, "live-bonded", false);
    }
    wires.motors(&mut out);
    Ok(SheetPlan { text: out, counts: [tracks.len(), turnouts.len()], assumed })
}

/// The words of a turnout's ends.
const ENDS: [&str; 5] = ["points", "through", "diverging", "left", "right"];

/// What an end of a track joins, as a plan says it; a turnout that is named so is one of the plan's from then on.
fn end_of(
    cell: &str,
    track: usize,
    names: &[String],
    cells: &[[String; 2]],
    turnouts: &mut BTreeMap<String, [String; 3]>,
) -> Result<String, String> {
    let lower = cell.to_lowercase();
    match lower.as_str() {
        "" | "buffer" | "bumper" | "stop" | "end" => return Ok("buffer".to_owned()),
        "beyond" | "off" | "edge" | "open" => return Ok("beyond".to_owned()),
        _ => {}
    }
    if let Some(other) = names.iter().position(|name| name == cell) {
        // Each names the other: by which end is said there.
        let back: Vec<usize> = (0..2).filter(|&end| cells[other][end] == names[track]).collect();
        return match back[..] {
            [end] => Ok(format!("{cell}.{}", ["from", "to"][end])),
            _ => Err(format!("which end of `{cell}` is meant? write `{cell}.from` or `{cell}.to`")),
        };
    }
    let split = cell.rsplit_once(['.', ' ', ':', '/']).map(|(name, end)| (name.trim(), end.trim().to_lowercase()));
    match split {
        Some((name, end)) if names.iter().any(|n| n == name) && ["from", "to"].contains(&end.as_str()) => {
            Ok(format!("{name}.{end}"))
        }
        Some((name, end)) if ENDS.contains(&end.as_str()) && !name.is_empty() => {
            turnouts.entry(name.to_owned()).or_default();
            Ok(format!("{name}.{end}"))
        }
        _ => Err(format!(
            "`{cell}` is no end: write `buffer`, `beyond`, a track, or a turnout with its end, such as `T1.points`"
        )),
    }
}
