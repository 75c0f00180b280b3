//! The load a builder has for testing.

use handbook::quantity::{Amps, Ohms, Quantity, parse};

/// The load a builder has for testing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TestLoad {
    /// Something that draws this current whatever the volts, in amperes: a lamp nearly does.
    Amps(f64),
    /// A resistor, in ohms.
    Ohms(f64),
}

/// Why words are no load for testing.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadLoad {
    /// They are neither a current nor a resistance.
    #[error("`{0}` is no load; write what it draws, such as `1 A`, or its resistance, `15 Ω`")]
    NoLoad(String),
    /// So much or so little tells nothing.
    #[error("a load of `{0}` tells nothing; one of 10 mA to 20 A, or of 0.5 Ω to 2 kΩ, will do")]
    NoUse(String),
}

impl Default for TestLoad {
    /// One ampere.
    fn default() -> Self {
        TestLoad::Amps(1.0)
    }
}

impl TestLoad {
    /// A load from words: `1 A`, or `15 Ω`.
    ///
    /// # Errors
    /// Where it is neither, or nobody has such a load.
    pub fn read(text: &str) -> Result<TestLoad, BadLoad> {
        let load = match (parse::<Ohms>(text), parse::<Amps>(text)) {
            (Ok(ohms), _) => TestLoad::Ohms(ohms.si()),
            (_, Ok(amps)) => TestLoad::Amps(amps.si()),
            (Err(_), Err(_)) => return Err(BadLoad::NoLoad(text.to_owned())),
        };
        let within = match load {
            TestLoad::Amps(amps) => (0.01..=20.0).contains(&amps),
            TestLoad::Ohms(ohms) => (0.5..=2000.0).contains(&ohms),
        };
        within.then_some(load).ok_or_else(|| BadLoad::NoUse(text.to_owned()))
    }

    /// By how many volts the rails fall under it, behind a loop of this resistance.
    pub fn drop(self, supply_volts: f64, loop_ohms: f64) -> f64 {
        match self {
            TestLoad::Amps(amps) => (amps * loop_ohms).min(supply_volts),
            TestLoad::Ohms(ohms) => supply_volts * loop_ohms / (ohms + loop_ohms),
        }
    }
}
