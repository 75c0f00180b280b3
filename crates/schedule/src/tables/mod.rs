//! The tables of a job, one paper to a file.

mod allocation;
mod districts;
mod drivers;
mod feeders;
mod gap_words;
mod gaps;
pub mod interlocking;
mod labels;
mod operation;
pub mod panel_bench;
pub mod panel_components;
mod panel_proof;
pub mod panel_words;
pub mod panels;
mod pieces;
mod printed;
mod shopping;
mod strips;
mod turnouts;
mod wire_list;

pub use shopping::{Prices, ShoppingLine};

use crate::Job;
use crate::choices::{Units, in_short_units};
use crate::number::Number;
use crate::paper::{Block, Cell, Paper, Table};
use crate::places::PlaceNames;
use crate::wires::{ScheduledWire, wires, wires_named};

/// What all tables are made from.
pub(crate) struct Sheets<'j> {
    pub(crate) job: &'j Job<'j>,
    pub(crate) places: PlaceNames<'j>,
    pub(crate) wires: Vec<ScheduledWire>,
    /// Names of places, and wires with them, for print: lengths are as one measures them.
    pub(crate) printed: PrintedNames<'j>,
}

/// What printed tables name things with.
pub(crate) struct PrintedNames<'j> {
    pub(crate) places: PlaceNames<'j>,
    pub(crate) wires: Vec<ScheduledWire>,
}

impl<'j> Sheets<'j> {
    pub(crate) fn new(job: &'j Job<'j>) -> Sheets<'j> {
        let places = PlaceNames::new(&job.facts.circuit, job.facts.plan, job.choices.units);
        let hands = || PlaceNames::for_hands(&job.facts.circuit, job.facts.plan, job.choices.units);
        let printed = PrintedNames { places: hands(), wires: wires_named(job, hands()) };
        Sheets { job, places, wires: wires(job), printed }
    }

    /// A length on paper.
    fn length(&self, metres: f64) -> Cell {
        let (value, shown) = in_short_units(self.job.choices.units, metres);
        Cell::Number { value, shown }
    }

    /// A length on paper, to what places are distinguished by.
    fn exact(&self, metres: f64) -> Cell {
        let (value, _) = in_short_units(self.job.choices.units, metres);
        Cell::Number { value, shown: crate::places::exact(self.job.choices.units, metres) }
    }
}

/// A number of something.
fn number(number: Number) -> Cell {
    Cell::words(number.to_string())
}

/// A width, to a hundredth of a millimetre or a thousandth of an inch.
fn fine_width(units: Units, metres: f64) -> Cell {
    let value = units.in_short(metres);
    let decimals = if units == Units::Metric { 2 } else { 3 };
    Cell::Number { value, shown: format!("{value:.decimals$}") }
}

/// Ohms as milliohms, to six digits.
fn milliohms(ohms: f64) -> Cell {
    let value = ohms * 1e3;
    Cell::Number { value, shown: significant(value, 6) }
}

/// A number to so many digits that count, without zeros behind the point.
fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    let decimals = (digits - 1 - value.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A paper of blocks.
fn paper(name: &'static str, title: &str, blocks: Vec<Block>) -> Paper {
    Paper::new(name, title, blocks)
}

/// All papers of a job that are tables, in the order in which they are read. The plan may be any that was read without
/// errors; what it does not tell is left empty.
pub fn papers(job: &Job<'_>) -> Vec<Paper> {
    papers_with_prices(job, None)
}

/// The same, with prices in the shopping list.
pub fn papers_with_prices(job: &Job<'_>, prices: Option<&Prices>) -> Vec<Paper> {
    let sheets = Sheets::new(job);
    vec![
        shopping::sheet(&sheets, prices),
        wire_list::sheet(&sheets),
        feeders::sheet(&sheets),
        gaps::sheet(&sheets),
        turnouts::sheet(&sheets),
        strips::sheet(&sheets),
        allocation::sheet(&sheets),
        drivers::sheet(&sheets),
        districts::sheet(&sheets),
        operation::sheet(&sheets),
        labels::sheet(&sheets),
        pieces::sheet(&sheets),
    ]
}

/// The lines of the shopping list.
pub fn shopping_list(job: &Job<'_>) -> Vec<ShoppingLine> {
    shopping::lines(&Sheets::new(job))
}

/// The tables that say what drivers do, see [`crate::drives_back`]: drivers, and what is on the terminals of motors.
pub fn driver_tables(job: &Job<'_>) -> [Table; 2] {
    let sheets = Sheets::new(job);
    [drivers::drivers(&sheets), drivers::drives(&sheets)]
}

/// The tables that the circuit can be rebuilt from, see [`crate::read_back`]: wires, gaps, joints, rails, contacts and
/// sources.
pub fn circuit_tables(job: &Job<'_>) -> [Table; 6] {
    let sheets = Sheets::new(job);
    [
        wire_list::table(&sheets),
        gaps::gaps(&sheets),
        gaps::joints(&sheets),
        pieces::rails(&sheets),
        allocation::contacts(&sheets),
        pieces::sources(&sheets),
    ]
}
