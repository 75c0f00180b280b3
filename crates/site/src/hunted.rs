//! Readings of a hunt as rows of words: what a builder typed, where the probes were, how everything stood. The command keeps them in
//! a spreadsheet, the pages in the logbook.

use analysis::SettingError;
use diagnosis::wording::BadPlace;
use diagnosis::{BadValue, Conditions, Hunt, Kit, Measurement, Observation, Wording};
use std::collections::BTreeSet;

/// A row of readings, in its words.
#[derive(Clone, Debug, Default)]
pub struct ReadingRow {
    /// The line of its file, from 1.
    pub line: u64,
    /// Where one probe was.
    pub from: String,
    /// Where the other one was.
    pub to: String,
    /// Positions: `T1=diverging; T2=through`.
    pub setting: String,
    /// Wires that were off: `F-3; F-4`.
    pub pulled: String,
    /// With what; as the command says where it is empty.
    pub kit: String,
    /// What the meter showed.
    pub reading: String,
    /// Where a load or the current was put on, if not between the probes: one place, and the other.
    pub load: [String; 2],
}

impl ReadingRow {
    /// Its places.
    pub fn places(&mut self) -> impl Iterator<Item = &mut String> {
        [&mut self.from, &mut self.to].into_iter().chain(&mut self.load)
    }
}

/// A text with points in its numbers in place of commas.
pub fn with_points(text: &str) -> String {
    let all: Vec<char> = text.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|at| all.get(at)).is_some_and(char::is_ascii_digit);
    let point = |(at, c): (usize, &char)| {
        if *c == ',' && digit(at.checked_sub(1)) && digit(Some(at + 1)) { '.' } else { *c }
    };
    all.iter().enumerate().map(point).collect()
}

/// The columns, in the order in which they are written.
pub const COLUMNS: [&str; 8] = ["from", "to", "setting", "pulled", "kit", "reading", "load from", "load to"];

/// The rows as a file.
pub fn csv(rows: &[ReadingRow]) -> String {
    let head = COLUMNS.map(str::to_owned).to_vec();
    let lines = rows.iter().map(|row| {
        let [load_from, load_to] = &row.load;
        let cells = [&row.from, &row.to, &row.setting, &row.pulled, &row.kit, &row.reading, load_from, load_to];
        cells.into_iter().cloned().collect()
    });
    text::csv::lines(std::iter::once(head).chain(lines))
}

/// A measurement with what was typed of it as a row.
pub fn row_of(wording: &Wording<'_, '_>, measurement: &Measurement, typed: &str) -> ReadingRow {
    let [from, to] = measurement.sense.map(|node| wording.place(node).to_owned());
    ReadingRow {
        line: 0,
        from,
        to,
        setting: wording.set_cell(measurement),
        pulled: wording.pulled_cell(measurement),
        kit: kit_word(measurement.kit).to_owned(),
        reading: typed.to_owned(),
        load: if measurement.force == measurement.sense {
            Default::default()
        } else {
            measurement.force.map(|node| wording.place(node).to_owned())
        },
    }
}

/// The word of a kit.
pub fn kit_word(kit: Kit) -> &'static str {
    match kit {
        Kit::Buzzer => "buzzer",
        Kit::Ohmmeter => "ohmmeter",
        Kit::Bench => "bench",
        Kit::Volts => "volts",
    }
}

fn kit_of(words: &str, otherwise: Kit) -> Result<Kit, BadRow> {
    match words.trim().to_lowercase().as_str() {
        "" => Ok(otherwise),
        "buzzer" => Ok(Kit::Buzzer),
        "ohmmeter" => Ok(Kit::Ohmmeter),
        "bench" => Ok(Kit::Bench),
        "volts" => Ok(Kit::Volts),
        other => Err(BadRow::Kit(other.to_owned())),
    }
}

/// Why a row says nothing.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BadRow {
    /// There is no such place or wire.
    #[error(transparent)]
    Place(#[from] BadPlace),
    /// Nothing can be set so.
    #[error(transparent)]
    Setting(#[from] SettingError),
    /// That is no reading.
    #[error(transparent)]
    Value(#[from] BadValue),
    /// That is no kit.
    #[error("`{0}` is no kit; it is `buzzer`, `ohmmeter`, `bench` or `volts`")]
    Kit(String),
}

/// What a row says.
///
/// # Errors
/// Where its words name nothing of the plan, or its reading is none.
pub fn observation(wording: &Wording<'_, '_>, hunt: &Hunt, row: &ReadingRow) -> Result<Observation, BadRow> {
    let kit = kit_of(&row.kit, hunt.options.kit)?;
    let node = |place: &str| wording.node(place);
    let pair = [node(&row.from)?, node(&row.to)?];
    let force = match &row.load {
        [from, to] if from.is_empty() && to.is_empty() => pair,
        [from, to] => [node(from)?, node(to)?],
    };
    let circuit = &wording.job().facts.circuit;
    let named: Vec<String> =
        row.setting.split([';', ',']).map(|p| p.trim().to_owned()).filter(|p| !p.is_empty()).collect();
    let setting = analysis::setting_positions(circuit, &named)?;
    let mut pulled = BTreeSet::new();
    for wire in row.pulled.split([';', ',']).map(str::trim).filter(|p| !p.is_empty()) {
        pulled.insert(wording.wire(hunt, wire)?);
    }
    let value = kit.value(&row.reading)?;
    let conditions = Conditions { powered: kit.powered(), setting, pulled };
    Ok(Observation::Read { measurement: Measurement { kit, conditions, force, sense: pair }, value })
}
