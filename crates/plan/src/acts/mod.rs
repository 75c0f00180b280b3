//! What a builder does to a plan again and again, each as a function from a text to the text after it.
//!
//! ```text
//! text ─▶ read ─▶ what the act asks for, held against the plan ─▶ edits ─▶ the new text
//!                     └─ or a refusal: which field, why, and what would do
//! ```
//!
//! Every other byte of the text stays: comments, order and layout are the builder's. What an act does may still make the plan
//! not understood, such as a track that becomes shorter than its gaps; that is for whoever shows it to look at.

mod add;
mod check;
mod ends;
mod set;

pub use ends::{OpenEnd, open_ends};

use crate::{Kind, Names, Plan};
use finding::Edit;

/// A common act. What it asks for is said in words, as a form has them; units are those of the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlanAct<'s> {
    /// A new track between two ends.
    AddTrack {
        /// Its name.
        name: &'s str,
        /// What its `from` end joins: an open end, `buffer` or `beyond`.
        from: &'s str,
        /// What its `to` end joins.
        to: &'s str,
        /// Its length.
        length: &'s str,
        /// The conductor its left rail's feeders go to; empty where that is not said yet.
        left: &'s str,
        /// The conductor its right rail's feeders go to.
        right: &'s str,
    },
    /// A new turnout, at an open end where one is said.
    AddTurnout {
        /// Its name.
        name: &'s str,
        /// To which side it diverges: `left`, `right` or `wye`.
        hand: &'s str,
        /// How it is wired, by the word of the plan.
        wiring: &'s str,
        /// Its frog number; empty where that is not said.
        number: &'s str,
        /// The open end of a track that it joins; empty for none.
        joins: &'s str,
        /// The end of the turnout that joins there: `points`, `through` or `diverging`; of a wye the last two are its
        /// left and its right one.
        by: &'s str,
    },
    /// A new feeder of a track.
    AddFeeder {
        /// The track.
        track: &'s str,
        /// Where, from its `from` end.
        at: &'s str,
        /// `left`, `right` or `both`.
        rail: &'s str,
        /// What it goes to; empty for the rail's own conductor.
        to: &'s str,
    },
    /// A new gap in a track.
    AddGap {
        /// The track.
        track: &'s str,
        /// Where, from its `from` end.
        at: &'s str,
        /// `left`, `right` or `both`.
        rail: &'s str,
    },
    /// Another length of a track or bus.
    Length {
        /// The track or bus.
        of: &'s str,
        /// Its length.
        length: &'s str,
    },
    /// Another wire of a bus, of all feeders of a track, or of one of them.
    Wire {
        /// The bus or track.
        of: &'s str,
        /// Which of the track's feeders, counted from 1 as the plan lists them; all where it is left out.
        feeder: Option<usize>,
        /// The wire.
        wire: &'s str,
    },
}

/// Why an act was not done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ActRefused {
    /// The field at fault, by its name in [`PlanAct`]; empty where it is none of them.
    pub field: &'static str,
    /// What is the matter, in a line without a full stop.
    pub why: String,
    /// What would do.
    pub instead: String,
}

/// What an act came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Acted {
    /// The text after it.
    pub text: String,
    /// What it changes in the text before.
    pub edits: Vec<Edit>,
    /// The name of the thing it is about.
    pub of: String,
}

/// Does an act.
///
/// # Errors
/// Where the plan as it stands is not understood, or what is asked for does not fit it.
pub fn perform(text: &str, act: &PlanAct<'_>) -> Result<Acted, ActRefused> {
    let reading = crate::read(text);
    if !reading.understood() {
        return refuse("", "the plan as it stands is not understood", "fix its text first");
    }
    let expansion = &reading.names.expansion;
    let at = CurrentPlan { text: expansion.whole(text), plan: &reading.plan, names: &reading.names };
    let (of, mut edits) = match *act {
        PlanAct::AddTrack { .. } => add::track(&at, act)?,
        PlanAct::AddTurnout { .. } => add::turnout(&at, act)?,
        PlanAct::AddFeeder { track, at: place, rail, to } => add::feeder(&at, track, place, rail, to)?,
        PlanAct::AddGap { track, at: place, rail } => add::gap(&at, track, place, rail)?,
        PlanAct::Length { of, length } => set::length(&at, of, length)?,
        PlanAct::Wire { of, feeder, wire } => set::wire(&at, of, feeder, wire)?,
    };
    let Some(led_back) = expansion.written(&edits) else {
        return refuse(
            "",
            "this stands in what a composite table stands for",
            "make the change in the composite, in the text",
        );
    };
    edits = led_back;
    if text.contains("\r\n") {
        for edit in &mut edits {
            edit.text = edit.text.replace("\r\n", "\n").replace('\n', "\r\n");
        }
    }
    let text = finding::apply(text, &edits).map_err(|error| ActRefused {
        field: "",
        why: format!("the change does not fit the text, which is a fault of the program: {error}"),
        instead: "make it in the text".to_owned(),
    })?;
    Ok(Acted { text, edits, of })
}

/// A plan as it stands.
struct CurrentPlan<'s> {
    text: &'s str,
    plan: &'s Plan,
    names: &'s Names,
}

impl CurrentPlan<'_> {
    /// The index of the track of a name.
    fn track(&self, name: &str) -> Result<usize, ActRefused> {
        match self.names.get(name) {
            Some((Kind::Track, index)) => Ok(index),
            _ => refuse("of", format!("there is no track `{name}`"), "choose a track of the plan"),
        }
    }
}

fn refuse<T>(field: &'static str, why: impl Into<String>, instead: impl Into<String>) -> Result<T, ActRefused> {
    Err(ActRefused { field, why: why.into(), instead: instead.into() })
}
