//! Accessory addresses: the eleven bits of a packet are the truth, every number on a handset or in a booklet is a view of it.

use std::fmt;

/// How many values eleven bits have.
const VALUES: u16 = 2048;

/// An accessory address as a packet carries it: eleven bits, A10 to A0, 0 to 2047.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RawAddress(u16);

/// How the numbers on a handset or in a plan count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counting {
    /// 1 is the first pair of board 1: the packet carries the number plus 3. Numbers from 2045 on wrap round to board 0.
    Linear,
    /// 1 is the first pair of board 0: the packet carries the number less 1. What others call 1 is 5 here.
    FourOff,
}

impl Counting {
    /// Both ways to count.
    pub const ALL: [Counting; 2] = [Counting::Linear, Counting::FourOff];
    /// The lowest and the highest number of either.
    pub const NUMBERS: std::ops::RangeInclusive<u32> = 1..=VALUES as u32;

    /// Its word, as a plan writes it.
    pub fn word(self) -> &'static str {
        match self {
            Counting::Linear => "linear",
            Counting::FourOff => "four-off",
        }
    }
}

/// What a value stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ValueMeaning {
    /// One pair of outputs of one decoder.
    Ordinary,
    /// Board 511 (linear 2041 to 2044): every accessory decoder obeys, whatever its own address (S-9.2.1, broadcast
    /// command). The last of the four, 2047, switched off at output 0, is the emergency stop of accessories.
    Broadcast,
    /// Board 0 (linear 2045 to 2048, four-off 1 to 4): many decoders cannot be given it.
    BoardZero,
}

impl RawAddress {
    /// The value that the accessory emergency stop carries, and broadcasts to extended decoders (S-9.2.1).
    pub const EMERGENCY_STOP: RawAddress = RawAddress(VALUES - 1);

    /// An address from the packet's eleven bits; none above 2047.
    pub fn new(bits: u16) -> Option<RawAddress> {
        (bits < VALUES).then_some(RawAddress(bits))
    }

    /// An address from a number of a handset or a plan; none outside 1 to 2048.
    pub fn from_number(number: u32, counting: Counting) -> Option<RawAddress> {
        if !Counting::NUMBERS.contains(&number) {
            return None;
        }
        let number = u16::try_from(number).ok()?;
        Some(RawAddress(match counting {
            Counting::Linear => (number + 3) % VALUES,
            Counting::FourOff => number - 1,
        }))
    }

    /// An address from a board, 0 to 511, and one of its pairs of outputs, 1 to 4.
    pub fn from_board(board: u16, pair: u16) -> Option<RawAddress> {
        (board < VALUES / 4 && (1..=4).contains(&pair)).then(|| RawAddress(board * 4 + pair - 1))
    }

    /// The eleven bits.
    pub fn bits(self) -> u16 {
        self.0
    }

    /// Its number in a way to count, 1 to 2048.
    pub fn number(self, counting: Counting) -> u16 {
        match counting {
            // The first user address is packet value 4 (S-9.2.1); below it the count wraps round.
            Counting::Linear => (self.0 + VALUES - 4) % VALUES + 1,
            Counting::FourOff => self.0 + 1,
        }
    }

    /// The board, A10 to A2, 0 to 511.
    pub fn board(self) -> u16 {
        self.0 >> 2
    }

    /// The pair of outputs of its board, A1 and A0, as boards are labelled: 1 to 4. Many labels call it an output.
    pub fn pair(self) -> u16 {
        (self.0 & 3) + 1
    }

    /// What the value stands for.
    pub fn standing(self) -> ValueMeaning {
        match self.board() {
            0 => ValueMeaning::BoardZero,
            511 => ValueMeaning::Broadcast,
            _ => ValueMeaning::Ordinary,
        }
    }
}

impl fmt::Display for RawAddress {
    /// All of its views, in words.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (linear, off) = (self.number(Counting::Linear), self.number(Counting::FourOff));
        write!(
            f,
            "address {linear} (four-off {off}, board {} pair {}, in the packet {})",
            self.board(),
            self.pair(),
            self.0
        )
    }
}
