//! Answers taken in a builder's words.

use crate::answers::{Answers, RoomClimate, Turning, YardKind, asked_live};
use crate::questions::{self, Question};
use handbook::quantity::{Celsius, Fraction, Metres, QuantityError, parse, show_length};
use plan::tables::{Hand, MotorKind};

/// Why an answer is not taken: a sentence that says what would do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AnswerError {
    /// There is no such question.
    #[error("there is no question `{0}`")]
    NoQuestion(String),
    /// It is none of the choices.
    #[error("`{answer}` is none of these: {}", numbered(.choices))]
    NoChoice {
        /// The answer.
        answer: String,
        /// The choices.
        choices: Vec<&'static str>,
    },
    /// It is no air of a room.
    #[error(
        "three times temperature and humidity, when laid, coldest and hottest: `18 °C 55 %, 4 °C 64 %, 33 °C 46 %`; or `usual`"
    )]
    NoAir,
    /// It is not as many lengths as a yard can have roads.
    #[error("lengths of 2 to 40 roads, such as `6 × 2.4 m, 3 × 2.1 m`, not {count}")]
    NotSoManyRoads {
        /// How many there are.
        count: usize,
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
            let known = chosen(&choices.iter().map(|c| c.word).collect::<Vec<_>>(), answer);
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
            "units" => {
                self.imperial = choice()? == "feet and inches";
                // Sizes are those of a system.
                (self.bus_wire, self.feeder_wire) = (None, None);
            }
            "rail" => self.rail = choice()?,
            "kind" => {
                self.kind = if choice()? == "stub" { YardKind::Stub } else { YardKind::DoubleEnded };
                self.fit_live();
            }
            "roads" => {
                self.roads = whole(answer, asked)?;
                // More roads are as long as the last one; what was said of the others stays.
                if let Some(&last) = self.lengths.last() {
                    let mut lengths = std::mem::take(&mut self.lengths);
                    lengths.resize(self.roads as usize, last);
                    self.keep_lengths(&lengths);
                }
            }
            "length" => self.take_lengths(answer, asked)?,
            "last" => self.last_goes_on = choice()? == "on",
            "feeders" => {
                self.feeders = match answer {
                    "auto" => None,
                    _ => Some(within(parse::<Metres>(answer)?, (0.2, 10.0))?),
                }
            }
            "bus" => self.bus_wire = Some(choice()?).filter(|word| *word != "auto"),
            "feeder" => self.feeder_wire = Some(choice()?).filter(|word| *word != "auto"),
            "air" => self.air = if answer == "usual" { None } else { Some(air(answer).ok_or(AnswerError::NoAir)?) },
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

/// The choice that is meant: by its number, as it is shown, or by the beginning of its word where only one begins so.
fn chosen(choices: &[&'static str], answer: &str) -> Option<&'static str> {
    let wanted = answer.to_lowercase();
    let exact = choices.iter().copied().find(|word| word.to_lowercase() == wanted);
    let by_number = || answer.parse::<usize>().ok().and_then(|n| choices.get(n.checked_sub(1)?).copied());
    let by_beginning = || {
        let mut all = choices.iter().copied().filter(|word| word.to_lowercase().starts_with(&wanted));
        all.next().filter(|_| !wanted.is_empty() && all.next().is_none())
    };
    exact.or_else(by_number).or_else(by_beginning)
}

fn numbered(choices: &[&'static str]) -> String {
    let one = |(n, word): (usize, &&str)| format!("{} {word}", n + 1);
    choices.iter().enumerate().map(one).collect::<Vec<_>>().join(", ")
}

impl Answers {
    /// One length for all roads, or one for each: `6 × 2.4 m, 3 × 2.1 m`.
    fn take_lengths(&mut self, answer: &str, asked: &Question) -> Result<(), AnswerError> {
        let mut all = Vec::new();
        let mut listed = false;
        for part in answer.split([',', ';']).map(str::trim).filter(|part| !part.is_empty()) {
            let times = part
                .split_once(['×', '*', 'x', 'X'])
                .and_then(|(n, rest)| Some((n.trim().parse::<usize>().ok()?, rest.trim())));
            listed |= times.is_some();
            let (count, words) = times.unwrap_or((1, part));
            let one = length(words, asked)?;
            all.extend(std::iter::repeat_n(one, count.min(MOST_ROADS + 1)));
        }
        match all.as_slice() {
            [] => Err(length(answer, asked).err().unwrap_or(AnswerError::NotSoManyRoads { count: 0 })),
            [one] if !listed => {
                (self.length, self.lengths) = (*one, Vec::new());
                Ok(())
            }
            list if !(2..=MOST_ROADS).contains(&list.len()) => Err(AnswerError::NotSoManyRoads { count: list.len() }),
            list => {
                self.roads = u32::try_from(list.len()).unwrap_or(2);
                self.keep_lengths(list);
                Ok(())
            }
        }
    }

    /// One length for each road; a list of lengths that are alike is one length for all.
    fn keep_lengths(&mut self, list: &[Metres]) {
        self.length = list.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or(self.length);
        self.lengths = if list.iter().all(|l| l == &list[0]) { Vec::new() } else { list.to_vec() };
    }
}

/// Most roads of a yard.
const MOST_ROADS: usize = 40;

/// Three times temperature and humidity, in °C and per cent.
fn air(answer: &str) -> Option<[(f64, f64); 3]> {
    let mut all = Vec::new();
    for part in answer.split([',', ';']).map(str::trim) {
        let unit = part.find(['C', 'F'])? + 1;
        let celsius = parse::<Celsius>(part[..unit].trim()).ok()?;
        let humidity = parse::<Fraction>(part[unit..].trim()).ok()?;
        let fits = (-40.0..=60.0).contains(&celsius.0) && (1.0..=100.0).contains(&(humidity.0 * 100.0));
        all.push(fits.then_some((celsius.0, (humidity.0 * 1000.0).round() / 10.0))?);
    }
    all.try_into().ok()
}

fn length(answer: &str, asked: &Question) -> Result<Metres, AnswerError> {
    within(parse::<Metres>(answer)?, asked.bounds)
}

fn within(found: Metres, (least, most): (f64, f64)) -> Result<Metres, AnswerError> {
    if (least..=most).contains(&found.0) {
        Ok(found)
    } else {
        Err(AnswerError::OutOfBounds { answer: found, bounds: (Metres(least), Metres(most)) })
    }
}
