//! Turnouts and the other special trackwork.

use super::JointKind;
use super::boards::Plug;
use crate::reader::TableReader;
use crate::value::{At, List, Value, choice, record};
use handbook::quantity::{Metres, Radians};
use serde_json::{Value as Json, json};
use toml::Spanned;
use toml::de::DeValue;

choice! {
    /// To which side a turnout diverges, seen from its points.
    Hand, "hand" {
        /// The diverging track leaves to the left.
        Left = "left",
        /// The diverging track leaves to the right.
        Right = "right",
        /// Both tracks curve away: a wye turnout, with ends `left` and `right`.
        Wye = "wye",
    }
}
choice! {
    /// How the rails of a turnout are wired among themselves.
    Wiring, "wiring type" {
        /// Plastic frog; each closure rail is fed through its own blade.
        InsulatedRouted = "insulated-routed",
        /// Plastic frog; each closure rail is bonded to its stock rail.
        InsulatedBonded = "insulated-bonded",
        /// As insulated-bonded, with a metal frog tip that is a conductor of its own.
        MetalTip = "metal-tip",
        /// Blades, closure rails and frog are one conductor, fed by the blade that touches.
        LiveRouted = "live-routed",
        /// As live-routed, helped by a change-over contact.
        LiveAssisted = "live-assisted",
        /// Blades bonded to their stock rails; the frog, cut off by gaps, is fed by a contact.
        LiveBonded = "live-bonded",
        /// As live-bonded, with a frog that is fed by nothing.
        LiveUnfed = "live-unfed",
    }
}
record! {
    /// A simple turnout, or a wye turnout.
    Turnout, "turnout" {
        /// What the builder calls it.
        name: At<String>,
        /// Its frog number: half the cotangent of half the angle.
        number: Option<At<f64>>,
        /// Its frog the continental way, as 1 in so many: the tangent of the angle is one over this. In place of `number`.
        one_in: Option<At<f64>>,
        /// Its frog angle, measured; overrides the number.
        angle: Option<At<Radians>>,
        /// To which side it diverges.
        hand: At<Hand>,
        /// How it is wired among its own rails.
        wiring: At<Wiring>,
        /// Its rail, where not the layout's.
        rail: Option<At<String>>,
        /// From the points to the frog, measured.
        lead: Option<At<Metres>>,
        /// From the frog to its far ends, measured.
        tail: Option<At<Metres>>,
        /// How far its throwbar moves from one position to the other, measured.
        throw: Option<At<Metres>>,
        /// Of a plastic frog: how far behind its point the two metal rails begin, measured.
        insulation: Option<At<Metres>>,
        /// What joins it to the tracks at its ends, where not the layout's kind.
        joint: Option<At<JointKind>>,
    }
}
choice! {
    /// How the frogs of a crossing or slip are made.
    FrogMaking, "frog making" {
        /// Plastic frogs: the routes are independent.
        Insulated = "insulated",
        /// Metal frogs that must change phase with the route.
        Live = "live",
    }
}
choice! {
    /// How the phases of two tracks lie that cross.
    Phases, "phases" {
        /// Seen in one direction, the left rails of both are on one pole.
        Same = "same",
        /// Seen in one direction, the left rail of one is on the pole of the other's right rail.
        Opposite = "opposite",
    }
}
record! {
    /// Which route of a crossing each position of what it follows sets: 1 or 2.
    CrossingRoutes, "routes" {
        /// The route that `through` sets.
        through: Option<At<u32>>,
        /// The route that `diverging` sets.
        diverging: Option<At<u32>>,
        /// The route that a wye turnout's `left` sets.
        left: Option<At<u32>>,
        /// The route that a wye turnout's `right` sets.
        right: Option<At<u32>>,
        /// The route that is set while a toggle is off.
        off: Option<At<u32>>,
        /// The route that is set while a toggle is on.
        on: Option<At<u32>>,
    }
}
record! {
    /// Which leg each position of the blades at one end picks, at the other end: 1 or 2.
    Legs, "legs" {
        /// The leg that `through` picks.
        through: Option<At<u32>>,
        /// The leg that `diverging` picks.
        diverging: Option<At<u32>>,
    }
}
record! {
    /// Which legs the blades of a slip pick.
    SlipRoutes, "routes" {
        /// What the blades at the west end pick at the east end.
        west: Option<At<Legs>>,
        /// What the blades at the east end pick at the west end.
        east: Option<At<Legs>>,
    }
}
record! {
    /// A crossing of two tracks on the level, with ends `west 1`, `east 1`, `west 2` and `east 2`.
    Crossing, "crossing" {
        /// What the builder calls it.
        name: At<String>,
        /// Its frog number.
        number: Option<At<f64>>,
        /// Its crossing angle, measured.
        angle: Option<At<Radians>>,
        /// How its frogs are made.
        frogs: At<FrogMaking>,
        /// How the phases of its two tracks lie, seen from west to east; the same where not said.
        phases: Option<At<Phases>>,
        /// The motor, relay or toggle that says which route is set: its first position (`through`, `off`) route 1, its
        /// second route 2. A crossing with live frogs needs it.
        follows: Option<At<String>>,
        /// Which route each position sets, where it is not the first one that sets route 1: `{ through = 2, diverging = 1 }`.
        routes: Option<At<CrossingRoutes>>,
        /// Of plastic frogs: how far from the point of each its two metal rails begin, measured.
        insulation: Option<At<Metres>>,
        /// Its rail, where not the layout's.
        rail: Option<At<String>>,
    }
}
choice! {
    /// How many of a slip's two curves are there.
    SlipKind, "slip kind" {
        /// One curve.
        Single = "single",
        /// Both curves.
        Double = "double",
    }
}
record! {
    /// A slip: a crossing with one or two curves between its tracks. The curve of a single one joins `west 1` with
    /// `east 2`. Motors move its blades: `S1.west`, `S1.east`.
    Slip, "slip" {
        /// What the builder calls it.
        name: At<String>,
        /// Single or double.
        kind: At<SlipKind>,
        /// Its frog number.
        number: Option<At<f64>>,
        /// How its frogs are made.
        frogs: At<FrogMaking>,
        /// Which leg each position of its motors picks, where `through` is not leg 1: `{ west = { through = 2, diverging = 1 } }`.
        routes: Option<At<SlipRoutes>>,
        /// Of plastic frogs: how far from the point of each its two metal rails begin, measured.
        insulation: Option<At<Metres>>,
        /// Its rail, where not the layout's.
        rail: Option<At<String>>,
    }
}
record! {
    /// A three-way turnout, with ends `points`, `left`, `middle` and `right`. Motors move its blades: `W1.left`,
    /// `W1.right`.
    ThreeWay, "three_way" {
        /// What the builder calls it.
        name: At<String>,
        /// Its frog number.
        number: Option<At<f64>>,
        /// How its frogs are made.
        frogs: At<FrogMaking>,
        /// Its rail, where not the layout's.
        rail: Option<At<String>>,
    }
}
choice! {
    /// What turns.
    TurntableKind, "turntable kind" {
        /// Goes round, and can stand before a stall either way.
        Turntable = "turntable",
        /// Swings, and never turns round.
        SectorPlate = "sector plate",
    }
}
record! {
    /// A turntable or sector plate, with ends `stall 1`, `stall 2` and so on.
    Turntable, "turntable" {
        /// What the builder calls it.
        name: At<String>,
        /// The length of its deck.
        length: At<Metres>,
        /// How many tracks end at it.
        stalls: At<u32>,
        /// Which of the two it is; a turntable where not said.
        kind: Option<At<TurntableKind>>,
        /// How many tracks lie side by side on the deck of a sector plate; one where not said. It swings until one of them meets stall 1;
        /// then the next one on the same side meets stall 2, if there is one, and so on.
        tracks: Option<At<u32>>,
        /// Stalls that lie opposite each other, so that the deck joins them and a train runs straight through: `[[1, 4], [2, 5]]`. A
        /// sector plate may join one stall, where its tracks come together, with several.
        opposite: List<StallPair>,
        /// What feeds its deck's left rail, seen from the stall with the deck not turned; where neither rail is said, the
        /// deck has its power from the stall it stands before.
        left: Option<At<String>>,
        /// What feeds its deck's right rail.
        right: Option<At<String>>,
        /// The plug by which each of those wires comes apart, where not its board's: `true`, or `{ rating = "3 A" }`.
        plug: Option<At<Plug>>,
        /// What joins the deck to the stall it stands before: `sliding`, a contact, where not said; or `gap`, nothing.
        joint: Option<At<JointKind>>,
        /// Its rail, where not the layout's.
        rail: Option<At<String>>,
    }
}

/// Two stalls that lie opposite each other.
#[derive(Clone, Debug)]
pub struct StallPair(pub [u32; 2]);

impl Value for StallPair {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        if let DeValue::Array(stalls) = found.get_ref()
            && let [one, other] = &stalls[..]
        {
            return Some(StallPair([u32::read(one, reader)?, u32::read(other, reader)?]));
        }
        reader.wrong_kind(found, "two stalls: `[1, 4]`");
        None
    }
    fn schema() -> Json {
        json!({ "type": "array", "items": u32::schema(), "minItems": 2, "maxItems": 2 })
    }
}

/// More tracks do not end at a deck.
pub const MOST_STALLS: u32 = 200;
/// More tracks do not lie on a deck.
pub const MOST_DECK_TRACKS: u32 = 50;

/// A track of a deck before a stall, and before another one at its far end where two lie opposite each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DeckPlace {
    /// The track of the deck, counted from 0.
    pub track: u32,
    /// The stall, counted from 1.
    pub stall: u32,
    /// The one at the far end.
    pub beyond: Option<u32>,
}

impl DeckPlace {
    /// Its words: `stall 1`, or `stall 1 to 4`.
    pub fn word(self) -> String {
        match self.beyond {
            Some(beyond) => format!("stall {} to {beyond}", self.stall),
            None => format!("stall {}", self.stall),
        }
    }
}

/// Which tracks of a deck stand before which stalls at once: before one stall, where the deck has one track.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeckPosition {
    /// Its words: `stall 1`, or `track 2 at stall 1 and track 3 at stall 2`.
    pub word: String,
    /// The tracks, each before its stall.
    pub places: Vec<DeckPlace>,
}

impl Turntable {
    /// How many tracks end at it; no more than [`MOST_STALLS`], whatever is said.
    pub fn stall_count(&self) -> u32 {
        self.stalls.value.min(MOST_STALLS)
    }

    /// How many tracks lie on its deck; no more than [`MOST_DECK_TRACKS`], whatever is said.
    pub fn deck_tracks(&self) -> u32 {
        self.tracks.as_ref().map_or(1, |t| t.value.clamp(1, MOST_DECK_TRACKS))
    }

    /// The positions of its deck, in the order of the stalls, or of the tracks on it.
    pub fn positions(&self) -> Vec<DeckPosition> {
        let (stalls, tracks) = (self.stall_count(), self.deck_tracks());
        if tracks == 1 {
            let places = self.places().into_iter();
            return places.map(|place| DeckPosition { word: place.word(), places: vec![place] }).collect();
        }
        // Where stall 1 meets none, the stalls beside it may.
        (i64::from(2) - i64::from(stalls)..=i64::from(tracks))
            .map(|first| {
                let track = |stall: u32| u32::try_from(first + i64::from(stall) - 2).ok().filter(|&t| t < tracks);
                let place = |stall| Some(DeckPlace { track: track(stall)?, stall, beyond: None });
                let places: Vec<DeckPlace> = (1..=stalls).filter_map(place).collect();
                let words = places.iter().map(|p| format!("track {} at {}", p.track + 1, p.word()));
                DeckPosition { word: words.collect::<Vec<_>>().join(" and "), places }
            })
            .collect()
    }

    /// The places where a deck of one track can stand, in the order of the stalls.
    fn places(&self) -> Vec<DeckPlace> {
        let pairs = || self.opposite.iter().map(|pair| pair.value.0);
        let mut places = Vec::new();
        for stall in 1..=self.stall_count() {
            let onward = pairs().filter(|pair| pair[0] == stall);
            places.extend(onward.map(|pair| DeckPlace { track: 0, stall, beyond: Some(pair[1]) }));
            if !pairs().any(|pair| pair.contains(&stall)) {
                places.push(DeckPlace { track: 0, stall, beyond: None });
            }
        }
        places
    }

    /// Whether its deck can stand before a stall either way round, and it matters which.
    pub fn turns(&self) -> bool {
        let round = self.kind.as_ref().is_none_or(|k| k.value == TurntableKind::Turntable);
        round && (self.left.is_some() || self.right.is_some())
    }
}

/// Whether the second of two numbers 1 and 2 is said for the first position, or the first for the second.
fn exchanged(first: Option<&At<u32>>, second: Option<&At<u32>>) -> bool {
    first.is_some_and(|n| n.value == 2) || (first.is_none() && second.is_some_and(|n| n.value == 1))
}

impl CrossingRoutes {
    /// What is said for the first and for the second position of what is followed.
    pub fn said(&self) -> [Option<&At<u32>>; 2] {
        [
            self.through.as_ref().or(self.left.as_ref()).or(self.off.as_ref()),
            self.diverging.as_ref().or(self.right.as_ref()).or(self.on.as_ref()),
        ]
    }

    /// Whether the first position sets route 2.
    pub fn exchanged(&self) -> bool {
        let [first, second] = self.said();
        exchanged(first, second)
    }
}

impl Legs {
    /// Whether `through` picks leg 2.
    pub fn exchanged(&self) -> bool {
        exchanged(self.through.as_ref(), self.diverging.as_ref())
    }
}
