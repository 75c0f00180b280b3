//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod addresses;
mod broken;
mod cases;
mod common_questions;
mod composites;
mod contacts;
mod drivers;
mod growth;
mod language;
mod laws;
mod messages;
mod near_misses;
mod planted;
mod plastic_frogs;
mod profile;
mod questions;
mod scale;
mod seasons;
mod sections;
mod unproved;
mod what_if;

/// Asks the analysis of a plan, which must be understood.
fn ask<T>(text: &str, question: impl FnOnce(&analysis::Analysis<'_>) -> T) -> T {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}", reading.findings);
    question(&analysis::Analysis::of(text, &reading.plan, &reading.names))
}
