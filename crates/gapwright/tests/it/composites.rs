//! A plan in composite tables and the same plan written out are one plan for every command. That their circuits are one, conductor by
//! conductor, `circuit` holds.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

fn demo(file: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../plans/quay").join(file)).unwrap()
}

/// What commands and papers say of a plan, without the lines of the file.
fn said(text: &str) -> BTreeMap<String, String> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("plan.toml"), text).unwrap();
    let run = |arguments: &[&str]| {
        let out = Command::new(env!("CARGO_BIN_EXE_gapwright")).args(arguments).current_dir(&folder).output().unwrap();
        assert!(out.status.code().is_some_and(|code| code < 2), "{arguments:?}: {out:?}");
        String::from_utf8(out.stdout).unwrap()
    };
    let mut said = BTreeMap::new();
    for command in [
        "routes --format json",
        "profile --format csv",
        "netlist",
        "addresses --format csv",
        "lengths",
        "gaps --format csv",
    ] {
        let mut arguments: Vec<&str> = command.split(' ').collect();
        arguments.push("plan.toml");
        said.insert(command.to_owned(), run(&arguments));
    }
    let check = run(&["check", "--format", "concise", "plan.toml"]);
    let mut findings: Vec<&str> = check.lines().map(|l| l.splitn(4, ':').last().unwrap_or(l)).collect();
    findings.sort_unstable();
    said.insert("check".to_owned(), findings.join("\n"));
    run(&["papers", "--out", "papers", "plan.toml"]);
    for file in std::fs::read_dir(folder.path().join("papers/tables")).unwrap() {
        let file = file.unwrap().path();
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        if name != "findings.csv" {
            said.insert(format!("papers {name}"), std::fs::read_to_string(&file).unwrap());
        }
    }
    said
}

/// A text in words and numbers. Lines of the file are left out, which stand in some tables.
fn pieces(text: &str) -> Vec<String> {
    let of_number = |c: char| c.is_ascii_digit() || c == '.';
    let mut pieces: Vec<String> = Vec::new();
    for c in text.chars() {
        match pieces.last_mut() {
            Some(last) if of_number(c) == last.chars().all(of_number) => last.push(c),
            _ => pieces.push(c.to_string()),
        }
    }
    for at in 1..pieces.len() {
        if pieces[at - 1].ends_with("line ") {
            pieces[at].clear();
        }
    }
    pieces
}

/// Where two texts differ, but for the last digits of numbers: 950 mm and 0.95 m are not the same to the last bit.
fn difference(one: &str, other: &str) -> Option<String> {
    let (one, other) = (pieces(one), pieces(other));
    let same = |a: &String, b: &String| match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(x), Ok(y)) => (x - y).abs() <= 1e-9 * x.abs().max(y.abs()),
        _ => a == b,
    };
    let at = one.iter().zip(&other).position(|(a, b)| !same(a, b));
    let at = at.or_else(|| (one.len() != other.len()).then_some(one.len().min(other.len())))?;
    let around =
        |pieces: &[String]| pieces[at.saturating_sub(9).min(pieces.len())..(at + 9).min(pieces.len())].concat();
    Some(format!("{:?} for {:?}", around(&one), around(&other)))
}

#[test]
fn the_quay_in_a_dozen_lines_is_the_quay() {
    let (short, long) = (demo("short.toml"), demo("plan.toml"));
    let written = plan::ordinary(&short).unwrap();
    let [short, written, long] = [&short, &written, &long].map(|text| said(text));
    assert!(long.len() > 15, "{:?}", long.keys());
    for (what, said) in &long {
        assert_eq!(difference(&short[what], said), None, "{what}");
        assert_eq!(difference(&written[what], said), None, "{what}, written out");
    }
    assert_eq!(short.len(), long.len());
}

#[test]
fn what_is_said_once_is_short() {
    let short = demo("short.toml");
    let ladder = short.split("[[ladder]]").nth(1).unwrap().split("\n\n").next().unwrap();
    assert!(ladder.lines().count() <= 16, "{ladder}");
    // The panel is said in full in both.
    let lines = |text: &str| {
        let (before, panel) = text.split_once("[[panel]]").unwrap();
        before.lines().count() + panel.split_once("\n\n").map_or(0, |(_, rest)| rest.lines().count())
    };
    assert!(3 * lines(&short) < lines(&demo("plan.toml")), "{}", lines(&short));
}

#[test]
fn expand_prints_ordinary_tables_and_refuses_a_plan_with_errors() {
    let folder = tempfile::tempdir().unwrap();
    let short = demo("short.toml");
    std::fs::write(folder.path().join("plan.toml"), &short).unwrap();
    std::fs::write(folder.path().join("broken.toml"), short.replacen("\"lined\"", "\"lned\"", 1)).unwrap();
    let run = |arguments: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_gapwright")).args(arguments).current_dir(&folder).output().unwrap()
    };
    let out = run(&["expand", "plan.toml"]);
    assert_eq!(out.status.code(), Some(0));
    let printed = String::from_utf8(out.stdout).unwrap();
    assert_eq!(Some(printed.clone()), plan::ordinary(&short));
    assert!(!printed.contains("[[ladder]]") && printed.contains("# a loft: cold in winter"));
    assert_eq!(run(&["expand", "plan.toml", "--out", "long.toml"]).status.code(), Some(0));
    assert_eq!(std::fs::read_to_string(folder.path().join("long.toml")).unwrap(), printed);
    let taken = run(&["expand", "plan.toml", "--out", "plan.toml"]);
    assert_eq!(taken.status.code(), Some(2));
    assert!(String::from_utf8(taken.stderr).unwrap().contains("is there already"));
    assert_eq!(std::fs::read_to_string(folder.path().join("plan.toml")).unwrap(), short, "the plan is as it was");
    let refused = run(&["expand", "broken.toml"]);
    assert_eq!((refused.status.code(), refused.stdout.is_empty()), (Some(2), true));
    assert!(String::from_utf8(refused.stderr).unwrap().contains("the plan has errors"));
}
