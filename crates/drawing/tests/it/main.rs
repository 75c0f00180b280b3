//! Drawings, checked by geometry.
#![allow(clippy::unwrap_used)]

mod edits;
mod plans;
mod schematics;
mod under;
mod yards;

use drawing::Subject;
use schedule::{Choices, Numbers};

/// Calls with what is drawn of a plan.
fn with<T>(text: &str, then: impl FnOnce(&Subject<'_>) -> T) -> T {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}", reading.findings);
    let circuit = circuit::Circuit::from_plan(&reading.plan, &reading.names);
    let numbers = Numbers::fresh(&circuit);
    let (plan, names) = (&reading.plan, &reading.names);
    then(&Subject { plan, names, circuit: &circuit, numbers: &numbers, choices: Choices::default() })
}
