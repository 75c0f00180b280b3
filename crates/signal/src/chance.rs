//! Numbers drawn from a seed: the same seed, the same numbers, on every machine.

/// A source of drawn numbers. Each is a hash of a counter, so that no state is worth hiding and none can be worn out
/// (SplitMix64, published 2014).
#[derive(Clone, Debug)]
pub struct Chance {
    counter: u64,
}

impl Chance {
    /// A source that begins at a seed.
    pub fn new(seed: u64) -> Chance {
        Chance { counter: seed }
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.counter = self.counter.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.counter ^ (self.counter >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A whole number from 0 up to and including `most`, as even as 64 bits allow.
    pub fn up_to(&mut self, most: u64) -> u64 {
        let wide = u128::from(self.bits()) * (u128::from(most) + 1);
        u64::try_from(wide >> 64).unwrap_or(most)
    }

    /// A whole number from `-most` to `most`.
    pub fn around(&mut self, most: u64) -> i64 {
        let most = most.min(i64::MAX as u64 / 2);
        self.up_to(2 * most) as i64 - most as i64
    }
}
