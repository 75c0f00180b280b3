//! Drivers and motors as conductors: the wires from a bus to a driver and from a driver to its motors.
//!
//! What is inside a driver or a motor is no edge, so that nothing of it comes near the rails: its wires end there. What
//! the driver puts on them is said by [`crate::drives`].

use crate::builder::Builder;
use crate::bus::Buses;
use crate::drives::{self, DriveEnd};
use crate::terminals::DriverTerminal;
use crate::{EdgeKind, InputId, NodeId, Origin, Part, Spot};
use handbook::Spread;
use handbook::motors::MOTOR_WIRE_RUN;
use handbook::quantity::{Metres, Quantity, show_length};
use plan::tables::DriverKind;
use plan::{At, Pole};
use std::collections::BTreeMap;

/// Nodes of drivers and of supplies' middles, as they come up.
#[derive(Default)]
struct Ends(BTreeMap<DriveEnd, NodeId>);

impl<'p> Builder<'p> {
    /// Every driver with its wires, and the wires to motors and coils.
    pub(crate) fn drivers(&mut self, buses: &mut Buses) {
        let mut ends = Ends::default();
        for index in 0..self.plan.driver.len() {
            self.driver_feeds(index, &mut ends, buses);
        }
        for drive in drives::drives(self.plan, self.names) {
            let motor = &self.plan.motor[drive.motor];
            let wire = self.plan.driver[drive.output.driver].wire.as_ref();
            for (from, terminal) in &drive.wires {
                let from = self.drive_end(*from, &mut ends);
                let words = terminal.words(drive.positions);
                let spot = Spot::Motor { motor: drive.motor, terminal: *terminal };
                let to = self.node(format!("{} {words}", motor.name.value), &motor.name.span, spot);
                let span = motor.driver.as_ref().map_or(motor.name.span.clone(), |d| d.span.clone());
                let (ohms, input) = self.motor_wire_ohms(wire, motor.lead_length.as_ref());
                let part = Part::MotorWire { motor: drive.motor, terminal: *terminal };
                self.edge([from, to], EdgeKind::Wire, ohms, Vec::new(), input, part, &span);
            }
        }
        for coil in drives::coils(self.plan, self.names) {
            let relay = &self.plan.relay[coil.relay];
            let wire = self.plan.driver[coil.output.driver].wire.as_ref();
            for (from, terminal) in coil.wires {
                let from = self.drive_end(from, &mut ends);
                let spot = Spot::Coil { relay: coil.relay, terminal };
                let to = self.node(format!("{} {}", relay.name.value, terminal.words()), &relay.name.span, spot);
                let span = relay.driver.as_ref().map_or(relay.name.span.clone(), |d| d.span.clone());
                let (ohms, input) = self.motor_wire_ohms(wire, relay.lead_length.as_ref());
                let part = Part::CoilWire { relay: coil.relay, terminal };
                self.edge([from, to], EdgeKind::Wire, ohms, Vec::new(), input, part, &span);
            }
        }
    }

    /// The wires from its buses to a driver, and the crossed wires of a switch.
    fn driver_feeds(&mut self, index: usize, ends: &mut Ends, buses: &mut Buses) {
        let plan = self.plan;
        let driver = &plan.driver[index];
        let kind = driver.kind.value;
        let switch = !kind.has_address();
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
                let from = buses.tap(
                    self,
                    bus,
                    pole,
                    at.map(|a| a.si()),
                    &At { value: text.value.clone(), span: text.span.clone() },
                );
                let to = self.drive_end(DriveEnd::Driver(index, terminal), ends);
                let (ohms, input) = self.wire_ohms(driver.wire.as_ref(), driver.wire_length.as_ref(), "driver wire");
                let part = if commands {
                    Part::DriverCommands { driver: index, pole }
                } else {
                    Part::DriverFeed { driver: index, pole }
                };
                // As with feeders, the bus's side of the wire is its second end.
                self.edge([to, from], EdgeKind::Wire, ohms, Vec::new(), input, part, &text.span);
            }
        }
        if switch {
            for (from, to) in links(kind, plan::driven::outputs(plan, index)) {
                let [from, to] = [from, to].map(|terminal| self.drive_end(DriveEnd::Driver(index, terminal), ends));
                let (ohms, input) = self.contact_ohms(EdgeKind::SolderedJoint);
                let part =
                    Part::DriverLink { driver: index, from: spot_terminal(self, from), to: spot_terminal(self, to) };
                self.edge([from, to], EdgeKind::Wire, ohms, Vec::new(), input, part, &driver.name.span);
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

    /// The resistance of a wire to a motor: of the length the plan says, else of a usual one, for the voltage alone.
    fn motor_wire_ohms(
        &mut self,
        wire: Option<&'p At<String>>,
        length: Option<&'p At<Metres>>,
    ) -> (Spread<f64>, InputId) {
        if length.is_some() {
            return self.wire_ohms(wire, length, "motor wire");
        }
        let layout = self.plan.layout.as_ref().and_then(|l| l.value.feeder_wire.as_ref());
        let size = wire.or(layout).map_or(handbook::limits::FEEDER_WIRE.value, |w| w.value.as_str());
        let Ok(wire) = handbook::wires::wire(size) else { return self.contact_ohms(EdgeKind::SolderedJoint) };
        let ohms = wire.resistance_per_metre.map(|r| r.si() * MOTOR_WIRE_RUN.value.si());
        let input = self.inputs.add(
            format!("motor wire without a length, {} of {}", show_length(MOTOR_WIRE_RUN.value), wire.label),
            crate::inputs::spread_words(ohms, ""),
            Origin::Default(MOTOR_WIRE_RUN.source),
        );
        (ohms, input)
    }
}

fn spot_terminal(builder: &Builder<'_>, node: NodeId) -> DriverTerminal {
    match builder.circuit.nodes[node].spot {
        Spot::Driver { terminal, .. } => terminal,
        _ => DriverTerminal::Power(Pole::A),
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
