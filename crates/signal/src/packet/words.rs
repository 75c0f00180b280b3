//! Packets in a builder's words.

use super::{Direction, LocoAddress, Packet, Speed};
use crate::address::{Counting, RawAddress, ValueMeaning};
use std::fmt;

/// A locomotive in words.
pub(super) fn loco(address: LocoAddress) -> String {
    match address {
        LocoAddress::Short(short) => format!("locomotive {short}"),
        LocoAddress::Long(long) => format!("locomotive {long} (long address)"),
    }
}

fn way(direction: Direction) -> &'static str {
    match direction {
        Direction::Forward => "forward",
        Direction::Reverse => "reverse",
    }
}

/// Bytes as they are written: `81 F8 79`.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02X}")).collect::<Vec<_>>().join(" ")
}

fn accessory(address: RawAddress) -> String {
    format!("accessory {}", address.number(Counting::Linear))
}

impl fmt::Display for Packet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Packet::Idle => f.write_str("idle"),
            Packet::Reset => f.write_str("reset: every decoder as at power-up"),
            Packet::Stop { at_once: false, .. } => f.write_str("all locomotives brake and stop"),
            Packet::Stop { at_once: true, .. } => f.write_str("all locomotives stop at once"),
            Packet::Speed { address, direction, speed, steps } => {
                write!(f, "{}: ", loco(*address))?;
                match speed {
                    Speed::Stop => write!(f, "brake and stop, {}", way(*direction))?,
                    Speed::EmergencyStop => write!(f, "stop at once, {}", way(*direction))?,
                    Speed::Step(step) => write!(f, "{}, step {step} of {}", way(*direction), steps.most())?,
                }
                Ok(())
            }
            Packet::Functions { address, first, count, on } => {
                write!(f, "{}: functions F{first} to F{}", loco(*address), u16::from(*first) + u16::from(*count) - 1)?;
                let lit: Vec<String> =
                    (0..*count).filter(|i| on >> i & 1 == 1).map(|i| format!("F{}", first + i)).collect();
                if lit.is_empty() { f.write_str(", all off") } else { write!(f, ", on: {}", lit.join(" ")) }
            }
            Packet::Accessory { address, output, on } => {
                let state = if *on { "on" } else { "off" };
                match address.standing() {
                    ValueMeaning::Broadcast => write!(f, "every accessory, pair {}", address.pair())?,
                    ValueMeaning::Ordinary | ValueMeaning::BoardZero => f.write_str(&accessory(*address))?,
                }
                write!(f, ": output {} {state}", u8::from(*output))
            }
            Packet::AccessoryStop => f.write_str("all accessories stop"),
            Packet::Extended { address, aspect } if *address == RawAddress::EMERGENCY_STOP => {
                write!(f, "every extended accessory: aspect {aspect}")
            }
            Packet::Extended { address, aspect } => write!(f, "extended {}: aspect {aspect}", accessory(*address)),
            Packet::Other { bytes, why } => write!(f, "{}: {why}", hex(bytes)),
        }
    }
}
