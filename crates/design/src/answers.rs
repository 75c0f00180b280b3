//! What a builder says about the yard they want.

use handbook::quantity::Metres;
use plan::tables::{Hand, Live, MotorKind, Wiring};

/// Everything that is asked for. Every combination has a plan, or says in words why none can be.
#[derive(Clone, Debug, PartialEq)]
pub struct Answers {
    /// What the layout is called.
    pub name: String,
    /// The scale's name.
    pub scale: &'static str,
    /// The rail's name, as the handbook has it.
    pub rail: &'static str,
    /// Which units the plan is written in.
    pub imperial: bool,
    /// Stub or double-ended.
    pub kind: YardKind,
    /// How many roads.
    pub roads: u32,
    /// The length of each road, where all are alike; else of the shortest.
    pub length: Metres,
    /// The length of each road from the first turnout on, where they are not alike; else empty.
    pub lengths: Vec<Metres>,
    /// Whether the last road of a stub yard goes on, off the plan, instead of ending at a buffer.
    pub last_goes_on: bool,
    /// Between the centre lines of roads.
    pub centres: Metres,
    /// The length of the lead before the ladder.
    pub lead: Metres,
    /// To which side the roads leave the ladder.
    pub hand: Hand,
    /// The number of the frogs.
    pub number: u32,
    /// How the turnouts are wired among their own rails.
    pub wiring: Wiring,
    /// How a loop behind the lead gets its phase, if there is one.
    pub turning: Turning,
    /// When a road is to be live.
    pub live: Live,
    /// What throws the turnouts.
    pub motor: MotorKind,
    /// How many change-over contacts each motor has.
    pub contacts: u32,
    /// The current that trips the booster, amperes.
    pub trip: u32,
    /// The room.
    pub room: RoomClimate,
    /// Its air as it was measured: when the track was laid, at its coldest and at its hottest, each in °C and per cent; the usual air of
    /// such a room where nobody measured.
    pub air: Option<[(f64, f64); 3]>,
    /// No two feeders of a track are further apart, where that is wanted.
    pub feeders: Option<Metres>,
    /// The wire of the bus, where it is not left to the program.
    pub bus_wire: Option<&'static str>,
    /// The wire of feeders, where it is not left to the program.
    pub feeder_wire: Option<&'static str>,
    /// What the track lies on, as the handbook has it.
    pub base: &'static str,
    /// The address of the first motor.
    pub address: u32,
}

/// Where the roads of a yard end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum YardKind {
    /// At buffers.
    Stub,
    /// In a second ladder.
    DoubleEnded,
}

/// How trains turn round at the end of the lead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turning {
    /// Not at all.
    None,
    /// In a loop whose phase the turnout's own contacts set.
    Contacts,
    /// In a loop behind a reverser that senses shorts.
    Reverser,
}

/// What kind of room the layout stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RoomClimate {
    /// Heated in winter.
    Living,
    /// Never cold, often damp.
    Cellar,
    /// Under the roof.
    Attic,
    /// A shed or garage without heating.
    Shed,
}

impl Default for Answers {
    fn default() -> Self {
        Answers {
            name: "My yard".into(),
            scale: "HO",
            rail: "code 100 nickel silver",
            imperial: false,
            kind: YardKind::Stub,
            roads: 4,
            length: Metres(2.0),
            lengths: Vec::new(),
            last_goes_on: false,
            centres: Metres(0.051),
            lead: Metres(1.0),
            hand: Hand::Left,
            number: 6,
            wiring: Wiring::LiveBonded,
            turning: Turning::None,
            live: Live::Lined,
            motor: MotorKind::Stall,
            contacts: 2,
            trip: 4,
            room: RoomClimate::Living,
            air: None,
            feeders: None,
            bus_wire: None,
            feeder_wire: None,
            base: "birch plywood",
            address: 1,
        }
    }
}

impl Answers {
    /// The length of a road, from 1.
    pub fn road_length(&self, road: usize) -> Metres {
        self.lengths.get(road.saturating_sub(1)).copied().unwrap_or(self.length)
    }

    /// How many turnouts the yard has, the loop's counted.
    pub fn turnouts(&self) -> u32 {
        let ladders = if self.kind == YardKind::Stub { 1 } else { 2 };
        ladders * (self.roads - 1) + u32::from(self.turning != Turning::None)
    }

    /// The same in words: `1 turnout`, `5 turnouts`.
    pub fn turnouts_in_words(&self) -> String {
        match self.turnouts() {
            1 => "1 turnout".to_owned(),
            count => format!("{count} turnouts"),
        }
    }
}

/// The policies that a kind of yard can have; the first is proposed.
pub(crate) fn asked_live(answers: &Answers) -> &'static [Live] {
    match answers.kind {
        YardKind::Stub => &[Live::Lined, Live::Always, Live::ByHand],
        // Round the loop a train comes back to a road of which only one end is lined.
        YardKind::DoubleEnded if answers.turning != Turning::None => &[Live::EitherEnd, Live::Always, Live::ByHand],
        YardKind::DoubleEnded => &[Live::BothEndsAgree, Live::EitherEnd, Live::Always, Live::ByHand],
    }
}
