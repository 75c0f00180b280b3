//! The questions, declared once for the terminal and for the page.

use crate::answers::{Answers, RoomClimate, Turning, YardKind, asked_live};
use crate::lengths::{list_of, words_of};
use plan::tables::{Hand, Live, MotorKind, Wiring};

/// A question.
pub struct Question {
    /// Its name, in forms and on the command line.
    pub name: &'static str,
    /// What is asked.
    pub asks: &'static str,
    /// What depends on it, in a sentence.
    pub why: &'static str,
    /// What kind of answer it takes.
    pub takes: Takes,
    /// Least and most, of numbers, and of lengths in metres.
    pub bounds: (f64, f64),
}

/// What kind of answer a question takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// Any words.
    Words,
    /// A whole number.
    Number,
    /// A length with its unit.
    Length,
    /// Lengths with their units, one or several: `6 × 2.4 m, 3 × 2.1 m`.
    Lengths,
    /// One of a few.
    Choice,
}

/// One of the answers to choose from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// The word that says it.
    pub word: &'static str,
    /// What it means.
    pub says: &'static str,
}

/// Two are left out, since no plan with them passes the review: the dead frog of `live-unfed` is longer than what short
/// engines bridge, and the contact of `live-assisted` shorts while the turnout is thrown unless blades and contact change
/// at the same moment.
pub(crate) const WIRINGS: [(&str, Wiring, &str); 5] = [
    ("insulated-routed", Wiring::InsulatedRouted, "plastic frog, the blades feed the closure rails"),
    ("insulated-bonded", Wiring::InsulatedBonded, "plastic frog, closure rails bonded to the stock rails"),
    ("metal-tip", Wiring::MetalTip, "as insulated-bonded, with a metal frog tip that wants a wire"),
    ("live-routed", Wiring::LiveRouted, "metal frog, fed by the blade that touches"),
    ("live-bonded", Wiring::LiveBonded, "metal frog cut off by gaps and fed by a contact; the robust form"),
];

pub(crate) const LIVES: [(&str, Live, &str); 5] = [
    ("lined", Live::Lined, "when the turnouts are set for it"),
    ("both ends agree", Live::BothEndsAgree, "when the turnouts at both its ends are set for it"),
    ("either end", Live::EitherEnd, "when the turnouts at one of its ends are set for it"),
    ("always", Live::Always, "at all times"),
    ("by hand", Live::ByHand, "when you switch it on, with a toggle for each road"),
];

const fn question(
    name: &'static str,
    takes: Takes,
    bounds: (f64, f64),
    asks: &'static str,
    why: &'static str,
) -> Question {
    Question { name, asks, why, takes, bounds }
}

const NONE: (f64, f64) = (0.0, 0.0);

/// All questions, in the order in which they are asked.
pub static QUESTIONS: [Question; 25] = [
    question("name", Takes::Words, NONE, "What is it called?", "It stands on every paper."),
    question(
        "units",
        Takes::Choice,
        NONE,
        "Which units do you measure in?",
        "The plan is written in them; any unit can be used later.",
    ),
    question("scale", Takes::Choice, NONE, "Which scale?", "Gauge, voltage and what trains draw follow from it."),
    question("rail", Takes::Choice, NONE, "Which rail?", "Thin rail loses more volts."),
    question(
        "kind",
        Takes::Choice,
        NONE,
        "Where do the roads end?",
        "A yard with two ladders can be left at both ends.",
    ),
    question("roads", Takes::Number, (2.0, 40.0), "How many roads?", "One turnout less at each ladder."),
    question(
        "length",
        Takes::Lengths,
        (0.3, 20.0),
        "How long is each road?",
        "From the end of its turnout to the buffer or the other ladder. One length for all, or each from the first turnout on: `6 × 2.4 m, 3 × 2.1 m`.",
    ),
    question(
        "last",
        Takes::Choice,
        NONE,
        "Where does the last road of the ladder go on to?",
        "The one that goes straight on at the last turnout.",
    ),
    question(
        "centres",
        Takes::Length,
        (0.012, 0.5),
        "How far apart are the roads?",
        "Between centre lines; fingers want more than trains.",
    ),
    question(
        "lead",
        Takes::Length,
        (0.2, 30.0),
        "How long is the lead before the ladder?",
        "The booster stands at its outer end.",
    ),
    question("hand", Takes::Choice, NONE, "To which side do the roads leave the ladder?", "Seen from the lead."),
    question(
        "number",
        Takes::Number,
        (4.0, 12.0),
        "Which number have the frogs?",
        "A larger number is a flatter and longer turnout.",
    ),
    question(
        "wiring",
        Takes::Choice,
        NONE,
        "How are the turnouts wired inside?",
        "`gapwright turnout` tells by six readings which you hold.",
    ),
    question(
        "turning",
        Takes::Choice,
        NONE,
        "Can trains turn round at the end of the lead?",
        "A loop brings them back with left and right exchanged.",
    ),
    question(
        "live",
        Takes::Choice,
        NONE,
        "When is a road to be live?",
        "Engines that wait draw current, and may start at a repeated command.",
    ),
    question(
        "motor",
        Takes::Choice,
        NONE,
        "What throws the turnouts?",
        "It says how much the accessory supply must give.",
    ),
    question(
        "contacts",
        Takes::Number,
        (1.0, 4.0),
        "How many change-over contacts has each motor?",
        "Frogs and roads are fed over them; a relay helps where they do not suffice.",
    ),
    question(
        "trip",
        Takes::Number,
        (1.0, 10.0),
        "At how many amperes does the booster trip?",
        "A short must draw more than that everywhere.",
    ),
    question(
        "feeders",
        Takes::Words,
        NONE,
        "How far apart may feeders be?",
        "Nearer is more work and loses less. `auto`: as few as the volts allow.",
    ),
    question("bus", Takes::Choice, NONE, "Which wire for the bus?", "`auto` takes the thinnest that will do."),
    question("feeder", Takes::Choice, NONE, "Which wire for feeders?", "`auto` takes the thinnest that will do."),
    question("room", Takes::Choice, NONE, "What room does it stand in?", "Warmth and damp move rail and base."),
    question(
        "air",
        Takes::Words,
        NONE,
        "What is its air, if you measured it?",
        "When the track was laid, at its coldest, at its hottest: `18 °C 55 %, 4 °C 64 %, 33 °C 46 %`. `usual`: as such rooms are.",
    ),
    question(
        "base",
        Takes::Choice,
        NONE,
        "What does the track lie on?",
        "Wood moves with the damp, foam with the warmth.",
    ),
    question("address", Takes::Number, (1.0, 1900.0), "Which address has the first motor?", "The others follow on."),
];

impl Question {
    /// Whether it is to be asked at all, given the other answers.
    pub fn matters(&self, answers: &Answers) -> bool {
        match self.name {
            "contacts" => answers.needs_contacts(),
            "last" => answers.kind == YardKind::Stub,
            _ => true,
        }
    }

    /// The answers to choose from, where it takes one of a few.
    pub fn choices(&self, answers: &Answers) -> Vec<Choice> {
        let of = |all: &[(&'static str, &'static str)]| all.iter().map(|&(word, says)| Choice { word, says }).collect();
        match self.name {
            "units" => of(&[("metres", "millimetres, metres and mm²"), ("feet and inches", "feet, inches and AWG")]),
            "scale" => handbook::scales::scales().iter().map(|s| Choice { word: s.name, says: "" }).collect(),
            "rail" => handbook::rails::rails().iter().map(|r| Choice { word: r.name, says: "" }).collect(),
            "kind" => of(&[("stub", "at buffers"), ("double-ended", "in a second ladder")]),
            "hand" => of(&[("left", "to the left"), ("right", "to the right")]),
            "wiring" => WIRINGS.iter().map(|&(word, _, says)| Choice { word, says }).collect(),
            "turning" => of(&[
                ("no", "they back out"),
                ("contacts", "in a loop whose phase the turnout's contacts set: no box, but stop before you throw"),
                ("reverser", "in a loop behind a reverser that senses shorts: throw when you like"),
            ]),
            "live" => {
                let fit = |l: &&(&'static str, Live, &'static str)| asked_live(answers).contains(&l.1);
                LIVES.iter().filter(fit).map(|&(word, _, says)| Choice { word, says }).collect()
            }
            "last" => of(&[("buffer", "it ends at a buffer, as the others do"), ("on", "it goes on, off this plan")]),
            "bus" => sizes(crate::wire_sizes(answers.imperial).bus),
            "feeder" => sizes(crate::wire_sizes(answers.imperial).feeder),
            "motor" => of(&[
                ("stall", "a motor that stalls against its stop and stays powered"),
                ("solenoid", "two coils, a pulse each, from a capacitor"),
                ("servo", "a radio-control servo"),
            ]),
            "room" => of(&[
                ("living room", "heated in winter"),
                ("cellar", "never cold, often damp"),
                ("attic", "hot in summer, cold in winter"),
                ("shed", "no heating at all"),
            ]),
            // Across the grain no rail can follow: nobody lays track there who has a choice.
            "base" => handbook::materials::base_materials()
                .iter()
                .filter(|b| !b.is_across_grain())
                .map(|b| Choice { word: b.name, says: "" })
                .collect(),
            _ => Vec::new(),
        }
    }

    /// What is answered now, in words that [`Answers::set`] takes.
    pub fn answer(&self, answers: &Answers) -> String {
        let text = match self.name {
            "name" => return answers.name.clone(),
            "roads" => return answers.roads.to_string(),
            "number" => return answers.number.to_string(),
            "contacts" => return answers.contacts.to_string(),
            "trip" => return answers.trip.to_string(),
            "address" => return answers.address.to_string(),
            "length" if !answers.lengths.is_empty() => return list_of(answers),
            "length" => return words_of(answers, answers.length),
            "feeders" => return answers.feeders.map_or_else(|| "auto".to_owned(), |apart| words_of(answers, apart)),
            "air" => return answers.air.map_or_else(|| "usual".to_owned(), |air| air_words(answers, &air)),
            "bus" => answers.bus_wire.unwrap_or("auto"),
            "feeder" => answers.feeder_wire.unwrap_or("auto"),
            "last" => {
                if answers.last_goes_on {
                    "on"
                } else {
                    "buffer"
                }
            }
            "centres" => return words_of(answers, answers.centres),
            "lead" => return words_of(answers, answers.lead),
            "units" => {
                if answers.imperial {
                    "feet and inches"
                } else {
                    "metres"
                }
            }
            "scale" => answers.scale,
            "rail" => answers.rail,
            "kind" => {
                if answers.kind == YardKind::Stub {
                    "stub"
                } else {
                    "double-ended"
                }
            }
            "hand" => {
                if answers.hand == Hand::Left {
                    "left"
                } else {
                    "right"
                }
            }
            "wiring" => WIRINGS.iter().find(|w| w.1 == answers.wiring).map_or("", |w| w.0),
            "turning" => match answers.turning {
                Turning::None => "no",
                Turning::Contacts => "contacts",
                Turning::Reverser => "reverser",
            },
            "live" => LIVES.iter().find(|l| l.1 == answers.live).map_or("", |l| l.0),
            "motor" => match answers.motor {
                MotorKind::Solenoid => "solenoid",
                MotorKind::Servo => "servo",
                _ => "stall",
            },
            "room" => match answers.room {
                RoomClimate::Living => "living room",
                RoomClimate::Cellar => "cellar",
                RoomClimate::Attic => "attic",
                RoomClimate::Shed => "shed",
            },
            _ => answers.base,
        };
        text.to_owned()
    }
}

/// Sizes of wire to choose from, and the program's own choice.
fn sizes(list: &[&'static str]) -> Vec<Choice> {
    let auto = Choice { word: "auto", says: "the thinnest that will do" };
    std::iter::once(auto).chain(list.iter().map(|&word| Choice { word, says: "" })).collect()
}

/// The air of a room in the builder's units.
fn air_words(answers: &Answers, air: &[(f64, f64); 3]) -> String {
    let one = |&(celsius, humidity): &(f64, f64)| {
        if answers.imperial {
            format!("{:.0} °F {humidity} %", celsius * 1.8 + 32.0)
        } else {
            format!("{celsius} °C {humidity} %")
        }
    };
    air.iter().map(one).collect::<Vec<_>>().join(", ")
}
