//! The layout as a whole: scale, room, base, limits, trains, storage.

use super::JointKind;
use crate::reader::TableReader;
use crate::value::{At, List, Value, choice, record};
use handbook::quantity::{Amps, Celsius, Farads, Fraction, Metres, NewtonsPerMetre, Ohms, Seconds, Units};
use serde_json::{Value as Json, json};
use toml::Spanned;
use toml::de::DeValue;

record! {
    /// The whole layout: its name, its scale and what holds everywhere unless a track says otherwise.
    Layout, "layout" {
        /// What the builder calls the layout.
        name: At<String>,
        /// The scale, such as `OO` or `N`; gauge, clearances and default train currents follow from it.
        scale: At<String>,
        /// The distance between the centre lines of parallel tracks, where not the scale's usual one.
        centres: Option<At<Metres>>,
        /// The units in which everything is said back: those in which most of the plan is written, where not said.
        units: Option<At<UnitSystem>>,
        /// The rail used where a track does not say, such as `code 100 nickel silver`.
        rail: Option<At<String>>,
        /// What joins two pieces of rail where a track does not say: `soldered` or `sliding`.
        joint: Option<At<JointKind>>,
        /// How wide gaps and joints that slide are left on the day they are made, where a place does not say; measured.
        gap_width: Option<At<Metres>>,
        /// The wire of feeders where a track does not say.
        feeder_wire: Option<At<String>>,
        /// The length of one feeder, rail to bus, where a track does not say.
        feeder_length: Option<At<Metres>>,
        /// What joins feeders to buses: soldered where not said, or tap connectors of a colour.
        taps: Option<At<Taps>>,
        /// How the accessory addresses of the plan count: `linear` where not said.
        addresses: Option<At<Addresses>>,
        /// Anything worth remembering.
        notes: Option<At<String>>,
    }
}
choice! {
    /// In which units lengths, temperatures and wire sizes are said.
    UnitSystem, "system of units" {
        /// Metres, degrees Celsius, mm².
        Metric = "metric",
        /// Feet and inches, degrees Fahrenheit, AWG.
        Imperial = "imperial",
    }
}
choice! {
    /// How accessory addresses count.
    Addresses, "way to count addresses" {
        /// 1 is the first pair of outputs of board 1; the packet carries the number plus 3.
        Linear = "linear",
        /// 1 is the first pair of outputs of board 0; every number is four more than the linear one.
        FourOff = "four-off",
    }
}
choice! {
    /// What joins a feeder to its bus.
    Taps, "tap" {
        /// Solder.
        Soldered = "soldered",
        /// Tap connectors for the thinnest wires.
        Red = "red",
        /// Tap connectors for middling wires.
        Blue = "blue",
        /// Tap connectors for thick wires.
        Yellow = "yellow",
    }
}
record! {
    /// What the room does to rail and base.
    Room, "room" {
        /// The air when the track was laid.
        laid: Option<At<Climate>>,
        /// The coldest or dampest air expected.
        coldest: Option<At<Climate>>,
        /// The hottest or driest air expected.
        hottest: Option<At<Climate>>,
    }
}
record! {
    /// Air at one time.
    Climate, "climate" {
        /// Air temperature.
        temperature: At<Celsius>,
        /// Relative humidity.
        humidity: At<Fraction>,
    }
}
record! {
    /// What the track lies on.
    Base, "base" {
        /// The material, by its handbook name, such as `birch plywood`.
        material: At<String>,
        /// How thick it is, with all that lies between its underside and the sleepers.
        thickness: Option<At<Metres>>,
        /// How the track is held: `"glued"`, or `{ pins = "150 mm" }`.
        fixing: Option<At<Fixing>>,
        /// What it takes to push one rail along in its fastenings, for each metre of it; measured.
        grip: Option<At<NewtonsPerMetre>>,
        /// What it takes to push the track sideways, for each metre of one rail; measured.
        sideways: Option<At<NewtonsPerMetre>>,
    }
}
/// How the track is held down.
#[derive(Clone, Debug, PartialEq)]
pub enum Fixing {
    /// Glued over its whole length.
    Glued,
    /// Pinned at this spacing.
    Pins(Metres),
}
record! {
    /// Pins at a spacing.
    PinnedAt, "fixing" {
        /// The distance between pins.
        pins: At<Metres>,
    }
}
impl Value for Fixing {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        match found.get_ref() {
            DeValue::Table(_) => PinnedAt::read(found, reader).map(|p| Fixing::Pins(p.pins.value)),
            DeValue::String(text) if text == "glued" => Some(Fixing::Glued),
            DeValue::String(text) => {
                reader.unknown_word(found.span(), text, "fixing", &["glued"]);
                None
            }
            _ => {
                reader.wrong_kind(found, "`\"glued\"` or `{ pins = \"150 mm\" }`");
                None
            }
        }
    }
    fn schema() -> Json {
        json!({ "anyOf": [{ "enum": ["glued"] }, PinnedAt::schema()] })
    }
}
record! {
    /// What the builder accepts.
    Limits, "limits" {
        /// The largest voltage drop, as a share of the supply's voltage.
        drop: Option<At<Fraction>>,
        /// How many times the trip current a short must draw, everywhere.
        fault_margin: Option<At<f64>>,
        /// The longest piece of rail that may be dead under a train.
        dead_length: Option<At<Metres>>,
        /// The narrowest an insulated gap may become.
        smallest_gap: Option<At<Metres>>,
        /// The widest an insulated gap, or a joint that slides, may become.
        largest_gap: Option<At<Metres>>,
        /// What of a clear length is left for slack and couplings when trains are fitted in, as a share of the train.
        slack: Option<At<Fraction>>,
    }
}
record! {
    /// A train that runs on the layout.
    Train, "train" {
        /// What the builder calls it.
        name: At<String>,
        /// From coupling to coupling.
        length: At<Metres>,
        /// The length over metal wheels, where shorter than the train.
        metal_wheels: Option<At<Metres>>,
        /// The distance between the outermost wheels that pick up current.
        pick_up: Option<At<Metres>>,
        /// What it draws.
        draws: Option<At<TrainDraws>>,
        /// How fast it runs in: the time it takes over a length, by a stopwatch.
        speed: Option<At<TrainSpeed>>,
        /// Its longest vehicle, which swings out in curves.
        vehicle: Option<At<Vehicle>>,
        /// The track where it stands when another train runs; what it draws standing is then counted there.
        stands: Option<At<String>>,
    }
}
record! {
    /// How fast a train is.
    TrainSpeed, "speed" {
        /// The length that was timed.
        over: At<Metres>,
        /// How long it took.
        takes: At<Seconds>,
    }
}
record! {
    /// A long vehicle.
    Vehicle, "vehicle" {
        /// From end to end.
        length: At<Metres>,
        /// Between the middles of its bogies or its outer axles.
        bogies: At<Metres>,
    }
}
record! {
    /// Currents of a train.
    TrainDraws, "train current" {
        /// Running.
        running: Option<At<Amps>>,
        /// Standing with lights and sound on.
        standing: Option<At<Amps>>,
        /// For a moment, when power comes on.
        inrush: Option<At<Amps>>,
        /// What its decoder keeps in reserve, all capacitors of the train together.
        reservoir: Option<At<Farads>>,
        /// The resistance that the reservoir fills through.
        charging: Option<At<Ohms>>,
    }
}
choice! {
    /// When a storage track is to be live.
    Live, "storage policy" {
        /// When a way is lined to it.
        Lined = "lined",
        /// When both its ends are lined to it.
        BothEndsAgree = "both ends agree",
        /// When either of its ends is lined to it.
        EitherEnd = "either end",
        /// At all times.
        Always = "always",
        /// When the operator switches it on.
        ByHand = "by hand",
    }
}
record! {
    /// Tracks where trains wait, and when each is to be live.
    Storage, "storage" {
        /// The tracks.
        tracks: List<String>,
        /// When they are to be live.
        live: At<Live>,
    }
}

impl UnitSystem {
    /// The units in which values are shown.
    pub fn units(self) -> Units {
        match self {
            UnitSystem::Metric => Units::Metric,
            UnitSystem::Imperial => Units::Imperial,
        }
    }
}
