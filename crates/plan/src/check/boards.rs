//! Boards: what they hold is there, and lies on one of them.

use super::{Check, unclear};
use crate::names::Kind;
use crate::value::At;
use std::collections::BTreeMap;
use std::ops::Range;

/// What a board can hold.
const HELD: &[Kind] = &[
    Kind::Track,
    Kind::Turnout,
    Kind::Crossing,
    Kind::Slip,
    Kind::ThreeWay,
    Kind::Turntable,
    Kind::Bus,
    Kind::Supply,
    Kind::Driver,
    Kind::Motor,
    Kind::Relay,
    Kind::Toggle,
    Kind::Reverser,
    Kind::Detector,
];

impl Check<'_, '_> {
    pub(super) fn boards(&mut self) {
        let plan = self.plan;
        let mut on: BTreeMap<(Kind, usize), Range<usize>> = BTreeMap::new();
        for board in &plan.board {
            if board.holds.is_empty() {
                self.reader.tell(
                    unclear("missing-key", format!("board `{}` holds nothing", board.name.value))
                        .at(board.name.span.clone(), "`holds` is missing")
                        .help("name the tracks, turnouts and buses on it: `holds = [\"turning loop\", \"T11\"]`"),
                );
            }
            for text in board.holds.iter() {
                let found = self.names.of_kind(&text.value, HELD);
                let Some(thing) = self.resolve(text, found) else { continue };
                if let Some(first) = on.get(&thing) {
                    self.reader.tell(
                        unclear("contradiction", format!("`{}` lies on two boards, or is named twice", text.value))
                            .at(text.span.clone(), "again here")
                            .also(first.clone(), "first here")
                            .help("a track that crosses the edge is two tracks, joined at the edge"),
                    );
                } else {
                    on.insert(thing, text.span.clone());
                }
            }
        }
        for bus in &plan.bus {
            if let (Some(plug), None) = (&bus.plug, &bus.from) {
                self.reader.tell(
                    unclear("contradiction", format!("bus `{}` has a plug and starts on no other bus", bus.name.value))
                        .at(plug.span.clone(), "a plug to what?")
                        .help("say where it is plugged in: `from = \"main bus @ 5 m\"`"),
                );
            }
        }
    }

    pub(super) fn base_material(&mut self, material: &At<String>) {
        let known: Vec<&str> = handbook::materials::base_materials().iter().map(|m| m.name).collect();
        if handbook::materials::base_material(&material.value).is_none() {
            self.reader.unknown_word(material.span.clone(), &material.value, "base material", &known);
        }
    }

    pub(super) fn board_ranges(&mut self) {
        let plan = self.plan;
        for board in &plan.board {
            self.fastening(board.fixing.as_ref(), board.grip.as_ref(), board.sideways.as_ref());
        }
        let contacts = plan.motor.iter().map(|m| &m.contact).chain(plan.relay.iter().map(|r| &r.contact));
        let contacts = contacts.chain(plan.toggle.iter().map(|t| &t.contact)).flat_map(|list| list.iter());
        let of_wires = contacts.flat_map(|contact| contact.value.wires()).filter_map(|wired| wired.plug.as_ref());
        let of_feeders = plan.track.iter().flat_map(|t| t.feeders.iter()).filter_map(|f| f.value.plug.as_ref());
        let of_boards = plan.board.iter().filter_map(|board| board.plug.as_ref());
        let of_buses = plan.bus.iter().filter_map(|bus| bus.plug.as_ref());
        for plug in of_buses.chain(of_boards).chain(of_feeders).chain(of_wires) {
            self.quantity("resistance", plug.value.resistance.as_ref(), 0.0, 1.0, "from 0 Ω to 1 Ω");
            self.quantity("rating", plug.value.rating.as_ref(), 1e-2, 1e3, "from 10 mA to 1000 A");
        }
    }
}
