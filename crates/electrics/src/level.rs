//! Which end of the bands to calculate with, and the setting of a way.

use circuit::{Circuit, Way};
use handbook::Spread;

/// Which value of every edge's band to take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Everything as good as it comes.
    Low,
    /// As usual.
    Typical,
    /// Everything as bad as it may get: rails of the poorest alloy, joints and blades aged.
    High,
}

impl Level {
    /// All three, least resistance first.
    pub const ALL: [Level; 3] = [Level::Low, Level::Typical, Level::High];

    /// The value of a band at this level.
    pub fn pick<T>(self, band: Spread<T>) -> T {
        match self {
            Level::Low => band.low,
            Level::Typical => band.typical,
            Level::High => band.high,
        }
    }

    /// The word for it: `typical`.
    pub fn word(self) -> &'static str {
        match self {
            Level::Low => "low",
            Level::Typical => "typical",
            Level::High => "high",
        }
    }
}

/// The setting in which a way is lined and nothing else is: a position for each control, none for those the way does
/// not need. What only they would close is open, which by Rayleigh's law is the worst case. A control that settles by
/// itself always stands in one of its positions; its first will do, since the others differ from it only in the phase.
pub fn setting_of(circuit: &Circuit, way: &Way) -> Vec<Option<u8>> {
    let mut setting: Vec<Option<u8>> = circuit.controls.iter().map(|c| c.settles.then_some(0)).collect();
    for (&control, &position) in &way.setting {
        setting[control] = Some(position);
    }
    setting
}
