//! Random plans, right by construction, and the same with one fault planted in each.
//!
//! A plan grows outwards from its roots; all over it, seen outwards, A is on the left. Every frog's contact and
//! gaps follow from which way its turnout faces and to which side it diverges. Tracks are written in either
//! direction at random, so that the joining of ends is tried in all ways.

mod boards;
mod fault;
mod grow;
mod text;

pub use fault::PlantedFault;

use std::collections::BTreeSet;

/// A random plan.
#[derive(Clone, Debug)]
pub struct Sample {
    /// Its text.
    pub text: String,
    /// The turnouts whose frogs are joined to nothing: their dead lengths are no fault.
    pub unfed: Vec<String>,
    /// Whether a train can go round a circle on it.
    pub circle: bool,
    /// What it is made of: wiring types, and the words for larger parts.
    pub parts: BTreeSet<&'static str>,
}

/// A plan with at most so many things that have positions, and with this fault in it.
///
/// Not every plan has a place for every fault; then the next one that follows from the seed is taken.
pub fn sample(seed: u64, most_controls: usize, fault: PlantedFault) -> Sample {
    let mut random = Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ fault as u64);
    loop {
        let mut model = grow::model(&mut random, most_controls, fault);
        if fault::plant(&mut model, &mut random, fault) {
            boards::part(&mut model, &mut random);
            return Sample {
                text: text::render(&model),
                unfed: model.turnouts.iter().filter(|t| t.wiring == "live-unfed").map(|t| t.name.clone()).collect(),
                circle: model.circle,
                parts: model.parts,
            };
        }
    }
}

/// A stream of random numbers (splitmix64); the same for the same seed on every machine.
pub(crate) struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `n`, which must not be 0.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    /// True once in `n` times.
    pub(crate) fn once_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }

    pub(crate) fn pick<'l, T>(&mut self, list: &'l [T]) -> Option<&'l T> {
        if list.is_empty() { None } else { list.get(self.below(list.len())) }
    }
}

/// A rail, seen outwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum GrownSide {
    Left,
    Right,
}

impl GrownSide {
    pub(crate) fn other(self) -> GrownSide {
        if self == GrownSide::Left { GrownSide::Right } else { GrownSide::Left }
    }

    pub(crate) fn word(self) -> &'static str {
        if self == GrownSide::Left { "left" } else { "right" }
    }

    /// Its pole, all over the plan: A on the left, seen outwards.
    pub(crate) fn pole(self) -> char {
        if self == GrownSide::Left { 'A' } else { 'B' }
    }
}

pub(crate) const SIDES: [GrownSide; 2] = [GrownSide::Left, GrownSide::Right];

/// Why a gap is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum GrownWhy {
    /// It parts a live frog that is fed from what is fed otherwise.
    Frog,
    /// It parts a frog that is joined to nothing.
    UnfedFrog,
    /// It parts the switched rail of a storage track.
    Storage,
    /// It ends a section that is switched as a whole, in a rail that is always fed on the other side.
    Section,
    /// It parts two districts, or ends a section in a rail behind a frog.
    Boundary,
}

#[derive(Clone, Debug)]
pub(crate) struct GrownGap {
    /// Metres from the inner end.
    pub(crate) at: f64,
    pub(crate) side: GrownSide,
    pub(crate) why: GrownWhy,
}

#[derive(Clone, Debug)]
pub(crate) struct GrownFeeder {
    pub(crate) at: f64,
    pub(crate) side: GrownSide,
    /// The conductor, where it is not the rail's own.
    pub(crate) to: Option<String>,
}

#[derive(Clone, Debug)]
pub(crate) struct GrownTrack {
    pub(crate) name: String,
    /// Metres.
    pub(crate) length: f64,
    /// Inner and outer end.
    pub(crate) ends: [String; 2],
    /// Whether it is written from its outer end to its inner one.
    pub(crate) flipped: bool,
    pub(crate) bus: usize,
    /// Whether its rails belong to conductors for good.
    pub(crate) fixed: bool,
    pub(crate) gaps: Vec<GrownGap>,
    pub(crate) feeders: Vec<GrownFeeder>,
    /// The rail that only contacts feed, on a storage track.
    pub(crate) switched: Option<GrownSide>,
    /// Whether nothing goes on from its outer end.
    pub(crate) leaf: bool,
}

pub(crate) const LENGTH: f64 = 2.0;
/// From the end of a track to the gap next to it.
pub(crate) const NEAR_END: f64 = 0.08;

#[derive(Clone, Debug)]
pub(crate) struct GrownTurnout {
    pub(crate) name: String,
    pub(crate) hand: &'static str,
    pub(crate) wiring: &'static str,
    /// Whether its points look outwards.
    pub(crate) reversed: bool,
    pub(crate) bus: usize,
    /// Whether the rails behind its frog are both fed by feeders, on either leg.
    pub(crate) legs_fed: bool,
}

impl GrownTurnout {
    /// The side to which it diverges, seen outwards from the lead. The near side of a wye turnout is its right.
    pub(crate) fn near(&self) -> GrownSide {
        let from_points = if self.hand == "left" { GrownSide::Left } else { GrownSide::Right };
        if self.reversed { from_points.other() } else { from_points }
    }

    pub(crate) fn positions(&self) -> [&'static str; 2] {
        if self.hand == "wye" { ["left", "right"] } else { ["through", "diverging"] }
    }

    pub(crate) fn leg(&self, leg: usize) -> String {
        format!("{}.{}", self.name, self.positions()[leg])
    }

    /// The rail behind the frog on a leg (0 through, 1 diverging), seen outwards from the lead.
    pub(crate) fn frog_rail(&self, leg: usize) -> GrownSide {
        if leg == 0 { self.near() } else { self.near().other() }
    }
}

#[derive(Clone, Debug, Default)]
pub(crate) struct GrownContact {
    pub(crate) common: Vec<String>,
    /// What the first and the second position join it to.
    pub(crate) positions: [Option<String>; 2],
    /// Whether it feeds a frog.
    pub(crate) frog: bool,
}

/// What is thrown together.
#[derive(Clone, Debug)]
pub(crate) struct Motor {
    pub(crate) turnouts: Vec<usize>,
    pub(crate) contacts: Vec<GrownContact>,
}

#[derive(Clone, Debug, Default)]
pub(crate) struct Model {
    pub(crate) tracks: Vec<GrownTrack>,
    pub(crate) turnouts: Vec<GrownTurnout>,
    pub(crate) motors: Vec<Motor>,
    /// For each bus the breaker it hangs behind, if that is not the booster itself; and the booster.
    pub(crate) buses: Vec<Bus>,
    pub(crate) storage: Option<&'static str>,
    pub(crate) boards: Vec<GrownBoard>,
    pub(crate) circle: bool,
    pub(crate) parts: BTreeSet<&'static str>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Bus {
    /// Straight on the first booster.
    Plain,
    /// Behind a breaker of its own, behind the first booster.
    SubBreaker,
    /// On a booster of its own.
    Booster,
    /// From the first bus, with a plug.
    Branch,
}

/// A board that comes apart from the rest.
#[derive(Clone, Debug, Default)]
pub(crate) struct GrownBoard {
    /// The tracks on it.
    pub(crate) tracks: Vec<usize>,
    /// The bus on it, if it has one of its own.
    pub(crate) bus: Option<usize>,
    /// Whether the plan says what a contact of its plugs bears.
    pub(crate) rated: bool,
}

pub(crate) fn bus_name(bus: usize) -> String {
    format!("bus {bus}")
}

pub(crate) fn conductor(bus: usize, pole: char) -> String {
    format!("{}.{pole}", bus_name(bus))
}
