//! Answers taken in a builder's words.

use crate::answers::{Answers, RoomClimate, Turning, YardKind, asked_live};
use crate::questions::{self, Question};
use handbook::quantity::{Metres, QuantityError, parse, show_length};
use plan::tables::{Hand, MotorKind};

/// Why an answer is not taken: a sentence that says what would do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AnswerError {
    /// There is no such question.
    #[error("there is no question `{0}`")]
    NoQuestion(String),
    /// It is none of the choices.
    #[error("`{answer}` is none of {}", .choices.join(", "))]
    NoChoice {
        /// The answer.
        answer: String,
        /// The choices.
        choices: Vec<&'static str>,
    },
    /// It is no name.
    #[error("a name of 1 to 60 letters")]
    NoName,
    /// It is no whole number within bounds.
    #[error("a whole number from {} to {}, not `{answer}`", .bounds.0, .bounds.1)]
    NoNumber {
        /// The answer.
        answer: String,
        /// The least and the most.
        bounds: (f64, f64),
    },
    /// It is no length.
    #[error(transparent)]
    NoLength(#[from] QuantityError),
    /// It is a length out of bounds.
    #[error("a length from {} to {}, not {}", show_length(.bounds.0), show_length(.bounds.1), show_length(*.answer))]
    OutOfBounds {
        /// The answer.
        answer: Metres,
        /// The least and the most.
        bounds: (Metres, Metres),
    },
}

impl Answers {
    /// Takes an answer in a builder's words.
    ///
    /// # Errors
    /// Where the question does not exist or the answer does not fit it. The
    /// answers are then as they were.
    pub fn set(&mut self, question: &str, answer: &str) -> Result<(), AnswerError> {
        let Some(asked) = questions::QUESTIONS.iter().find(|q| q.name == question) else {
            return Err(AnswerError::NoQuestion(question.to_owned()));
        };
        self.take(asked, answer.trim())
    }

    /// Another policy where the one said does not fit the yard.
    fn fit_live(&mut self) {
        if !asked_live(self).contains(&self.live) {
            self.live = asked_live(self)[0];
        }
    }

    fn take(&mut self, asked: &Question, answer: &str) -> Result<(), AnswerError> {
        let choice = || {
            let choices = asked.choices(self);
            let known = choices.iter().map(|c| c.word).find(|word| word.eq_ignore_ascii_case(answer));
            known.ok_or_else(|| AnswerError::NoChoice {
                answer: answer.to_owned(),
                choices: choices.iter().map(|c| c.word).collect(),
            })
        };
        match asked.name {
            "name" => {
                if answer.is_empty() || answer.chars().count() > 60 || answer.chars().any(char::is_control) {
                    return Err(AnswerError::NoName);
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
                    "living room" => RoomClimate::Living,
                    "cellar" => RoomClimate::Cellar,
                    "attic" => RoomClimate::Attic,
                    _ => RoomClimate::Shed,
                };
            }
            "base" => self.base = choice()?,
            _ => self.address = whole(answer, asked)?,
        }
        Ok(())
    }
}

fn whole(answer: &str, asked: &Question) -> Result<u32, AnswerError> {
    let (least, most) = asked.bounds;
    let number = answer.parse::<u32>().ok().filter(|n| (least..=most).contains(&f64::from(*n)));
    number.ok_or_else(|| AnswerError::NoNumber { answer: answer.to_owned(), bounds: asked.bounds })
}

fn length(answer: &str, asked: &Question) -> Result<Metres, AnswerError> {
    let (least, most) = asked.bounds;
    let found = parse::<Metres>(answer)?;
    if (least..=most).contains(&found.0) {
        Ok(found)
    } else {
        Err(AnswerError::OutOfBounds { answer: found, bounds: (Metres(least), Metres(most)) })
    }
}
