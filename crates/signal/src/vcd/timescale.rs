//! What a step of a dump's clock is worth.

use crate::timing::Picos;
use std::fmt;

/// What the number of a time is multiplied by: 1, 10 or 100 of a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Timescale {
    number: u8,
    unit: TimeUnit,
}

/// A unit of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimeUnit {
    /// Seconds.
    S,
    /// Milliseconds.
    Ms,
    /// Microseconds.
    Us,
    /// Nanoseconds.
    Ns,
    /// Picoseconds.
    Ps,
    /// Femtoseconds.
    Fs,
}

impl TimeUnit {
    /// All units, longest first.
    pub const ALL: [TimeUnit; 6] = [TimeUnit::S, TimeUnit::Ms, TimeUnit::Us, TimeUnit::Ns, TimeUnit::Ps, TimeUnit::Fs];

    /// As a dump writes it.
    pub fn word(self) -> &'static str {
        match self {
            TimeUnit::S => "s",
            TimeUnit::Ms => "ms",
            TimeUnit::Us => "us",
            TimeUnit::Ns => "ns",
            TimeUnit::Ps => "ps",
            TimeUnit::Fs => "fs",
        }
    }

    fn femtos(self) -> u64 {
        match self {
            TimeUnit::S => 1_000_000_000_000_000,
            TimeUnit::Ms => 1_000_000_000_000,
            TimeUnit::Us => 1_000_000_000,
            TimeUnit::Ns => 1_000_000,
            TimeUnit::Ps => 1_000,
            TimeUnit::Fs => 1,
        }
    }
}

impl Timescale {
    /// A tenth of a microsecond, fine enough for every limit of the track signal.
    pub const TENTH_MICRO: Timescale = Timescale { number: 100, unit: TimeUnit::Ns };

    /// A timescale; none where the number is not 1, 10 or 100.
    pub fn new(number: u8, unit: TimeUnit) -> Option<Timescale> {
        matches!(number, 1 | 10 | 100).then_some(Timescale { number, unit })
    }

    /// Reads `1 us`, `100ns`, `10 ps`.
    pub fn parse(text: &str) -> Option<Timescale> {
        let text = text.trim();
        let digits = text.bytes().take_while(u8::is_ascii_digit).count();
        let (number, unit) = text.split_at_checked(digits)?;
        let unit = TimeUnit::ALL.into_iter().find(|u| u.word() == unit.trim())?;
        Timescale::new(number.parse().ok()?, unit)
    }

    /// Femtoseconds of a step, a power of ten.
    fn step(self) -> u64 {
        u64::from(self.number) * self.unit.femtos()
    }

    /// A time of the dump in picoseconds, rounded down; none beyond what sixty-four bits hold.
    #[inline]
    pub fn picos(self, ticks: u64) -> Option<Picos> {
        match self.step() {
            step @ 1_000.. => ticks.checked_mul(step / 1_000),
            step => Some(ticks / (1_000 / step)),
        }
    }

    /// A time as the dump counts it, rounded down.
    pub fn ticks(self, time: Picos) -> u64 {
        match self.step() {
            step @ 1_000.. => time / (step / 1_000),
            step => time.saturating_mul(1_000 / step),
        }
    }
}

impl fmt::Display for Timescale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.number, self.unit.word())
    }
}
