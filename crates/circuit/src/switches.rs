//! Contacts: terminals, the edges that close between them, and the wires that leave them.

use crate::builder::Builder;
use crate::bus::Buses;
use crate::wire::TapPlace;
use crate::wire::{WireMade, WireStart};
use crate::{EdgeKind, Literal, NodeId, Part, Spot};
use handbook::limits;
use handbook::quantity::{Metres, Quantity};
use plan::tables::{ContactTable, WiredTo};
use plan::value::{List, OneOrMany};
use plan::{At, Contact, Kind, Moved, Terminal};
use std::collections::BTreeMap;

/// Something with contacts, as the plan has it.
struct Contacts<'p> {
    kind: Kind,
    index: usize,
    name: &'p str,
    list: &'p List<ContactTable>,
    wire: Option<&'p At<String>>,
    length: Option<&'p At<Metres>>,
}

/// The keys of all terminals that contacts have.
const TERMINALS: [&str; 7] = ["common", "through", "diverging", "left", "right", "off", "on"];

/// The terminals of a contact table: its words and what they are wired to, with the position that
/// joins each to `common`.
pub(crate) fn terminals_of(contact: &ContactTable) -> [(&'static str, &OneOrMany<WiredTo>, Option<u8>); 7] {
    [
        ("common", &contact.common, None),
        ("through", &contact.through, Some(0)),
        ("diverging", &contact.diverging, Some(1)),
        ("left", &contact.left, Some(0)),
        ("right", &contact.right, Some(1)),
        ("off", &contact.off, Some(0)),
        ("on", &contact.on, Some(1)),
    ]
}

impl<'p> Builder<'p> {
    fn all_contacts(&self) -> Vec<Contacts<'p>> {
        let plan = self.plan;
        let mut all = Vec::new();
        macro_rules! gather {
            ($kind:ident $list:ident) => {
                for (index, owner) in plan.$list.iter().enumerate() {
                    all.push(Contacts {
                        kind: Kind::$kind,
                        index,
                        name: &owner.name.value,
                        list: &owner.contact,
                        wire: owner.wire.as_ref(),
                        length: owner.wire_length.as_ref(),
                    });
                }
            };
        }
        gather!(Motor motor);
        gather!(Relay relay);
        gather!(Toggle toggle);
        all
    }

    /// Every reference by which a wire ends at a rail: from contacts and from feeders' `to`.
    pub(crate) fn rail_terminals(&self) -> Vec<(&'p At<String>, Terminal)> {
        let plan = self.plan;
        let contacts = self.all_contacts().into_iter().flat_map(|owner| {
            owner.list.iter().flat_map(|c| terminals_of(&c.value).map(|(_, targets, _)| targets)).collect::<Vec<_>>()
        });
        let feeders = plan.track.iter().flat_map(|t| t.feeders.iter().filter_map(|f| f.value.to.as_ref()));
        contacts
            .flat_map(|targets| targets.references())
            .chain(feeders)
            .filter_map(|text| Some((text, self.names.terminal(plan, &text.value).ok()?)))
            .collect()
    }

    /// Makes the contacts and their wires.
    pub(crate) fn contacts(&mut self, buses: &mut Buses) {
        let owners = self.all_contacts();
        let mut nodes: BTreeMap<(Kind, usize, usize, &'static str), NodeId> = BTreeMap::new();
        for owner in &owners {
            let Some(&control) = self.control_of.get(&(owner.kind, owner.index)) else { continue };
            for (number, contact) in owner.list.iter().enumerate() {
                let spot =
                    |terminal| Spot::Terminal { kind: owner.kind, index: owner.index, contact: number, terminal };
                let name = |word: &str| format!("{}.{}.{word}", owner.name, number + 1);
                let common = self.node(name("common"), &contact.span, spot("common"));
                nodes.insert((owner.kind, owner.index, number, "common"), common);
                // Contacts have the words of what they follow, also where a toggle is one control with what it throws.
                let positions = match self.motor_of(owner.kind, owner.index) {
                    Some(_) => self.circuit.controls[control].positions.clone(),
                    None => vec!["off".to_owned(), "on".to_owned()],
                };
                for (word, _, position) in terminals_of(&contact.value) {
                    let Some(position) = position else { continue };
                    if !positions.iter().any(|p| p == word) {
                        continue;
                    }
                    let node = self.node(name(word), &contact.span, spot(word));
                    nodes.insert((owner.kind, owner.index, number, word), node);
                    let (ohms, input) = self.contact_ohms(EdgeKind::Contact);
                    let part = Part::Contact { kind: owner.kind, index: owner.index, contact: number, terminal: word };
                    let guard = vec![Literal { control, position }];
                    self.edge([common, node], EdgeKind::Contact, ohms, guard, input, part, &contact.span);
                }
            }
        }
        self.contact_nodes = nodes;
        let beside = self.bus_places();
        for owner in &owners {
            let start = WireStart {
                here: self.location_of(owner.kind, owner.index),
                beside: self.bus_places_of(owner, &beside),
            };
            for (number, contact) in owner.list.iter().enumerate() {
                for (word, targets, _) in terminals_of(&contact.value) {
                    let Some(&from) = self.contact_nodes.get(&(owner.kind, owner.index, number, word)) else {
                        continue;
                    };
                    for (target_number, wired) in targets.0.iter().enumerate() {
                        let text = &wired.value.to;
                        let Ok(target) = self.names.terminal(self.plan, &text.value) else { continue };
                        let Some(end) = self.wire_end(&target, text, &start, buses) else { continue };
                        let part = Part::ContactWire {
                            kind: owner.kind,
                            index: owner.index,
                            contact: number,
                            terminal: word,
                            target: target_number,
                        };
                        // What is said nearest to the wire holds.
                        let (one, all) = (&wired.value, &contact.value);
                        let wire = one.wire.as_ref().or(all.wire.as_ref()).or(owner.wire);
                        let length = one.length.as_ref().or(all.length.as_ref()).or(owner.length);
                        let run = one.run.as_ref().or(all.run.as_ref());
                        let way = run.and_then(|run| self.way_along(run, &start, &end)).or(end.way);
                        let plug = one.plug.as_ref();
                        let usual = limits::FEEDER_LENGTH;
                        let made = WireMade { what: "contact wire", wire, length, plug, way, usual };
                        self.lay([from, end.node], EdgeKind::Wire, made, part, &text.span);
                    }
                }
            }
        }
    }

    /// The terminal of a contact.
    pub(crate) fn contact_node(&self, c: &Contact) -> Option<NodeId> {
        let word = TERMINALS.into_iter().find(|word| *word == c.terminal)?;
        self.contact_nodes.get(&(c.owner, c.index, c.contact, word)).copied()
    }

    /// For each end that tracks join, the places on buses beside it, those of the first tracks in the plan first.
    fn bus_places(&self) -> BTreeMap<&'p str, Vec<(usize, f64)>> {
        let mut beside: BTreeMap<&str, Vec<(usize, f64)>> = BTreeMap::new();
        for track in &self.plan.track {
            let Some(along) = track.along.as_ref().map(|a| &a.value) else { continue };
            let Ok((_, bus)) = self.names.of_kind(&along.bus.value, &[Kind::Bus]) else { continue };
            beside.entry(track.from.value.as_str()).or_default().push((bus, along.from.value.si()));
            beside.entry(track.to.value.as_str()).or_default().push((bus, along.to.value.si()));
        }
        beside
    }

    /// Where on its buses a motor sits: beside the tracks that end at what it moves, of a turnout at its points.
    fn bus_places_of(
        &self,
        owner: &Contacts<'_>,
        beside: &BTreeMap<&str, Vec<(usize, f64)>>,
    ) -> Vec<(usize, TapPlace)> {
        let moved = self.motor_of(owner.kind, owner.index).into_iter().flat_map(|m| &self.plan.motor[m].moves.0);
        let moved = moved.filter_map(|text| self.names.moved(&text.value).ok());
        let ends = moved.flat_map(|m| self.ends_beside(m));
        let places = ends.flat_map(|end| beside.get(end.as_str()).cloned().unwrap_or_default());
        places.map(|(bus, at)| (bus, TapPlace::Beside(at))).collect()
    }

    /// The ends of trackwork beside which the motor of one of its parts sits.
    fn ends_beside(&self, moved: Moved) -> Vec<String> {
        let name = self.name_of(moved);
        let words: &[&str] = match (moved.kind, moved.part) {
            (Kind::Slip, 0) => &["west 1", "west 2"],
            (Kind::Slip, _) => &["east 1", "east 2"],
            (Kind::Turntable, _) => &[],
            _ => &["points"],
        };
        words.iter().map(|word| format!("{name}.{word}")).collect()
    }
}
