//! Forms for the common acts, filled with what the plan says today.

mod asked;
mod shown;

pub(crate) use asked::Today;
pub(crate) use shown::{changes, not_understood, of_bus, of_feeder, of_track, refused};

use crate::address::Fields;
use plan::Plan;
use plan::acts::Act;

/// A common act, before it is said what it is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Doing {
    AddTrack,
    AddTurnout,
    AddFeeder,
    AddGap,
    Length,
    Wire,
}

impl Doing {
    const ALL: [(Doing, &'static str, &'static str, &'static str); 6] = [
        (Doing::AddTrack, "add-track", "Add a track", "Add the track"),
        (Doing::AddTurnout, "add-turnout", "Add a turnout", "Add the turnout"),
        (Doing::AddFeeder, "add-feeder", "Add a feeder", "Add the feeder"),
        (Doing::AddGap, "add-gap", "Add a gap", "Add the gap"),
        (Doing::Length, "length", "Change its length", "Change the length"),
        (Doing::Wire, "wire", "Change its wire", "Change the wire"),
    ];

    /// The act that a form asks for.
    pub fn from_word(word: &str) -> Option<Doing> {
        Doing::ALL.iter().find(|d| d.1 == word).map(|d| d.0)
    }

    fn row(self) -> &'static (Doing, &'static str, &'static str, &'static str) {
        Doing::ALL.iter().find(|d| d.0 == self).unwrap_or(&Doing::ALL[0])
    }

    /// Its word in forms and addresses.
    pub fn word(self) -> &'static str {
        self.row().1
    }

    fn title(self) -> &'static str {
        self.row().2
    }

    fn button(self) -> &'static str {
        self.row().3
    }

    /// The act with what a form says of it.
    pub fn with(self, fields: &Fields) -> Act<'_> {
        let said = |name: &str| fields.get(name).unwrap_or_default();
        match self {
            Doing::AddTrack => Act::AddTrack {
                name: said("name"),
                from: said("from"),
                to: said("to"),
                length: said("length"),
                left: said("left"),
                right: said("right"),
            },
            Doing::AddTurnout => Act::AddTurnout {
                name: said("name"),
                hand: said("hand"),
                wiring: said("wiring"),
                number: said("number"),
                joins: said("joins"),
                by: said("by"),
            },
            Doing::AddFeeder => {
                Act::AddFeeder { track: said("of"), at: said("at"), rail: said("rail"), to: said("to") }
            }
            Doing::AddGap => Act::AddGap { track: said("of"), at: said("at"), rail: said("rail") },
            Doing::Length => Act::Length { of: said("of"), length: said("length") },
            Doing::Wire => Act::Wire { of: said("of"), feeder: feeder(fields), wire: said("wire") },
        }
    }
}

/// Which feeder of a track a form is about; none where it is about all. What is no count is none that there is.
fn feeder(fields: &Fields) -> Option<usize> {
    fields.get("feeder").filter(|said| !said.is_empty()).map(|said| said.parse().unwrap_or(usize::MAX))
}

/// The track whose list of feeders holds a place of the text, and which of them it is, from 1.
pub(crate) fn feeder_at(plan: &Plan, at: usize) -> Option<(&plan::tables::Track, usize)> {
    plan.track.iter().find_map(|track| {
        let found = track.feeders.iter().position(|f| f.span.start <= at && at < f.span.end)?;
        Some((track, found + 1))
    })
}
