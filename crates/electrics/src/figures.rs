//! What is asked of every place, and extreme values with where and when they are met.

use crate::{Level, StandingTrain, Worst};
use handbook::Spread;

/// What is asked of every place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand<'t> {
    /// What a train draws, in amperes.
    pub amps: f64,
    /// Trains that stand elsewhere meanwhile.
    pub standing: &'t [StandingTrain],
    /// Resistance of a short as wheels, pick-ups or a tool make it, in ohms.
    pub bridge_ohms: Spread<f64>,
    /// Time between two reversals of a track signal of ones, in seconds.
    pub half_bit: Spread<f64>,
}

impl Demand<'_> {
    /// Half bits at a level: the more resistance, the shorter, so that it is the worst of all at once.
    pub fn half_bit_at(&self, level: Level) -> f64 {
        level.pick(Spread::new(self.half_bit.high, self.half_bit.typical, self.half_bit.low))
    }
}

/// What is least of a short on a square wave, one kind of current, and where and when it is met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastShort {
    /// The amperes; a bound, no place has less.
    pub found: Extreme,
    /// The loop's inductance there, henries.
    pub henries: f64,
}

/// An extreme value, and where and when it is met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extreme {
    /// The value: ohms, volts or amperes.
    pub amount: f64,
    /// The place.
    pub at: Worst,
    /// The setting, by its index.
    pub setting: usize,
}

/// The extremes over a track or a route. Each is a band in the order of its own amounts, and each end of it has a place
/// and a setting of its own: the greatest loop resistance and the least volts and amperes belong to
/// [`Level::High`](crate::Level::High), everything aged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremes {
    /// The least voltage under a train, `V − I·R_loop` less what standing trains take; below 0 where the wiring cannot bring
    /// that current at all.
    pub volts: Spread<Extreme>,
    /// The least current of a short, `V / (R_loop + R_bridge)`, in amperes: what a direct voltage would drive, an upper bound
    /// where the track signal reverses.
    pub fault_amps: Spread<Extreme>,
    /// The least that breakers notice of a short once the track signal has reversed through the loop's inductance: mean, root
    /// mean square, greatest.
    pub sensed: [Spread<LeastShort>; 3],
}
