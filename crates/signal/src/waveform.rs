//! The track signal of packets, half-bit by half-bit.

use crate::chance::Chance;
use crate::timing::{ACCEPTED, Limits, Picos, SENT, micros};

/// How a signal is timed, and how far it strays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Timing {
    /// Half of a one.
    pub one: Picos,
    /// Half of a zero.
    pub zero: Picos,
    /// Ones before each packet.
    pub preamble: u32,
    /// How far each half strays by itself, either way.
    pub jitter: Picos,
    /// How far both halves of a bit stray together, either way.
    pub wander: Picos,
    /// How much longer the first half of every bit is than the last; shorter where negative.
    pub uneven: i64,
    /// Zeros that are stretched, as a direct-current engine is driven by.
    pub stretched: Option<Stretched>,
    /// The grain of all durations: each is rounded down to a multiple of it. 1 leaves them as they are.
    pub grain: Picos,
}

/// Zeros that are stretched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretched {
    /// One zero of so many, on average.
    pub one_of: u32,
    /// The longest a half becomes.
    pub longest: Picos,
    /// The longest a bit becomes, both halves together.
    pub in_all: Picos,
}

impl Timing {
    /// The nominal signal of S-9.1: halves of 58 and 100 µs, a preamble of 14 ones, nothing astray.
    pub const NOMINAL: Timing = Timing {
        one: micros(58),
        zero: micros(100),
        preamble: SENT.preamble,
        jitter: 0,
        wander: 0,
        uneven: 0,
        stretched: None,
        grain: 1,
    };

    /// A signal that strays over all that a command station may send, stretched zeros too.
    pub const ALL_THAT_MAY_BE_SENT: Timing = Timing::straying(SENT, SENT.preamble);

    /// A signal that strays over all that a decoder must accept, with the shortest preamble it may ask for, 12 ones.
    pub const ALL_THAT_IS_ACCEPTED: Timing = Timing::straying(ACCEPTED, 12);

    /// Halves of a bit differ by up to twice the jitter, and lie within jitter and wander of the middle.
    const fn straying(limits: Limits, preamble: u32) -> Timing {
        let reach = limits.one[1] - micros(58);
        let jitter = limits.difference / 2;
        let stretched = Stretched { one_of: 7, longest: limits.zero[1], in_all: limits.zero_in_all };
        Timing {
            zero: limits.zero[0] + reach,
            preamble,
            jitter,
            wander: reach - jitter,
            stretched: Some(stretched),
            ..Timing::NOMINAL
        }
    }

    /// How long a packet takes with nothing astray, preamble to end bit.
    pub fn duration(&self, bytes: &[u8]) -> Picos {
        let halves = bits(self.preamble, bytes).map(|one| if one { self.one } else { self.zero });
        halves.fold(0, |all: Picos, half| all.saturating_add(half.saturating_mul(2)))
    }

    /// The two halves of a bit.
    fn halves(&self, one: bool, chance: &mut Chance) -> [Picos; 2] {
        let middle = if one { self.one } else { self.zero };
        let together = drawn(self.wander, chance);
        let mut halves = [self.uneven / 2 + self.uneven % 2, -(self.uneven / 2)].map(|uneven| {
            let astray = together + drawn(self.jitter, chance) + uneven;
            middle.saturating_add_signed(astray)
        });
        if let Some(stretched) = self.stretched
            && !one
            && chance.up_to(u64::from(stretched.one_of.max(1)) - 1) == 0
        {
            let which = usize::from(chance.up_to(1) == 1);
            let room = stretched.longest.min(stretched.in_all.saturating_sub(halves[1 - which]));
            let more = room.saturating_sub(halves[which]);
            halves[which] += chance.up_to(more);
        }
        halves.map(|half| half - half % self.grain.max(1))
    }
}

/// A number from `-most` to `most`; nothing is drawn where there is nothing to stray.
fn drawn(most: Picos, chance: &mut Chance) -> i64 {
    if most == 0 { 0 } else { chance.around(most) }
}

/// The bits of a packet in the order they are sent: preamble, then each byte behind a zero, then a one (S-9.2).
pub fn bits(preamble: u32, bytes: &[u8]) -> impl Iterator<Item = bool> {
    let ones = std::iter::repeat_n(true, preamble as usize);
    let body =
        bytes.iter().flat_map(|byte| std::iter::once(false).chain((0..8).rev().map(move |i| byte >> i & 1 == 1)));
    ones.chain(body).chain(std::iter::once(true))
}

/// The durations of the half-bits of packets sent one after another, drawn from a seed.
pub fn halves<'p>(packets: impl Iterator<Item = &'p [u8]>, timing: Timing, seed: u64) -> impl Iterator<Item = Picos> {
    let mut chance = Chance::new(seed);
    packets.flat_map(move |bytes| bits(timing.preamble, bytes)).flat_map(move |one| timing.halves(one, &mut chance))
}

/// The times of the edges that bound durations: one more than there are durations, the first at `start`.
pub fn edges(start: Picos, halves: impl Iterator<Item = Picos>) -> impl Iterator<Item = Picos> {
    let mut now = start;
    std::iter::once(start).chain(halves.map(move |half| {
        now = now.saturating_add(half);
        now
    }))
}
