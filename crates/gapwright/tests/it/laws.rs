//! What things are called changes nothing but the names: a law for the output of every command, on the demo plans and on plans grown
//! at random.
//!
//! `GAPWRIGHT_GROWN=500` grows so many plans with a fault or none, `GAPWRIGHT_GROWN_SEED` others than the usual ones.

use analysis::way_piece::PointResult;
use analysis::way_profile::WantedProfile;
use electrics::Level;
use handbook::Spread;
use oracle::rewrite::Rewrite;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

/// Plans that are grown where nothing else is said, and those of each kind of fault.
const GROWN: usize = 12;

/// Names that look like something else: what stands for `#` is a number, so that none is part of another and all keep their order.
const HOSTILE: [&str; 18] = [
    "#n to x",
    "#n, west",
    "#n \"q\"",
    "#n.C.1+2",
    "#n feeder of x",
    "#n at 3 m",
    "#n is live",
    "#n open",
    "#n's left rail",
    "#n צפון",
    "#n東側",
    "#n in M1, through",
    "#n;k|l",
    "#n – so",
    "#n <b>&amp;",
    "#n  two",
    "#n=1",
    "#n.A",
];

fn demos() -> Vec<(String, String)> {
    let plans = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../plans");
    let folders = std::fs::read_dir(plans).unwrap().map(|f| f.unwrap().path());
    let mut all: Vec<(String, String)> = folders
        .filter(|folder| folder.join("plan.toml").is_file())
        .map(|folder| {
            let name = folder.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read_to_string(folder.join("plan.toml")).unwrap())
        })
        .collect();
    all.sort();
    assert!(all.len() >= 7);
    all
}

/// The demo plan with more wires than all others together.
const LARGE: &str = "quay";

/// The demo plans without the large one, or that one alone.
fn demos_by_size(large: bool) -> Vec<(String, String)> {
    demos().into_iter().filter(|(name, _)| (name == LARGE) == large).collect()
}

/// Plans grown at random, with each kind of fault and without.
fn grown() -> Vec<(String, String)> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../oracle/growing/grow_plans.py");
    let folder = tempfile::tempdir().unwrap();
    let count: usize = std::env::var("GAPWRIGHT_GROWN").ok().and_then(|n| n.parse().ok()).unwrap_or(GROWN);
    let seed = std::env::var("GAPWRIGHT_GROWN_SEED").unwrap_or_else(|_| "77000".to_owned());
    let out = folder.path().to_string_lossy().into_owned();
    for (fault, count) in [("none", count / 2), ("all", count.div_ceil(24))] {
        let arguments =
            ["--count", &count.to_string(), "--seed", &seed, "--out", &out, "--controls", "7", "--fault", fault];
        let run = Command::new("python3").arg("-B").arg(&script).args(arguments).output();
        let run = run.expect("plans are grown by Python 3.11");
        assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    }
    let files = std::fs::read_dir(folder.path()).unwrap().map(|f| f.unwrap().path());
    let mut all: Vec<(String, String)> = files
        .map(|file| (file.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read_to_string(&file).unwrap()))
        .collect();
    all.sort();
    all
}

/// What every command says of a plan, by the command; papers by their table.
fn said(text: &str, changed: &str) -> BTreeMap<String, String> {
    let folder = tempfile::tempdir().unwrap();
    let (plan, new) = (folder.path().join("plan.toml"), folder.path().join("new.toml"));
    std::fs::write(&plan, text).unwrap();
    std::fs::write(&new, changed).unwrap();
    let run = |arguments: &[&str]| {
        let out = Command::new(env!("CARGO_BIN_EXE_gapwright")).args(arguments).current_dir(&folder).output().unwrap();
        // Some commands say that a plan lacks what they tell of.
        let code =
            out.status.code().filter(|code| *code < 3).unwrap_or_else(|| panic!("{arguments:?}: {out:?}\n{text}"));
        format!("{code} {}{}", String::from_utf8(out.stdout).unwrap(), String::from_utf8(out.stderr).unwrap())
    };
    let mut said = BTreeMap::new();
    for command in [
        "check --format concise",
        "routes --format json",
        "profile --format csv",
        "tests --format csv",
        "tests --yearly --format csv",
        "orders",
        "netlist",
        "addresses --format csv",
        "lengths",
        "gaps --format csv",
    ] {
        let mut arguments: Vec<&str> = command.split(' ').collect();
        arguments.push("plan.toml");
        said.insert(command.to_owned(), run(&arguments));
    }
    said.insert("changes".to_owned(), run(&["changes", "--format", "csv", "plan.toml", "new.toml"]));
    // Signs of entries are random; how far the building is follows from the plan and what was entered.
    for entered in [&["tick", "1"][..], &["reading", "1", "OL"]] {
        run(&[&["log", "plan.toml"][..], entered].concat());
    }
    said.insert("log progress".to_owned(), run(&["log", "plan.toml", "progress"]));
    run(&["papers", "--out", "papers", "plan.toml"]);
    for file in std::fs::read_dir(folder.path().join("papers/tables")).unwrap() {
        let file = file.unwrap().path();
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        said.insert(format!("papers {name}"), without_squares(&std::fs::read_to_string(&file).unwrap()));
    }
    said
}

/// A table without what says where on a drawing a thing stands: the drawings make room for names, so that pages and squares move with them.
fn without_squares(table: &str) -> String {
    let mut reader = csv::ReaderBuilder::new().flexible(true).has_headers(false).from_reader(table.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let moves = |column: usize| rows[0].get(column).is_some_and(|head| ["page", "square"].contains(&head));
    // Parts of a panel that have no place get one beside their names.
    let assumed = rows[0].iter().position(|head| head == "assumed");
    let laid_out = |row: &csv::StringRecord, column: usize| {
        let place =
            rows[0].get(column).is_some_and(|head| head.starts_with("from left") || head.starts_with("from top"));
        place && assumed.and_then(|at| row.get(at)).is_some_and(|what| what.split(", ").any(|one| one == "place"))
    };
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    for row in &rows {
        // A strip says its square behind its name.
        let cell = |(column, cell): (usize, &str)| match cell.rsplit_once(", square ") {
            _ if moves(column) || laid_out(row, column) => String::new(),
            Some((strip, square)) if square.len() < 5 => strip.to_owned(),
            _ => cell.to_owned(),
        };
        writer.write_record(row.iter().enumerate().map(cell)).unwrap();
    }
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

/// The names of one telling put in place of those of another, and all space between words alike: lines break, and columns are as wide,
/// as names are long.
fn in_names(said: &str, names: &[(String, String)]) -> String {
    let mut said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for (hostile, plain) in names {
        let hostile = hostile.split_whitespace().collect::<Vec<_>>().join(" ");
        // Its own sign in between: a plain name with what follows it may look like a hostile one.
        for written in BTreeSet::from([hostile.replace('"', "\"\""), hostile.replace('"', "\\\""), hostile.clone()]) {
            said = said.replace(&written, &format!("\u{1}{plain}"));
        }
    }
    // A field that holds a comma or a quote is put into quotes.
    said.replace(['"', '\u{1}'], "")
}

fn law(plans: Vec<(String, String)>) {
    let mut compared = 0;
    let mut wrong = Vec::new();
    for (number, (name, text)) in plans.iter().enumerate() {
        let (mut plain, mut hostile) = (Rewrite::from_text(text), Rewrite::from_text(text));
        let mut names = Vec::new();
        plain.rename(|_, n| format!("n{n:03}n"));
        hostile.rename(|_, n| {
            let called = HOSTILE[(n + number) % HOSTILE.len()].replace('#', &format!("n{n:03}"));
            names.push((called.clone(), format!("n{n:03}n")));
            called
        });
        // A layout that is changed too: a track's feeders are gone.
        let changed = |plan: &Rewrite| {
            let mut changed = plan.clone();
            changed.forget(number, "feeders");
            changed.text()
        };
        let one = said(&plain.text(), &changed(&plain));
        let other = said(&hostile.text(), &changed(&hostile));
        assert_eq!(one.keys().collect::<Vec<_>>(), other.keys().collect::<Vec<_>>(), "{name}");
        for (command, before) in &one {
            compared += 1;
            let (before, after) = (in_names(before, &[]), in_names(&other[command], &names));
            if before != after {
                let at = before.bytes().zip(after.bytes()).take_while(|(a, b)| a == b).count();
                let around = |text: &str| {
                    let text: Vec<char> = text.chars().collect();
                    text.iter().skip(at.saturating_sub(120)).take(300).collect::<String>()
                };
                wrong.push(format!("{name}, {command}:\n  {}\n  {}", around(&before), around(&after)));
            }
        }
    }
    println!("{compared} outputs of {} plans compared, {} differ", plans.len(), wrong.len());
    assert!(wrong.is_empty(), "{} of {compared} differ:\n{}", wrong.len(), wrong[..wrong.len().min(12)].join("\n"));
}

/// Routes whose profile is drawn; plans with more are left to those with fewer.
const MOST_PROFILES: usize = 40;

/// What all papers come to, less the words: of everything how many there are, and every number.
fn comes_to(text: &str) -> BTreeMap<String, Vec<f64>> {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}\n{text}", reading.findings.first());
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let mut list: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    let mut add = |what: String, number: f64| list.entry(what).or_default().push(number);
    for edge in &facts.circuit.edges {
        add(format!("ohms of {:?}", edge.kind), edge.ohms.typical);
    }
    for line in facts.figures().into_iter().flat_map(|f| &f.ways) {
        add("volts of routes".to_owned(), line.volts.low);
        add("amperes of routes".to_owned(), line.fault_amps.low);
    }
    for way in facts.ways().list.iter().take(MOST_PROFILES) {
        let wanted = WantedProfile { way: Some(way.name.clone()), ..WantedProfile::default() };
        // There are no volts where nothing is without a short.
        let Ok(profile) = facts.way_profile(&wanted) else {
            add("no profile".to_owned(), 0.0);
            continue;
        };
        let least = |of: fn(&PointResult) -> Spread<f64>| {
            profile.least(|_| true, Level::High, of).map_or(0.0, |worst| worst.got)
        };
        add("metres of profiles".to_owned(), profile.length);
        add("volts of profiles".to_owned(), least(|got| got.volts));
        add("amperes of profiles".to_owned(), least(|got| got.fault_amps));
        add("marks of profiles".to_owned(), profile.marks.len() as f64);
        // A circle is reported from some place on it, which may lie in the middle of a break.
        add("metres without power".to_owned(), profile.breaks().iter().map(|b| b.1 - b.0).sum());
    }
    let job = schedule::Job::new(facts, schedule::Choices::default());
    for wire in schedule::wires::wires(&job) {
        add(format!("metres of {} of {:?}", wire.what, wire.size), wire.run.unwrap_or(-1.0));
    }
    let work = commissioning::work(&job, commissioning::TestLoad::default()).unwrap();
    for task in &work.tasks {
        add(format!("task: {:?}", task.stage), 0.0);
    }
    for (mistake, by) in work.cold.mistakes.iter().zip(&work.cold.noticed_by) {
        let piece = mistake.edges().first().map(|&e| job.facts.circuit.edges[e].kind);
        add(format!("mistake at {piece:?}, noticed: {}", !by.is_empty()), 0.0);
    }
    for test in &work.hot.tests {
        let topic = match test.topic {
            commissioning::test::Topic::Storage { live, .. } => format!("storage, live: {live}"),
            other => format!("{other:?}"),
        };
        add(format!("hot {topic}"), test.expected.map_or(0.0, |e| e.typical));
    }
    list.values_mut().for_each(|numbers| numbers.sort_by(f64::total_cmp));
    list
}

/// What differs, at most so much of it.
fn differ(one: &BTreeMap<String, Vec<f64>>, other: &BTreeMap<String, Vec<f64>>) -> Vec<String> {
    let keys: BTreeSet<&String> = one.keys().chain(other.keys()).collect();
    let alike = |a: &f64, b: &f64| a == b || (a - b).abs() <= 1e-7 * a.abs().max(1e-3);
    let differs = keys.into_iter().filter_map(|key| {
        let (a, b) = (one.get(key)?, other.get(key).map_or(&[][..], Vec::as_slice));
        let off = a.iter().zip(b).find(|(a, b)| !alike(a, b));
        (a.len() != b.len() || off.is_some()).then(|| format!("{key}: {} became {}, {off:?}", a.len(), b.len()))
    });
    let new = other.keys().filter(|key| !one.contains_key(*key)).map(|key| format!("{key}: new"));
    differs.chain(new).take(4).collect()
}

/// The same layout in other words: tables in another order, seen from the other side, poles exchanged, tracks written from their other
/// ends, lengths in inches.
fn other_words(plans: Vec<(String, String)>) {
    let (mut compared, mut wrong) = (0, Vec::new());
    for (number, (name, text)) in plans.iter().enumerate() {
        let mut plain = Rewrite::from_text(text);
        plain.rename(|_, n| format!("n{n:03}n"));
        let before = comes_to(&plain.text());
        let mut laws: Vec<(&str, Rewrite)> = Vec::new();
        let mut add = |law: &'static str, change: &dyn Fn(&mut Rewrite)| {
            let mut changed = plain.clone();
            change(&mut changed);
            laws.push((law, changed));
        };
        add("order", &|p| p.shuffle(number as u64));
        add("poles", &Rewrite::exchange_poles);
        add("inches", &Rewrite::in_inches);
        add("ends", &|p| (0..p.tracks()).filter(|t| (number >> (t % 5)) & 1 == 0).for_each(|t| p.turn(t)));
        // A slip or crossing in a mirror has its ends numbered otherwise.
        // The first position of a wye turnout is the other one in a mirror, and tests begin with all in their first.
        if !["[[slip]]", "[[crossing]]", "\"wye\""].iter().any(|kind| text.contains(kind)) {
            add("mirror", &Rewrite::mirror);
        }
        for (law, changed) in &laws {
            compared += 1;
            let text = changed.text();
            let mut told = differ(&before, &comes_to(&text));
            if matches!(*law, "order" | "inches") {
                told.extend(work_to_do(&plain.text(), &text));
            }
            if !told.is_empty() {
                wrong.push(format!("{name}, {law}: {}", told.join("; ")));
            }
        }
    }
    println!("{compared} rewritings of {} plans, {} differ", plans.len(), wrong.len());
    assert!(wrong.is_empty(), "{} of {compared}:\n{}", wrong.len(), wrong[..wrong.len().min(20)].join("\n"));
}

/// What is to be done so that one layout becomes the other: nothing, where they are one.
fn work_to_do(old: &str, new: &str) -> Vec<String> {
    let read = [old, new].map(plan::read);
    let [old, new] = [(old, &read[0]), (new, &read[1])]
        .map(|(text, reading)| analysis::Analysis::of(text, &reading.plan, &reading.names));
    let changes = schedule::changes::changes(old, new, schedule::Choices::default(), None);
    changes
        .list
        .iter()
        .filter(|c| c.act != schedule::changes::ChangeAct::Relabel)
        .take(3)
        .map(|c| format!("{c:?}"))
        .collect()
}

#[test]
fn other_words_for_demo_plans_come_to_the_same() {
    other_words(demos_by_size(false));
}

#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn other_words_for_the_large_demo_come_to_the_same() {
    other_words(demos_by_size(true));
}

#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn other_words_for_grown_plans_come_to_the_same() {
    other_words(grown());
}

#[test]
fn names_change_nothing_on_two_demo_plans() {
    let mut plans: Vec<_> =
        demos_by_size(false).into_iter().filter(|(name, _)| ["thistle-dock", "wye"].contains(&&**name)).collect();
    // A panel whose buttons fire coils over diodes.
    let panel = include_str!("../../../panel/tests/it/gull_sidings.toml");
    plans.push(("gull-sidings".to_owned(), panel.to_owned()));
    law(plans);
}

#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn names_change_nothing_on_demo_plans() {
    law(demos_by_size(false).into_iter().filter(|(name, _)| !["thistle-dock", "wye"].contains(&&**name)).collect());
}

#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn names_change_nothing_on_the_large_demo() {
    law(demos_by_size(true));
}

#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn names_change_nothing_on_grown_plans() {
    law(grown());
}
