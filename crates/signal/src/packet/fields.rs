//! What each bit of a packet is for.

use super::{Direction, LocoAddress, Packet, Speed, Steps, error_byte};
use crate::address::RawAddress;

/// A run of bits and what it is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PacketField {
    /// The byte, from 0.
    pub byte: usize,
    /// The bits, most significant first.
    pub bits: String,
    /// What they mean.
    pub meaning: String,
}

/// The bits of a packet, byte by byte in the order they are sent, and what they mean. Bytes that are no packet are reported
/// without meanings.
pub fn fields(bytes: &[u8]) -> Vec<PacketField> {
    let Ok(packet) = Packet::from_bytes(bytes) else {
        return (0..bytes.len()).map(|i| field(bytes, i, 7, 0, "no packet, so without meaning")).collect();
    };
    let mut all = match packet {
        Packet::Idle => {
            vec![field(bytes, 0, 7, 0, "to nobody: the idle address"), field(bytes, 1, 7, 0, "no instruction")]
        }
        Packet::Reset => vec![
            field(bytes, 0, 7, 0, "to every locomotive decoder: the broadcast address"),
            field(bytes, 1, 7, 0, "reset"),
        ],
        Packet::Stop { at_once, direction, direction_may_be_ignored } => vec![
            field(bytes, 0, 7, 0, "to every locomotive decoder: the broadcast address"),
            field(bytes, 1, 7, 6, "speed and direction"),
            field(bytes, 1, 5, 5, way(direction)),
            field(
                bytes,
                1,
                4,
                4,
                if direction_may_be_ignored {
                    "lights may ignore the direction"
                } else {
                    "lights follow the direction"
                },
            ),
            field(bytes, 1, 3, 0, if at_once { "stop at once" } else { "brake and stop" }),
        ],
        Packet::Speed { address, direction, speed, steps } => {
            let mut all = loco(bytes, address);
            let at = all.len();
            let step_words = match speed {
                Speed::Stop => "brake and stop".to_owned(),
                Speed::EmergencyStop => "stop at once".to_owned(),
                Speed::Step(step) => format!("step {step} of {}", steps.most()),
            };
            match steps {
                Steps::Of28 => all.extend([
                    field(bytes, at, 7, 6, "speed and direction"),
                    field(bytes, at, 5, 5, way(direction)),
                    field(bytes, at, 4, 4, "the lowest bit of the speed"),
                    field(bytes, at, 3, 0, format!("the rest of the speed: {step_words}")),
                ]),
                Steps::Of126 => all.extend([
                    field(bytes, at, 7, 0, "speed of 126 steps follows"),
                    field(bytes, at + 1, 7, 7, way(direction)),
                    field(bytes, at + 1, 6, 0, step_words),
                ]),
            }
            all
        }
        Packet::Functions { address, first, count, .. } => {
            let mut all = loco(bytes, address);
            let at = all.len();
            let last = u16::from(first) + u16::from(count) - 1;
            match first {
                0 => all.extend([
                    field(bytes, at, 7, 5, "functions, first group"),
                    field(bytes, at, 4, 4, "F0"),
                    field(bytes, at, 3, 0, "F4 to F1"),
                ]),
                5 | 9 => all.extend([
                    field(bytes, at, 7, 4, "functions, second group"),
                    field(bytes, at, 3, 0, format!("F{last} to F{first}")),
                ]),
                _ => all.extend([
                    field(bytes, at, 7, 0, "more functions follow"),
                    field(bytes, at + 1, 7, 0, format!("F{last} to F{first}")),
                ]),
            }
            all
        }
        Packet::Accessory { address, output, on } => {
            let mut all = basic(bytes, address);
            all.extend([
                field(bytes, 1, 3, 3, if on { "switch on" } else { "switch off" }),
                field(bytes, 1, 2, 1, format!("A1 A0: pair {} of the board's four", address.pair())),
                field(bytes, 1, 0, 0, format!("R: output {} of the pair", u8::from(output))),
            ]);
            all
        }
        Packet::AccessoryStop => {
            let mut all = basic(bytes, RawAddress::EMERGENCY_STOP);
            all.extend([
                field(bytes, 1, 3, 3, "switch off"),
                field(bytes, 1, 2, 0, "the last output: all accessories stop"),
            ]);
            all
        }
        Packet::Extended { address, aspect } => {
            let mut all = vec![
                field(bytes, 0, 7, 6, "to an accessory"),
                field(bytes, 0, 5, 0, "A7 to A2 of the address"),
                field(bytes, 1, 7, 7, "an extended packet"),
                field(bytes, 1, 6, 4, format!("A10 to A8, upside down: board {}", address.board())),
                field(bytes, 1, 3, 3, "always 0"),
                field(bytes, 1, 2, 1, format!("A1 A0: pair {} of the board's four", address.pair())),
                field(bytes, 1, 0, 0, "always 1"),
            ];
            let more = if aspect > 31 { ", more than the 31 of S-9.2.1 (2012)" } else { "" };
            let stop = if aspect == 0 { ", absolute stop" } else { "" };
            all.push(field(bytes, 2, 7, 0, format!("aspect {aspect}{stop}{more}")));
            all
        }
        Packet::Other { ref why, .. } => {
            let mut all: Vec<PacketField> = (0..bytes.len() - 1).map(|i| field(bytes, i, 7, 0, "")).collect();
            if let Some(first) = all.first_mut() {
                first.meaning.clone_from(why);
            }
            all
        }
    };
    let last = bytes.len() - 1;
    debug_assert_eq!(error_byte(bytes), 0);
    all.push(field(bytes, last, 7, 0, "error byte: the exclusive or of the others"));
    all
}

/// Bits `high` down to `low` of a byte.
fn field(bytes: &[u8], byte: usize, high: u32, low: u32, meaning: impl Into<String>) -> PacketField {
    let value = bytes.get(byte).copied().unwrap_or(0);
    let bits = (low..=high).rev().map(|i| if value >> i & 1 == 1 { '1' } else { '0' }).collect();
    PacketField { byte, bits, meaning: meaning.into() }
}

fn way(direction: Direction) -> &'static str {
    match direction {
        Direction::Forward => "forward",
        Direction::Reverse => "reverse",
    }
}

/// One field for each byte of the address, so that their number is where the instruction begins.
fn loco(bytes: &[u8], address: LocoAddress) -> Vec<PacketField> {
    let first = field(bytes, 0, 7, 0, super::words::loco(address));
    match address {
        LocoAddress::Short(_) => vec![first],
        LocoAddress::Long(_) => vec![first, field(bytes, 1, 7, 0, "the rest of the address")],
    }
}

fn basic(bytes: &[u8], address: RawAddress) -> Vec<PacketField> {
    vec![
        field(bytes, 0, 7, 6, "to an accessory"),
        field(bytes, 0, 5, 0, "A7 to A2 of the address"),
        field(bytes, 1, 7, 7, "a basic packet"),
        field(bytes, 1, 6, 4, format!("A10 to A8, upside down: board {}", address.board())),
    ]
}
