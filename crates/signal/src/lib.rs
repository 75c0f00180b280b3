//! The track signal: packets, addresses, bit timing, traces. Knows no plan.
//!
//! A [`Packet`] is what is said; its bytes are what is sent. A [`waveform`] turns bytes into times between edges, the
//! [`decoder`] turns edges back into bytes and says of every half-bit that it did not accept when it came and how wide it was.
//! A [`vcd`] file carries edges from and to logic analysers. Nothing here reads a clock or draws by chance: what is drawn
//! comes from a seed.
//!
//! Sources: NMRA S-9.1 (2020) for half-bits, S-9.2 (2004) for packets and preambles, S-9.2.1 (2012) for accessories and long
//! addresses, S-9.7.0.4 for event identifiers.

pub mod address;
pub mod chance;
pub mod decoder;
pub mod event_id;
pub mod packet;
pub mod statistics;
pub mod timing;
pub mod vcd;
pub mod waveform;

pub use address::{Counting, RawAddress, ValueMeaning};
pub use decoder::{Decoder, Event, PacketReading, SignalFault};
pub use packet::{Direction, LocoAddress, Packet, PacketError, Speed, Steps};
pub use statistics::Statistics;
pub use timing::{Picos, micros};
pub use waveform::Timing;
