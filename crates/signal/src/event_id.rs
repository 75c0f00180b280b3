//! Event identifiers of NMRA S-9.7.0.4 for basic accessory packets: the way of an address over a layout bus.

use crate::address::RawAddress;
use std::fmt;

/// The eight bytes of an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct EventId(pub [u8; 8]);

/// The six bytes that every event of a basic accessory begins with, less the last, which says on or off (S-9.7.0.4).
const BEGIN: [u8; 5] = [0x01, 0x01, 0x02, 0x00, 0x00];
const ACTIVATE: u8 = 0xFF;
const DEACTIVATE: u8 = 0xFE;

impl EventId {
    /// The event of a basic accessory packet. Its last two bytes are twice the packet's eleven bits plus the output; the
    /// address is not complemented here as it is in the packet.
    pub fn accessory(address: RawAddress, output: bool, on: bool) -> EventId {
        let [high, low] = (2 * address.bits() + u16::from(output)).to_be_bytes();
        let [a, b, c, d, e] = BEGIN;
        EventId([a, b, c, d, e, if on { ACTIVATE } else { DEACTIVATE }, high, low])
    }

    /// The address, output and on or off of a basic accessory's event; none where it is another kind of event.
    pub fn as_accessory(self) -> Option<(RawAddress, bool, bool)> {
        let [begin @ .., on, high, low] = self.0;
        let value = u16::from_be_bytes([high, low]);
        let on = match on {
            ACTIVATE => true,
            DEACTIVATE => false,
            _ => return None,
        };
        (begin == BEGIN).then_some(())?;
        Some((RawAddress::new(value / 2)?, value % 2 == 1, on))
    }
}

impl fmt::Display for EventId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, byte) in self.0.iter().enumerate() {
            write!(f, "{}{byte:02X}", if i == 0 { "" } else { "." })?;
        }
        Ok(())
    }
}
