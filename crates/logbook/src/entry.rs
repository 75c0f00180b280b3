//! An entry: what was done or measured, by whom, when, with what.

use crate::clock::Moment;
use std::fmt;
use uuid::{ContextV7, Timestamp, Uuid};

/// What an entry is known by on all copies of a logbook: a UUID of version 7 (RFC 9562), so that ids follow the time they were made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EntryId(Uuid);

impl EntryId {
    /// A new one, made at a moment; two of one millisecond differ by random numbers.
    pub fn new(made: &Moment) -> EntryId {
        EntryId::next(made, &ContextV7::new())
    }

    /// Several, made at one moment, each behind the one before it.
    pub fn several(made: &Moment, count: usize) -> Vec<EntryId> {
        let context = ContextV7::new();
        (0..count).map(|_| EntryId::next(made, &context)).collect()
    }

    fn next(made: &Moment, context: &ContextV7) -> EntryId {
        let milliseconds = made.milliseconds().max(0).unsigned_abs();
        let nanoseconds = u32::try_from(milliseconds % 1000).unwrap_or(0) * 1_000_000;
        EntryId(Uuid::new_v7(Timestamp::from_unix(context, milliseconds / 1000, nanoseconds)))
    }

    /// An id as a logbook writes it; none where that is no UUID.
    pub fn parse(text: &str) -> Option<EntryId> {
        (text.len() == 36).then(|| Uuid::parse_str(text).ok().map(EntryId)).flatten()
    }

    /// Its last eight digits, which are random: enough for people to tell entries apart.
    pub fn short(&self) -> String {
        self.to_string()[28..].to_owned()
    }
}

impl fmt::Display for EntryId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.hyphenated())
    }
}

/// What an entry tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EntryKind {
    /// A job of the work orders is done.
    Tick,
    /// What a test read.
    Reading,
    /// What somebody saw go wrong.
    Symptom,
    /// What was repaired.
    Repair,
    /// What a meter is.
    Instrument,
    /// How warm the air is.
    Air,
    /// Anything else worth knowing.
    Remark,
    /// Which things the plan had, so that entries are found again after names changed.
    Things,
}

impl EntryKind {
    /// All kinds.
    pub const ALL: [EntryKind; 8] = [
        EntryKind::Tick,
        EntryKind::Reading,
        EntryKind::Symptom,
        EntryKind::Repair,
        EntryKind::Instrument,
        EntryKind::Air,
        EntryKind::Remark,
        EntryKind::Things,
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            EntryKind::Tick => "tick",
            EntryKind::Reading => "reading",
            EntryKind::Symptom => "symptom",
            EntryKind::Repair => "repair",
            EntryKind::Instrument => "instrument",
            EntryKind::Air => "air",
            EntryKind::Remark => "remark",
            EntryKind::Things => "things",
        }
    }

    /// The kind of a word.
    pub fn from_word(word: &str) -> Option<EntryKind> {
        EntryKind::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// What an entry says, before it is one.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// When it was so, by the clock of who says it.
    pub time: Moment,
    /// The machine it was written on.
    pub device: String,
    /// Which text of the plan it is about: its revision, as papers have it.
    pub plan: String,
    /// What it tells.
    pub kind: EntryKind,
    /// What it is about: a key that its maker finds again after names and numbers changed. This room never looks into it.
    pub what: String,
    /// What the turnouts were set for, in words.
    pub setting: String,
    /// What was typed, as it was typed: `0,4`, `OL`, `engine stalls`.
    pub typed: String,
    /// What that is as a number, in `unit`; infinite where the meter showed more than it can read.
    pub value: Option<f64>,
    /// The unit of the value.
    pub unit: String,
    /// The range the meter stood on, in words.
    pub range: String,
    /// Which meter, by the name it was entered under.
    pub instrument: String,
    /// What its leads read when held together, in ohms.
    pub lead_zero: Option<f64>,
    /// How warm the air was, in °C.
    pub air: Option<f64>,
    /// Who did or saw it.
    pub who: String,
    /// A remark.
    pub note: String,
    /// What the program said of it then: `well`, `fails`, and the limits.
    pub judged: String,
    /// The entry that this one stands in place of.
    pub supersedes: Option<EntryId>,
}

impl Draft {
    /// A draft that says nothing yet.
    pub fn new(kind: EntryKind, time: Moment) -> Draft {
        let empty = String::new;
        Draft {
            time,
            device: empty(),
            plan: empty(),
            kind,
            what: empty(),
            setting: empty(),
            typed: empty(),
            value: None,
            unit: empty(),
            range: empty(),
            instrument: empty(),
            lead_zero: None,
            air: None,
            who: empty(),
            note: empty(),
            judged: empty(),
            supersedes: None,
        }
    }
}

/// An entry, as it was written and will always be.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// What it is known by.
    pub id: EntryId,
    /// What it says.
    pub says: Draft,
}

/// What is typed in place of a value where an entry is taken back.
pub const WITHDRAWN: &str = "withdrawn";

impl Entry {
    /// Whether it takes back what it stands in place of and says nothing itself.
    pub fn is_withdrawal(&self) -> bool {
        self.says.supersedes.is_some() && self.says.typed == WITHDRAWN
    }
}
