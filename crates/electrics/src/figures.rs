//! What is asked of every place, and extreme values with where and when they are met.

use crate::{StandingTrain, Worst};
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
    /// The least current of a short, `V / (R_loop + R_bridge)`, in amperes.
    pub fault_amps: Spread<Extreme>,
}
