//! `gapwright hunt`, as a builder uses it; readings come from layouts that the oracle drew and solved.

use crate::common::{fits, path, printed, refused};
use circuit::{EdgeId, EdgeKind};
use diagnosis::Wording;
use oracle::drawn::{Draw, Layout, Meter, Planted};
use schedule::{Choices, Job};
use std::collections::BTreeSet;
use std::io::Write as _;
use std::process::{Command, Stdio};

/// What a call prints that is typed these lines.
fn typed(arguments: &[&str], lines: &str) -> String {
    let mut child = Command::new(env!("CARGO_BIN_EXE_gapwright"))
        .args(arguments)
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
        .env("COLUMNS", "80")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(lines.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    String::from_utf8(output.stdout).unwrap()
}

/// Plays a hunt by the record for programs: takes each measurement as it is told, in a table, as a builder would. Gives the record at the
/// end, and how many readings it took.
fn played(
    name: &str,
    planted: impl Fn(&circuit::Circuit) -> Planted,
    symptom: Option<&str>,
    seed: u64,
) -> (serde_json::Value, usize) {
    let demo = oracle::demos().unwrap().into_iter().find(|d| d.name == name).unwrap();
    let facts = analysis::Analysis::of(&demo.text, &demo.reading.plan, &demo.reading.names);
    let job = Job::new(facts, Choices::usual(&demo.reading.plan));
    let wording = Wording::new(&job);
    let hunt = diagnosis::Hunt::new(&demo.circuit, diagnosis::Options::default());
    let mut draw = Draw(seed);
    let mut layout = Layout::drawn(&demo.circuit, draw.between(0.0, 15.0), &mut draw);
    layout.plant(planted(&demo.circuit));
    let meter = Meter::drawn(&mut draw);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("readings.csv");
    let mut table = "from,to,setting,pulled,reading\n".to_owned();
    for count in 0..=12 {
        std::fs::write(&file, &table).unwrap();
        let (plan, file) = (path(name), file.to_string_lossy().into_owned());
        let mut arguments = vec!["hunt", &plan, "--readings", &file, "--format", "json"];
        arguments.extend(symptom.iter().flat_map(|s| ["--symptom", s]));
        let record: serde_json::Value = serde_json::from_str(&printed(&arguments)).unwrap();
        let next = record["next"].clone();
        if record["settled"] == true || next.is_null() {
            return (record, count);
        }
        let text = |key: &str| next[key].as_str().unwrap().to_owned();
        let pair = [text("from"), text("to")].map(|place| wording.node(&place).unwrap());
        let set: Vec<String> = text("setting").split("; ").filter(|s| !s.is_empty()).map(str::to_owned).collect();
        let setting = analysis::setting_positions(&demo.circuit, &set).unwrap();
        let pulled = text("pulled");
        let off: BTreeSet<usize> =
            pulled.split("; ").filter(|w| !w.is_empty()).map(|w| wording.wire(&hunt, w).unwrap().index()).collect();
        let read = meter.bench(layout.ohms(pair, &setting, &off, false), &mut draw);
        // With a comma, as half the world types it.
        let shown = read.map_or("OL".to_owned(), |ohms| format!("{:.1}", ohms * 1e3).replace('.', ","));
        table += &text::csv::lines(std::iter::once(vec![text("from"), text("to"), text("setting"), pulled, shown]));
    }
    panic!("no end: {table}");
}

fn names(record: &serde_json::Value, what: &str) -> bool {
    record["suspects"][0]["things"][0].as_str().is_some_and(|thing| thing.contains(what))
}

#[test]
fn a_builders_hunt_from_end_to_end() {
    let wire =
        |circuit: &circuit::Circuit, name: &str| circuit.edges.iter().position(|e| e.name.starts_with(name)).unwrap();
    // Cold solder where M1's second contact feeds dock 1: trains crawl there.
    let solder = |circuit: &circuit::Circuit| Planted::More(wire(circuit, "wire from M1.2.diverging"), 2.0);
    for seed in 1..4 {
        let (record, readings) = played("thistle-dock-mended", solder, Some("dock 1 slow when T1 is diverging"), seed);
        assert!(names(&record, "wire from M1.2.diverging to dock 1.right"), "{record:#}");
        assert!(readings <= 5, "{readings}");
        assert!(record["fit_without_a_fault"].as_f64().unwrap() < 0.01);
    }
    // A wire of the tree that has come off, in a yard measured in feet.
    let off = |circuit: &circuit::Circuit| Planted::Open(wire(circuit, "wire from M3.2.diverging"));
    let (record, readings) = played("seven-tracks", off, Some("road 3 dead when T3 is diverging"), 4);
    assert!(names(&record, "wire from M3.2.diverging to road 3.right"), "{record:#}");
    assert!(readings <= 5, "{readings}");
}

#[test]
fn a_dialogue_goes_on_after_every_slip() {
    let text = typed(
        &["hunt", &path("thistle-dock-mended")],
        "dock 9 dead\ndock 1 purple\ndock 1 dead\ndock 1 dead when T1 is sideways\ndock 1 dead when T1 is diverging\n\nlots\n5 kV\nOL\nback\nOL\ns\nq\n",
    );
    fits(&text.replace("> ", ">\n"));
    let whole = text.clone();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for due in [
        "Unplug every supply and booster",
        "before you clip it on",
        "`dock 9 dead` names no track of this plan",
        "does not say what happens; write `dock 1 dead`",
        "`dock 1` has no power by design while everything stands as usual: say how the turnouts stood, such as `dock 1 dead when T1 is diverging`",
        "taken: dock 1: no power, while T1 is diverging",
        "taken back: ",
        "`t1 is sideways` is no position; write it so: `when T1 is",
        "Suspects after what you saw:",
        "`lots` is no reading; type the millivolts",
        "`kv` is not what is read here",
        "Suspects after 1 reading:",
        "Your readings, as `--readings` takes them:",
    ] {
        assert!(text.contains(due), "{due}:\n{text}");
    }
    assert!(!text.contains("mains side"));
    // What was typed can be given again.
    let table = whole.split("takes them:\n").nth(1).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("again.csv");
    std::fs::write(&file, table).unwrap();
    let record =
        printed(&["hunt", &path("thistle-dock-mended"), "--readings", &file.to_string_lossy(), "--format", "json"]);
    assert!(record.contains("\"readings\": 1"), "{record}");
}

#[test]
fn what_cannot_be_used_is_refused_with_a_right_line() {
    let plan = path("thistle-dock-mended");
    let folder = tempfile::tempdir().unwrap();
    let with = |table: &str| {
        let file = folder.path().join("readings.csv");
        std::fs::write(&file, table).unwrap();
        refused(&["hunt", &plan, "--readings", &file.to_string_lossy()])
    };
    for (table, due) in [
        ("", "it is empty"),
        ("from,to\n", "no column `reading`"),
        ("from,to,reading,colour\n", "a column `colour`, which means nothing here"),
        (
            "from,to,reading\ndock 1.right @ 1 m,nowhere,4\n",
            "line 2 of the readings: `nowhere` is no place of this plan",
        ),
        ("from,to,reading\ndock 1 @ 1 m,booster.A,4\n", "does not say which rail; write `dock 1.right @ 1 m`"),
        ("from,to,reading\nbooster.A,booster.A,4\n", "both probes are at the same place"),
        ("from,to,reading\nbooster.A,dock 1.left @ 1 m,-5000\n", "is no reading"),
        ("from,to,setting,reading\nbooster.A,dock 1.left @ 1 m,T1=up,4\n", "has no position `up`"),
        ("from,to,pulled,reading\nbooster.A,dock 1.left @ 1 m,F-99,4\n", "`F-99` is no wire that can be pulled"),
        ("from,to,kit,reading\nbooster.A,dock 1.left @ 1 m,scope,4\n", "`scope` is no kit"),
    ] {
        let said = with(table);
        assert!(said.contains(due), "{table}: {said}");
    }
    for (arguments, due) in [
        (["--age", "old"], "`old` is no age"),
        (["--minutes", "pull=x"], "`pull=x` is no cost"),
        (["--symptom", "hello"], "does not say what happens"),
    ] {
        let said = refused(&["hunt", &plan, arguments[0], arguments[1]]);
        assert!(said.contains(due), "{said}");
    }
}

#[test]
fn a_table_by_semicolons_with_commas_in_numbers() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("readings.csv");
    std::fs::write(&file, "\u{feff}from;to;reading\r\nbooster.A;dock 1.left @ 1,2 m;\"62,4\"\r\n").unwrap();
    let plan = path("thistle-dock-mended");
    let record = printed(&["hunt", &plan, "--readings", &file.to_string_lossy(), "--format", "json", "--age", "new"]);
    assert!(record.contains("\"readings\": 1"), "{record}");
}

#[test]
fn a_tree_for_who_has_no_phone() {
    let text = printed(&[
        "hunt",
        &path("thistle-dock-mended"),
        "--tree",
        "--depth",
        "2",
        "--kit",
        "buzzer",
        "--symptom",
        "dock 1 dead when T1 is diverging",
    ]);
    fits(&text);
    assert!(text.contains("Begin at 1."), "{text}");
    assert!(text.contains("sounds: "), "{text}");
    assert!(text.contains("silent: "), "{text}");
}

/// Every place that the program writes it reads back, on every demo plan.
#[test]
fn places_are_read_as_they_are_written() {
    for demo in oracle::demos().unwrap() {
        let facts = analysis::Analysis::of(&demo.text, &demo.reading.plan, &demo.reading.names);
        let job = Job::new(facts, Choices::usual(&demo.reading.plan));
        let wording = Wording::new(&job);
        for node in circuit::NodeId::all(demo.circuit.nodes.len()) {
            assert_eq!(wording.node(wording.place(node)), Ok(node), "{}", wording.place(node));
        }
        let hunt = diagnosis::Hunt::new(&demo.circuit, diagnosis::Options::default());
        let wires = EdgeId::all(demo.circuit.edges.len()).filter(|e| demo.circuit.edges[*e].kind == EdgeKind::Feeder);
        for wire in wires {
            let number = job.numbers.of_edge(wire).unwrap().to_string();
            assert_eq!(wording.wire(&hunt, &number), Ok(wire));
        }
    }
}
