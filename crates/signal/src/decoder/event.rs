//! What a decoder has to tell.

use crate::packet::{MOST_BYTES, Packet, PacketError, hex};
use crate::timing::{Picos, show_micros};
use std::fmt;

/// Bytes kept of a packet; one that goes on longer has lost its end.
pub(super) const KEPT: usize = 2 * MOST_BYTES;

/// The bytes of a packet, in place.
#[derive(Clone, Copy, PartialEq, Eq, Default)]
pub struct Bytes {
    held: [u8; KEPT],
    length: u8,
}

impl Bytes {
    /// Adds a byte; false where there is no room for it.
    pub(super) fn push(&mut self, byte: u8) -> bool {
        match self.held.get_mut(usize::from(self.length)) {
            Some(place) => {
                *place = byte;
                self.length += 1;
                true
            }
            None => false,
        }
    }
}

impl std::ops::Deref for Bytes {
    type Target = [u8];

    fn deref(&self) -> &[u8] {
        self.held.get(..usize::from(self.length)).unwrap_or(&[])
    }
}

impl fmt::Debug for Bytes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex(self))
    }
}

/// What an edge brought to an end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Event {
    /// A packet, preamble to end bit.
    Packet(PacketReading),
    /// Something that is not accepted.
    Fault(SignalFault),
}

/// A packet as it was read. Its length and its error byte are right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PacketReading {
    /// When its start bit began, the zero behind the preamble.
    pub start: Picos,
    /// When its end bit ended.
    pub end: Picos,
    /// The whole ones before it; the end bit of a packet right before counts as one (S-9.2).
    pub preamble: u32,
    /// All bytes, with the error byte.
    pub bytes: Bytes,
    /// What about it a decoder must accept, though no command station may send it.
    pub marginal: Marginal,
}

impl PacketReading {
    /// What it says.
    pub fn packet(&self) -> Packet {
        Packet::from_bytes(&self.bytes)
            .unwrap_or_else(|why| Packet::Other { bytes: self.bytes.to_vec(), why: why.to_string() })
    }
}

/// What was accepted though it should not have been sent (S-9.1, S-9.2: sent against received).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Marginal {
    /// Halves out of what may be sent.
    pub halves: u32,
    /// When the first of them began, and its width.
    pub first_half: Option<(Picos, Picos)>,
    /// Ones whose halves differ by more than may be sent.
    pub uneven: u32,
    /// When the first of them began, and the difference.
    pub first_uneven: Option<(Picos, Picos)>,
    /// Fewer ones than a preamble is to have.
    pub short_preamble: bool,
}

impl Marginal {
    /// Whether there is anything to tell.
    pub fn any(&self) -> bool {
        self.halves > 0 || self.uneven > 0 || self.short_preamble
    }

    #[inline]
    pub(super) fn half(&mut self, time: Picos, width: Picos) {
        self.halves = self.halves.saturating_add(1);
        self.first_half.get_or_insert((time, width));
    }

    #[inline]
    pub(super) fn differ(&mut self, time: Picos, difference: Picos, count: u32) {
        self.uneven = self.uneven.saturating_add(count);
        self.first_uneven.get_or_insert((time, difference));
    }
}

/// Something that is not accepted; times are those of its first edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SignalFault {
    /// A half that is neither of a one nor of a zero.
    Width {
        /// When it began.
        time: Picos,
        /// How wide it was.
        width: Picos,
    },
    /// Something other than ones right behind a packet. S-9.2 section C allows it there, so it is reported but is no error:
    /// so looks the gap that decoders answer in.
    Gap {
        /// When it began.
        time: Picos,
        /// How wide its half was.
        width: Picos,
    },
    /// A bit with one half of a one and one of a zero.
    Mixed {
        /// When it began.
        time: Picos,
        /// The first half.
        first: Picos,
        /// The last half.
        last: Picos,
    },
    /// A one whose halves differ too much.
    Uneven {
        /// When it began.
        time: Picos,
        /// The first half.
        first: Picos,
        /// The last half.
        last: Picos,
        /// How many more of them there were in this preamble.
        more: u32,
    },
    /// A zero that is too long in all.
    LongZero {
        /// When it began.
        time: Picos,
        /// The first half.
        first: Picos,
        /// The last half.
        last: Picos,
    },
    /// A zero behind too few ones.
    ShortPreamble {
        /// When the zero began.
        time: Picos,
        /// The whole ones before it.
        ones: u32,
    },
    /// Bits framed as a packet that are none.
    NotAPacket {
        /// When its start bit began.
        time: Picos,
        /// Its bytes, as far as they are kept.
        bytes: Bytes,
    },
}

impl SignalFault {
    /// When it began.
    pub fn time(&self) -> Picos {
        match *self {
            SignalFault::Width { time, .. }
            | SignalFault::Gap { time, .. }
            | SignalFault::Mixed { time, .. }
            | SignalFault::Uneven { time, .. }
            | SignalFault::LongZero { time, .. }
            | SignalFault::ShortPreamble { time, .. }
            | SignalFault::NotAPacket { time, .. } => time,
        }
    }

    /// Whether the standard allows it where it stands.
    pub fn is_allowed(&self) -> bool {
        matches!(self, SignalFault::Gap { .. })
    }
}

impl fmt::Display for SignalFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SignalFault::Width { width, .. } => {
                write!(
                    f,
                    "a half of {}, neither of a one (52 to 64 µs) nor of a zero (90 to 10000 µs)",
                    show_micros(*width)
                )
            }
            SignalFault::Gap { width, .. } => write!(f, "a half of {} between packets", show_micros(*width)),
            SignalFault::Mixed { first, last, .. } => {
                write!(f, "a bit of {} and {}, half a one and half a zero", show_micros(*first), show_micros(*last))
            }
            SignalFault::Uneven { first, last, more, .. } => {
                write!(
                    f,
                    "a one of {} and {}, which differ by more than 6 µs",
                    show_micros(*first),
                    show_micros(*last)
                )?;
                if *more > 0 { write!(f, ", and {more} more in its preamble") } else { Ok(()) }
            }
            SignalFault::LongZero { first, last, .. } => {
                write!(f, "a zero of {} and {}, more than 12000 µs in all", show_micros(*first), show_micros(*last))
            }
            SignalFault::ShortPreamble { ones, .. } => write!(f, "a preamble of {ones} ones; a decoder wants 10"),
            SignalFault::NotAPacket { bytes, .. } => match crate::packet::check(bytes) {
                Err(PacketError::TooLong(_)) if bytes.len() == KEPT => {
                    write!(f, "{} and no end: a packet has at most {MOST_BYTES} bytes", hex(bytes))
                }
                Err(why) => write!(f, "{}: {why}", hex(bytes)),
                Ok(()) => f.write_str(&hex(bytes)),
            },
        }
    }
}
