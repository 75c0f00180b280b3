//! What is known of a plan before anything is tried, and what a scheme and the choices left come to: edits, the text after them, what the
//! review finds.

use super::contacts::{Building, Contacts};
use super::districts::Districts;
use super::edits::{Choices, Writing};
use super::feeders::{Feeders, Spacing};
use super::places::Places;
use super::scheme::{Scheme, YardForm};
use super::sketch::Sketch;
use super::yards::Yard;
use finding::{Finding, Severity};

/// Everything about a plan that does not depend on what is tried.
pub(crate) struct Ground<'a, 'p> {
    pub(crate) sketch: &'a Sketch<'p>,
    pub(crate) places: Places,
    pub(crate) districts: Districts,
    pub(crate) yards: Vec<Yard>,
}

/// A scheme, and how its yards are fed.
pub(crate) struct Candidate {
    pub(crate) scheme: Scheme,
    pub(crate) form: YardForm,
}

/// What can be chosen for a scheme.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Tuning {
    pub(crate) choices: Choices,
    pub(crate) spacing: Spacing,
    pub(crate) all_frogs: bool,
}

/// What was built of a candidate and a tuning, and what the review finds.
pub(crate) struct Built {
    pub(crate) contacts: Contacts,
    pub(crate) feeders: Feeders,
    pub(crate) edits: Vec<finding::Edit>,
    pub(crate) text: String,
    pub(crate) found: Vec<Finding>,
}

impl Ground<'_, '_> {
    pub(crate) fn write(&self, candidate: &Candidate, tuning: &Tuning) -> Built {
        let building = Building {
            yards: &self.yards,
            form: candidate.form,
            spacing: &tuning.spacing,
            all_frogs: tuning.all_frogs,
        };
        let contacts = Contacts::new(self.sketch, &candidate.scheme, &self.places, building);
        let feeders = Feeders::new(self.sketch, &candidate.scheme, &self.places, &tuning.spacing);
        let writing = Writing {
            sketch: self.sketch,
            scheme: &candidate.scheme,
            places: &self.places,
            contacts: &contacts,
            feeders: &feeders,
            districts: &self.districts,
            choices: &tuning.choices,
        };
        let edits = writing.edits();
        let edits = self.sketch.names.expansion.written(&edits).unwrap_or(edits);
        let text = finding::apply(self.sketch.text, &edits).unwrap_or_else(|_| self.sketch.text.to_owned());
        Built { contacts, feeders, edits, text, found: Vec::new() }
    }

    pub(crate) fn build(&self, candidate: &Candidate, tuning: &Tuning) -> Built {
        let built = self.write(candidate, tuning);
        let told = |f: &Finding| matches!(f.severity, Severity::Error | Severity::Warning);
        let found = review::findings(&built.text).into_iter().filter(told).collect();
        Built { found, ..built }
    }
}
