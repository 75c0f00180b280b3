//! What is printed: records that parse, lines with one shape, the same bytes every time.

use super::{Ended, all_demos, demo, demo_text, file, run, run_on};
use serde_json::Value;

fn json(ended: &Ended) -> Value {
    serde_json::from_slice(&ended.out).expect("the record is JSON")
}

/// Fields as docs/review-record.md names them.
#[test]
fn json_is_a_record_of_the_review() {
    for plan in all_demos() {
        let ended = run_on(&plan, "check --format json");
        let record = json(&ended);
        assert_eq!(record["format"], "gapwright-review");
        assert_eq!(record["version"], 2);
        assert_eq!(record["plan"], plan.display().to_string());
        assert_eq!(record["understood"], true);
        assert!(!record["answers"].as_array().expect("answers").is_empty());
        assert!(!record["figures"]["tracks"].as_array().expect("figures of tracks").is_empty());
        let findings = record["findings"].as_array().expect("a list of findings");
        assert_eq!(findings.len(), usize::from(plan == demo("thistle-dock")), "{}", plan.display());
        for finding in findings {
            assert_eq!(finding["name"], "storage-live-unlined");
            assert_eq!(finding["severity"], "error");
            assert!(finding["message"].as_str().expect("a message").contains("dock 2"));
            assert!(finding.get("labels").is_some() && finding.get("proposal").is_some(), "{finding}");
        }
    }
    let (_folder, plan) = file("this is no plan");
    let record = json(&run_on(&plan, "check --format json"));
    assert_eq!(record["understood"], false);
    assert!(!record["findings"].as_array().expect("a list of findings").is_empty());
    assert!(record["figures"].is_null());
}

/// `path:line:column: severity: message (name)`, the place pointing into the file.
#[test]
fn concise_is_one_line_for_each_finding() {
    let broken = demo_text("thistle-dock")
        .replace("left   = \"main bus.A\"", "left   = \"main bus.C\"")
        .replace("\"2.1 m\"", "2.1")
        .replace("hand   = \"left\"", "hand   = \"up\"");
    let (_folder, broken) = file(broken);
    let mut told = 0;
    for plan in all_demos().into_iter().chain([broken]) {
        let text = std::fs::read_to_string(&plan).expect("a plan");
        let path = plan.display().to_string();
        let ended = run_on(&plan, "check --format concise");
        let findings = json(&run_on(&plan, "check --format json"))["findings"].as_array().map_or(0, Vec::len);
        assert_eq!(ended.out().lines().count(), findings, "{path}");
        for line in ended.out().lines() {
            let rest = line.strip_prefix(&format!("{path}:")).unwrap_or_else(|| panic!("{line}"));
            let (place, rest) = rest.split_once(": ").expect("a place");
            let (row, column) = place.split_once(':').expect("line and column");
            let (row, column): (usize, usize) = (row.parse().expect("a line"), column.parse().expect("a column"));
            let shown = text.lines().nth(row - 1).unwrap_or_else(|| panic!("{line}: no such line"));
            assert!((1..=shown.chars().count() + 1).contains(&column), "{line}");
            let (severity, rest) = rest.split_once(": ").expect("a severity");
            assert!(["error", "warning", "note"].contains(&severity), "{line}");
            let (message, name) = rest.rsplit_once(" (").expect("a name");
            assert!(!message.is_empty() && !message.ends_with('.'), "{line}");
            let name = name.strip_suffix(')').expect("a bracket");
            assert_eq!(run(&["explain", name]).status, 0, "{line}");
            told += 1;
        }
    }
    assert!(told >= 4, "only {told} findings were told");
}

#[test]
fn the_same_bytes_every_time() {
    for plan in all_demos() {
        for words in ["check", "check --format concise", "check --format json", "fix", "netlist"] {
            let once = run_on(&plan, words);
            let again = run_on(&plan, words);
            assert_eq!(once.out, again.out, "{} {words}", plan.display());
            assert_eq!((once.status, once.err), (again.status, again.err), "{} {words}", plan.display());
        }
    }
    assert_eq!(run(&["schema"]).out, run(&["schema"]).out);
}

#[test]
fn the_schema_is_json() {
    let ended = run(&["schema"]);
    assert_eq!(ended.status, 0);
    assert!(json(&ended)["properties"]["track"].is_object(), "{}", ended.out());
}

#[test]
fn most_bounds_what_is_told_in_full() {
    let (_folder, plan) = file("[[track]]\nname = \"a\"\n".repeat(50));
    let told = |most: usize| {
        let ended = run_on(&plan, &format!("check --most {most}"));
        ended.out().lines().filter(|l| l.starts_with("FAULT ")).count()
    };
    assert_eq!((told(0), told(3), told(7)), (0, 3, 7));
    assert_eq!(run_on(&plan, "check --most 0").status, 1);
}

/// A plan from a stranger may hold what a terminal would obey; none of it gets there.
#[test]
fn no_escape_sequence_is_passed_on() {
    let obeyed = "\\u001b]0;gone\\u0007\\u001b[2J\\u009b31m";
    let raw = "\u{1b}]0;gone\u{7}\u{1b}[2J\u{9b}31m";
    let demo = demo_text("thistle-dock");
    let texts = [
        demo.replace("Thistle Dock", &format!("Thistle{obeyed}Dock")),
        demo.replace("dock 2", &format!("dock{obeyed}2")),
        demo.replace("harbour goods", &format!("{obeyed}goods")),
        demo.replace("booster", &format!("boo{obeyed}ster")),
        demo.replace("\"T1", &format!("\"T{obeyed}1")),
        demo.replace("code 100 nickel silver", &format!("code{obeyed}100")),
        demo.replace("\"main bus.A\"", &format!("\"main {obeyed}bus.A\"")),
        demo.replace("2.5 mm²", obeyed),
        demo.replace("slides", &format!("\"{obeyed}\"")),
        demo.replace("[[motor]]", &format!("[[\"{obeyed}\"]]")),
        demo.replace("Thistle Dock", raw),
        demo.replace("[room]", &format!("# {raw}\n[room]")),
        demo.replace("gaps  ", raw),
        format!("{demo}{raw}"),
    ];
    for (which, text) in texts.iter().enumerate() {
        assert_ne!(text, &demo, "text {which} holds nothing to obey");
        let (_folder, plan) = file(text);
        for words in ["check", "check --format concise", "check --format json", "fix", "netlist"] {
            let ended = run_on(&plan, words);
            for (stream, bytes) in [("stdout", &ended.out), ("stderr", &ended.err)] {
                let shown = String::from_utf8_lossy(bytes);
                let passed = shown.chars().find(|&c| c.is_control() && c != '\n');
                assert_eq!(passed, None, "text {which}, {words}, {stream}: {shown:?}");
            }
        }
    }
}

/// Words of the command line are echoed in troubles; they are not obeyed either.
#[test]
fn no_escape_sequence_from_the_command_line() {
    let plan = demo("thistle-dock");
    let plan = plan.to_str().expect("the demo's path is text");
    for args in [
        ["netlist", plan, "--setting", "\u{1b}[2J=x"],
        ["netlist", plan, "--setting", "T1=\u{1b}[2J"],
        ["netlist", plan, "--load", "\u{1b}[2J @ 1 m=1 A"],
        ["netlist", plan, "--load", "dock 1 @ \u{1b}[2J=1 A"],
        ["netlist", plan, "--load", "dock 1 @ 1 m=\u{1b}[2J"],
    ] {
        let ended = run(&args);
        assert_eq!(ended.status, 2, "{args:?}");
        assert!(!ended.err.contains(&0x1b) && !ended.out.contains(&0x1b), "{}", ended.err());
    }
}

/// A reader that goes away, as `head` does, is no trouble.
#[cfg(unix)]
#[test]
fn a_reader_that_goes_away() {
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_gapwright"))
        .arg("schema")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command starts");
    drop(child.stdout.take());
    let done = child.wait_with_output().expect("it ends");
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
    assert!(done.stderr.is_empty(), "{}", String::from_utf8_lossy(&done.stderr));
}
