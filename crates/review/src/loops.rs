//! Closed ways that come back with left and right exchanged, in a builder's words.

use crate::context::Context;
use crate::section_gaps::{self, Changes, Lacking};
use analysis::lengths_table::over_wheels;
use analysis::words;
use circuit::{EdgeId, SegmentId};
use plan::tables::Train;
use proof::OddCycle;

/// Candidates for a section that are named.
const MOST_CANDIDATES: usize = 3;

/// The longest train over its metal wheels, and that length in metres.
pub fn longest_train<'p>(facts: &Context<'p>) -> Option<(&'p Train, f64)> {
    let trains = facts.plan.train.iter().map(|t| (t, over_wheels(t)));
    trains.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// `T1 diverging → loop → T1 through`.
pub fn cycle(facts: &Context<'_>, segments: &[SegmentId]) -> String {
    let names: Vec<&str> = segments.iter().map(|&s| facts.circuit.segments[s].name.as_str()).collect();
    names.join(" → ")
}

/// Where a section could be: `loop (4.7 m, longer than the longest train, 3.4 m)`.
pub fn candidates(facts: &Context<'_>, cycle: &OddCycle) -> Vec<String> {
    let train = longest_train(facts);
    let shown = cycle.candidates.iter().take(MOST_CANDIDATES);
    shown
        .map(|(tracks, length)| {
            let names: Vec<String> = tracks.iter().map(|&t| facts.circuit.segments[t].name.clone()).collect();
            let fits = match train {
                Some((_, train)) if *length > train => {
                    format!(", longer than the longest train, {}", facts.plan.units().metres(train))
                }
                Some((_, train)) => format!(", too short for the longest train, {}", facts.plan.units().metres(train)),
                None => String::new(),
            };
            format!("{} ({}{fits})", words::list(&names), facts.plan.units().metres(*length))
        })
        .collect()
}

/// The closed way that comes back turned on which a segment lies, if any.
fn turned<'f>(facts: &'f Context<'_>, segment: SegmentId) -> Option<&'f OddCycle> {
    facts.proof().into_iter().flat_map(|p| &p.odd_cycles).find(|c| c.segments.contains(&segment))
}

/// The gaps that sections lack on such a way that a fault touches; else the one that is missing on the path of the fault: the
/// tail on which trains turn at a triangle lies on no closed way itself.
pub(crate) fn lacking(facts: &Context<'_>, over: &[SegmentId], path: &[EdgeId]) -> Vec<Lacking> {
    let ways: Vec<&OddCycle> = over.iter().filter_map(|&segment| turned(facts, segment)).collect();
    if ways.is_empty() {
        return Vec::new();
    }
    let on_way = ways.iter().map(|way| section_gaps::lacking(facts, &way.segments)).find(|lacking| !lacking.is_empty());
    on_way.unwrap_or_else(|| section_gaps::lacking_on(facts, path, Changes::Phase).into_iter().collect())
}

/// What else to know of a fault on these segments, along this path: that the way comes back turned, and which gap its section
/// lacks or where one could be.
pub fn facts_of(facts: &Context<'_>, over: &[SegmentId], path: &[EdgeId]) -> Vec<String> {
    facts_beside(facts, over, &lacking(facts, over, path))
}

/// The same where the gaps that sections lack are known already.
pub(crate) fn facts_beside(facts: &Context<'_>, over: &[SegmentId], lacking: &[Lacking]) -> Vec<String> {
    let Some(found) = over.iter().find_map(|&segment| turned(facts, segment)) else { return Vec::new() };
    if !lacking.is_empty() {
        return lacking.iter().map(|one| section_gaps::words_of(facts, one)).collect();
    }
    let mut said = vec![format!(
        "the route {} comes back with left and right exchanged, and no section on it changes its phase",
        cycle(facts, &found.segments)
    )];
    let candidates = candidates(facts, found);
    if !candidates.is_empty() {
        said.push(format!("a reversing section could be: {}", candidates.join("; ")));
    }
    said
}

/// Whether a fault that is reported already lies on a closed way.
pub fn is_reported(facts: &Context<'_>, found: &OddCycle) -> bool {
    let Ok(proof) = facts.proof() else { return false };
    let on = |segment: SegmentId| found.segments.contains(&segment);
    proof.bridges.iter().any(|b| on(facts.circuit.gaps[b.gap].segment))
        || proof.wrong_phases.iter().any(|w| on(w.track))
        || proof.shorts.iter().any(|s| section_gaps::rail_segments(facts, &s.witness.edges).into_iter().any(on))
}
