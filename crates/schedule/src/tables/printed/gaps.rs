//! Gaps and joints as they are printed: those that are made alike together, both rails of a place on one row.

use super::starred;
use crate::number::Number;
use crate::paper::{Cell, Table, TableColumn};
use crate::tables::number;
use plan::tables::RailSide;
use std::collections::BTreeMap;

/// A gap.
pub(in crate::tables) struct GapRow {
    pub(in crate::tables) number: Number,
    pub(in crate::tables) place: String,
    pub(in crate::tables) rail: &'static str,
    pub(in crate::tables) purpose: String,
    pub(in crate::tables) made: String,
    /// How wide to leave it, with its unit; none inside trackwork.
    pub(in crate::tables) leave: Option<String>,
    pub(in crate::tables) assumed: bool,
    pub(in crate::tables) across: String,
}

/// The gaps, those that are made alike and left as wide under one band.
pub(in crate::tables) fn gaps(rows: &[GapRow]) -> Table {
    let mut table = Table::new(
        "gaps",
        vec![
            TableColumn::short("no."),
            TableColumn::words("where"),
            TableColumn::short("rail"),
            TableColumn::words("purpose"),
            TableColumn::words("across it"),
            TableColumn::boxes("cut"),
            TableColumn::boxes("tested"),
        ],
    );
    let band = |row: &GapRow| match &row.leave {
        Some(leave) => format!("Leave {}: {}", starred(leave, row.assumed), row.made),
        None => "Built in by the maker of the trackwork: only to be tested".to_owned(),
    };
    let mut bands: Vec<(String, Vec<&GapRow>)> = Vec::new();
    for row in rows {
        let words = band(row);
        match bands.iter_mut().find(|known| known.0 == words) {
            Some(known) => known.1.push(row),
            None => bands.push((words, vec![row])),
        }
    }
    for (words, rows) in bands {
        for row in rows {
            table.push(
                Some(words.clone()),
                vec![
                    number(row.number),
                    Cell::words(&row.place),
                    Cell::words(row.rail),
                    Cell::words(&row.purpose),
                    Cell::words(&row.across),
                    if row.leave.is_some() { Cell::Box } else { Cell::Empty },
                    Cell::Box,
                ],
            );
        }
    }
    table
}

/// A joint.
pub(in crate::tables) struct JointRow {
    pub(in crate::tables) number: Number,
    pub(in crate::tables) kind: String,
    pub(in crate::tables) leave: Option<String>,
    pub(in crate::tables) place: String,
    pub(in crate::tables) side: Option<RailSide>,
}

/// The joints, both rails of a place on one row.
pub(in crate::tables) fn joints(rows: Vec<JointRow>) -> Table {
    let mut table = Table::new(
        "joints",
        vec![
            TableColumn::words("where"),
            TableColumn::short("left rail"),
            TableColumn::boxes("made"),
            TableColumn::boxes("tested"),
            TableColumn::short("right rail"),
            TableColumn::boxes("made"),
            TableColumn::boxes("tested"),
        ],
    );
    type Band = (String, Vec<(String, [Option<Number>; 2])>);
    let mut bands: Vec<Band> = Vec::new();
    // Where each band is, and where in it the row of a place that has no joint of that rail yet.
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    let mut waiting: BTreeMap<(usize, usize, String), usize> = BTreeMap::new();
    for row in rows {
        let words = match &row.leave {
            Some(leave) => format!("{}, leave {leave}", row.kind),
            None => row.kind.clone(),
        };
        let at = *known.entry(words.clone()).or_insert_with(|| {
            bands.push((words, Vec::new()));
            bands.len() - 1
        });
        let column = usize::from(row.side == Some(RailSide::Right));
        let places = &mut bands[at].1;
        match waiting.remove(&(at, column, row.place.clone())) {
            Some(place) => places[place].1[column] = Some(row.number),
            None => {
                let mut both = [None; 2];
                both[column] = Some(row.number);
                waiting.entry((at, 1 - column, row.place.clone())).or_insert(places.len());
                places.push((row.place, both));
            }
        }
    }
    for (words, places) in bands {
        for (place, both) in places {
            let mut cells = vec![Cell::words(place)];
            for joint in both {
                match joint {
                    Some(joint) => cells.extend([number(joint), Cell::Box, Cell::Box]),
                    None => cells.extend([Cell::Empty, Cell::Empty, Cell::Empty]),
                }
            }
            table.push(Some(words.clone()), cells);
        }
    }
    table
}
