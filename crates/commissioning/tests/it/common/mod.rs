//! The demo plans as jobs.
#![allow(dead_code, clippy::unwrap_used)] // each test file uses its part

use circuit::Circuit;
use commissioning::{How, Test, measured};
use electrics::{Level, operating_point};
use schedule::{Choices, Job};
use std::path::Path;

pub const PLANS: [&str; 7] =
    ["thistle-dock", "thistle-dock-mended", "seven-tracks", "two-ladders", "balloon", "wye", "two-districts"];

/// Does something with the job of each demo plan.
pub fn each_demo(mut does: impl FnMut(&str, &Job<'_>)) {
    for name in PLANS {
        with_demo(name, |job| does(name, job));
    }
}

/// The text of one demo plan.
pub fn text_of(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../plans").join(name).join("plan.toml");
    std::fs::read_to_string(path).expect("a demo plan")
}

/// Does something with the job of one demo plan.
pub fn with_demo<T>(name: &str, does: impl FnOnce(&Job<'_>) -> T) -> T {
    let text = text_of(name);
    let reading = plan::read(&text);
    assert!(reading.understood(), "{name}");
    let facts = analysis::Analysis::of(&text, &reading.plan, &reading.names);
    does(&Job::new(facts, Choices::default()))
}

/// What a test reads on a circuit, in its own unit, by a bench supply clipped on and an operating point solved.
pub fn reading(circuit: &Circuit, test: &Test, level: Level) -> f64 {
    let pair = test.between.as_ref().unwrap().each_ref().map(|p| p.node);
    let measured = measured::measured(circuit, pair);
    let point = operating_point(&measured, &test.setting, level, &[]).unwrap();
    let ohms = match (point.volts[pair[0]], point.volts[pair[1]]) {
        (Some(one), Some(other)) => measured::ohms(one - other),
        _ => f64::INFINITY,
    };
    if test.how == How::Millivolts { ohms * 1e3 } else { ohms }
}
