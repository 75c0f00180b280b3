//! Drivers: what gives a motor its current, and which way round.

use super::boards::Plug;
use crate::value::{At, choice, record};
use handbook::quantity::{Amps, Metres, Volts};

choice! {
    /// What a driver is.
    DriverKind, "driver kind" {
        /// A decoder with steady outputs for stall motors: it turns each output's polarity round.
        Decoder = "decoder",
        /// A decoder or discharge unit that gives solenoids one pulse for a throw.
        Pulse = "pulse",
        /// A decoder or board with outputs for servos.
        Servo = "servo",
        /// A double-pole change-over switch, fed by one direct-current supply: its crossed wires turn the polarity round.
        Switch = "switch",
        /// A single-pole change-over switch, fed by a supply with a middle terminal, where the motor's other wire goes.
        SplitSwitch = "split switch",
    }
}

impl DriverKind {
    /// Whether it listens to accessory addresses.
    pub fn has_address(self) -> bool {
        matches!(self, DriverKind::Decoder | DriverKind::Pulse | DriverKind::Servo)
    }
}

record! {
    /// What throws motors: a decoder, a pulse unit or a change-over switch, and the bus it takes its power from.
    Driver, "driver" {
        /// What the builder calls it.
        name: At<String>,
        /// What it is.
        kind: At<DriverKind>,
        /// How many motors it can throw, each by itself; one where not said.
        outputs: Option<At<u32>>,
        /// The accessory address of its first output; those that follow count up. A motor's own `address` overrides it.
        address: Option<At<u32>>,
        /// The bus and place it takes its power from, such as `accessory bus @ 2 m`.
        from: At<String>,
        /// The bus and place it takes its commands from, where that is not the bus it takes its power from.
        commands: Option<At<String>>,
        /// Where it is mounted: a place on the track that it is beside, such as `dock 1 @ 0.4 m`. The lengths of its wires follow
        /// from there; where not said, it stands where it takes its power from its bus.
        beside: Option<At<String>>,
        /// Of a switch: the toggle whose contacts it is. Both are one control then: the toggle is off while the motor stands in
        /// its first position.
        follows: Option<At<String>>,
        /// The current it draws itself, without its motors.
        current: Option<At<Amps>>,
        /// The voltage it holds at its outputs, where it regulates it.
        voltage: Option<At<Volts>>,
        /// The wire to its bus and to its motors.
        wire: Option<At<String>>,
        /// The length of each wire to its bus.
        wire_length: Option<At<Metres>>,
        /// The plug by which each wire to its bus comes apart, where not its board's: `true`, or `{ rating = "3 A" }`.
        plug: Option<At<Plug>>,
    }
}
