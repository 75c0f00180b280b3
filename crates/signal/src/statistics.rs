//! What a whole trace was like.

use crate::timing::{HalfKind, Picos};

/// The least, the mean and the most of something measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Measured {
    /// How many there were.
    pub count: u64,
    /// The least; 0 where there was none.
    pub least: Picos,
    /// The most; 0 where there was none.
    pub most: Picos,
    sum: u128,
}

impl Measured {
    #[inline]
    pub(crate) fn add(&mut self, value: Picos) {
        self.least = if self.count == 0 { value } else { self.least.min(value) };
        self.most = self.most.max(value);
        self.count += 1;
        self.sum += u128::from(value);
    }

    /// The mean, rounded down; none where there was nothing.
    pub fn mean(&self) -> Option<Picos> {
        let mean = self.sum.checked_div(u128::from(self.count))?;
        Picos::try_from(mean).ok()
    }
}

/// Half-bits, packets and faults of a trace.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Statistics {
    /// Halves whose width is that of a one.
    pub one: Measured,
    /// By how much the halves of ones in packets differed, preambles left out.
    pub difference: Measured,
    /// Halves whose width is that of a zero.
    pub zero: Measured,
    /// Zeros in packets, both halves together.
    pub zero_in_all: Measured,
    /// Halves of neither width.
    pub neither: Measured,
    /// The longest row of whole ones before a zero.
    pub longest_preamble: u32,
    /// Packets read.
    pub packets: u64,
    /// Those among them that were read, though not sent as they should be.
    pub marginal: u64,
    /// Faults.
    pub faults: u64,
    /// Halves between packets that are no ones; allowed there.
    pub gaps: u64,
    /// The time of the first and of the last edge.
    pub first_edge: Option<Picos>,
    /// The time of the last edge.
    pub last_edge: Picos,
}

impl Statistics {
    #[inline]
    pub(crate) fn half(&mut self, kind: HalfKind, width: Picos) {
        match kind {
            HalfKind::One => self.one.add(width),
            HalfKind::Zero => self.zero.add(width),
            HalfKind::Neither => self.neither.add(width),
        }
    }

    /// All halves measured.
    pub fn halves(&self) -> u64 {
        self.one.count + self.zero.count + self.neither.count
    }

    /// From the first to the last edge.
    pub fn length(&self) -> Picos {
        self.first_edge.map_or(0, |first| self.last_edge.saturating_sub(first))
    }
}
