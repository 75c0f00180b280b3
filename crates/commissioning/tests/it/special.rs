//! Trackwork and reversers that no demo plan has.

use commissioning::orders::{orders, to_make};
use commissioning::{Age, Element, TestLoad, cold_sheet, hot_sheet};
use schedule::{Choices, Job};
use std::collections::BTreeSet;

const PLAN: &str = r#"
[layout]
name = "special"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4 A" }

[[bus]]
name = "bus"
supply = "booster"
wire = "1.5 mm²"
length = "9 m"

[[three_way]]
name = "W1"
number = 6
frogs = "live"

[[motor]]
name = "ML"
moves = "W1.left"
contact = [
  { common = "W1.left frog", through = "bus.A", diverging = "bus.B" },
  { common = "W1.centre frog", through = "bus.A", diverging = "bus.B" },
]

[[motor]]
name = "MR"
moves = "W1.right"
contact = [{ common = "W1.right frog", through = "bus.B", diverging = "bus.A" }]

[[reverser]]
name = "R1"
kind = "short-sensing"
from = "bus @ 1 m"

[[turntable]]
name = "TT"
length = "0.3 m"
stalls = 3
left = "bus.A"
right = "bus.B"

[[track]]
name = "lead"
from = "beyond"
to = "W1.points"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]

[[track]]
name = "left"
from = "W1.left"
to = "buffer"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]
gaps = [{ at = "0.08 m", rail = "right" }]

[[track]]
name = "middle"
from = "W1.middle"
to = "beyond"
length = "2 m"
left = "R1.A"
right = "R1.B"
feeders = ["1 m"]
gaps = ["0.08 m", "1.9 m"]

[[track]]
name = "right"
from = "W1.right"
to = "TT.stall 1"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]
gaps = [{ at = "0.08 m", rail = "left" }]
"#;

#[test]
fn three_way_turnout_reverser_and_turntable() {
    let reading = plan::read(PLAN);
    assert!(reading.understood(), "{:#?}", reading.findings);
    let job = Job::new(analysis::Analysis::of(PLAN, &reading.plan, &reading.names), Choices::default());
    let circuit = &job.facts.circuit;
    let cold = cold_sheet(&job, Age::New).unwrap();
    let hot = hot_sheet(&job, TestLoad::default()).unwrap();
    assert!(!hot.tests.is_empty());
    let tasks = orders(&job, &cold.tests).unwrap();
    let made: Vec<Element> = tasks.iter().flat_map(|t| t.makes.iter().copied()).collect();
    let once: BTreeSet<Element> = made.iter().copied().collect();
    assert_eq!(made.len(), once.len());
    for element in to_make(circuit) {
        let words = match element {
            Element::Edge(edge) => &circuit.edges[edge].name,
            Element::Gap(a, _) => &circuit.nodes[a].name,
        };
        assert!(once.contains(&element), "{words} is made in no task");
    }
    // Every mistake is noticed by a test, or told with a reason.
    for (number, by) in cold.noticed_by.iter().enumerate() {
        let told = || cold.not_proved.iter().any(|n| n.mistake == Some(cold.mistakes[number]) && !n.why.is_empty());
        assert!(!by.is_empty() || told(), "{:?}", cold.mistakes[number]);
    }
}

/// Plans with each fault that the review knows: whoever prints their sheets gets them, or is told what is left out.
#[test]
fn the_example_of_every_finding_has_its_sheets() {
    let rules = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../review/src/rules");
    let trades = std::fs::read_dir(rules).unwrap().map(|trade| trade.unwrap().path().join("examples"));
    let files = trades.filter_map(|folder| std::fs::read_dir(folder).ok()).flatten().map(|file| file.unwrap().path());
    let is_fault = |file: &std::path::PathBuf| {
        let name = file.file_name().unwrap().to_string_lossy();
        name.ends_with(".toml") && !name.ends_with(".near-miss.toml")
    };
    let (mut seen, mut told) = (0, Vec::new());
    for file in files.filter(is_fault) {
        let text = std::fs::read_to_string(&file).unwrap();
        let reading = plan::read(&text);
        if !reading.understood() {
            continue;
        }
        let facts = analysis::Analysis::of(&text, &reading.plan, &reading.names);
        let job = schedule::Job::new(facts, schedule::Choices::default());
        let hot = hot_sheet(&job, TestLoad::Amps(1.0));
        let cold = cold_sheet(&job, Age::New);
        assert!(hot.is_ok() && cold.is_ok(), "{}", file.display());
        told.extend(hot.unwrap().left_out);
        seen += 1;
    }
    assert!(seen > 50, "only {seen}");
    assert!(told.iter().any(|words| words.contains("no setting is left")), "{told:#?}");
}
