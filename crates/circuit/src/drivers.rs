//! Drivers and motors as conductors: the wires from a bus to a driver and from a driver to its motors.
//!
//! What is inside a driver or a motor is no edge, so that nothing of it comes near the rails: its wires end there. What
//! the driver puts on them is said by [`crate::drives`].

use crate::builder::Builder;
use crate::bus::Buses;
use crate::drives::{self, DriveEnd};
use crate::reach::Location;
use crate::terminals::{CoilTerminal, DriverTerminal};
use crate::wire::{TapPlace, WireEnd, WireMade, WireStart};
use crate::{EdgeKind, NodeId, Part, Spot};
use handbook::limits::FEEDER_LENGTH;
use handbook::motors::MOTOR_WIRE_RUN;
use handbook::quantity::{Metres, Quantity};
use plan::driven::Output;
use plan::tables::DriverKind;
use plan::{At, Kind, Pole};
use std::collections::BTreeMap;

/// Nodes of drivers and of supplies' middles, as they come up.
#[derive(Default)]
struct Ends(BTreeMap<DriveEnd, NodeId>);

impl<'p> Builder<'p> {
    /// Every driver with its wires, and the wires to motors and coils.
    pub(crate) fn drivers(&mut self, buses: &mut Buses) {
        let plan = self.plan;
        let mut ends = Ends::default();
        for index in 0..plan.driver.len() {
            self.driver_feeds(index, &mut ends, buses);
        }
        for drive in drives::drives(plan, self.names) {
            let motor = &plan.motor[drive.motor];
            let here = self.location_of(Kind::Motor, drive.motor);
            let lead = WireMade {
                plug: motor.lead_plug.as_ref(),
                ..self.lead(drive.output, motor.lead_length.as_ref(), here.as_ref())
            };
            for (from, terminal) in &drive.wires {
                let from = self.drive_end(*from, &mut ends);
                let words = terminal.words(drive.positions);
                let spot = Spot::Motor { motor: drive.motor, terminal: *terminal };
                let to = self.node(format!("{} {words}", motor.name.value), &motor.name.span, spot);
                let span = motor.driver.as_ref().map_or(motor.name.span.clone(), |d| d.span.clone());
                let part = Part::MotorWire { motor: drive.motor, terminal: *terminal };
                self.lay([from, to], EdgeKind::Wire, lead.clone(), part, &span);
            }
        }
        self.coils_over_contacts(buses);
        for coil in drives::coils(plan, self.names) {
            let relay = &plan.relay[coil.relay];
            let here = self.location_of(Kind::Relay, coil.relay);
            let lead = WireMade {
                plug: relay.lead_plug.as_ref(),
                ..self.lead(coil.output, relay.lead_length.as_ref(), here.as_ref())
            };
            for (from, terminal) in coil.wires {
                let from = self.drive_end(from, &mut ends);
                let spot = Spot::Coil { relay: coil.relay, terminal };
                let to = self.node(format!("{} {}", relay.name.value, terminal.words()), &relay.name.span, spot);
                let span = relay.driver.as_ref().map_or(relay.name.span.clone(), |d| d.span.clone());
                let part = Part::CoilWire { relay: coil.relay, terminal };
                self.lay([from, to], EdgeKind::Wire, lead.clone(), part, &span);
            }
        }
    }

    /// The wires of coils that lie over a contact of another relay, or of a motor or toggle.
    fn coils_over_contacts(&mut self, buses: &mut Buses) {
        let plan = self.plan;
        for (index, relay) in plan.relay.iter().enumerate() {
            let start = WireStart { here: self.location_of(Kind::Relay, index), beside: Vec::new() };
            for (text, terminal) in relay.coil.0.iter().zip([CoilTerminal::One, CoilTerminal::Two]) {
                let Ok(target) = self.names.terminal(plan, &text.value) else { continue };
                let spot = Spot::Coil { relay: index, terminal };
                let coil = self.node(format!("{} {}", relay.name.value, terminal.words()), &relay.name.span, spot);
                let Some(end) = self.wire_end(&target, text, &start, buses) else { continue };
                let made = WireMade {
                    what: "coil wire",
                    wire: relay.wire.as_ref(),
                    length: relay.lead_length.as_ref(),
                    plug: relay.lead_plug.as_ref(),
                    way: end.way,
                    usual: MOTOR_WIRE_RUN,
                };
                let part = Part::CoilWire { relay: index, terminal };
                self.lay([coil, end.node], EdgeKind::Wire, made, part, &text.span);
            }
        }
    }

    /// The wires from its buses to a driver, and the crossed wires of a switch.
    fn driver_feeds(&mut self, index: usize, ends: &mut Ends, buses: &mut Buses) {
        let plan = self.plan;
        let driver = &plan.driver[index];
        let kind = driver.kind.value;
        let switch = !kind.has_address();
        let location = driver.beside.as_ref().and_then(|_| self.location_of_driver(index));
        let wires = [(Some(&driver.from), false), (driver.commands.as_ref(), true)];
        for (text, commands) in wires {
            let Some(text) = text else { continue };
            let Ok((bus, at)) = self.names.bus_place(&text.value) else { continue };
            for pole in Pole::ALL {
                let terminal = match (commands, switch) {
                    (true, _) => DriverTerminal::Commands(pole),
                    (false, false) => DriverTerminal::Power(pole),
                    (false, true) => DriverTerminal::Side { output: 0, pole: 0, side: u8::from(pole == Pole::B) },
                };
                let here = At { value: text.value.clone(), span: text.span.clone() };
                let end = match &location {
                    Some(place) => {
                        let start = WireStart { here: Some(place.clone()), beside: Vec::new() };
                        self.bus_end((bus, pole), at, &here, &start, buses)
                    }
                    // One that the plan has no place for stands beside where it taps the bus of its power.
                    None => {
                        let place = at.map_or(TapPlace::Unknown, |a| TapPlace::Said(a.si()));
                        let node = buses.tap(self, bus, pole, place, &here);
                        WireEnd { node, way: (!commands).then_some(0.0), there: None }
                    }
                };
                let to = self.drive_end(DriveEnd::Driver(index, terminal), ends);
                let part = if commands {
                    Part::DriverCommands { driver: index, pole }
                } else {
                    Part::DriverFeed { driver: index, pole }
                };
                let made = WireMade {
                    what: "driver wire",
                    plug: driver.plug.as_ref(),
                    wire: driver.wire.as_ref(),
                    length: driver.wire_length.as_ref(),
                    way: end.way,
                    usual: FEEDER_LENGTH,
                };
                // As with feeders, the bus's side of the wire is its second end.
                self.lay([to, end.node], EdgeKind::Wire, made, part, &text.span);
            }
        }
        if switch {
            for (from, to) in links(kind, plan::driven::outputs(plan, index)) {
                let ends = [from, to].map(|terminal| self.drive_end(DriveEnd::Driver(index, terminal), ends));
                let (ohms, input) = self.contact_ohms(EdgeKind::SolderedJoint);
                let part = Part::DriverLink { driver: index, from, to };
                self.edge(ends, EdgeKind::Wire, ohms, Vec::new(), input, part, &driver.name.span);
            }
        }
    }

    fn drive_end(&mut self, end: DriveEnd, ends: &mut Ends) -> NodeId {
        if let Some(&node) = ends.0.get(&end) {
            return node;
        }
        let plan = self.plan;
        let node = match end {
            DriveEnd::Driver(driver, terminal) => {
                let name = &plan.driver[driver].name;
                self.node(format!("{} {}", name.value, terminal.words()), &name.span, Spot::Driver { driver, terminal })
            }
            DriveEnd::Middle(supply) => {
                let name = &plan.supply[supply].name;
                self.node(format!("{}.middle", name.value), &name.span, Spot::Middle { supply })
            }
        };
        ends.0.insert(end, node);
        node
    }

    /// Where on the table a driver is: where the plan says, else where it takes its power from its bus.
    fn location_of_driver(&self, driver: usize) -> Option<Location> {
        let table = &self.plan.driver[driver];
        if let Some(text) = &table.beside {
            let place = self.names.rail_place(&text.value).ok()?;
            return Some(self.reach.on_track(place.track, place.at.si()));
        }
        let (bus, at) = self.names.bus_place(&table.from.value).ok()?;
        self.reach.on_bus(bus, at?.si())
    }

    /// What the wires from an output to a motor or relay that is `here` are made of: all are alike.
    fn lead(&self, output: Output, length: Option<&'p At<Metres>>, here: Option<&Location>) -> WireMade<'p> {
        let there = self.location_of_driver(output.driver);
        let way = here.zip(there.as_ref()).and_then(|(here, there)| self.reach.distance(here, there));
        // Where nothing says how far away the motor is, a usual length stands in for the voltage alone.
        let what = if length.is_some() || way.is_some() { "motor wire" } else { "motor wire without a length" };
        let wire = self.plan.driver[output.driver].wire.as_ref();
        WireMade { what, wire, length, plug: None, way, usual: MOTOR_WIRE_RUN }
    }
}

/// The wires between the fixed contacts of a change-over switch: crossed from pole to pole of a double one, and on to the
/// next switch of a row.
pub fn links(kind: DriverKind, outputs: u32) -> Vec<(DriverTerminal, DriverTerminal)> {
    let side = |output, pole, side| DriverTerminal::Side { output, pole, side };
    let mut all = Vec::new();
    for output in 0..outputs {
        for s in 0..2 {
            if output > 0 {
                all.push((side(output - 1, 0, s), side(output, 0, s)));
            }
            if kind == DriverKind::Switch {
                all.push((side(output, 0, s), side(output, 1, 1 - s)));
            }
        }
    }
    all
}

/// What of a switch its common is joined to while its motor stands in a position: the side of each pole.
pub fn side_in(position: u8, reversed: bool) -> u8 {
    u8::from((position == 0) == reversed)
}
