//! Tables as they are printed: what a band above rows says is left out of them, rows that are alike are drawn together, and a star
//! stands behind whatever was assumed. What only other papers need (the exact place of each side of a gap, how far a wire runs)
//! is in the files of tables.

pub(super) mod contacts;
pub(super) mod gaps;
pub(super) mod operation;
pub(super) mod turnouts;
pub(super) mod wires;

use super::Sheets;
use crate::choices::Units;
use crate::paper::{Cell, TableColumn};
use crate::poles::rgb;
use crate::wires::ScheduledWire;

/// What a star means.
pub(super) const STAR: &str = "A star (*) marks what your plan does not say, so that it was assumed.";

/// Words with a star behind them where they were assumed.
pub(super) fn starred(words: impl Into<String>, assumed: bool) -> String {
    let words = words.into();
    if assumed && !words.is_empty() { format!("{words}*") } else { words }
}

/// A cell with a star behind its words where they were assumed.
pub(super) fn starred_cell(cell: Cell, assumed: bool) -> Cell {
    if !assumed {
        return cell;
    }
    match cell {
        Cell::Words(words) => Cell::Words(starred(words, true)),
        Cell::Number { value, shown } => Cell::Number { value, shown: starred(shown, true) },
        Cell::Colour { word, rgb } => Cell::Colour { word: starred(word, true), rgb },
        other => other,
    }
}

/// The colour of a wire.
pub(super) fn colour(wire: &ScheduledWire) -> Cell {
    let cell = wire.colour.map_or(Cell::Empty, |word| Cell::Colour { word: word.to_owned(), rgb: rgb(word) });
    starred_cell(cell, wire.assumed.colour)
}

/// How long to cut a wire; where nobody says how long it runs, that it is to be measured.
pub(super) fn cut(sheets: &Sheets<'_>, wire: &ScheduledWire) -> Cell {
    match wire.cut() {
        Some(cut) => starred_cell(length(sheets, cut), wire.assumed.length),
        None if wire.assumed.measure => Cell::words("measure"),
        None => Cell::Empty,
    }
}

/// A column of lengths: in millimetres a number, in feet and inches words.
pub(super) fn length_column(sheets: &Sheets<'_>, title: &'static str) -> TableColumn {
    match sheets.job.choices.units {
        Units::Metric => TableColumn::number(title, "mm"),
        Units::Imperial => TableColumn::short(title),
    }
}

/// A length as one measures it.
pub(super) fn length(sheets: &Sheets<'_>, metres: f64) -> Cell {
    match sheets.job.choices.units {
        Units::Metric => Cell::Number { value: metres * 1e3, shown: format!("{:.0}", metres * 1e3) },
        Units::Imperial => Cell::words(sheets.printed.places.length(metres)),
    }
}

/// Where a wire ends, with a star where the plan does not say where it taps its bus.
pub(super) fn end(sheets: &Sheets<'_>, wire: &ScheduledWire, end: usize) -> String {
    let end = &wire.ends[end];
    let tapped = end.node.and_then(|node| sheets.printed.places.assumed_tap(node));
    // Some ends are named by what they are plugged into, not by their node.
    tapped.filter(|_| wire.what != "reverser input").map_or_else(|| end.words.clone(), |place| starred(place, true))
}
