//! Plain line and what is cut, joined and fed in it.

use super::Plug;
use crate::TrackEnd;
use crate::reader::TableReader;
use crate::value::{At, List, OneOrMany, Value, choice, record};
use handbook::quantity::{Metres, OhmsPerMetre, Quantity};
use serde_json::{Value as Json, json};
use std::ops::{Index, IndexMut};
use toml::Spanned;
use toml::de::DeValue;

choice! {
    /// What joins two pieces of rail.
    JointKind, "joint" {
        /// Joiner soldered to both rails.
        Soldered = "soldered",
        /// Joiner left unsoldered.
        Sliding = "sliding",
        /// Insulated.
        Gap = "gap",
    }
}
choice! {
    /// One rail of a track, standing at its `from` end and looking along it.
    RailSide, "rail" {
        /// The left rail.
        Left = "left",
        /// The right rail.
        Right = "right",
    }
}
choice! {
    /// An end of a track.
    HeldEnd, "end" {
        /// Where its lengths are counted from.
        From = "from",
        /// The other one.
        To = "to",
    }
}
impl Track {
    /// What one of its ends meets.
    pub fn beyond(&self, end: TrackEnd) -> &At<String> {
        match end {
            TrackEnd::From => &self.from,
            TrackEnd::To => &self.to,
        }
    }

    /// How far one of its ends lies from its `from` end, in metres.
    pub fn place_of(&self, end: TrackEnd) -> f64 {
        match end {
            TrackEnd::From => 0.0,
            TrackEnd::To => self.length.value.si(),
        }
    }

    /// The conductor that one of its rails belongs to, as far as that is said.
    pub fn conductor(&self, side: RailSide) -> Option<&At<String>> {
        match side {
            RailSide::Left => self.left.as_ref(),
            RailSide::Right => self.right.as_ref(),
        }
    }
}

impl RailSide {
    /// Both, in order.
    pub const ALL: [RailSide; 2] = [RailSide::Left, RailSide::Right];

    /// Its place in a list of what two rails have: 0 for the left one, 1 for the right one. Such a list can be indexed by
    /// the side itself.
    pub fn index(self) -> usize {
        match self {
            RailSide::Left => 0,
            RailSide::Right => 1,
        }
    }

    /// The other rail.
    pub fn other(self) -> RailSide {
        match self {
            RailSide::Left => RailSide::Right,
            RailSide::Right => RailSide::Left,
        }
    }
}

impl<T> Index<RailSide> for [T; 2] {
    type Output = T;

    fn index(&self, side: RailSide) -> &T {
        &self[side.index()]
    }
}

impl<T> IndexMut<RailSide> for [T; 2] {
    fn index_mut(&mut self, side: RailSide) -> &mut T {
        &mut self[side.index()]
    }
}

record! {
    /// A piece of plain line between two ends.
    Track, "track" {
        /// What the builder calls it.
        name: At<String>,
        /// What its `from` end joins: `T1.points`, `dock 1.to`, `buffer` or `beyond`.
        from: At<String>,
        /// What its `to` end joins.
        to: At<String>,
        /// Its length.
        length: At<Metres>,
        /// Where it bends; straight elsewhere.
        curves: List<Curve>,
        /// Its rail, where not the layout's.
        rail: Option<At<String>>,
        /// A measured resistance of one rail, which replaces the handbook's.
        rail_resistance: Option<At<OhmsPerMetre>>,
        /// The length rails come in; a joint stands at every such length.
        stock: Option<At<Metres>>,
        /// What its joints are where not said one by one.
        joint: Option<At<JointKind>>,
        /// Joints one by one: `{ at = "0.9 m", kind = "soldered" }`.
        joints: List<Joint>,
        /// Insulated gaps: a place for both rails, or `{ at = "0.09 m", rail = "right" }`.
        gaps: List<RailSpot>,
        /// Sliding joints: a place for both rails, or `{ at = "0.9 m", rail = "left" }`.
        slides: List<RailSpot>,
        /// The end at which its rails are fast to the base, such as soldered to a plate at the edge of a board: `from`, `to`, or
        /// both in a list. They cannot move there, and grow all the way to their other end.
        held: OneOrMany<HeldEnd>,
        /// Feeders: a place for both rails, or `{ at = "0.4 m", rail = "left" }`.
        feeders: List<Feeder>,
        /// The bus conductor the left rail's feeders go to, such as `main bus.A`.
        left: Option<At<String>>,
        /// The bus conductor the right rail's feeders go to.
        right: Option<At<String>>,
        /// Where the track runs along its bus.
        along: Option<At<Along>>,
        /// The wire of its feeders, where not the layout's.
        feeder_wire: Option<At<String>>,
        /// The length of each of its feeders, where not the layout's.
        feeder_length: Option<At<Metres>>,
    }
}
record! {
    /// A curve of a track.
    Curve, "curve" {
        /// Where it starts, from the `from` end.
        from: At<Metres>,
        /// Where it ends.
        to: At<Metres>,
        /// Its radius, to the centre line.
        radius: At<Metres>,
        /// To which side it bends, seen from the `from` end.
        bends: At<RailSide>,
    }
}
record! {
    /// Where a track runs along its bus: its `from` end at one place of the bus, its `to` end at another.
    Along, "along" {
        /// The bus.
        bus: At<String>,
        /// The place on the bus under the `from` end.
        from: At<Metres>,
        /// The place on the bus under the `to` end.
        to: At<Metres>,
    }
}
record! {
    /// A joint at a place.
    Joint, "joint" {
        /// Where, from the `from` end.
        at: At<Metres>,
        /// In which rail; both where not said.
        rail: Option<At<RailSide>>,
        /// What it is; the track's default where not said.
        kind: Option<At<JointKind>>,
        /// How wide it is left on the day it is made, where it is a gap or slides; measured.
        width: Option<At<Metres>>,
    }
}
/// A place on one rail or both: `"0.9 m"` or `{ at = "0.9 m", rail = "left" }`.
#[derive(Clone, Debug)]
pub struct RailSpot {
    /// Where, from the `from` end.
    pub at: At<Metres>,
    /// In which rail; both where not said.
    pub rail: Option<At<RailSide>>,
    /// How wide it is left on the day it is made, where not the layout's width.
    pub width: Option<At<Metres>>,
}
record! {
    /// A place on one rail.
    RailSpotTable, "place" {
        /// Where, from the `from` end.
        at: At<Metres>,
        /// In which rail; both where not said.
        rail: Option<At<RailSide>>,
        /// How wide it is left on the day it is made, where not the layout's width; measured.
        width: Option<At<Metres>>,
    }
}
impl Value for RailSpot {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        if let DeValue::Table(_) = found.get_ref() {
            return RailSpotTable::read(found, reader).map(|t| RailSpot { at: t.at, rail: t.rail, width: t.width });
        }
        let at = At { value: Metres::read(found, reader)?, span: found.span() };
        Some(RailSpot { at, rail: None, width: None })
    }
    fn schema() -> Json {
        json!({ "anyOf": [Metres::schema(), RailSpotTable::schema()] })
    }
}
/// A feeder: `"0.4 m"` for one on each rail, or a table.
#[derive(Clone, Debug)]
pub struct Feeder {
    /// Where, from the `from` end.
    pub at: At<Metres>,
    /// To which rail; both where not said.
    pub rail: Option<At<RailSide>>,
    /// What it goes to, where not the rail's own bus conductor.
    pub to: Option<At<String>>,
    /// Its wire, where not the track's.
    pub wire: Option<At<String>>,
    /// Its length, where not the track's.
    pub length: Option<At<Metres>>,
    /// The plug by which it comes apart.
    pub plug: Option<At<Plug>>,
}
record! {
    /// A feeder in full.
    FeederTable, "feeder" {
        /// Where, from the `from` end.
        at: At<Metres>,
        /// To which rail; both where not said.
        rail: Option<At<RailSide>>,
        /// What it goes to, where not the rail's own bus conductor, such as `main bus.B @ 2 m`.
        to: Option<At<String>>,
        /// Its wire, where not the track's.
        wire: Option<At<String>>,
        /// Its length, where not the track's.
        length: Option<At<Metres>>,
        /// The plug by which it comes apart, where not its board's: `true`, or `{ rating = "3 A" }`.
        plug: Option<At<Plug>>,
    }
}
impl Value for Feeder {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        if let DeValue::Table(_) = found.get_ref() {
            let t = FeederTable::read(found, reader)?;
            return Some(Feeder { at: t.at, rail: t.rail, to: t.to, wire: t.wire, length: t.length, plug: t.plug });
        }
        let at = At { value: Metres::read(found, reader)?, span: found.span() };
        Some(Feeder { at, rail: None, to: None, wire: None, length: None, plug: None })
    }
    fn schema() -> Json {
        json!({ "anyOf": [Metres::schema(), FeederTable::schema()] })
    }
}
