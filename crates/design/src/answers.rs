//! What a builder says about the yard they want, and the questions that ask for it.

use crate::questions::{self, Question};
use handbook::quantity::{Metres, parse};
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
    /// The length of each road.
    pub length: Metres,
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
    pub room: Room,
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
pub enum Room {
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
            room: Room::Living,
            base: "birch plywood",
            address: 1,
        }
    }
}

impl Answers {
    /// How many turnouts the yard has, the loop's counted.
    pub fn turnouts(&self) -> u32 {
        let ladders = if self.kind == YardKind::Stub { 1 } else { 2 };
        ladders * (self.roads - 1) + u32::from(self.turning != Turning::None)
    }

    /// The same with every length as the plan will have it in words.
    pub(crate) fn as_written(&self) -> Answers {
        let as_written = |length: Metres| parse(&questions::words_of(self, length)).unwrap_or(length);
        Answers {
            length: as_written(self.length),
            centres: as_written(self.centres),
            lead: as_written(self.lead),
            ..self.clone()
        }
    }

    /// Takes an answer in a builder's words.
    ///
    /// # Errors
    /// With a sentence that says what would do, where the question does not exist or the answer does not fit it. The
    /// answers are then as they were.
    pub fn set(&mut self, question: &str, answer: &str) -> Result<(), String> {
        let Some(asked) = questions::QUESTIONS.iter().find(|q| q.name == question) else {
            return Err(format!("there is no question `{question}`"));
        };
        self.take(asked, answer.trim())
    }

    /// Another policy where the one said does not fit the yard.
    fn fit_live(&mut self) {
        if !asked_live(self).contains(&self.live) {
            self.live = asked_live(self)[0];
        }
    }

    fn take(&mut self, asked: &Question, answer: &str) -> Result<(), String> {
        let choice = || {
            let choices = asked.choices(self);
            let known = choices.iter().map(|c| c.word).find(|word| word.eq_ignore_ascii_case(answer));
            known.ok_or_else(|| {
                let words: Vec<&str> = choices.iter().map(|c| c.word).collect();
                format!("`{answer}` is none of {}", words.join(", "))
            })
        };
        match asked.name {
            "name" => {
                if answer.is_empty() || answer.chars().count() > 60 || answer.chars().any(char::is_control) {
                    return Err("a name of 1 to 60 letters".into());
                }
                self.name = answer.into();
            }
            "scale" => {
                self.scale = choice()?;
                let scale = handbook::scales::scale(self.scale);
                // What follows from the scale is asked anew; a rail of another scale would seldom be meant.
                self.rail = handbook::rails::default_rail(self.scale).name;
                if let Some(scale) = scale {
                    // The usual distance, but no less than trains and the hand between them take.
                    let least = scale.track_centres.value.0.max(scale.clear_width.value.0 * 1.06);
                    self.centres = Metres((least * 1e3 - 1e-6).ceil() / 1e3);
                }
            }
            "units" => self.imperial = choice()? == "feet and inches",
            "rail" => self.rail = choice()?,
            "kind" => {
                self.kind = if choice()? == "stub" { YardKind::Stub } else { YardKind::DoubleEnded };
                self.fit_live();
            }
            "roads" => self.roads = whole(answer, asked)?,
            "length" => self.length = length(answer, asked)?,
            "centres" => self.centres = length(answer, asked)?,
            "lead" => self.lead = length(answer, asked)?,
            "hand" => self.hand = if choice()? == "left" { Hand::Left } else { Hand::Right },
            "number" => self.number = whole(answer, asked)?,
            "wiring" => {
                let word = choice()?;
                self.wiring = questions::WIRINGS.iter().find(|w| w.0 == word).map_or(self.wiring, |w| w.1);
            }
            "turning" => {
                self.turning = match choice()? {
                    "contacts" => Turning::Contacts,
                    "reverser" => Turning::Reverser,
                    _ => Turning::None,
                };
                self.fit_live();
            }
            "live" => {
                let word = choice()?;
                self.live = questions::LIVES.iter().find(|l| l.0 == word).map_or(self.live, |l| l.1);
            }
            "motor" => {
                self.motor = match choice()? {
                    "stall" => MotorKind::Stall,
                    "solenoid" => MotorKind::Solenoid,
                    _ => MotorKind::Servo,
                };
            }
            "contacts" => self.contacts = whole(answer, asked)?,
            "trip" => self.trip = whole(answer.trim_end_matches(['A', ' ']), asked)?,
            "room" => {
                self.room = match choice()? {
                    "living room" => Room::Living,
                    "cellar" => Room::Cellar,
                    "attic" => Room::Attic,
                    _ => Room::Shed,
                };
            }
            "base" => self.base = choice()?,
            _ => self.address = whole(answer, asked)?,
        }
        Ok(())
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

fn whole(answer: &str, asked: &Question) -> Result<u32, String> {
    let (least, most) = asked.bounds;
    let number = answer.parse::<u32>().ok().filter(|n| (least..=most).contains(&f64::from(*n)));
    number.ok_or_else(|| format!("a whole number from {least} to {most}, not `{answer}`"))
}

fn length(answer: &str, asked: &Question) -> Result<Metres, String> {
    let (least, most) = asked.bounds;
    let found = parse::<Metres>(answer).map_err(|e| e.to_string())?;
    if (least..=most).contains(&found.0) {
        Ok(found)
    } else {
        let show = |m: f64| handbook::quantity::show_length(Metres(m));
        Err(format!("a length from {} to {}, not {}", show(least), show(most), show(found.0)))
    }
}
