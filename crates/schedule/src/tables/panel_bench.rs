//! What a meter reads on a panel before it is joined to the layout, in words.

use super::Sheets;
use crate::panel_wires::words;
use crate::paper::{Cell, Table, TableColumn};
use panel::WiredPanel;
use panel::bench::{BenchReading, BenchTest, matrix_bench};

/// The tests of one matrix: how to hold the meter, and what it reads.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchWords {
    /// How to hold the meter.
    pub how: String,
    /// What it reads.
    pub readings: Table,
}

/// The tests of a panel, matrix by matrix.
pub(super) fn bench(sheets: &Sheets<'_>, wired: &WiredPanel, suffix: &str) -> Vec<BenchWords> {
    let plan = sheets.job.facts.plan;
    let several = wired.matrices.len() > 1;
    let mut found = Vec::new();
    for (at, matrix) in wired.matrices.iter().enumerate() {
        let Some(bench) = matrix_bench(wired, matrix) else { continue };
        let [stays, moves] = if bench.feed_is_red { ["red", "black"] } else { ["black", "red"] };
        let feed = words(sheets.job, wired, &bench.feed);
        let how = format!(
            "For {}: meter on its diode range, {stays} lead on {feed}. Touch each terminal of the strip with the {moves} lead. Where \
             a terminal is not named, the meter must stay silent.",
            plan.supply[matrix.supply].name.value
        );
        let name = if several { format!("panel-tests{suffix}-{}", at + 1) } else { format!("panel-tests{suffix}") };
        let mut table = Table::new(
            name,
            vec![
                TableColumn::words("press"),
                TableColumn::words("beeps at"),
                TableColumn::words("shows a diode at"),
                TableColumn::boxes("right"),
            ],
        );
        for test in &bench.tests {
            table.push(None, row(sheets, wired, test));
        }
        found.push(BenchWords { how, readings: table });
    }
    found
}

fn row(sheets: &Sheets<'_>, wired: &WiredPanel, test: &BenchTest) -> Vec<Cell> {
    let (mut beeps, mut diodes) = (Vec::new(), Vec::new());
    for (end, reading) in &test.readings {
        let end = words(sheets.job, wired, end);
        match reading {
            BenchReading::Open => {}
            BenchReading::Wire => beeps.push(end),
            BenchReading::Diodes(1) => diodes.push(end),
            BenchReading::Diodes(count) => diodes.push(format!("{end} ({count} in a row)")),
        }
    }
    let pressed = test.pressed.map_or("nothing".to_owned(), |part| wired.parts.parts[part].name.clone());
    let said = |list: Vec<String>| if list.is_empty() { "none".to_owned() } else { list.join("; ") };
    vec![Cell::words(pressed), Cell::words(said(beeps)), Cell::words(said(diodes)), Cell::Box]
}
