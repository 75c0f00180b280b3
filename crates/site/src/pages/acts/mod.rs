//! Forms for the common acts, filled with what the plan says today.

mod questions;
mod shown;

pub(crate) use questions::Today;
pub(crate) use shown::{changes, not_understood, of_bus, of_feeder, of_track, refused};

use crate::address::Fields;
use plan::Plan;
use plan::acts::PlanAct;

/// A common act, before it is said what it is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FormAction {
    AddTrack,
    AddTurnout,
    AddFeeder,
    AddGap,
    Length,
    Wire,
}

impl FormAction {
    const ALL: [(FormAction, &'static str, &'static str, &'static str); 6] = [
        (FormAction::AddTrack, "add-track", "Add a track", "Add the track"),
        (FormAction::AddTurnout, "add-turnout", "Add a turnout", "Add the turnout"),
        (FormAction::AddFeeder, "add-feeder", "Add a feeder", "Add the feeder"),
        (FormAction::AddGap, "add-gap", "Add a gap", "Add the gap"),
        (FormAction::Length, "length", "Change its length", "Change the length"),
        (FormAction::Wire, "wire", "Change its wire", "Change the wire"),
    ];

    /// The act that a form asks for.
    pub fn from_word(word: &str) -> Option<FormAction> {
        FormAction::ALL.iter().find(|d| d.1 == word).map(|d| d.0)
    }

    fn row(self) -> &'static (FormAction, &'static str, &'static str, &'static str) {
        FormAction::ALL.iter().find(|d| d.0 == self).unwrap_or(&FormAction::ALL[0])
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
    pub fn with(self, fields: &Fields) -> PlanAct<'_> {
        let said = |name: &str| fields.get(name).unwrap_or_default();
        match self {
            FormAction::AddTrack => PlanAct::AddTrack {
                name: said("name"),
                from: said("from"),
                to: said("to"),
                length: said("length"),
                left: said("left"),
                right: said("right"),
            },
            FormAction::AddTurnout => PlanAct::AddTurnout {
                name: said("name"),
                hand: said("hand"),
                wiring: said("wiring"),
                number: said("number"),
                joins: said("joins"),
                by: said("by"),
            },
            FormAction::AddFeeder => {
                PlanAct::AddFeeder { track: said("of"), at: said("at"), rail: said("rail"), to: said("to") }
            }
            FormAction::AddGap => PlanAct::AddGap { track: said("of"), at: said("at"), rail: said("rail") },
            FormAction::Length => PlanAct::Length { of: said("of"), length: said("length") },
            FormAction::Wire => PlanAct::Wire { of: said("of"), feeder: feeder(fields), wire: said("wire") },
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
