//! What of the plan an edge is, for who counts, tests or draws things and may not rely on their words; and those words, in one
//! place.

use crate::switches::terminals_of;
use crate::terminals::{CoilTerminal, DriverTerminal, MotorTerminal};
use crate::trackwork::Words;
use plan::tables::RailSide;
use plan::{Kind, Plan, Pole, TrackEnd};

/// What of the plan an edge is. Things are identified by their index in the plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Part {
    /// Part of no plan, as where a circuit is made by hand or something is done wrong.
    #[default]
    Loose,
    /// A length of a track's rail.
    Rail {
        /// Index of the track.
        track: usize,
        /// Which rail.
        side: RailSide,
    },
    /// A joint in a track's rail.
    Joint {
        /// Index of the track.
        track: usize,
        /// Which rail.
        side: RailSide,
        /// Metres from the `from` end.
        x: f64,
        /// Whether it is a joiner left unsoldered.
        sliding: bool,
    },
    /// The joint of a track's rail with its neighbour's.
    EndJoint {
        /// Index of the track.
        track: usize,
        /// At which of its ends.
        end: TrackEnd,
        /// Which of its own rails.
        side: RailSide,
    },
    /// A feeder of a track.
    Feeder {
        /// Index of the track.
        track: usize,
        /// Which rail.
        side: RailSide,
        /// Metres from the `from` end.
        x: f64,
    },
    /// A feeder of a turntable's deck.
    DeckFeeder {
        /// Index of the turntable.
        turntable: usize,
        /// The track on its deck, counted from 0.
        track: usize,
        /// Which rail.
        side: RailSide,
    },
    /// Where a wire taps a bus.
    Tap {
        /// Index of the bus.
        bus: usize,
        /// Which conductor.
        pole: Pole,
        /// Metres from its start.
        x: f64,
    },
    /// Where a branch starts on its trunk.
    BranchJoint {
        /// Index of the branch.
        bus: usize,
        /// Index of the trunk.
        trunk: usize,
        /// Which conductor.
        pole: Pole,
    },
    /// A length of a bus's conductor.
    BusRun {
        /// Index of the bus.
        bus: usize,
        /// Which conductor.
        pole: Pole,
    },
    /// What joins a bus to the terminal of its supply.
    BusLead {
        /// Index of the bus.
        bus: usize,
        /// Index of the supply.
        supply: usize,
        /// Which conductor.
        pole: Pole,
    },
    /// The inside of a supply.
    Inside {
        /// Index of the supply.
        supply: usize,
    },
    /// The inside of a sub-breaker in a pole that it opens.
    Breaker {
        /// Index of the supply.
        supply: usize,
        /// Which pole.
        pole: Pole,
    },
    /// A pole that a sub-breaker does not open, joined through.
    Common {
        /// Index of the supply.
        supply: usize,
        /// Which pole.
        pole: Pole,
    },
    /// A contact of a motor, relay or toggle, between its common and one of its throws.
    Contact {
        /// A motor, relay or toggle.
        kind: Kind,
        /// Which one.
        index: usize,
        /// Which of its contacts, from 0.
        contact: usize,
        /// The throw's key in the contact's table.
        terminal: &'static str,
    },
    /// A wire from a terminal of a contact.
    ContactWire {
        /// A motor, relay or toggle.
        kind: Kind,
        /// Which one.
        index: usize,
        /// Which of its contacts, from 0.
        contact: usize,
        /// The terminal's key in the contact's table.
        terminal: &'static str,
        /// Which of the things the terminal is wired to, from 0.
        target: usize,
    },
    /// A wire from a bus that brings a driver its power.
    DriverFeed {
        /// Index of the driver.
        driver: usize,
        /// Which conductor.
        pole: Pole,
    },
    /// A wire from a bus that brings a driver its commands.
    DriverCommands {
        /// Index of the driver.
        driver: usize,
        /// Which conductor.
        pole: Pole,
    },
    /// A wire between two fixed contacts of a change-over switch.
    DriverLink {
        /// Index of the driver.
        driver: usize,
        /// Where it starts.
        from: DriverTerminal,
        /// Where it goes.
        to: DriverTerminal,
    },
    /// A wire from a driver to a motor.
    MotorWire {
        /// Index of the motor.
        motor: usize,
        /// The motor's terminal.
        terminal: MotorTerminal,
    },
    /// A wire from a driver to the coil of a relay.
    CoilWire {
        /// Index of the relay.
        relay: usize,
        /// The coil's terminal.
        terminal: CoilTerminal,
    },
    /// A wire from a bus to a detector.
    DetectorFeed {
        /// Index of the detector.
        detector: usize,
    },
    /// The inside of a detector.
    Detector {
        /// Index of the detector.
        detector: usize,
    },
    /// A contact of a reverser.
    Reverser {
        /// Index of the reverser.
        reverser: usize,
        /// Which output.
        pole: Pole,
        /// Whether it brings the other pole.
        swapped: bool,
    },
    /// A piece of special trackwork: rail, bond, blade, or what its deck touches.
    Work {
        /// What it is a piece of.
        kind: Kind,
        /// Which one.
        index: usize,
        /// Which piece it is.
        piece: WorkPiece,
        /// The piece's own words: `right closure rail`.
        words: Words,
    },
}

/// What a piece of special trackwork is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WorkPiece {
    /// Rail.
    Rail,
    /// A bond between two rails.
    Bond,
    /// A bond from a closure rail to the rail behind a frog that carries no current.
    PastFrog,
    /// A blade on its stock rail.
    Blade,
    /// The same beside a bond.
    Touching,
    /// A contact that the trackwork itself makes.
    Contact,
}

impl Part {
    /// Its name in a builder's words: `feeder of dock 1 left rail at 400 mm`.
    pub fn words(&self, plan: &Plan) -> String {
        let track = |track: usize| plan.track[track].name.value.as_str();
        let bus = |bus: usize| plan.bus[bus].name.value.as_str();
        let supply = |supply: usize| plan.supply[supply].name.value.as_str();
        match self {
            Part::Loose => String::new(),
            Part::Rail { track: t, side: s } => format!("{} {} rail", track(*t), s.word()),
            Part::Joint { track: t, side: s, x, sliding } => {
                let what = if *sliding { "sliding joint" } else { "soldered joint" };
                format!("{what} in {} {} rail at {}", track(*t), s.word(), plan.units().metres(*x))
            }
            Part::EndJoint { track: t, end, .. } => {
                let table = &plan.track[*t];
                let joins = if *end == TrackEnd::From { &table.from } else { &table.to };
                format!("joint between {} and {}", table.name.value, joins.value)
            }
            Part::Feeder { track: t, side: s, x } => {
                format!("feeder of {} {} rail at {}", track(*t), s.word(), plan.units().metres(*x))
            }
            Part::DeckFeeder { turntable, track, side: s } => {
                let table = &plan.turntable[*turntable];
                let from = if *s == RailSide::Left { &table.left } else { &table.right };
                let from = from.as_ref().map_or("", |from| from.value.as_str());
                let which = if table.deck_tracks() > 1 { format!(" track {}", track + 1) } else { String::new() };
                format!("feeder of {}'s deck{which} from {from}", table.name.value)
            }
            Part::Tap { bus: b, pole, .. } => format!("tap on {}.{}", bus(*b), pole.word()),
            Part::BranchJoint { bus: b, trunk, .. } => {
                let joint = if plan.bus[*b].plug.is_some() { "plug" } else { "joint" };
                format!("{joint} of {} to {}", bus(*b), bus(*trunk))
            }
            Part::BusRun { bus: b, pole } => format!("{}.{}", bus(*b), pole.word()),
            Part::BusLead { bus: b, supply: s, pole } => format!("{} to {}.{}", supply(*s), bus(*b), pole.word()),
            Part::Inside { supply: s } => format!("source resistance of {}", supply(*s)),
            Part::Breaker { supply: s, pole } => format!("{} {}", supply(*s), pole.word()),
            Part::Common { supply: s, pole } => format!("common {} to {}", pole.word(), supply(*s)),
            Part::Contact { kind, index, contact, terminal } => {
                format!("contact {}.{}, {terminal}", name_of(plan, *kind, *index), contact + 1)
            }
            Part::ContactWire { kind, index, contact, terminal, target } => {
                let to = target_of(plan, (*kind, *index), *contact, terminal, *target).unwrap_or_default();
                format!("wire from {}.{}.{terminal} to {to}", name_of(plan, *kind, *index), contact + 1)
            }
            Part::DriverFeed { driver, pole } => {
                format!("power {} of {}", pole.word(), name_of(plan, Kind::Driver, *driver))
            }
            Part::DriverCommands { driver, pole } => {
                format!("commands {} of {}", pole.word(), name_of(plan, Kind::Driver, *driver))
            }
            Part::DriverLink { driver, from, to } => {
                format!("link in {} from {} to {}", name_of(plan, Kind::Driver, *driver), from.words(), to.words())
            }
            Part::MotorWire { motor, terminal } => {
                let words = terminal.words(crate::drives::positions(plan, *motor));
                format!("wire to {} {words}", name_of(plan, Kind::Motor, *motor))
            }
            Part::CoilWire { relay, terminal } => {
                format!("wire to {} {}", name_of(plan, Kind::Relay, *relay), terminal.words())
            }
            Part::DetectorFeed { detector } => format!("wire to {}", name_of(plan, Kind::Detector, *detector)),
            Part::Detector { detector } => format!("detector {}", name_of(plan, Kind::Detector, *detector)),
            Part::Reverser { reverser, pole, swapped } => {
                let sense = if *swapped { "swapped" } else { "straight" };
                format!("reverser {}.{}, {sense}", plan.reverser[*reverser].name.value, pole.word())
            }
            Part::Work { kind, index, words, .. } => format!("{} {words}", name_of(plan, *kind, *index)),
        }
    }

    /// A contact as its throw alone: `M1.2.through`, `reverser RV1.A.swapped`; all else as [`Part::words`] has it.
    pub fn throw_words(&self, plan: &Plan) -> String {
        match self {
            Part::Contact { kind, index, contact, terminal } => {
                format!("{}.{}.{terminal}", name_of(plan, *kind, *index), contact + 1)
            }
            Part::Reverser { swapped, .. } => {
                format!("{}.{}", self.of_both(plan), if *swapped { "swapped" } else { "straight" })
            }
            other => other.words(plan),
        }
    }

    /// A contact without the word for one of its throws: `contact M1.2`, `reverser RV1.A`; all else as [`Part::words`] has it.
    pub fn of_both(&self, plan: &Plan) -> String {
        match self {
            Part::Contact { kind, index, contact, .. } => {
                format!("contact {}.{}", name_of(plan, *kind, *index), contact + 1)
            }
            Part::Reverser { reverser, pole, .. } => {
                format!("reverser {}.{}", plan.reverser[*reverser].name.value, pole.word())
            }
            other => other.words(plan),
        }
    }
}

fn name_of(plan: &Plan, kind: Kind, index: usize) -> &str {
    let name = match kind {
        Kind::Turnout => plan.turnout.get(index).map(|t| &t.name),
        Kind::Crossing => plan.crossing.get(index).map(|t| &t.name),
        Kind::Slip => plan.slip.get(index).map(|t| &t.name),
        Kind::ThreeWay => plan.three_way.get(index).map(|t| &t.name),
        Kind::Turntable => plan.turntable.get(index).map(|t| &t.name),
        Kind::Driver => plan.driver.get(index).map(|t| &t.name),
        Kind::Motor => plan.motor.get(index).map(|t| &t.name),
        Kind::Relay => plan.relay.get(index).map(|t| &t.name),
        Kind::Toggle => plan.toggle.get(index).map(|t| &t.name),
        Kind::Detector => plan.detector.get(index).map(|t| &t.name),
        _ => None,
    };
    name.map_or("", |name| name.value.as_str())
}

/// What a terminal of a contact is wired to, in the plan's words.
fn target_of<'p>(
    plan: &'p Plan,
    (kind, index): (Kind, usize),
    contact: usize,
    terminal: &str,
    target: usize,
) -> Option<&'p str> {
    let list = match kind {
        Kind::Motor => &plan.motor.get(index)?.contact,
        Kind::Relay => &plan.relay.get(index)?.contact,
        _ => &plan.toggle.get(index)?.contact,
    };
    let table = &list.items.get(contact)?.value;
    let wired = terminals_of(table).into_iter().find(|t| t.0 == terminal)?.1;
    wired.0.get(target).map(|wired| wired.value.to.value.as_str())
}
