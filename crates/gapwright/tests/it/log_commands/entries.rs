//! Entries one by one.

use super::bench::{Bench, text_of};
use oracle::rewrite::Rewrite;
use std::process::Command;

#[test]
fn a_reading_is_judged_at_once_by_the_limits_of_the_sheet() {
    let bench = Bench::new("thistle-dock-mended");
    // `gapwright tests` says of test 15: reads 12.9 mV; well: 7.7 to 25.4 mV; 104.3 mV with F-5 left off.
    let well = bench.says(0, &["reading", "15", "12,9", "mV", "--air", "-5 °C", "--who", "Ada, the club's \"owl\""]);
    assert!(well.starts_with("test 15: PASS – 12.9 mV; well: 7.7 to 25.4 mV"), "{well}");
    assert!(well.contains("CAUTION: cold tests are read with every supply, booster"), "{well}");
    assert!(well.contains("CAUTION: set the bench supply to 1 A"), "{well}");
    assert!(well.contains("CAUTION: low-voltage side only"), "{well}");
    let fails = bench.says(1, &["reading", "15", "104.3 mV"]);
    assert!(fails.contains("test 15: FAIL") && fails.contains("F-5 left off (would read"), "{fails}");
    assert!(fails.contains("104.3 mV"), "{fails}");
    assert!(!fails.contains("CAUTION"), "once is enough for some hours: {fails}");
    assert!(fails.contains("how warm was the air?"), "{fails}");
    // An ohmmeter's steps of 0.1 Ω cannot tell 13 mΩ from 40.
    let coarse = bench.says(0, &["reading", "15", "0.0 ohm"]);
    assert!(coarse.contains("NOT CLEAR") && coarse.contains("1 A and millivolts"), "{coarse}");
    // Far off: nothing the program knows reads so.
    let far = bench.says(1, &["reading", "15", "OL"]);
    assert!(far.contains("look at probes"), "{far}");
    let kept = bench.entries();
    let readings: Vec<_> = kept.iter().filter(|e| e.says.kind == logbook::EntryKind::Reading).collect();
    assert_eq!(
        readings.iter().map(|e| e.says.typed.as_str()).collect::<Vec<_>>(),
        ["12,9 mV", "104.3 mV", "0.0 ohm", "OL"]
    );
    assert_eq!((readings[0].says.value, readings[0].says.air), (Some(12.9), Some(-5.0)));
    assert_eq!((readings[0].says.who.as_str(), readings[1].says.who.as_str()), ("Ada, the club's \"owl\"", "Kim"));
    assert_eq!(readings[3].says.value, Some(f64::INFINITY));
    assert_eq!(bench.run(&["list"]).status.code(), Some(0));
}

#[test]
fn leads_meters_and_ranges_are_taken_in() {
    let bench = Bench::new("thistle-dock-mended");
    bench.says(
        0,
        &["instrument", "red meter", "--resolution", "0.1 ohm", "--accuracy", "0.8 % + 5 digits", "--leads", "0.3 ohm"],
    );
    let sheet = String::from_utf8(
        Command::new(env!("CARGO_BIN_EXE_gapwright"))
            .args(["tests", "--cold", "--format", "csv", "dock.toml"])
            .current_dir(bench.path())
            .output()
            .unwrap()
            .stdout,
    )
    .unwrap();
    let number_of = |how: &str| {
        let rows = text::csv::Columns::read(&sheet).unwrap();
        let found =
            rows.rows().find(|row| row.cell("how").unwrap() == how).map(|row| row.cell("number").unwrap().to_owned());
        found.unwrap()
    };
    let open = number_of("open");
    let said = bench.says(0, &["reading", &open, "OL", "--range", "2 Mohm", "--with", "red meter"]);
    assert!(said.contains("PASS"), "{said}");
    let said = bench.says(0, &["reading", &open, "OL", "--range", "200 ohm"]);
    assert!(said.contains("NOT CLEAR") && said.contains("more than 200 Ω"), "{said}");
    assert!(bench.says(1, &["reading", &open, "beeps"]).contains("FAIL"));
    let lone = bench.says(2, &["reading", &open, "1"]);
    assert!(lone.contains("OL") && lone.contains("1 ohm"), "{lone}");
    let said = bench.says(1, &["reading", "15", "1.3 ohm", "--with", "red meter"]);
    assert!(said.contains("1.3 Ω less 0.3 Ω of the leads is 1 Ω"), "{said}");
    let said = bench.says(2, &["reading", "15", "0.4 ohm", "--zero", "3 ohm"]);
    assert!(said.contains("less than the leads alone read"), "{said}");
    let said = bench.says(0, &["reading", "15", "13 mV", "--with", "blue meter"]);
    assert!(said.contains("`blue meter` is not in the logbook"), "{said}");
}

#[test]
fn a_load_bears_on_the_limits_and_stays_with_its_readings() {
    let bench = Bench::new("thistle-dock-mended");
    let run = |load: &str| {
        let arguments = ["tests", "--hot", "--load", load, "--format", "csv", "dock.toml"];
        let output =
            Command::new(env!("CARGO_BIN_EXE_gapwright")).args(arguments).current_dir(bench.path()).output().unwrap();
        text::csv::Columns::read(&String::from_utf8(output.stdout).unwrap()).unwrap()
    };
    // Its drop at 1 A is 0.55 V at one place, at 2 A twice that.
    let table = run("2 A");
    let row = table.rows().find(|row| row.cell("test").unwrap().starts_with("hot drop")).unwrap();
    let (number, volts) = (row.cell("number").unwrap(), format!("{} V", row.cell("typical").unwrap()));
    assert!(bench.says(1, &["reading", number, &volts]).contains("FAIL"));
    assert!(bench.says(0, &["reading", number, &volts, "--load", "2 A"]).contains("PASS"));
    // Whatever load is asked for later, that reading was well.
    for load in ["1 A", "2 A", "15 Ω"] {
        let said = bench.says(0, &["progress", "--load", load]);
        assert!(said.contains("1 of 59 tests read well"), "{load}: {said}");
    }
    assert!(bench.says(2, &["progress", "--load", "1 m"]).contains("is no load"));
    assert!(bench.says(2, &["correct", number, &volts]).contains("it was read with a load of 2 A"));
    bench.says(0, &["correct", number, &volts, "--load", "2 A", "--range", "20 V"]);
    bench.says(0, &["correct", number, &volts, "--load", "2 A"]);
    let last = bench.entries().pop().unwrap().says;
    assert_eq!((last.range.as_str(), last.note.as_str()), ("a load of 2 A", "meter on 20 V"));
}

#[test]
fn what_is_wrong_is_told_with_a_line_that_is_right_and_nothing_is_entered() {
    let bench = Bench::new("thistle-dock-mended");
    bench.says(0, &["remark", "begun"]);
    for (arguments, due) in [
        (&["reading", "999", "1 ohm"][..], "there is no test 999; tests have numbers from 1 to 59"),
        (&["reading", "0", "1 ohm"], "there is no test 0"),
        (&["reading", "fifteen", "1 ohm"], "there is no test fifteen"),
        (&["reading", "15", "12 A"], "reading 15 12.9 mV"),
        (&["reading", "15", "12", "furlongs"], "`furlongs` is no unit"),
        (&["reading", "15", "yes"], "wants a reading"),
        (&["reading", "15", "13 mV", "--air", "180"], "in air of `180`"),
        (&["reading", "15", "-4 ohm"], "no resistance is -4 Ω"),
        (&["reading", "15", "13 mV", "--at", "yesterday"], "`yesterday` is no time"),
        (&["reading", "15", "13 mV", "--at", "2190-01-01"], "is not yet"),
        (&["tick", "99"], "there is no order 99; they go from 1 to 24"),
        (&["tick", "9 to 2"], "goes backwards"),
        (&["tick", "dock 9"], "`dock` is no order"),
        (&["air", "warm"], "`18 °C`"),
        (&["symptom", "dock 9", "stalls"], "nothing is called `dock 9`"),
        (&["repair", "F-99", "soldered"], "nothing is called `F-99`"),
        (&["instrument", "m", "--resolution", "small"], "`small` is no reading"),
        (
            &["instrument", "m", "--resolution", "0.1 ohm", "--known", "10 ohm", "--reads", "90 ohm"],
            "cannot be put right by a factor",
        ),
        (&["correct", "15", "13 mV"], "test 15 has no reading yet"),
        (&["file", "none.csv"], "cannot read"),
        (&["merge", "none.logbook"], "there is no logbook"),
        (&["list", "dock 9"], "nothing is called"),
        (&["years", "999"], "there is no test 999"),
    ] {
        let said = bench.says(2, arguments);
        assert!(said.contains(due) && said.contains("help:"), "{arguments:?}: {said}");
        assert_eq!(bench.entries().len(), 1, "{arguments:?}");
    }
    // A plan that is not understood, and one that is not there.
    std::fs::write(bench.path().join("dock.toml"), "[layout").unwrap();
    assert!(bench.says(2, &["reading", "15", "13 mV"]).contains("nothing was entered"));
    std::fs::remove_file(bench.path().join("dock.toml")).unwrap();
    assert!(bench.says(2, &["reading", "15", "13 mV"]).contains("cannot read"));
}

#[test]
fn ticks_lead_on_and_progress_tells_what_fails_first() {
    let bench = Bench::new("thistle-dock-mended");
    let said = bench.says(0, &["tick", "1", "to", "9"]);
    assert!(said.contains("ticked: order 1, marking out"), "{said}");
    assert!(bench.says(0, &["tick", "9"]).contains("was ticked on"));
    assert!(bench.says(0, &["tick", "marking out"]).contains("already"));
    let said = bench.says(0, &["tick", "power on"]);
    assert!(said.contains("CAUTION: power goes on only when every cold test reads well"), "{said}");
    let said = bench.says(0, &["tick", "20"]);
    assert!(said.contains("before it comes order"), "{said}");
    let said = bench.says(0, &["progress"]);
    assert!(said.starts_with("Thistle Dock: 11 of 24 jobs ticked; 0 of 59 tests read well"), "{said}");
    assert!(said.contains("blocked by others") && said.contains("\nnext: "), "{said}");
    bench.says(1, &["reading", "15", "104.3 mV"]);
    let said = bench.says(1, &["progress"]);
    assert!(said.starts_with("FAIL: test 15, "), "{said}");
    // A repair of what it proves: it is to be read again.
    let said = bench.says(0, &["repair", "f-5", "soldered anew"]);
    assert!(said.contains("no longer count for test 15"), "{said}");
    assert!(!bench.says(0, &["progress"]).contains("FAIL"));
    bench.says(0, &["reading", "15", "12.9 mV"]);
    assert!(bench.says(0, &["progress"]).contains("1 of 59 tests read well"));
    bench.says(0, &["symptom", "dock 1", "engine", "stalls"]);
    let list = bench.says(0, &["list", "dock 1"]);
    assert!(list.contains("symptom dock 1: engine stalls; by Kim") && list.lines().count() == 1, "{list}");
}

#[test]
fn readings_stay_with_their_tests_when_everything_is_renamed_and_numbers_are_kept() {
    let bench = Bench::new("thistle-dock-mended");
    bench.says(0, &["reading", "15", "12.9 mV"]);
    bench.says(0, &["tick", "3"]);
    let list = bench.says(0, &["list"]);
    assert!(list.contains("reading test 15: 12.9 mV") && list.contains("tick order 3, holes dock 1"), "{list}");
    let mut rewrite = Rewrite::from_text(&text_of("thistle-dock-mended"));
    rewrite.rename(|_, index| format!("x{index}, \"to\" 東"));
    std::fs::write(bench.path().join("dock.toml"), rewrite.text()).unwrap();
    let list = bench.says(0, &["list"]);
    assert!(list.contains("reading test 15: 12.9 mV") && list.contains("tick order 3, holes x"), "{list}");
    assert!(bench.says(0, &["progress"]).contains("1 of 24 jobs ticked; 1 of 59 tests read well"));
    // A track put in before all others by hand: the papers in hand stay true, since numbers were kept with the first entry.
    let text = text_of("thistle-dock-mended");
    let first = text.find("[[track]]").unwrap();
    let new = "[[track]]\nname = \"apart\"\nfrom = \"beyond\"\nto = \"buffer\"\nlength = \"3 m\"\nleft = \"main bus.A\"\nright = \"main bus.B\"\nfeeders = [\"1 m\"]\n\n";
    std::fs::write(bench.path().join("dock.toml"), format!("{}{new}{}", &text[..first], &text[first..])).unwrap();
    let list = bench.says(0, &["list"]);
    assert!(list.contains("reading test 15: 12.9 mV"), "{list}");
    let said = bench.says(0, &["reading", "15", "13 mV"]);
    assert!(said.contains("feeder of dock 1 left rail at 400 mm") || said.contains("feeder of dock 1 left"), "{said}");
    // The track is gone again, and what was read of it is kept, as of what is no longer there.
    let apart = bench.says(0, &["symptom", "apart", "no engine runs"]);
    assert!(apart.contains("symptom: apart"), "{apart}");
    std::fs::write(bench.path().join("dock.toml"), text).unwrap();
    let list = bench.says(0, &["list"]);
    assert!(list.contains("(of what the plan no longer has)") || list.contains("of what the plan"), "{list}");
}

#[test]
fn an_entry_is_put_right_by_another_and_nothing_is_lost() {
    let bench = Bench::new("thistle-dock-mended");
    bench.says(1, &["reading", "15", "129 mV", "--air", "18 °C", "--with", "red", "--at", "2024-05-01 18:20"]);
    let said = bench.says(0, &["correct", "15", "12.9 mV"]);
    assert!(said.contains("in place of 129 mV, read 2024-05-01 18:20") && said.contains("PASS"), "{said}");
    let entries = bench.entries();
    let right = entries.iter().find(|e| e.says.typed == "12.9 mV").unwrap();
    assert_eq!(
        (right.says.air, right.says.instrument.as_str()),
        (Some(18.0), "red"),
        "what was not said anew is as it was"
    );
    assert!(entries.iter().any(|e| e.says.typed == "129 mV"), "nothing is deleted");
    assert!(!bench.says(0, &["list"]).contains("129 mV;"));
    assert!(bench.says(0, &["list", "--all"]).contains("129 mV;"));
    let sign = right.id.short();
    assert!(bench.says(0, &["correct", &sign, "withdrawn"]).contains("taken back"));
    assert!(bench.says(0, &["progress"]).contains("0 of 59 tests read well"));
    bench.says(0, &["tick", "1"]);
    let tick = bench.entries().iter().find(|e| e.says.kind == logbook::EntryKind::Tick).unwrap().id.short();
    assert!(bench.says(2, &["correct", &tick, "2"]).contains("can only be taken back"));
    bench.says(0, &["correct", &tick, "withdrawn"]);
    assert!(bench.says(0, &["progress"]).contains("0 of 24 jobs ticked"));
}

#[test]
fn the_record_has_each_test_as_it_stands_now() {
    let bench = Bench::new("thistle-dock-mended");
    let none = bench.says(0, &["record", "--out", "record.csv"]);
    assert!(none.contains("no test was read yet") && !bench.path().join("record.csv").exists(), "{none}");
    bench.says(0, &["reading", "15", "12.9 mV", "--air", "18 °C"]);
    bench.says(1, &["reading", "4", "7 ohm", "--who", "Ada, \u{1b}[31mowl"]);
    bench.says(1, &["reading", "16", "OL"]);
    let said = bench.says(0, &["record", "--out", "record.csv"]);
    assert!(said.contains("record.csv written"), "{said}");
    let rows = |bench: &Bench| -> Vec<Vec<String>> {
        let text = std::fs::read(bench.path().join("record.csv")).unwrap();
        let mut table = csv::Reader::from_reader(text.as_slice());
        table.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
    };
    let found = rows(&bench);
    let short: Vec<[&str; 4]> = found.iter().map(|r| [0, 1, 4, 5].map(|at: usize| r[at].as_str())).collect();
    assert_eq!(
        short,
        [
            ["Fails", "4", "7 ohm", "FAIL"],
            ["Fails", "16", "OL", "FAIL"],
            ["Reads well: cold tests", "15", "12.9 mV (18 °C)", "PASS"],
        ]
    );
    assert!(!found.iter().flatten().any(|cell| cell.contains('\u{1b}')), "{found:?}");
    // What is repaired no longer counts, and is not forgotten.
    bench.says(0, &["repair", "B-2", "soldered", "anew"]);
    bench.says(0, &["record", "--out", "record.csv"]);
    let of_4: Vec<String> = rows(&bench).into_iter().filter(|row| row[1] == "4").map(|row| row[0].clone()).collect();
    assert_eq!(of_4, ["Repaired since it was read: read it again"]);
    bench.says(0, &["record", "--out", "record.pdf"]);
    let pdf = std::fs::read(bench.path().join("record.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF-"), "{} bytes", pdf.len());
    let refused = bench.run(&["record", "--out", "record.doc"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(!bench.path().join("record.doc").exists());
}

#[test]
fn storage_tests_are_answered_by_live_and_dead_too() {
    let bench = Bench::new("thistle-dock-mended");
    // `gapwright tests --hot`: 54 wants dock 1 dead, 55 dock 2 live.
    for (test, typed, status, verdict) in [
        ("54", "dead", 0, "PASS"),
        ("54", "live", 1, "FAIL"),
        ("55", "live", 0, "PASS"),
        ("55", "dead", 1, "FAIL"),
        ("55", "yes", 0, "PASS"),
    ] {
        let said = bench.says(status, &["reading", test, typed]);
        assert!(said.contains(&format!("test {test}: {verdict}")), "{said}");
    }
    // A motor is neither live nor dead.
    let refused = bench.run(&["reading", "58", "dead"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("yes or no"));
}

/// Papers were made by then, with labels on the wires.
#[test]
fn the_numbers_of_a_plan_of_composites_are_kept_with_the_first_entry() {
    let bench = Bench::new("quay");
    let short = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../plans/quay/short.toml")).unwrap();
    std::fs::write(bench.path().join("dock.toml"), &short).unwrap();
    bench.says(0, &["reading", "1", "OL"]);
    let kept = std::fs::read_to_string(bench.path().join("dock.numbers.csv")).unwrap();
    let reading = plan::read(&short);
    let facts = analysis::Analysis::of(&short, &reading.plan, &reading.names);
    let job = schedule::Job::new(facts, schedule::Choices::default());
    commissioning::work(&job, commissioning::TestLoad::default()).unwrap();
    assert_eq!(kept, job.record().to_csv());
    assert!(kept.lines().count() > 100);
    // The entry tells of the text that was written, as its papers do.
    let revision = papers::revision::revision(&short);
    assert!(bench.entries().iter().all(|entry| entry.says.plan == revision));
}
