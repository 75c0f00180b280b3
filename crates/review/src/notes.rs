//! What is worth knowing of a plan without being a fault of it: one line each, under the summary.

use crate::{Facts, words};
use handbook::limits::FEEDER_SPACING;
use handbook::quantity::Quantity;
use std::collections::BTreeSet;

/// Names in one line; of more, only how many more there are.
const MOST_NAMES: usize = 6;

/// All of them.
pub fn notes(facts: &Facts<'_>) -> Vec<String> {
    run_through(facts)
        .into_iter()
        .chain(most_depends_on(facts))
        .chain(not_asked(facts))
        .chain(failures_left_out(facts))
        .chain(crate::filters::notes(facts))
        .chain(cut_short(facts))
        .chain(seasons_not_told(facts))
        .chain(crate::mend::left_out(facts).then(|| "mends were tried for some of the findings only".to_owned()))
        .collect()
}

/// What happens while motors move, where that grew too complex; where there are lasting shorts they go first.
fn not_asked(facts: &Facts<'_>) -> Option<String> {
    let proof = facts.proof.as_ref().ok()?;
    let not_asked = proof.shorts.is_empty() && proof.mid_throws.is_none();
    not_asked.then(|| "what happens while motors move is too complex to be proved, and was not".to_owned())
}

/// What a plan lacks that tells something of room or base, and not enough.
fn seasons_not_told(facts: &Facts<'_>) -> Option<String> {
    let missing = &facts.movement.as_ref().err()?.missing;
    let began = facts.plan.room.is_some() || facts.plan.base.as_ref().is_some_and(|b| b.value.thickness.is_none());
    let missing: Vec<String> = missing.iter().map(|&m| m.to_owned()).collect();
    began.then(|| {
        format!("what rails and base do over the year was not reckoned: the plan lacks {}", words::list(&missing))
    })
}

/// Faults that are so many that no more were looked for.
fn cut_short(facts: &Facts<'_>) -> Option<String> {
    let cut_short = &facts.proof.as_ref().ok()?.cut_short;
    let words: Vec<String> = cut_short.iter().map(|&s| s.to_owned()).collect();
    (!words.is_empty()).then(|| {
        format!(
            "so much is wrong that these were not looked for to the end: {}; mend some and ask again",
            words::list(&words)
        )
    })
}

/// Single failures, where there are too many ways to try them on all.
fn failures_left_out(facts: &Facts<'_>) -> Option<String> {
    let tried = crate::ways_failed(&facts.circuit, &facts.ways);
    let all = facts.ways.complete && tried == facts.ways.list.len();
    let large = crate::is_large(&facts.circuit);
    let numbers = if large {
        format!(
            "; what its opening leaves of the numbers was not reckoned, what reversals cost decoders only for the {} weakest tracks",
            crate::figures::WEAKEST
        )
    } else {
        String::new()
    };
    (!all || large).then(|| {
        format!("what one joint, contact, tap or feeder takes with it was tried on {tried} ways only{numbers}")
    })
}

/// Trackwork that a train must not run through while it is set against it.
fn run_through(facts: &Facts<'_>) -> Option<String> {
    let proof = facts.proof.as_ref().ok()?;
    let works: BTreeSet<_> = proof.run_throughs.iter().map(|r| (r.kind, r.index)).collect();
    let name = |&(kind, index): &(plan::Kind, usize)| {
        let run = proof.run_throughs.iter().find(|r| (r.kind, r.index) == (kind, index))?;
        let span = facts.circuit.segments[run.segment].span.clone();
        Some(facts.text.get(span)?.trim_matches(['"', '\'']).to_owned())
    };
    let names: Vec<String> = works.iter().filter_map(name).collect();
    if names.is_empty() {
        return None;
    }
    Some(format!("a train that runs through these set against it is a short: {}", some_of(&names)))
}

/// The joint, contact, tap or feeder that takes most rail with it.
fn most_depends_on(facts: &Facts<'_>) -> Option<String> {
    let worst = facts.failures.first().filter(|f| f.dead_metres > FEEDER_SPACING.value.low.si())?;
    let edge = &facts.circuit.edges[worst.edge as usize];
    let mut by_length = worst.segments.clone();
    by_length.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let names: Vec<String> = by_length.iter().map(|s| facts.circuit.segments[s.0].name.clone()).collect();
    let metres = words::metres(worst.dead_metres);
    Some(format!("most hangs on the {}: {metres} of rail, {}", edge.name, some_of(&names)))
}

/// A list, cut where it gets long.
pub fn some_of(names: &[String]) -> String {
    match names.len() {
        0..=MOST_NAMES => words::list(names),
        more => format!("{} and {} more", names[..MOST_NAMES - 1].join(", "), more + 1 - MOST_NAMES),
    }
}
