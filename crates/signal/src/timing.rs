//! How long the half-bits of the track signal may be: NMRA S-9.1 (2020), table 1.

/// A time or a duration in picoseconds; sixty-four bits hold two hundred days.
pub type Picos = u64;

/// Picoseconds in a microsecond.
pub const MICRO: Picos = 1_000_000;

/// A duration from whole microseconds.
pub const fn micros(micros: u64) -> Picos {
    micros * MICRO
}

/// A duration in words: `58 µs`, `57.25 µs`, at most three decimals.
pub fn show_micros(time: Picos) -> String {
    let (whole, part) = (time / MICRO, time % MICRO / 1_000);
    let text = format!("{whole}.{part:03}");
    format!("{} µs", text.trim_end_matches('0').trim_end_matches('.'))
}

/// A time since the start of a trace in milliseconds, three decimals: `12.345 ms`.
pub fn show_millis(time: Picos) -> String {
    format!("{}.{:03} ms", time / (1_000 * MICRO), time / MICRO % 1_000)
}

/// What half-bits and preambles are held to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The shortest and the longest half of a one.
    pub one: [Picos; 2],
    /// The most by which the halves of a one may differ.
    pub difference: Picos,
    /// The shortest and the longest half of a zero.
    pub zero: [Picos; 2],
    /// The longest a zero may be, both halves together.
    pub zero_in_all: Picos,
    /// The fewest ones of a preamble.
    pub preamble: u32,
}

/// What a command station may send: S-9.1 t1, t1d, t0, t0total; S-9.2 section A for the preamble.
pub const SENT: Limits = Limits {
    one: [micros(55), micros(61)],
    difference: micros(3),
    zero: [micros(95), micros(9_900)],
    zero_in_all: micros(12_000),
    preamble: 14,
};

/// What a decoder must accept, and this one accepts no more: S-9.1 tr1, tr1d, tr0; S-9.2 section A for the preamble.
pub const ACCEPTED: Limits = Limits {
    one: [micros(52), micros(64)],
    difference: micros(6),
    zero: [micros(90), micros(10_000)],
    zero_in_all: micros(12_000),
    preamble: 10,
};

/// What one half-bit can be part of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HalfKind {
    /// Of a one.
    One,
    /// Of a zero.
    Zero,
    /// Of neither.
    Neither,
}

impl Limits {
    /// What a half of this width can be part of.
    #[inline]
    pub fn kind(&self, width: Picos) -> HalfKind {
        if width >= self.one[0] && width <= self.one[1] {
            HalfKind::One
        } else if width >= self.zero[0] && width <= self.zero[1] {
            HalfKind::Zero
        } else {
            HalfKind::Neither
        }
    }

    /// Whether two halves make a one.
    #[inline]
    pub fn one_bit(&self, first: Picos, last: Picos) -> bool {
        self.kind(first) == HalfKind::One && self.kind(last) == HalfKind::One && first.abs_diff(last) <= self.difference
    }

    /// Whether two halves make a zero.
    #[inline]
    pub fn zero_bit(&self, first: Picos, last: Picos) -> bool {
        self.kind(first) == HalfKind::Zero
            && self.kind(last) == HalfKind::Zero
            && first.saturating_add(last) <= self.zero_in_all
    }
}
