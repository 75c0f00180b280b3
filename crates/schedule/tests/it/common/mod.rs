//! Plans for the tests.
#![allow(dead_code, clippy::unwrap_used)]

use schedule::{Choices, Job};

/// The demo plans: name and text.
pub fn demos() -> Vec<(String, String)> {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../../plans");
    let mut folders: Vec<_> = std::fs::read_dir(root).unwrap().map(|f| f.unwrap().path()).collect();
    folders.sort();
    let plans = folders.iter().filter(|f| f.join("plan.toml").exists());
    let plans = plans.map(|f| {
        let text = std::fs::read_to_string(f.join("plan.toml")).unwrap();
        (f.file_name().unwrap().to_string_lossy().into_owned(), text)
    });
    let more = [("everything".to_owned(), EVERYTHING.to_owned()), ("boards".to_owned(), BOARDS.to_owned())];
    let plans: Vec<_> = plans.chain(more).collect();
    assert!(plans.len() >= 8, "the demo plans are not where they should be");
    plans
}

/// A plan with what no demo plan has: a branch, districts with a common pole, a reverser, a relay, a toggle, a slip, a
/// crossing, a three-way turnout, a turntable, and names that a spreadsheet would take for formulas.
pub const EVERYTHING: &str = include_str!("everything.toml");

/// A line over boards that come apart, with plugs in wires of every kind.
pub const BOARDS: &str = include_str!("boards.toml");

/// Does something with the job of a plan that has no reading errors.
pub fn with_job<R>(text: &str, then: impl FnOnce(&Job<'_>) -> R) -> R {
    let reading = plan::read(text);
    let told: Vec<_> = reading.findings.iter().map(|f| (f.name, f.message.clone())).collect();
    assert!(reading.understood(), "{told:?}\n{text}");
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    then(&Job::new(facts, Choices::default()))
}

/// The circuit of a plan and the plan, where that is all that is wanted.
pub fn with_circuit<R>(text: &str, then: impl FnOnce(&circuit::Circuit, &plan::Plan, &plan::Names) -> R) -> R {
    let reading = plan::read(text);
    let told: Vec<_> = reading.findings.iter().map(|f| (f.name, f.message.clone())).collect();
    assert!(reading.understood(), "{told:?}\n{text}");
    then(&circuit::Circuit::from_plan(&reading.plan, &reading.names), &reading.plan, &reading.names)
}

/// A plan with a name exchanged for another wherever it stands.
pub fn renamed(text: &str, old: &str, new: &str) -> String {
    ["\"", ".", " @", " through\"", " diverging\""]
        .iter()
        .fold(text.to_owned(), |text, behind| text.replace(&format!("\"{old}{behind}"), &format!("\"{new}{behind}")))
}

/// Names of things that wires end at.
pub fn names_of(text: &str) -> Vec<String> {
    let plan = plan::read(text).plan;
    let names = plan::names::each_name(&plan)
        .filter(|n| !matches!(n.0, plan::Kind::Train | plan::Kind::Panel | plan::Kind::Board));
    names.map(|n| n.2.value.clone()).collect()
}
