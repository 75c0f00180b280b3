//! What else the circuit is made of: pieces of rail, and the inside of supplies.

use super::{Sheets, milliohms, paper, significant};
use crate::paper::{Block, Cell, ColumnSet, Paper, Table, TableColumn};
use circuit::{Edge, EdgeId, EdgeKind, NodeId, Part, Spot};

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let blocks = vec![
        Block::Text(
            "Every piece of rail between two places where something is wired, joined or cut, with its resistance as \
             usual, is in the file `rails` of the tables: for checks and for your own calculations; nobody builds from it."
                .to_owned(),
        ),
        Block::Table(rails(sheets)),
    ];
    // Nothing of it is built, so that no printed sheet says so.
    paper("pieces", "Pieces of rail", blocks).with_print(Vec::new())
}

/// The positions that close an edge: `T1 diverging`.
pub(super) fn when(sheets: &Sheets<'_>, edge: &Edge) -> String {
    let circuit = &sheets.job.facts.circuit;
    let words = edge.guard.iter().map(|&literal| {
        let (control, position) = circuit.literal_words(literal);
        format!("{control} = {position}")
    });
    words.collect::<Vec<_>>().join(", ")
}

fn ends(sheets: &Sheets<'_>, nodes: [NodeId; 2]) -> [Cell; 2] {
    nodes.map(|node| Cell::words(sheets.places.words(node)))
}

/// Pieces of rail, what moves against rail (blades and the contacts of decks), and the inside of detectors.
pub(super) fn rails(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "rails",
        vec![
            TableColumn::of_files("what"),
            TableColumn::of_files("from"),
            TableColumn::of_files("to"),
            TableColumn::of_files("when"),
            TableColumn { set: ColumnSet::File, ..TableColumn::number("resistance", "mΩ") },
            TableColumn { set: ColumnSet::File, ..TableColumn::number("keeps", "V") },
        ],
    );
    let circuit = &sheets.job.facts.circuit;
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let on_work = matches!(circuit.nodes[edge.a].spot, Spot::Work { .. });
        let what = match edge.kind {
            EdgeKind::Rail => "rail",
            EdgeKind::Blade => "blade",
            EdgeKind::Contact if on_work => "deck contact",
            EdgeKind::Wire if matches!(edge.part, Part::Detector { .. }) => "detector",
            _ => continue,
        };
        let [from, to] = ends(sheets, [edge.a, edge.b]);
        let when = Cell::words(when(sheets, edge));
        let keeps = circuit.kept_volts.get(&id);
        let keeps = keeps.map_or(Cell::Empty, |&value| Cell::Number { value, shown: significant(value, 6) });
        table.push(None, vec![Cell::words(what), from, to, when, milliohms(edge.ohms.typical), keeps]);
    }
    table
}

/// What stands inside supplies and breakers.
pub(super) fn sources(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "sources",
        vec![
            TableColumn::words("from"),
            TableColumn::words("to"),
            TableColumn::number("resistance", "mΩ"),
            TableColumn::short("assumed"),
        ],
    );
    for edge in sheets.job.facts.circuit.edges.iter().filter(|e| e.kind == EdgeKind::Source) {
        let [from, to] = ends(sheets, [edge.a, edge.b]);
        let input = sheets.job.facts.circuit.inputs.get(edge.input).map(|input| &input.origin);
        let ours = matches!(input, Some(circuit::Origin::Default(_)));
        let ours = if ours { Cell::words("resistance") } else { Cell::Empty };
        table.push(None, vec![from, to, milliohms(edge.ohms.typical), ours]);
    }
    table
}
