//! The meter and the bench supply: what they can tell apart, and the limits that follow.

use handbook::{Sourced, Spread};

/// Least reading that is called open, in ohms: damp wood and ballast are far above, anything wired far below. Our own
/// default.
pub const OPEN_OHMS: f64 = 100e3;

/// Current of the bench supply in tests by millivolts, in amperes: a milliohm then reads a millivolt.
pub const TEST_AMPS: f64 = 1.0;

/// A range of a meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Its words: `200 mV DC`.
    pub words: &'static str,
    /// The greatest reading, in its unit.
    pub most: f64,
    /// What it may be off by as a part of the reading.
    pub share: f64,
    /// What it may be off by besides, in its unit.
    pub digits: f64,
}

/// What a cheap meter of 3½ digits may be off by on direct millivolts: half a per cent and three digits; a bench supply's
/// own display of 1 A another per cent.
const MILLIVOLT_SHARE: Sourced<f64> = Sourced::new(0.015, "from memory, confirm with the meter's own sheet");
/// The same on ohms: 0.8 % and five digits.
const OHM_SHARE: Sourced<f64> = Sourced::new(0.008, "from memory, confirm with the meter's own sheet");
/// The same on alternating volts, without what a square wave does to it.
const VOLT_SHARE: Sourced<f64> = Sourced::new(0.01, "from memory, confirm with the meter's own sheet");

/// Ranges of direct millivolts, smallest first.
const MILLIVOLTS: [Range; 2] = [
    Range { words: "200 mV DC", most: 200.0, share: MILLIVOLT_SHARE.value, digits: 0.3 },
    Range { words: "2 V DC", most: 2000.0, share: MILLIVOLT_SHARE.value, digits: 3.0 },
];

/// The range for joints by ohms: leads shorted first, and what they read then taken off.
pub const JOINED: Range = Range { words: "200 Ω, leads zeroed", most: 200.0, share: OHM_SHARE.value, digits: 0.5 };
/// The range for gaps by ohms.
pub const OPEN: Range = Range { words: "2 MΩ", most: 2e6, share: OHM_SHARE.value, digits: 5e3 };
/// The range for track volts.
pub const VOLTS: Range = Range { words: "20 V AC", most: 20.0, share: VOLT_SHARE.value, digits: 0.03 };

impl Range {
    /// What a reading may be off by, in its unit.
    pub fn error(&self, reading: f64) -> f64 {
        self.share * reading.abs() + self.digits
    }
}

/// The range of direct millivolts for readings up to this one.
pub fn millivolt_range(reading: f64) -> Range {
    if reading <= MILLIVOLTS[0].most { MILLIVOLTS[0] } else { MILLIVOLTS[1] }
}

/// From where to where a reading is well: what the network gives from its low to its high end, and the meter's error
/// beyond both.
pub fn limits(expected: Spread<f64>, range: &Range) -> [f64; 2] {
    if expected.low.is_infinite() {
        return [OPEN_OHMS, f64::INFINITY];
    }
    let least = (expected.low - range.error(expected.low)).max(0.0);
    [least, expected.high + range.error(expected.high)]
}

/// What a meter reads of a square wave, as a part of its peak.
pub struct Meter {
    /// What the meter says of itself.
    pub words: &'static str,
    /// Its reading over the true one.
    pub factor: f64,
}

/// Meters on a square wave: one that takes the true root mean square reads the peak; one that takes the mean and is marked
/// for sine waves reads π/(2√2) of it.
pub const METERS: [Meter; 2] = [
    Meter { words: "true RMS", factor: 1.0 },
    Meter { words: "average, marked for sine waves", factor: 1.110_720_734_539_591_6 },
];
