//! Parting two districts that are joined.

use crate::context::Context;
use crate::fixes::{first_good, gaps, wires};
use crate::section_gaps::{self, Lacking};
use circuit::EdgeId;
use finding::Proposal;
use proof::Proof;

/// How two districts that are joined are parted, and what is missing, in words.
pub(crate) struct Parted {
    /// Which gap is missing, where that is known.
    pub(crate) why: Option<String>,
    /// The edit.
    pub(crate) proposal: Option<Proposal>,
}

/// Parts two districts along a path that joins them: a feeder that landed on the wrong bus is moved, the gap that a section lacks is cut, or the
/// one that was forgotten beside that of the other rail, or those where two tracks meet.
pub(crate) fn parted(
    facts: &Context<'_>,
    name: &str,
    path: &[EdgeId],
    lacking: Option<Lacking>,
    proved: impl Fn(&Proof) -> bool,
) -> Parted {
    if let Some(proposal) = first_good(facts, name, wires::stray_feeders(facts, path), &proved) {
        return Parted { why: None, proposal: Some(proposal) };
    }
    let said = lacking.as_ref().map(|one| section_gaps::words_of(facts, one));
    for one in lacking.into_iter().chain(section_gaps::half_cut_on(facts, path)) {
        let cut = section_gaps::changes(facts, std::slice::from_ref(&one));
        if let Some(proposal) = first_good(facts, name, cut, &proved) {
            return Parted { why: Some(section_gaps::words_of(facts, &one)), proposal: Some(proposal) };
        }
    }
    Parted { why: said, proposal: first_good(facts, name, gaps::at_end_joints(facts, path, true), &proved) }
}
