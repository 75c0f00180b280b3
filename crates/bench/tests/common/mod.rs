//! The demo plans as jobs.
#![allow(dead_code)] // each test file uses its part

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

/// Does something with the job of one demo plan.
pub fn with_demo<T>(name: &str, does: impl FnOnce(&Job<'_>) -> T) -> T {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../plans").join(name).join("plan.toml");
    let text = std::fs::read_to_string(path).expect("a demo plan");
    let reading = plan::read(&text);
    assert!(reading.understood(), "{name}");
    let facts = review::facts(&text, &reading.plan, &reading.names);
    does(&Job::new(facts, Choices::default()))
}
