//! What hangs under the table: supplies, buses, feeders, contacts.

use super::{Check, ranges, unclear};
use crate::driven;
use crate::names::{Kind, Terminal};
use crate::reader::{listed, short};
use crate::tables::{ContactTable, ReverserKind, SupplyKind};
use crate::value::{At, List, TablePlace};
use handbook::quantity::Metres;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// Words for what has two rails.
pub(super) struct RailWords {
    pub(super) owner: &'static str,
    /// What its rails must belong to.
    pub(super) due: &'static str,
    pub(super) wrong: &'static str,
    pub(super) help: &'static str,
}

impl Check<'_, '_> {
    pub(super) fn supplies(&mut self) {
        let plan = self.plan;
        let mut behind: Vec<Option<usize>> = vec![None; plan.supply.len()];
        for (index, supply) in plan.supply.iter().enumerate() {
            let kind = supply.kind.as_ref().map(|k| k.value);
            match &supply.behind {
                Some(text) => {
                    let found = self.names.of_kind(&text.value, &[Kind::Supply]);
                    behind[index] = self.resolve(text, found).map(|(_, i)| i);
                    if let (Some(v), Some(_)) = (&supply.voltage, behind[index]) {
                        self.reader.tell(
                            unclear("contradiction", "a sub-breaker has the voltage of the supply it hangs behind")
                                .at(v.span.clone(), "cannot differ from it")
                                .help("leave out `voltage` here"),
                        );
                    }
                    if kind.is_some_and(|k| k != SupplyKind::SubBreaker) {
                        self.reader.tell(
                            unclear("contradiction", "only a sub-breaker hangs behind another supply")
                                .at(text.span.clone(), "behind another supply")
                                .help("write `kind = \"sub-breaker\"`, or leave out `behind`"),
                        );
                    }
                }
                None if kind == Some(SupplyKind::SubBreaker) => {
                    self.reader.missing_key(&supply.place, "sub-breaker", "behind");
                }
                None if supply.voltage.is_none() => {
                    self.reader.missing_key(&supply.place, "supply", "voltage");
                }
                None => {}
            }
        }
        if let Some(start) = loop_in(&behind) {
            let supply = &plan.supply[start];
            let text = supply.behind.as_ref().unwrap_or(&supply.name);
            self.reader.tell(
                unclear("supply-loop", format!("supply `{}` hangs, in the end, behind itself", supply.name.value))
                    .at(text.span.clone(), "this closes the circle")
                    .help("one of them must be a booster, behind nothing"),
            );
        }
    }

    pub(super) fn buses(&mut self) {
        let plan = self.plan;
        let mut branch_of: Vec<Option<usize>> = vec![None; plan.bus.len()];
        for (index, bus) in plan.bus.iter().enumerate() {
            match (&bus.supply, &bus.from) {
                (Some(text), None) => {
                    let found = self.names.of_kind(&text.value, &[Kind::Supply]);
                    self.resolve(text, found);
                }
                (None, Some(text)) => {
                    let found = self.names.bus_place(&text.value);
                    if let Some((of, at)) = self.resolve(text, found) {
                        branch_of[index] = Some(of);
                        self.on_bus(of, at, text);
                    }
                }
                (Some(_), Some(text)) => self.reader.tell(
                    unclear("contradiction", "a bus starts at a supply or branches from a bus, not both")
                        .at(text.span.clone(), "and also from here")
                        .help("leave out `supply` or `from`"),
                ),
                (None, None) => self.reader.missing_key(&bus.place, "bus", "supply"),
            }
        }
        if let Some(start) = loop_in(&branch_of) {
            let bus = &plan.bus[start];
            let text = bus.from.as_ref().unwrap_or(&bus.name);
            self.reader.tell(
                unclear("supply-loop", format!("bus `{}` branches, in the end, from itself", bus.name.value))
                    .at(text.span.clone(), "this closes the circle")
                    .help("one of them must start at a supply"),
            );
        }
    }

    pub(super) fn on_bus(&mut self, bus: usize, at: Option<Metres>, text: &At<String>) {
        let length = self.plan.bus[bus].length.value;
        if let Some(at) = at
            && ranges::believed(length.0)
            && !(0.0..=length.0 + 1e-9).contains(&at.0)
        {
            let name = &self.plan.bus[bus].name.value;
            let words = format!("bus `{name}` is {} long; this place is not on it", self.plan.units().length(length));
            // As long as all that lies beyond its end asks, so that it is told once.
            let along = self.plan.track.iter().filter_map(|t| t.along.as_ref()).filter(|a| a.value.bus.value == *name);
            let places = along.flat_map(|a| [a.value.from.value.0, a.value.to.value.0]);
            let furthest = places.filter(|x| ranges::believed(*x)).fold(at.0.max(0.0), f64::max);
            let help = format!(
                "make the bus longer, such as `length = \"{}\"`, or put this nearer to its start",
                self.plan.units().written(furthest + 2e-3)
            );
            self.reader.tell(unclear("place-off-track", words).at(text.span.clone(), "not on the bus").help(help));
        }
    }

    /// A terminal reference, with its place checked against the length of what it lies on.
    pub(super) fn terminal(&mut self, text: &At<String>) -> Option<Terminal> {
        let found = self.resolve(text, self.names.terminal(self.plan, &text.value))?;
        match &found {
            Terminal::Bus(bus, _, at) => self.on_bus(*bus, *at, text),
            Terminal::Rail(rail, at) => {
                let track = &self.plan.track[rail.track];
                let at = At { value: *at, span: text.span.clone() };
                self.on_track(&at, track.length.value.0, &track.name.value);
            }
            _ => {}
        }
        Some(found)
    }

    /// Holds what the two rails of a track or deck belong to: bus conductors and the like, not one and the same.
    pub(super) fn own_conductors(&mut self, name: &At<String>, rails: [&Option<At<String>>; 2], whose: &RailWords) {
        let mut own = [None, None];
        for (slot, text) in own.iter_mut().zip(rails) {
            let Some(text) = text else { continue };
            let Some(found) = self.terminal(text) else { continue };
            if matches!(
                found,
                Terminal::Bus(..) | Terminal::Supply(..) | Terminal::Reverser(..) | Terminal::Detector(_)
            ) {
                *slot = Some((found, text));
            } else {
                self.reader
                    .tell(unclear("no-such-name", whose.due).at(text.span.clone(), whose.wrong).help(whose.help));
            }
        }
        if let [Some((left, _)), Some((right, text))] = &own
            && left == right
        {
            self.reader.tell(
                unclear("contradiction", format!("both rails of `{}` are on one conductor", name.value))
                    .at(text.span.clone(), "the same as `left`")
                    .help(format!("the two rails of a {} go to A and B", whose.owner)),
            );
        }
    }

    pub(super) fn rails(&mut self) {
        let plan = self.plan;
        for track in &plan.track {
            let whose = RailWords {
                owner: "track",
                due: "a rail belongs to a bus conductor",
                wrong: "not a bus conductor",
                help: "write `main bus.A`; a wire to a contact is written with the motor's `contact`",
            };
            self.own_conductors(&track.name, [&track.left, &track.right], &whose);
            if let Some(along) = &track.along {
                let found = self.names.of_kind(&along.value.bus.value, &[Kind::Bus]);
                if let Some((_, bus)) = self.resolve(&along.value.bus, found) {
                    for at in [&along.value.from, &along.value.to] {
                        let text = At { value: String::new(), span: at.span.clone() };
                        self.on_bus(bus, Some(at.value), &text);
                    }
                }
            }
            for feeder in track.feeders.iter() {
                let f = &feeder.value;
                if let Some(to) = &f.to {
                    self.terminal(to);
                    if f.rail.is_none() {
                        self.reader.tell(
                            unclear("missing-key", "this feeder does not say which rail it goes to")
                                .at(feeder.span.clone(), "`rail` is missing")
                                .help("add `rail = \"left\"` or `rail = \"right\"`"),
                        );
                    }
                    continue;
                }
                self.feeder_without_bus(track, feeder);
            }
        }
        self.storage();
        for text in plan.train.iter().filter_map(|t| t.stands.as_ref()) {
            let found = self.names.of_kind(&text.value, &[Kind::Track]);
            self.resolve(text, found);
        }
    }

    /// Each track stands in one policy.
    fn storage(&mut self) {
        let mut first: BTreeMap<&str, (usize, &At<String>)> = BTreeMap::new();
        for (number, policy) in self.plan.storage.iter().enumerate() {
            for track in policy.value.tracks.iter() {
                let found = self.names.of_kind(&track.value, &[Kind::Track]);
                if self.resolve(track, found).is_none() {
                    continue;
                }
                match first.entry(track.value.as_str()) {
                    Entry::Vacant(free) => {
                        free.insert((number, track));
                    }
                    Entry::Occupied(taken) if taken.get().0 != number => self.reader.tell(
                        unclear("contradiction", format!("track `{}` stands in two storage policies", track.value))
                            .at(track.span.clone(), "again here")
                            .also(taken.get().1.span.clone(), "first here")
                            .help("take it out of one of the two `[[storage]]` tables"),
                    ),
                    Entry::Occupied(_) => {}
                }
            }
        }
    }

    pub(super) fn switches(&mut self) {
        let plan = self.plan;
        let mut moved = BTreeMap::new();
        for motor in &plan.motor {
            let positions = self.moves(motor, &mut moved);
            if let Some(text) = &motor.supply {
                let found = self.names.of_kind(&text.value, &[Kind::Supply]);
                self.resolve(text, found);
            }
            self.contacts(&motor.contact, positions);
        }
        self.relay_loop();
        for relay in &plan.relay {
            let found = self.names.of_kind(&relay.follows.value, &[Kind::Motor, Kind::Toggle, Kind::Relay]);
            let leader = self.resolve(&relay.follows, found);
            let positions: &[&str] = match leader.and_then(|l| driven::leader(plan, self.names, l)) {
                Some((Kind::Toggle, _)) => &["on", "off"],
                Some((Kind::Motor, motor)) => self.positions(&plan.motor[motor]),
                _ => &["through", "diverging", "left", "right", "on", "off"],
            };
            if let Some(text) = &relay.supply {
                let found = self.names.of_kind(&text.value, &[Kind::Supply]);
                self.resolve(text, found);
            }
            self.contacts(&relay.contact, positions);
        }
        for toggle in &plan.toggle {
            self.contacts(&toggle.contact, &["on", "off"]);
        }
        for reverser in &plan.reverser {
            let found = self.names.bus_place(&reverser.from.value);
            if let Some((bus, at)) = self.resolve(&reverser.from, found) {
                self.on_bus(bus, at, &reverser.from);
            }
            match (&reverser.follows, reverser.kind.value) {
                (Some(text), ReverserKind::ShortSensing) => self.reader.tell(
                    unclear("contradiction", "a reverser that senses shorts follows nothing")
                        .at(text.span.clone(), "and follows this")
                        .help("leave out `follows`, or write `kind = \"following\"`"),
                ),
                (Some(text), ReverserKind::Following) => {
                    let found = self.names.of_kind(&text.value, &[Kind::Motor, Kind::Toggle]);
                    self.resolve(text, found);
                }
                (None, ReverserKind::Following) => {
                    self.reader.missing_key(&reverser.place, "reverser", "follows");
                }
                (None, ReverserKind::ShortSensing) => {}
            }
        }
    }

    /// Relays that follow each other in a circle.
    fn relay_loop(&mut self) {
        let follows = |relay: &crate::tables::Relay| match self.names.get(&relay.follows.value) {
            Some((Kind::Relay, leader)) => Some(leader),
            _ => None,
        };
        let next: Vec<Option<usize>> = self.plan.relay.iter().map(follows).collect();
        if let Some(relay) = loop_in(&next) {
            let text = &self.plan.relay[relay].follows;
            let name = &self.plan.relay[relay].name.value;
            self.reader.tell(
                unclear("relay-loop", format!("relay `{name}` follows, in the end, itself"))
                    .at(text.span.clone(), "leads back to it")
                    .help("let one relay of the circle follow the motor or toggle that moves them all"),
            );
        }
    }

    /// Whether some other contact's terminal is wired to this contact's `common`.
    fn led_to(&mut self, contact: &TablePlace) -> bool {
        let plan = self.plan;
        let names = self.names;
        let of = |c: &crate::Contact| match c.owner {
            Kind::Motor => plan.motor[c.index].contact.items.get(c.contact),
            Kind::Relay => plan.relay[c.index].contact.items.get(c.contact),
            _ => plan.toggle[c.index].contact.items.get(c.contact),
        };
        let led_to = self.led_to.get_or_insert_with(|| {
            let motors = plan.motor.iter().flat_map(|m| m.contact.iter());
            let relays = plan.relay.iter().flat_map(|r| r.contact.iter());
            let toggles = plan.toggle.iter().flat_map(|t| t.contact.iter());
            let contacts = motors.chain(relays).chain(toggles).map(|c| &c.value);
            let texts =
                contacts.flat_map(|c| c.wires()).map(|wired| &wired.to).filter(|text| text.value.ends_with(".common"));
            texts
                .filter_map(|text| match names.terminal(plan, &text.value) {
                    Ok(Terminal::Contact(c)) if c.terminal == "common" => of(&c).map(|c| c.span.start),
                    _ => None,
                })
                .collect()
        });
        led_to.contains(&contact.header.start)
    }

    /// A wire is led along a bus of which some track says where it runs.
    fn led_along(&mut self, run: &At<String>) {
        let found = self.names.of_kind(&run.value, &[Kind::Bus]);
        if self.resolve(run, found).is_none() {
            return;
        }
        let mut along = self.plan.track.iter().filter_map(|t| t.along.as_ref());
        if !along.any(|a| a.value.bus.value == run.value) {
            self.reader.tell(
                unclear("missing-key", format!("no track says where bus `{}` runs", short(&run.value)))
                    .at(run.span.clone(), "a wire is led along it")
                    .help(format!(
                        "add `along = {{ bus = \"{}\", from = \"0 m\", to = \"…\" }}` to a track that the bus passes, or give \
                         the wire its `length`",
                        short(&run.value)
                    )),
            );
        }
    }

    fn contacts(&mut self, contacts: &List<ContactTable>, positions: &[&str]) {
        for contact in contacts.iter() {
            let c = &contact.value;
            if c.common.0.is_empty() && !self.led_to(&c.place) {
                self.reader.missing_key(&c.place, "contact", "common");
            }
            for run in c.run.iter().chain(c.wires().filter_map(|w| w.run.as_ref())) {
                self.led_along(run);
            }
            for (key, targets) in c.terminals() {
                for text in targets.references() {
                    if key != "common" && !positions.contains(&key) {
                        self.reader.tell(
                            unclear("contact-misfit", format!("this contact has no position `{key}`"))
                                .at(text.span.clone(), format!("wired to `{key}`"))
                                .help(match positions {
                                    [] => "no contact of a plan moves with a turntable".to_owned(),
                                    _ => format!("what moves it has the positions {}", listed(positions)),
                                }),
                        );
                    }
                    self.terminal(text);
                }
            }
        }
    }
}

/// An index on a circle of `next` links, if there is one. Linear: every link is walked once.
fn loop_in(next: &[Option<usize>]) -> Option<usize> {
    let mut walk_of: Vec<Option<usize>> = vec![None; next.len()];
    for start in 0..next.len() {
        let mut at = Some(start);
        while let Some(i) = at {
            match walk_of[i] {
                Some(walk) if walk == start => return Some(i),
                Some(_) => break,
                None => walk_of[i] = Some(start),
            }
            at = next[i];
        }
    }
    None
}
