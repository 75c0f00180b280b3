//! The contact allocation: what each terminal of each contact is wired to, and what it must bear.

use super::pieces::when;
use super::printed::{self, contacts::ThrowRow};
use super::{Sheets, paper, significant};
use crate::number::Number;
use crate::paper::{Block, Cell, Paper, Table, TableColumn};
use circuit::{EdgeKind, NodeId, Spot};
use handbook::quantity::{Amps, Quantity};
use plan::At;
use plan::tables::ContactTable;
use plan::value::List;
use std::collections::BTreeMap;

/// Whose contacts, and what is known of them.
struct ContactOwner<'p> {
    name: &'p str,
    list: &'p List<ContactTable>,
    has: Option<u32>,
    rating: Option<&'p At<Amps>>,
}

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let words = "Each contact must bear what flows until the nearest breaker above it trips; a train's current flows for hours, \
                 a short for as long as the breaker takes. Where no rating stands, look at the device's own sheet.";
    let mut blocks = vec![Block::Text(words.to_owned()), Block::Table(contacts(sheets))];
    let spare: Vec<String> = owners(sheets)
        .iter()
        .filter_map(|o| {
            let free = (o.has? as usize).checked_sub(o.list.items.len()).filter(|f| *f > 0)?;
            Some(format!("{} of {}", free, o.name))
        })
        .collect();
    if !spare.is_empty() {
        blocks.push(Block::Text(format!("Spare contacts: {}.", spare.join(", "))));
    }
    let throws = throws(sheets);
    // In usual print the schematics show what each throw is wired to.
    let table = printed::contacts::contacts;
    let table = if sheets.job.choices.large_print { table } else { printed::contacts::contacts_borne };
    let mut printed = vec![Block::Text(words.to_owned()), Block::Table(table(&throws))];
    printed.extend(blocks.iter().skip(2).cloned());
    paper("contacts", "Contact allocation", blocks).with_print(printed)
}

fn owners<'p>(sheets: &Sheets<'p>) -> Vec<ContactOwner<'p>> {
    let plan = sheets.job.facts.plan;
    let motors = plan.motor.iter().map(|m| ContactOwner {
        name: &m.name.value,
        list: &m.contact,
        has: m.contacts.as_ref().map(|c| c.value),
        rating: m.contact_rating.as_ref(),
    });
    let relays = plan.relay.iter().map(|r| ContactOwner {
        name: &r.name.value,
        list: &r.contact,
        has: r.contacts.as_ref().map(|c| c.value),
        rating: r.contact_rating.as_ref(),
    });
    let toggles =
        plan.toggle.iter().map(|t| ContactOwner { name: &t.name.value, list: &t.contact, has: None, rating: None });
    motors.chain(relays).chain(toggles).collect()
}

/// The throws of all contacts for print, those of one contact behind each other.
fn throws(sheets: &Sheets<'_>) -> Vec<ThrowRow> {
    let circuit = &sheets.job.facts.circuit;
    let currents = analysis::contact_currents(&sheets.job.facts);
    let mut rating: BTreeMap<usize, f64> = BTreeMap::new();
    for owner in owners(sheets) {
        let amps = owner.rating.map(|r| r.value.si());
        rating.extend(owner.list.iter().filter_map(|contact| Some((contact.span.start, amps?))));
    }
    let mut at_node: BTreeMap<NodeId, Vec<Number>> = BTreeMap::new();
    for wire in &sheets.wires {
        for node in [0, 1].into_iter().filter_map(|end| wire.ends[end].node) {
            at_node.entry(node).or_default().push(wire.number);
        }
    }
    let wired = |node: NodeId| at_node.get(&node).cloned().unwrap_or_default();
    let inputs = crate::items::reverser_taps(circuit);
    let contacts = circuit.edges.iter().filter(|e| e.kind == EdgeKind::Contact);
    let contacts = contacts.filter(|e| !matches!(circuit.nodes[e.a].spot, Spot::Work { .. }));
    let throw = |edge: &circuit::Edge| {
        let words = |node| sheets.places.words(node);
        let (terminal, common, [near, far]) = match inputs.get(&edge.b) {
            Some((reverser, pole)) => {
                let name = sheets.places.name(plan::Kind::Reverser, *reverser);
                (words(edge.a), format!("{name}.in {}", pole.word()), [edge.a, edge.b])
            }
            None => (words(edge.b), words(edge.a), [edge.b, edge.a]),
        };
        ThrowRow {
            terminal,
            common,
            when: when(sheets, edge),
            wires: wired(near),
            at_common: wired(far),
            bears: currents.get(&edge.span.start).map(|c| significant(c.0, 3)),
            made_for: rating.get(&edge.span.start).map(|&amps| significant(amps, 3)),
        }
    };
    contacts.map(throw).collect()
}

/// Contacts of motors, relays, toggles and reversers: what each terminal joins and when, the wires at it, and what it must
/// bear.
pub(super) fn contacts(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "contacts",
        vec![
            TableColumn::words("terminal"),
            TableColumn::words("is joined to"),
            TableColumn::words("when"),
            TableColumn::words("wires"),
            TableColumn::words("wires at the other"),
            TableColumn::number("must bear", "A"),
            TableColumn::number("is made for", "A"),
            TableColumn::boxes("tested"),
        ],
    );
    let circuit = &sheets.job.facts.circuit;
    let currents = analysis::contact_currents(&sheets.job.facts);
    let mut rating: BTreeMap<usize, f64> = BTreeMap::new();
    for owner in owners(sheets) {
        let amps = owner.rating.map(|r| r.value.si());
        rating.extend(owner.list.iter().filter_map(|contact| Some((contact.span.start, amps?))));
    }
    let mut at_node: BTreeMap<NodeId, Vec<String>> = BTreeMap::new();
    for wire in &sheets.wires {
        for end in 0..2 {
            if let Some(node) = wire.ends[end].node {
                at_node.entry(node).or_default().push(format!("{} {}", wire.number, wire.label(end)));
            }
        }
    }
    let wired = |node: NodeId| at_node.get(&node).map_or(Cell::Empty, |wires| Cell::words(wires.join("; ")));
    let amps =
        |value: Option<f64>| value.map_or(Cell::Empty, |value| Cell::Number { value, shown: significant(value, 3) });
    let inputs = crate::items::reverser_taps(circuit);
    for edge in circuit.edges.iter().filter(|e| e.kind == EdgeKind::Contact) {
        if matches!(circuit.nodes[edge.a].spot, Spot::Work { .. }) {
            continue;
        }
        let words = |node| Cell::words(sheets.places.words(node));
        let (terminal, joined, [near, far]) = match inputs.get(&edge.b) {
            Some((reverser, pole)) => {
                let name = sheets.places.name(plan::Kind::Reverser, *reverser);
                (words(edge.a), Cell::words(format!("{name}.in {}", pole.word())), [edge.a, edge.b])
            }
            None => (words(edge.b), words(edge.a), [edge.b, edge.a]),
        };
        table.push(
            None,
            vec![
                terminal,
                joined,
                Cell::words(when(sheets, edge)),
                wired(near),
                wired(far),
                amps(currents.get(&edge.span.start).map(|c| c.0)),
                amps(rating.get(&edge.span.start).copied()),
                Cell::Box,
            ],
        );
    }
    table
}
