//! What is read or seen, typed: where the probes are, how everything is set, with which instrument, what it says.

use circuit::{EdgeId, NodeId};
use std::collections::BTreeSet;

/// To how many volts a bench supply of one ampere is set: too few for what is on the rails, and enough for any joint that still conducts.
pub const BENCH_VOLTS: f64 = 3.0;

/// What a builder owns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kit {
    /// A buzzer: it sounds or it does not.
    Buzzer,
    /// An ohmmeter that shows tenths of an ohm.
    Ohmmeter,
    /// One ampere from a bench supply, and millivolts.
    Bench,
    /// By how many volts the track falls under a load of one ampere, with power on.
    Volts,
}

impl Kit {
    /// What it may be off by, in ohms (a milliohm reads a millivolt, an ohm's loop takes a volt).
    pub fn errors(self) -> Errors {
        match self {
            // Sounds below some 50 Ω; meters differ by a factor of two. From memory, confirm.
            Kit::Buzzer => Errors { share: 0.0, digits: 0.0, zero: 0.0, gain: 0.0, step: 0.0, most: 50.0 },
            // 0.8 % and a tenth; the leads' own tenths are taken off, not quite. From memory, confirm.
            Kit::Ohmmeter => Errors { share: 0.005, digits: 0.04, zero: 0.05, gain: 0.0, step: 0.1, most: 1e5 },
            // Half a per cent and three digits, and the supply's own ampere to a per cent. From memory, confirm. Where its ampere
            // would take more than the volts it is set to, the supply shows those.
            Kit::Bench => Errors { share: 0.003, digits: 2e-4, zero: 0.0, gain: 0.006, step: 1e-4, most: BENCH_VOLTS },
            // The same meter before and under load: what it is wrong by falls out of the difference, all but the digits.
            Kit::Volts => Errors { share: 0.01, digits: 0.02, zero: 0.0, gain: 0.01, step: 0.01, most: 10.0 },
        }
    }

    /// Whether power is on while it is read.
    pub fn powered(self) -> bool {
        self == Kit::Volts
    }
}

/// What an instrument may be off by: standard deviations in ohms, or as a part of the reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Errors {
    /// As a part of each reading, by itself.
    pub share: f64,
    /// Besides, by itself.
    pub digits: f64,
    /// Besides, in common to all readings: what the leads' zero left.
    pub zero: f64,
    /// As a part of the reading, in common to all readings.
    pub gain: f64,
    /// What it counts in.
    pub step: f64,
    /// Beyond this it reads open; a buzzer is silent.
    pub most: f64,
}

/// How everything stands while something is read.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Conditions {
    /// Whether the supplies are on.
    pub powered: bool,
    /// A position for each control.
    pub setting: Vec<Option<u8>>,
    /// Wires that are off while it is read.
    pub pulled: BTreeSet<EdgeId>,
}

/// A measurement that can be made.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Measurement {
    /// With what.
    pub kit: Kit,
    /// How everything stands.
    pub conditions: Conditions,
    /// Where the current goes in and out.
    pub force: [NodeId; 2],
    /// Where the meter's probes are; most often at the same places.
    pub sense: [NodeId; 2],
}

/// What an instrument said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// So many ohms: of a bench supply's reading the millivolts over its milliamperes, of a load the volts it takes over its
    /// amperes.
    Ohms(f64),
    /// Beyond its range, or no volts at all.
    Open,
    /// The buzzer sounds, or not.
    Sounds(bool),
}

/// How a train goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Running {
    /// As it should.
    Well,
    /// Slowly, dim, or it dies under load.
    Weak,
    /// Not at all.
    Dead,
}

/// What somebody saw.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Symptom {
    /// How trains go on some places: pairs of left and right rail. Somewhere on them, if not well.
    Runs {
        /// The places.
        places: Vec<[NodeId; 2]>,
        /// How.
        how: Running,
    },
    /// Whether the breaker trips: the poles behind it.
    Trips {
        /// The poles.
        poles: [NodeId; 2],
        /// Whether it does.
        trips: bool,
    },
}

/// What was read or seen.
#[derive(Clone, Debug, PartialEq)]
pub enum Observation {
    /// A reading.
    Read {
        /// How it was taken.
        measurement: Measurement,
        /// What it said.
        value: Value,
    },
    /// Something seen while power was on, in a setting.
    Seen {
        /// How everything stood.
        conditions: Conditions,
        /// What.
        symptom: Symptom,
        /// Only when the room is warm: what moves with warmth is then likelier.
        warm: bool,
    },
}
