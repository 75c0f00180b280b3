//! Packets: what is said on the track, and the bytes that say it.

mod fields;
mod read;
mod words;

pub use fields::{PacketField, fields};
pub use words::hex;

use crate::address::RawAddress;
use thiserror::Error;

/// The fewest bytes of a packet, error byte included (S-9.2).
pub const FEWEST_BYTES: usize = 3;
/// The most bytes of a packet, error byte included (S-9.2.1).
pub const MOST_BYTES: usize = 6;

/// What a packet says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Packet {
    /// Nothing, to nobody (S-9.2).
    Idle,
    /// Every decoder goes back to how it was at power-up (S-9.2).
    Reset,
    /// Every locomotive stops (S-9.2, broadcast stop).
    Stop {
        /// At once, without power to the motor, rather than by braking.
        at_once: bool,
        /// The direction told with it.
        direction: Direction,
        /// Whether what depends on direction, such as lights, may leave that direction alone.
        direction_may_be_ignored: bool,
    },
    /// A locomotive's speed and direction.
    Speed {
        /// The locomotive.
        address: LocoAddress,
        /// Which way.
        direction: Direction,
        /// How fast.
        speed: Speed,
        /// Out of how many steps.
        steps: Steps,
    },
    /// Functions of a locomotive: `first` to `first + count - 1`, the lowest bit of `on` is `first` (S-9.2.1).
    Functions {
        /// The locomotive.
        address: LocoAddress,
        /// The lowest function.
        first: u8,
        /// How many functions.
        count: u8,
        /// Which are on.
        on: u8,
    },
    /// One of the pair of outputs behind an accessory address (S-9.2.1, basic accessory decoder packet).
    Accessory {
        /// The address.
        address: RawAddress,
        /// Bit 0, R: which of the pair.
        output: bool,
        /// Bit 3: switched on, or off.
        on: bool,
    },
    /// All accessories stop: the basic packet to 2047, output 0, off.
    AccessoryStop,
    /// What a signal or another extended accessory is to show (S-9.2.1). The edition of 2012 has aspects 0 to 31.
    Extended {
        /// The address.
        address: RawAddress,
        /// The aspect; 0 is absolute stop.
        aspect: u8,
    },
    /// Anything else, and why it is not told more closely.
    Other {
        /// All bytes with the error byte.
        bytes: Vec<u8>,
        /// What is known of it.
        why: String,
    },
}

/// Which way a locomotive goes, as seen by its driver.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Ahead.
    Forward,
    /// Back.
    Reverse,
}

/// A locomotive's address.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LocoAddress {
    /// One byte: 1 to 127.
    Short(u8),
    /// Two bytes: 0 to 10239.
    Long(u16),
}

/// The longest long address: first byte 192 to 231, fourteen bits (S-9.2.1 section A).
pub const LONGEST_ADDRESS: u16 = (231 - 192) * 256 + 255;

impl LocoAddress {
    /// The address that a throttle means by a number: short up to 127, long from 128 on.
    pub fn from_number(number: u32) -> Option<LocoAddress> {
        match u16::try_from(number).ok()? {
            0 => None,
            short @ 1..=127 => u8::try_from(short).ok().map(LocoAddress::Short),
            long if long <= LONGEST_ADDRESS => Some(LocoAddress::Long(long)),
            _ => None,
        }
    }
}

/// How fast.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Speed {
    /// Stop by braking.
    Stop,
    /// Stop at once.
    EmergencyStop,
    /// A speed step, from 1.
    Step(u8),
}

/// Out of how many steps a speed is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Steps {
    /// Twenty-eight (S-9.2).
    Of28,
    /// A hundred and twenty-six, the "128 speed step" instruction (S-9.2.1).
    Of126,
}

impl Steps {
    /// The highest step.
    pub fn most(self) -> u8 {
        match self {
            Steps::Of28 => 28,
            Steps::Of126 => 126,
        }
    }
}

/// Why bytes are no packet, or a packet has no bytes.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PacketError {
    /// Fewer bytes than any packet has.
    #[error("{0} bytes are too few: a packet has {FEWEST_BYTES} to {MOST_BYTES}, the last of them the error byte")]
    TooShort(usize),
    /// More bytes than any packet has.
    #[error("{0} bytes are too many: a packet has {FEWEST_BYTES} to {MOST_BYTES}, the last of them the error byte")]
    TooLong(usize),
    /// The error byte is not the exclusive or of the others.
    #[error("the last byte is {found:02X}, but the others make {due:02X}")]
    ErrorByte {
        /// The last byte.
        found: u8,
        /// The exclusive or of the others.
        due: u8,
    },
    /// A speed step beyond the number of steps.
    #[error("there is no speed step {step}; they run from 1 to {most}")]
    NoSuchStep {
        /// What was asked for.
        step: u8,
        /// The highest there is.
        most: u8,
    },
    /// A locomotive address that no packet can carry.
    #[error("there is no locomotive address {0}; short ones run from 1 to 127, long ones from 0 to {LONGEST_ADDRESS}")]
    NoSuchLoco(u16),
    /// A group of functions that no packet carries together.
    #[error("no packet carries the functions F{first} to F{last} together")]
    NoSuchFunctions {
        /// The lowest.
        first: u8,
        /// The highest.
        last: u8,
    },
}

/// The exclusive or of bytes: over all but the last it is the error byte, over all of them it is nought.
pub fn error_byte(bytes: &[u8]) -> u8 {
    bytes.iter().fold(0, |all, byte| all ^ byte)
}

/// Whether bytes are a packet by length and error byte.
///
/// # Errors
/// When they are too few or too many, or the error byte is another.
pub fn check(bytes: &[u8]) -> Result<(), PacketError> {
    if bytes.len() > MOST_BYTES {
        return Err(PacketError::TooLong(bytes.len()));
    }
    match bytes {
        [rest @ .., found] if bytes.len() >= FEWEST_BYTES => match error_byte(rest) {
            due if due == *found => Ok(()),
            due => Err(PacketError::ErrorByte { found: *found, due }),
        },
        _ => Err(PacketError::TooShort(bytes.len())),
    }
}

impl Packet {
    /// What bytes, error byte included, say.
    ///
    /// # Errors
    /// Where the length or the error byte is wrong.
    pub fn from_bytes(bytes: &[u8]) -> Result<Packet, PacketError> {
        check(bytes)?;
        Ok(read::read(bytes))
    }

    /// The bytes to send, error byte included.
    ///
    /// # Errors
    /// Where an address, a step or a group of functions has no packet, or other bytes are none.
    pub fn bytes(&self) -> Result<Vec<u8>, PacketError> {
        let mut bytes = match *self {
            Packet::Idle => vec![0xFF, 0x00],
            Packet::Reset => vec![0x00, 0x00],
            Packet::Stop { at_once, direction, direction_may_be_ignored } => {
                let ignored = u8::from(direction_may_be_ignored) << 4;
                vec![0x00, 0x40 | forward(direction) << 5 | ignored | u8::from(at_once)]
            }
            Packet::Speed { address, direction, speed, steps } => {
                let mut bytes = loco(address)?;
                match steps {
                    Steps::Of28 => {
                        // Five bits CSSSS, the lowest of them first: 0 and 1 stop, 2 and 3 stop at once, then the steps.
                        let value = match speed {
                            Speed::Stop => 0,
                            Speed::EmergencyStop => 2,
                            Speed::Step(step) => stepped(step, steps)? + 3,
                        };
                        bytes.push(0x40 | forward(direction) << 5 | (value & 1) << 4 | value >> 1);
                    }
                    Steps::Of126 => {
                        let value = match speed {
                            Speed::Stop => 0,
                            Speed::EmergencyStop => 1,
                            Speed::Step(step) => stepped(step, steps)? + 1,
                        };
                        bytes.extend([0x3F, forward(direction) << 7 | value]);
                    }
                }
                bytes
            }
            Packet::Functions { address, first, count, on } => {
                let mut bytes = loco(address)?;
                match (first, count) {
                    // F0 has bit 4, F1 to F4 bits 0 to 3.
                    (0, 5) => bytes.push(0x80 | (on & 1) << 4 | on >> 1 & 0x0F),
                    (5, 4) => bytes.push(0xB0 | on & 0x0F),
                    (9, 4) => bytes.push(0xA0 | on & 0x0F),
                    (13, 8) => bytes.extend([0xDE, on]),
                    (21, 8) => bytes.extend([0xDF, on]),
                    _ => {
                        let last = first.saturating_add(count.saturating_sub(1));
                        return Err(PacketError::NoSuchFunctions { first, last });
                    }
                }
                bytes
            }
            Packet::Accessory { address, output, on } => {
                let low = u8::try_from(address.bits() & 3).unwrap_or(0);
                let [first, high] = accessory(address);
                vec![first, 0x80 | high | u8::from(on) << 3 | low << 1 | u8::from(output)]
            }
            Packet::AccessoryStop => {
                let [first, high] = accessory(RawAddress::EMERGENCY_STOP);
                vec![first, 0x80 | high | 0b0110]
            }
            Packet::Extended { address, aspect } => {
                let low = u8::try_from(address.bits() & 3).unwrap_or(0);
                let [first, high] = accessory(address);
                vec![first, high | low << 1 | 1, aspect]
            }
            Packet::Other { ref bytes, .. } => {
                check(bytes)?;
                return Ok(bytes.clone());
            }
        };
        bytes.push(error_byte(&bytes));
        Ok(bytes)
    }
}

fn forward(direction: Direction) -> u8 {
    u8::from(direction == Direction::Forward)
}

fn stepped(step: u8, steps: Steps) -> Result<u8, PacketError> {
    let most = steps.most();
    if (1..=most).contains(&step) { Ok(step) } else { Err(PacketError::NoSuchStep { step, most }) }
}

fn loco(address: LocoAddress) -> Result<Vec<u8>, PacketError> {
    match address {
        LocoAddress::Short(short @ 1..=127) => Ok(vec![short]),
        LocoAddress::Short(none) => Err(PacketError::NoSuchLoco(none.into())),
        LocoAddress::Long(long) if long <= LONGEST_ADDRESS => {
            let [high, low] = long.to_be_bytes();
            Ok(vec![0xC0 | high, low])
        }
        LocoAddress::Long(none) => Err(PacketError::NoSuchLoco(none)),
    }
}

/// `10A7..A2`, and A10 to A8 complemented in bits 6 to 4 of the second byte.
fn accessory(address: RawAddress) -> [u8; 2] {
    let bits = address.bits();
    let middle = u8::try_from(bits >> 2 & 0x3F).unwrap_or(0);
    let high = u8::try_from(bits >> 8 & 7).unwrap_or(0);
    [0x80 | middle, (!high & 7) << 4]
}
