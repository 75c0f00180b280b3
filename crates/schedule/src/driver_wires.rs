//! What there is to say of wires of drivers and detectors: to their bus, within a switch, to motors and coils.

use crate::places::PlaceNames;
use crate::poles::Conductor;
use circuit::drives;
use circuit::{CoilTerminal, DriverTerminal, Part};
use plan::driven;
use plan::{At, Kind, Names, Plan, Pole, Terminal};

/// What a wire of a driver is.
pub(crate) struct DriverWire<'p> {
    /// Its wire, where the driver says it.
    pub(crate) size: Option<&'p At<String>>,
    /// What it is for.
    pub(crate) function: String,
    /// What it is bundled with.
    pub(crate) bundle: String,
    /// The conductor it has the colour of, where it is joined to one for good.
    pub(crate) conductor: Option<Conductor>,
    /// The bus whose district it is in.
    pub(crate) bus: Option<usize>,
}

/// The word for a wire of a driver; none for any other piece.
pub(crate) fn what(part: &Part) -> Option<&'static str> {
    Some(match part {
        Part::DriverFeed { .. } => "driver wire",
        Part::DriverCommands { .. } => "command wire",
        Part::DriverLink { .. } => "switch link",
        Part::MotorWire { .. } => "motor wire",
        Part::CoilWire { .. } => "coil wire",
        Part::DetectorFeed { .. } => "detector wire",
        _ => return None,
    })
}

/// Whether this word is one of a wire of a driver.
pub(crate) fn is_one(what: &str) -> bool {
    matches!(what, "driver wire" | "command wire" | "switch link" | "motor wire" | "coil wire" | "detector wire")
}

/// What there is to say of a wire of a driver.
pub(crate) fn of_part<'p>(
    plan: &'p Plan,
    names: &Names,
    places: &PlaceNames<'_>,
    part: &Part,
) -> Option<DriverWire<'p>> {
    let name = |kind, index| places.name(kind, index).to_owned();
    let bus_of = |text: &At<String>| names.bus_place(&text.value).ok().map(|b| b.0);
    Some(match *part {
        Part::DriverFeed { driver, pole } | Part::DriverCommands { driver, pole } => {
            let table = &plan.driver[driver];
            let commands = matches!(part, Part::DriverCommands { .. });
            let from = if commands { table.commands.as_ref()? } else { &table.from };
            let bus = bus_of(from);
            DriverWire {
                size: table.wire.as_ref(),
                function: format!("{} of driver {}", if commands { "commands" } else { "power" }, table.name.value),
                bundle: bus.map_or_else(String::new, |b| name(Kind::Bus, b)),
                conductor: bus.map(|b| (Kind::Bus, b, pole)),
                bus,
            }
        }
        Part::DetectorFeed { detector } => {
            let (bus, pole, _) = circuit::detectors::fed_from(plan, names, detector)?;
            DriverWire {
                size: plan.detector[detector].wire.as_ref(),
                function: format!("feed of detector {}", name(Kind::Detector, detector)),
                bundle: name(Kind::Bus, bus),
                conductor: Some((Kind::Bus, bus, pole)),
                bus: Some(bus),
            }
        }
        Part::DriverLink { driver, from, .. } => {
            let bus = bus_of(&plan.driver[driver].from);
            // Side 1 of pole 1 is on A, so side 2 of pole 2 is.
            let pole = match from {
                DriverTerminal::Side { pole, side, .. } if pole == side => Pole::A,
                _ => Pole::B,
            };
            DriverWire {
                size: plan.driver[driver].wire.as_ref(),
                function: format!("crossed wire of switch {}", plan.driver[driver].name.value),
                bundle: name(Kind::Driver, driver),
                conductor: bus.map(|b| (Kind::Bus, b, pole)),
                bus,
            }
        }
        Part::MotorWire { motor, .. } => {
            let output = driven::of_motor(plan, names, motor)?;
            DriverWire {
                size: plan.driver[output.driver].wire.as_ref(),
                function: format!("throws motor {}", name(Kind::Motor, motor)),
                bundle: name(Kind::Driver, output.driver),
                conductor: None,
                bus: driven::bus_of_driver(plan, names, output.driver),
            }
        }
        Part::CoilWire { relay, terminal } if !plan.relay[relay].coil.0.is_empty() => {
            let table = &plan.relay[relay];
            let end = table.coil.0.get(usize::from(terminal == CoilTerminal::Two))?;
            let on = match names.terminal(plan, &end.value) {
                Ok(Terminal::Bus(bus, pole, _)) => Some((Kind::Bus, bus, pole)),
                Ok(Terminal::Supply(supply, pole)) => Some((Kind::Supply, supply, pole)),
                _ => None,
            };
            DriverWire {
                size: table.wire.as_ref(),
                function: format!("coil of relay {}", table.name.value),
                bundle: table.name.value.clone(),
                conductor: on,
                bus: on.filter(|(kind, ..)| *kind == Kind::Bus).map(|(_, bus, _)| bus),
            }
        }
        Part::CoilWire { relay, terminal } => {
            let output = driven::of_relay(plan, names, relay)?;
            let diode = match terminal {
                CoilTerminal::One => ", a diode in series, its band to the relay",
                CoilTerminal::Two => "",
            };
            DriverWire {
                size: plan.driver[output.driver].wire.as_ref(),
                function: format!("coil of relay {}{diode}", name(Kind::Relay, relay)),
                bundle: name(Kind::Driver, output.driver),
                conductor: None,
                bus: driven::bus_of_driver(plan, names, output.driver),
            }
        }
        _ => return None,
    })
}

/// How many diodes the coils of a plan's relays want.
pub(crate) fn diodes(plan: &Plan, names: &Names) -> usize {
    drives::coils(plan, names).len()
}
