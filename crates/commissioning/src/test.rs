//! A test as data: where to put the probes, what is read when all is well, what it proves, what mistakes would read.

use circuit::{EdgeId, NodeId};
use handbook::Spread;
use schedule::items::ItemEnd;
use std::fmt;

/// When a test is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TestKind {
    /// With every supply unplugged and the track empty.
    Cold,
    /// With power on the track.
    Hot,
}

/// How a reading is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum How {
    /// Ohmmeter: nothing may join the two places.
    Open,
    /// Ohmmeter: the two places are joined.
    Joined,
    /// One ampere from a bench supply, clipped on outside the meter's probes; the meter reads millivolts between them.
    Millivolts,
    /// Alternating volts between the two places.
    Volts,
    /// By how many volts the reading falls when the test load is put on.
    Drop,
    /// A coin across the rails: the breaker must open; the reading is the current, for who has a clamp meter.
    Coin,
    /// Something is watched: it happens or it does not.
    Watch,
}

impl How {
    /// The unit of its readings.
    pub fn unit(self) -> &'static str {
        match self {
            How::Open | How::Joined => "Ω",
            How::Millivolts => "mV",
            How::Volts | How::Drop => "V",
            How::Coin => "A",
            How::Watch => "",
        }
    }
}

/// What a test is about, by which sheets are parted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topic {
    /// The wiring, without power.
    Wiring,
    /// Volts without and with the load.
    Volts,
    /// The breaker opens on a coin.
    Coin,
    /// The phase across gaps.
    Phase,
    /// A storage track on a way.
    Storage {
        /// The way, by its index in the list.
        way: usize,
        /// The track.
        track: usize,
        /// Whether it is due to be live.
        live: bool,
    },
    /// A train through a reversing section.
    Reversing,
    /// A motor goes where it is sent.
    Motor,
}

/// What is wrong with some pieces of which any may have it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wrong {
    /// One of them is open.
    Open,
    /// One of them has an ohm too much.
    Resistive,
    /// It is exchanged with the one beside it.
    Exchanged,
    /// It is a gap that was not cut, or is bridged.
    Bridged,
}

/// Where a probe goes.
#[derive(Clone, Debug, PartialEq)]
pub struct ProbePoint {
    /// In the builder's words: `dock 1 left rail at 400 mm`.
    pub words: String,
    /// The node of the circuit.
    pub node: NodeId,
}

/// Something of the layout that a test proves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Element {
    /// A joint, feeder, tap, wire, contact, blade or run of a bus.
    Edge(EdgeId),
    /// A gap, by its nodes before and behind it.
    Gap(NodeId, NodeId),
}

/// What a mistake would read.
#[derive(Clone, Debug, PartialEq)]
pub struct WouldRead {
    /// The mistake in words: `F-3 left off`.
    pub what: String,
    /// What the meter then reads, in the test's unit; infinite where it reads open.
    pub reading: f64,
    /// Where it can be made at any of several pieces: what it is, and these pieces in words.
    pub in_any_of: Option<(Wrong, String)>,
    /// What it may be where all that reads so is made at pieces that the test looks at; empty where anything else reads so too.
    pub at_own: Vec<Wrong>,
}

/// One test.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Its name, made from the plan's own words and alike as long as these are: readings are kept by it.
    pub name: String,
    /// Its number, the same on every paper and in every list, and kept over changes of the plan.
    pub number: usize,
    /// When it is made.
    pub kind: TestKind,
    /// What it is about.
    pub topic: Topic,
    /// What is looked at, in words with numbers: `F-3, tap on main bus.A`.
    pub about: String,
    /// The two places; none where something is watched.
    pub between: Option<[ProbePoint; 2]>,
    /// What is looked at where something is watched, by the things of the plan.
    pub on: Vec<ItemEnd>,
    /// Position of every control while it is made.
    pub setting: Vec<Option<u8>>,
    /// Those positions that are not the first, in words.
    pub set: Vec<(String, String)>,
    /// How the reading is taken.
    pub how: How,
    /// The instrument's range, or what is watched for.
    pub range: String,
    /// What is read when all is well, from the least to the most; infinite where the meter reads open. None where
    /// something is watched.
    pub expected: Option<Spread<f64>>,
    /// From where to where a reading is well.
    pub passes: [f64; 2],
    /// The pieces it looks at, one behind the other; none where it looks at no chain of pieces.
    pub chain: Vec<EdgeId>,
    /// What it proves.
    pub proves: Vec<Element>,
    /// What mistakes would read here, those at this very place first.
    pub mistakes: Vec<WouldRead>,
}

impl Test {
    /// Whether a reading is well.
    pub fn is_well(&self, reading: f64) -> bool {
        self.passes[0] <= reading && reading <= self.passes[1]
    }

    /// What is expected, in words: `11.8 mV`, `open`, `joined`.
    pub fn expected_words(&self) -> String {
        match (self.how, self.expected) {
            (How::Watch, _) | (_, None) => self.range.clone(),
            (How::Coin, Some(_)) => "it opens".to_owned(),
            (_, Some(expected)) => shown_with_unit(self.how, expected.typical),
        }
    }

    /// From where to where a reading is well, in words: `8.1 to 14.2 mV`.
    pub fn passes_words(&self) -> String {
        let unit = self.how.unit();
        match (self.how, self.passes) {
            (How::Watch | How::Coin, _) => "yes".to_owned(),
            (How::Open, _) => "over 100 kΩ".to_owned(),
            (_, [from, to]) if to.is_infinite() => format!("over {} {unit}", shown(self.how, from)),
            (_, [from, to]) if from <= 0.0 => format!("up to {} {unit}", shown(self.how, to)),
            (_, [from, to]) => format!("{} to {} {unit}", shown(self.how, from), shown(self.how, to)),
        }
    }
}

/// A reading as a meter of 3½ digits shows it, in the unit of how it was taken.
pub fn shown(how: How, reading: f64) -> String {
    if reading.is_infinite() {
        return "open".to_owned();
    }
    match how {
        How::Millivolts if reading < 199.95 => format!("{reading:.1}"),
        How::Millivolts | How::Watch => format!("{reading:.0}"),
        How::Open | How::Joined | How::Coin => format!("{reading:.1}"),
        How::Volts | How::Drop => format!("{reading:.2}"),
    }
}

/// The same with its unit; `open` has none.
pub fn shown_with_unit(how: How, reading: f64) -> String {
    let number = shown(how, reading);
    if reading.is_infinite() { number } else { format!("{number} {}", how.unit()) }
}

impl fmt::Display for TestKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            TestKind::Cold => "cold",
            TestKind::Hot => "hot",
        })
    }
}
