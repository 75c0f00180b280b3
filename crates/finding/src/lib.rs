//! Places in text, findings, and how they are printed.
//!
//! A [`Finding`] is what a review has to say about one cause: its name, how grave it is, the [`Place`] in the plan it
//! points at, the setting and the path of the current that show it, and the [`Edit`]s that would fix it. It is plain
//! data. Three renderers tell it: [`render_full`] to somebody at a terminal, [`render_concise`] in one line each, and
//! [`to_record`] to other programs.
//!
//! The text of a plan is never trusted. Places may lie outside it or cut a character in two, lines may be megabytes
//! long, names may hold escape sequences: every renderer clamps, cuts and makes visible, and none of them panics.

mod concise;
mod cut;
mod edit;
mod full;
mod model;
mod patch;
mod place;
mod record;
mod source;
mod words;

pub use concise::render_concise;
pub use edit::{Edit, EditError, apply};
pub use full::{Style, counts, render_edits, render_full};
pub use model::{Finding, FindingLabel, FindingWitness, Harm, Proposal, Severity, dedup, sort};
pub use place::{Lines, Place};
pub use record::{
    ControlRecord, EditRecord, FindingRecord, LabelRecord, PlaceRecord, ProposalRecord, WitnessRecord, to_record,
    to_records,
};
