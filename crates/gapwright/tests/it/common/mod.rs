//! Runs the command as a builder runs it.

use std::process::{Command, Output};

/// The demo plans.
pub const PLANS: [&str; 7] =
    ["thistle-dock", "thistle-dock-mended", "seven-tracks", "two-ladders", "balloon", "wye", "two-districts"];

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_gapwright"))
        .args(arguments)
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
        .env("COLUMNS", "80")
        .output()
        .expect("the command runs")
}

/// What is printed by a call that goes well.
pub fn printed(arguments: &[&str]) -> String {
    let output = run(arguments);
    let text = String::from_utf8(output.stdout).expect("text");
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    assert!(output.stderr.is_empty());
    text
}

/// What is said by a call that cannot do its work: status 2, nothing printed.
pub fn refused(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    assert!(output.stdout.is_empty());
    String::from_utf8(output.stderr).expect("text")
}

/// The path of a demo plan.
pub fn path(plan: &str) -> String {
    format!("plans/{plan}/plan.toml")
}

/// Whether a page fits a terminal.
pub fn fits(text: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "too wide: {line}");
        assert_eq!(line, line.trim_end(), "blanks at the end");
    }
}
