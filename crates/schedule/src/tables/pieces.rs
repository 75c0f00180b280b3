//! What else the circuit is made of: joints, pieces of rail, contacts, the inside of supplies.

use super::{Sheets, milliohms, number, paper};
use crate::paper::{Block, Cell, Column, Paper, Table};
use circuit::{Edge, EdgeKind, NodeId, Spot};
use std::collections::BTreeSet;

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let blocks = vec![
        Block::Text(
            "Every piece of rail between two places where something is wired, joined or cut, with its resistance as \
             usual. For checks and for who wants to reckon on; nobody builds from this list."
                .to_owned(),
        ),
        Block::Table(rails(sheets)),
        Block::Table(sources(sheets)),
    ];
    paper("pieces", "Pieces of rail", blocks)
}

/// The positions that close an edge: `T1 diverging`.
fn when(sheets: &Sheets<'_>, edge: &Edge) -> String {
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

/// Insulated gaps, each once: where it is and what stands on either side of it.
pub(super) fn gaps(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "gaps",
        vec![Column::short("number"), Column::words("one side"), Column::words("other side")],
    );
    let mut seen = BTreeSet::new();
    for gap in &sheets.job.facts.circuit.gaps {
        let Some(n) = sheets.job.numbers.of_gap(gap.before, gap.after).filter(|n| seen.insert(*n)) else { continue };
        let [one, other] = ends(sheets, [gap.before, gap.after]);
        table.push(None, vec![number(n), one, other]);
    }
    table
}

/// Joints, soldered and sliding.
pub(super) fn joints(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "joints",
        vec![Column::short("number"), Column::short("kind"), Column::words("from"), Column::words("to")],
    );
    for (id, edge) in sheets.job.facts.circuit.edges.iter().enumerate() {
        let kind = match edge.kind {
            EdgeKind::SolderedJoint => "soldered",
            EdgeKind::SlidingJoint => "sliding",
            _ => continue,
        };
        let Some(n) = sheets.job.numbers.of_edge(id as u32) else { continue };
        let [from, to] = ends(sheets, [edge.a, edge.b]);
        table.push(None, vec![number(n), Cell::words(kind), from, to]);
    }
    table
}

/// Pieces of rail, and what moves against rail: blades and the contacts of decks.
pub(super) fn rails(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "rails",
        vec![
            Column::short("what"),
            Column::words("from"),
            Column::words("to"),
            Column::words("when"),
            Column::number("resistance", "mΩ"),
        ],
    );
    let circuit = &sheets.job.facts.circuit;
    for edge in &circuit.edges {
        let on_work = matches!(circuit.nodes[edge.a as usize].spot, Spot::Work { .. });
        let what = match edge.kind {
            EdgeKind::Rail => "rail",
            EdgeKind::Blade => "blade",
            EdgeKind::Contact if on_work => "deck contact",
            _ => continue,
        };
        let [from, to] = ends(sheets, [edge.a, edge.b]);
        let when = Cell::words(when(sheets, edge));
        table.push(None, vec![Cell::words(what), from, to, when, milliohms(edge.ohms.typical)]);
    }
    table
}

/// Contacts of motors, relays, toggles and reversers: what each joins, and when.
pub(super) fn contacts(sheets: &Sheets<'_>) -> Table {
    let mut table =
        Table::new("contacts", vec![Column::words("terminal"), Column::words("is joined to"), Column::words("when")]);
    let circuit = &sheets.job.facts.circuit;
    let inputs = crate::items::reverser_taps(circuit);
    for edge in circuit.edges.iter().filter(|e| e.kind == EdgeKind::Contact) {
        if matches!(circuit.nodes[edge.a as usize].spot, Spot::Work { .. }) {
            continue;
        }
        let [mut from, mut to] = [edge.a, edge.b].map(|node| sheets.places.words(node));
        if let Some((reverser, pole)) = inputs.get(&edge.b) {
            to = format!("{}.in {}", sheets.places.name(plan::Kind::Reverser, *reverser), pole.word());
        } else {
            std::mem::swap(&mut from, &mut to);
        }
        table.push(None, vec![Cell::words(from), Cell::words(to), Cell::words(when(sheets, edge))]);
    }
    table
}

/// What stands inside supplies and breakers.
pub(super) fn sources(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "sources",
        vec![Column::words("from"), Column::words("to"), Column::number("resistance", "mΩ")],
    );
    for edge in sheets.job.facts.circuit.edges.iter().filter(|e| e.kind == EdgeKind::Source) {
        let [from, to] = ends(sheets, [edge.a, edge.b]);
        table.push(None, vec![from, to, milliohms(edge.ohms.typical)]);
    }
    table
}
