//! Findings for other programs.
//!
//! The records are part of a documented, versioned format: every field is always there, absent things are `null` or
//! empty lists, and fields stand in the order written here. Bytes count from 0, lines and columns from 1, columns in
//! characters, and every end is the place after the last.

use serde::{Deserialize, Serialize};

use crate::model::{Finding, FindingLabel, Harm, Severity};
use crate::place::{Lines, Place};

/// Most characters of the plan repeated in a record; a longer text is cut and ends in `…`.
const MOST_CHARACTERS: usize = 400;

/// A [`Finding`] as other programs get it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FindingRecord {
    /// Names the fault and never changes.
    pub name: String,
    /// `error`, `warning` or `note`.
    pub severity: Severity,
    /// `unclear`, `can-burn`, `can-stop`, `will-age` or `good-to-know`.
    pub harm: Harm,
    /// The fact in one line.
    pub message: String,
    /// The place at fault; none if the finding is about the plan as a whole.
    pub place: Option<PlaceRecord>,
    /// Everything that is said about places, the place at fault first.
    pub labels: Vec<LabelRecord>,
    /// The setting and the path that show it.
    pub witness: Option<WitnessRecord>,
    /// Reasons and numbers.
    pub facts: Vec<String>,
    /// What to do.
    pub help: Option<String>,
    /// The same as edits.
    pub proposal: Option<ProposalRecord>,
}

/// A place in the plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlaceRecord {
    /// Line of the first character.
    pub line: usize,
    /// Column of the first character.
    pub column: usize,
    /// Line of the place after the last character.
    pub end_line: usize,
    /// Column of the place after the last character.
    pub end_column: usize,
    /// First byte.
    pub byte_start: usize,
    /// Byte after the last.
    pub byte_end: usize,
    /// What stands there, cut to 400 characters.
    pub text: String,
}

/// What is said about a place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LabelRecord {
    /// Where.
    pub place: PlaceRecord,
    /// A few words; may be empty.
    pub words: String,
}

/// What shows that the finding is true.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WitnessRecord {
    /// Positions of the controls that matter.
    pub setting: Vec<ControlRecord>,
    /// Named pieces from pole to pole.
    pub path: Vec<String>,
}

/// A control and its position.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ControlRecord {
    /// Its name in the plan.
    pub control: String,
    /// How it stands.
    pub position: String,
}

/// A proposed edit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProposalRecord {
    /// What it does.
    pub says: String,
    /// Edits to be made together.
    pub edits: Vec<EditRecord>,
}

/// Some bytes of the plan replaced by a text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct EditRecord {
    /// First byte that goes.
    pub byte_start: usize,
    /// Byte after the last that goes.
    pub byte_end: usize,
    /// What comes in their stead.
    pub text: String,
}

/// The record of one finding. Reads the whole text; use [`to_records`] for many.
pub fn to_record(finding: &Finding, source: &str) -> FindingRecord {
    record(finding, &Lines::new(source))
}

/// The records of findings, in the order they are given.
pub fn to_records(findings: &[Finding], source: &str) -> Vec<FindingRecord> {
    let lines = Lines::new(source);
    findings.iter().map(|finding| record(finding, &lines)).collect()
}

fn record(finding: &Finding, lines: &Lines) -> FindingRecord {
    let label = |label: &FindingLabel| LabelRecord { place: place(&label.place, lines), words: label.words.clone() };
    FindingRecord {
        name: finding.name.to_owned(),
        severity: finding.severity,
        harm: finding.harm,
        message: finding.message.clone(),
        place: finding.place().map(|at| place(at, lines)),
        labels: finding.at.iter().chain(&finding.also).map(label).collect(),
        witness: finding.witness.as_ref().map(|witness| WitnessRecord {
            setting: witness
                .setting
                .iter()
                .map(|(control, position)| ControlRecord { control: control.clone(), position: position.clone() })
                .collect(),
            path: witness.path.clone(),
        }),
        facts: finding.facts.clone(),
        help: finding.help.clone(),
        proposal: finding.proposal.as_ref().map(|proposal| ProposalRecord {
            says: proposal.says.clone(),
            edits: proposal
                .edits
                .iter()
                .map(|edit| EditRecord {
                    byte_start: edit.place.span.start,
                    byte_end: edit.place.span.end,
                    text: edit.text.clone(),
                })
                .collect(),
        }),
    }
}

fn place(place: &Place, lines: &Lines) -> PlaceRecord {
    let span = place.clamped(lines.source());
    let (line, column) = lines.line_column(span.start);
    let (end_line, end_column) = lines.line_column(span.end);
    let covered = &lines.source()[span.clone()];
    let text = match covered.char_indices().nth(MOST_CHARACTERS) {
        Some((end, _)) => format!("{}…", &covered[..end]),
        None => covered.to_owned(),
    };
    PlaceRecord { line, column, end_line, end_column, byte_start: span.start, byte_end: span.end, text }
}
