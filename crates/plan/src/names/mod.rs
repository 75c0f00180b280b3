//! Names and what refers to them: ends, terminals and places, resolved to indices.

mod position;
mod resolve;

pub use crate::kind::Kind;
pub use position::Position;

use crate::expansion::Expansion;
use crate::tables::{FrogMaking, Hand, Phases, Plan, RailSide, Wiring};
use handbook::quantity::Metres;
use std::collections::BTreeMap;
use std::ops::{Index, IndexMut, Range};
use std::sync::atomic::AtomicUsize;

/// One end of a track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TrackEnd {
    /// Where its lengths are counted from.
    From,
    /// The other one.
    To,
}

impl TrackEnd {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            TrackEnd::From => "from",
            TrackEnd::To => "to",
        }
    }
    /// The other end.
    pub fn other(self) -> TrackEnd {
        match self {
            TrackEnd::From => TrackEnd::To,
            TrackEnd::To => TrackEnd::From,
        }
    }
}

/// What an end of a track joins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EndOf {
    /// A stop.
    Buffer,
    /// Track that is not on the plan.
    Beyond,
    /// An end of a track.
    Track(usize, TrackEnd),
    /// An end of special trackwork, by its word.
    Work(Kind, usize, String),
}

/// One of the two conductors of a bus, supply or reverser.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Pole {
    A,
    B,
}

impl Pole {
    /// Both, in order.
    pub const ALL: [Pole; 2] = [Pole::A, Pole::B];

    /// Its place in a list of what two poles have: 0 for A, 1 for B. Such a list can be indexed by the pole itself.
    pub fn index(self) -> usize {
        match self {
            Pole::A => 0,
            Pole::B => 1,
        }
    }

    /// The other one.
    pub fn other(self) -> Pole {
        match self {
            Pole::A => Pole::B,
            Pole::B => Pole::A,
        }
    }
    /// "A" or "B".
    pub fn word(self) -> &'static str {
        match self {
            Pole::A => "A",
            Pole::B => "B",
        }
    }
}

impl<T> Index<Pole> for [T; 2] {
    type Output = T;

    fn index(&self, pole: Pole) -> &T {
        &self[pole.index()]
    }
}

impl<T> IndexMut<Pole> for [T; 2] {
    fn index_mut(&mut self, pole: Pole) -> &mut T {
        &mut self[pole.index()]
    }
}

/// A rail of a track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RailOf {
    /// Index of the track.
    pub track: usize,
    /// Which rail.
    pub side: RailSide,
}

/// A place on a track, on one rail or on both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RailPlace {
    /// Index of the track.
    pub track: usize,
    /// Which rail; both where not said.
    pub side: Option<RailSide>,
    /// Where, from its `from` end.
    pub at: Metres,
}

/// A terminal of a contact: whose, which contact (from 0) and which key of its table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contact {
    /// Motor, relay or toggle.
    pub owner: Kind,
    /// Its index.
    pub index: usize,
    /// Which contact, from 0.
    pub contact: usize,
    /// `common`, `through`, `diverging` and so on.
    pub terminal: String,
}

/// Something a wire can end at.
#[derive(Clone, Debug, PartialEq)]
pub enum Terminal {
    /// A bus conductor, at a place where one is said.
    Bus(usize, Pole, Option<Metres>),
    /// A terminal of a supply.
    Supply(usize, Pole),
    /// An output of a reverser.
    Reverser(usize, Pole),
    /// What a detector feeds.
    Detector(usize),
    /// A contact's terminal.
    Contact(Contact),
    /// A frog: what trackwork, its index, and which frog by its word.
    Frog(Kind, usize, String),
    /// A place on one rail.
    Rail(RailOf, Metres),
}

/// Why a reference does not resolve.
#[derive(Clone, Debug, PartialEq)]
pub enum RefError {
    /// It names something that is in the text but could not be read; that has been told already.
    Unread,
    /// It is wrong: the part at fault, what is the matter and what would do.
    Wrong {
        /// Bytes within the reference.
        at: Range<usize>,
        /// What is the matter.
        message: String,
        /// What would do.
        hint: String,
    },
}

/// See `Names::comparisons_left`: some hundred wrong names in a plan of thousands.
const MOST_COMPARISONS: usize = 2_000_000;

/// Names of everything in a plan.
#[derive(Debug, Default)]
pub struct Names {
    by_name: BTreeMap<String, (Kind, usize)>,
    unread: BTreeMap<String, Kind>,
    /// Comparisons that may still be made in looking for near names, so that a plan of nothing but
    /// wrong names does not take for ever.
    comparisons_left: AtomicUsize,
    /// What composite tables were expanded into: the way from places of the plan back to the builder's words.
    pub expansion: Expansion,
    /// Names given more than once: the name, where first, where again.
    pub twice: Vec<(String, Range<usize>, Range<usize>)>,
}

impl Names {
    /// Gathers the names of a plan.
    pub fn from_plan(plan: &Plan) -> Names {
        let mut names = Names { comparisons_left: AtomicUsize::new(MOST_COMPARISONS), ..Names::default() };
        let mut places: BTreeMap<String, Range<usize>> = BTreeMap::new();
        for (kind, index, name) in each_name(plan) {
            if let Some(first) = places.get(&name.value) {
                names.twice.push((name.value.clone(), first.clone(), name.span.clone()));
            } else {
                places.insert(name.value.clone(), name.span.clone());
                names.by_name.insert(name.value.clone(), (kind, index));
            }
        }
        names
    }

    /// Adds names whose tables could not be read, so that references to them stay silent.
    pub(crate) fn with_unread(mut self, declared: &BTreeMap<String, Kind>) -> Names {
        self.unread = declared
            .iter()
            .filter(|(name, _)| !self.by_name.contains_key(*name))
            .map(|(name, kind)| (name.clone(), *kind))
            .collect();
        self
    }

    /// What a name stands for.
    pub fn get(&self, name: &str) -> Option<(Kind, usize)> {
        self.by_name.get(name).copied()
    }
}

/// The ends of a piece of special trackwork.
pub fn ports(plan: &Plan, kind: Kind, index: usize) -> Vec<String> {
    let words: &[&str] = match kind {
        Kind::Turnout => match plan.turnout[index].hand.value {
            Hand::Wye => &["points", "left", "right"],
            _ => &["points", "through", "diverging"],
        },
        Kind::Crossing | Kind::Slip => &["west 1", "east 1", "west 2", "east 2"],
        Kind::ThreeWay => &["points", "left", "middle", "right"],
        Kind::Turntable => {
            return (1..=plan.turntable[index].stall_count()).map(|i| format!("stall {i}")).collect();
        }
        _ => &[],
    };
    words.iter().map(|w| (*w).to_owned()).collect()
}

/// The frogs of a piece of special trackwork that a wire can feed: none where they are plastic.
pub fn frogs(plan: &Plan, kind: Kind, index: usize) -> &'static [&'static str] {
    let live = |made: FrogMaking, words: &'static [&'static str]| match made {
        FrogMaking::Live => words,
        FrogMaking::Insulated => &[],
    };
    match kind {
        Kind::Turnout => match plan.turnout[index].wiring.value {
            Wiring::InsulatedRouted | Wiring::InsulatedBonded => &[],
            _ => &["frog"],
        },
        Kind::Crossing => {
            let crossing = &plan.crossing[index];
            let opposite = crossing.phases.as_ref().is_some_and(|p| p.value == Phases::Opposite);
            let words: &[&str] = if opposite { &["north frog", "south frog"] } else { &["west frog", "east frog"] };
            live(crossing.frogs.value, words)
        }
        Kind::Slip => live(plan.slip[index].frogs.value, &["west frog", "east frog"]),
        Kind::ThreeWay => live(plan.three_way[index].frogs.value, &["left frog", "right frog", "centre frog"]),
        _ => &[],
    }
}

/// The parts of a kind of trackwork that are moved each by itself, by their words; none where it moves as a whole.
pub fn parts(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Slip => &["west", "east"],
        Kind::ThreeWay => &["left", "right"],
        _ => &[],
    }
}

/// Something that a motor can move.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moved {
    /// A turnout, slip, three-way turnout or turntable.
    pub kind: Kind,
    /// Its index.
    pub index: usize,
    /// Which of its parts (see [`parts`]); 0 where it moves as a whole.
    pub part: usize,
}

/// Every name of the plan with its kind and index, tables in the order of the language.
pub fn each_name(plan: &Plan) -> impl Iterator<Item = (Kind, usize, &crate::At<String>)> {
    macro_rules! all {
        ($($kind:ident $list:ident),*) => {
            std::iter::empty()$(.chain(plan.$list.iter().enumerate().map(|(i, t)| (Kind::$kind, i, &t.name))))*
        };
    }
    all!(Train train, Supply supply, Bus bus, Track track, Turnout turnout, Crossing crossing, Slip slip,
        ThreeWay three_way, Turntable turntable, Driver driver, Motor motor, Relay relay, Toggle toggle, Reverser reverser,
        Detector detector, Panel panel, Board board)
}
