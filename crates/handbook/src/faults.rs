//! How often things of each kind are at fault: what a hunt for a fault starts from.
//!
//! Nobody has counted them in print. What the trade agrees on is the order: a joiner left unsoldered, a blade and a contact long
//! before a tap, a tap before solder, solder before wire. The numbers are our own defaults around that order; a layout's own
//! counts are better.

use crate::spread::{Sourced, Spread};

/// How often a thing of one kind is at fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaultRate {
    /// Its kind: `sliding joint`.
    pub name: &'static str,
    /// Share that are at fault when just built.
    pub built: Spread<f64>,
    /// Share that go wrong in a year.
    pub per_year: Spread<f64>,
    /// Of those at fault the share that are open; the others have some resistance too much.
    pub open: f64,
}

/// A rate and its band, a factor of three either way.
const fn rate(name: &'static str, built: f64, per_year: f64, open: f64) -> FaultRate {
    FaultRate {
        name,
        built: Spread::new(built / 3.0, built, built * 3.0),
        per_year: Spread::new(per_year / 3.0, per_year, per_year * 3.0),
        open,
    }
}

const SOURCE: &str = "order: common practice, no source; numbers and bands our own default";

/// A soldered rail joint.
pub const SOLDERED_JOINT: FaultRate = rate("soldered joint", 2e-3, 2e-4, 0.4);
/// A rail joiner left unsoldered.
pub const SLIDING_JOINT: FaultRate = rate("sliding joint", 5e-3, 6e-3, 0.4);
/// A tap connector.
pub const TAP: FaultRate = rate("tap connector", 6e-3, 1.5e-3, 0.5);
/// A feeder, from where it leaves its tap to the rail it is soldered to.
pub const FEEDER: FaultRate = rate("feeder", 6e-3, 1e-3, 0.6);
/// Any other wire and its two ends.
pub const WIRE: FaultRate = rate("wire", 6e-3, 1e-3, 0.6);
/// A length of bus wire.
pub const BUS_WIRE: FaultRate = rate("bus wire", 5e-4, 1e-4, 0.5);
/// A contact of a plug between boards, beside the wire that passes it: it is pulled and pushed at every show.
pub const PLUG: FaultRate = rate("contact of a plug", 4e-3, 4e-3, 0.5);
/// A contact of a motor, relay or toggle.
pub const CONTACT: FaultRate = rate("contact", 4e-3, 3e-3, 0.5);
/// A point blade on its stock rail.
pub const BLADE: FaultRate = rate("blade", 5e-3, 1e-2, 0.5);
/// A gap whose sides touch.
pub const GAP: FaultRate = rate("gap", 3e-3, 1e-3, 1.0);
/// Two wires exchanged, or one on the wrong conductor: a fault of building, which shows at once.
pub const EXCHANGE: FaultRate = rate("exchange", 3e-3, 0.0, 1.0);

/// All of them, beside where they come from.
pub const FAULT_RATES: Sourced<[FaultRate; 11]> = Sourced::new(
    [SOLDERED_JOINT, SLIDING_JOINT, TAP, FEEDER, WIRE, BUS_WIRE, PLUG, CONTACT, BLADE, GAP, EXCHANGE],
    SOURCE,
);

impl FaultRate {
    /// Of two things in a row, of which either can be at fault.
    pub fn and(&self, other: &FaultRate) -> FaultRate {
        let (one, two) = (self.built.typical + self.per_year.typical, other.built.typical + other.per_year.typical);
        FaultRate {
            name: self.name,
            built: self.built.plus(other.built),
            per_year: self.per_year.plus(other.per_year),
            open: (self.open * one + other.open * two) / (one + two),
        }
    }

    /// The usual share that are at fault after so many years.
    pub fn after(&self, years: f64) -> f64 {
        self.built.typical + years.max(0.0) * self.per_year.typical
    }
}
