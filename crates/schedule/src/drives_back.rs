//! Drivers and motors once more, from the tables that were printed: what each driver puts on each terminal, and when.
//!
//! As [`crate::read_back`] it knows no plan. Wires come from the wire list; this reads what the wires bring.

use std::collections::BTreeMap;
use text::csv::{Columns, ColumnsRow, ReadError};

/// A driver as the papers tell it.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadDriver {
    /// Its name.
    pub name: String,
    /// What it is: `decoder`, `pulse` and so on.
    pub kind: String,
    /// What it keeps for itself between power and outputs, volts.
    pub keeps: f64,
    /// What it holds at its outputs, where it regulates, volts.
    pub holds: Option<f64>,
    /// What it draws itself, amperes.
    pub draws: f64,
}

/// What is on the terminals of a motor at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadState {
    /// When: `at rest`, `set through`, `throwing diverging`.
    pub when: String,
    /// For each terminal, by its words, what is on it.
    pub levels: BTreeMap<String, String>,
}

/// A motor as the papers tell it.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadMotor {
    /// Its name.
    pub name: String,
    /// What it is: `stall`, `solenoid`, `servo`.
    pub kind: String,
    /// The driver that throws it.
    pub driver: String,
    /// What it is made for, volts.
    pub made_for: f64,
    /// The least that throws it, volts.
    pub least: f64,
    /// What it draws while that flows, amperes.
    pub draws: f64,
    /// What is on its terminals, and when.
    pub states: Vec<ReadState>,
}

/// Reads `drivers.csv`.
///
/// # Errors
/// With the line, where a table is none of ours.
pub fn read_drivers(text: &str) -> Result<Vec<ReadDriver>, ReadError> {
    let columns = Columns::read(text)?;
    let mut drivers: Vec<ReadDriver> = Vec::new();
    for row in columns.rows() {
        let name = row.cell("driver")?;
        if drivers.last().is_some_and(|d| d.name == name) {
            continue;
        }
        drivers.push(ReadDriver {
            name: name.to_owned(),
            kind: row.cell("kind")?.to_owned(),
            keeps: due(&row, "keeps")?,
            holds: row.number("holds")?,
            draws: due(&row, "draws")?,
        });
    }
    Ok(drivers)
}

/// Reads `drives.csv`.
///
/// # Errors
/// With the line, where a table is none of ours.
pub fn read_motors(text: &str) -> Result<Vec<ReadMotor>, ReadError> {
    let columns = Columns::read(text)?;
    let mut motors: Vec<ReadMotor> = Vec::new();
    for row in columns.rows() {
        let name = row.cell("motor")?;
        if motors.last().is_none_or(|m| m.name != name) {
            motors.push(ReadMotor {
                name: name.to_owned(),
                kind: row.cell("kind")?.to_owned(),
                driver: row.cell("driver")?.to_owned(),
                made_for: due(&row, "made for")?,
                least: due(&row, "least")?,
                draws: due(&row, "draws")?,
                states: Vec::new(),
            });
        }
        let mut levels = BTreeMap::new();
        for on in row.cell("on its terminals")?.split("; ") {
            let (terminal, level) = on.rsplit_once(": ").ok_or_else(|| row.wrong("a terminal has `: ` behind it"))?;
            levels.insert(terminal.to_owned(), level.to_owned());
        }
        let state = ReadState { when: row.cell("when")?.to_owned(), levels };
        motors.iter_mut().last().into_iter().for_each(|m| m.states.push(state.clone()));
    }
    Ok(motors)
}

fn due(row: &ColumnsRow<'_>, title: &str) -> Result<f64, ReadError> {
    row.number(title)?.ok_or_else(|| row.wrong("a number is missing"))
}
