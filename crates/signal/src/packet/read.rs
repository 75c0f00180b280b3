//! Bytes whose length and error byte are right, read as what they say.

use super::{Direction, LONGEST_ADDRESS, LocoAddress, Packet, Speed, Steps};
use crate::address::RawAddress;

/// Reads a packet of three to six bytes.
pub(super) fn read(bytes: &[u8]) -> Packet {
    let Some((_, body)) = bytes.split_last() else { return other(bytes, "no bytes") };
    match *body {
        [0xFF, 0x00] => Packet::Idle,
        [0xFF, ..] => other(bytes, "begins as an idle packet, and goes on otherwise"),
        [0x00, 0x00] => Packet::Reset,
        [0x00, stop] if stop & 0xCE == 0x40 => Packet::Stop {
            at_once: stop & 1 == 1,
            direction: direction(stop >> 5 & 1),
            direction_may_be_ignored: stop >> 4 & 1 == 1,
        },
        [0x00, ..] => other(bytes, "to every locomotive: an instruction not read here"),
        [short @ 1..=127, ref instruction @ ..] => loco(bytes, LocoAddress::Short(short), instruction),
        [first @ 128..=191, ref instruction @ ..] => accessory(bytes, first, instruction),
        [high @ 192..=231, low, ref instruction @ ..] if !instruction.is_empty() => {
            let long = u16::from_be_bytes([high & 0x3F, low]);
            debug_assert!(long <= LONGEST_ADDRESS);
            loco(bytes, LocoAddress::Long(long), instruction)
        }
        [192..=231, ..] => other(bytes, "a long locomotive address without an instruction"),
        _ => other(bytes, "a first byte from 232 to 254, reserved"),
    }
}

fn other(bytes: &[u8], why: impl Into<String>) -> Packet {
    Packet::Other { bytes: bytes.to_vec(), why: why.into() }
}

fn direction(bit: u8) -> Direction {
    if bit == 1 { Direction::Forward } else { Direction::Reverse }
}

fn loco(bytes: &[u8], address: LocoAddress, instruction: &[u8]) -> Packet {
    let functions = |first, count, on| Packet::Functions { address, first, count, on };
    match *instruction {
        [speed @ 0x40..=0x7F] => {
            // Either stop has two codings; the odd one lets lights ignore the direction. Both are read as the one.
            let value = (speed & 0x0F) << 1 | (speed >> 4 & 1);
            let speed_told = match value {
                0 | 1 => Speed::Stop,
                2 | 3 => Speed::EmergencyStop,
                _ => Speed::Step(value - 3),
            };
            Packet::Speed { address, direction: direction(speed >> 5 & 1), speed: speed_told, steps: Steps::Of28 }
        }
        [0x3F, value] => {
            let speed = match value & 0x7F {
                0 => Speed::Stop,
                1 => Speed::EmergencyStop,
                step => Speed::Step(step - 1),
            };
            Packet::Speed { address, direction: direction(value >> 7), speed, steps: Steps::Of126 }
        }
        [group @ 0x80..=0x9F] => functions(0, 5, (group & 0x0F) << 1 | (group >> 4 & 1)),
        [group @ 0xB0..=0xBF] => functions(5, 4, group & 0x0F),
        [group @ 0xA0..=0xAF] => functions(9, 4, group & 0x0F),
        [0xDE, on] => functions(13, 8, on),
        [0xDF, on] => functions(21, 8, on),
        [first, ..] => {
            let kind = match first >> 5 {
                0 if first >> 4 == 0 => "decoder control",
                0 => "consist control",
                1 => "an advanced operation",
                2 | 3 => "speed with bytes too many",
                4 | 5 => "functions with bytes too many",
                6 => "feature expansion",
                _ => "a configuration variable",
            };
            other(bytes, format!("{}: {kind}", super::words::loco(address)))
        }
        [] => other(bytes, "a locomotive address without an instruction"),
    }
}

fn accessory(bytes: &[u8], first: u8, instruction: &[u8]) -> Packet {
    let Some(&second) = instruction.first() else { return other(bytes, "half an accessory address") };
    let value = u16::from(!second >> 4 & 7) << 8 | u16::from(first & 0x3F) << 2 | u16::from(second >> 1 & 3);
    let Some(address) = RawAddress::new(value) else { return other(bytes, "no accessory address") };
    let basic = second & 0x80 != 0;
    match *instruction {
        [_] if basic => {
            let (output, on) = (second & 1 == 1, second & 8 != 0);
            if address == RawAddress::EMERGENCY_STOP && !output && !on {
                Packet::AccessoryStop
            } else {
                Packet::Accessory { address, output, on }
            }
        }
        [_, aspect] if !basic && second & 0x09 == 0x01 => Packet::Extended { address, aspect },
        [_, variable @ 0xE0..=0xEF, _, _] if basic || second & 0x09 == 0x01 => {
            let act = ["an act that is reserved", "to be compared", "bits", "to be written"];
            other(bytes, format!("{address}: a configuration variable, {}", act[usize::from(variable >> 2 & 3)]))
        }
        [_, _, _] if !basic && second & 0x0C == 0x0C => {
            other(bytes, "an accessory's configuration variable, in the older form")
        }
        _ => other(bytes, format!("to accessory {address}: an instruction not read here")),
    }
}
