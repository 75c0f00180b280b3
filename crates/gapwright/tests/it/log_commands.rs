//! The logbook, kept as a builder keeps it.

use crate::common::fits;
use oracle::rewrite::Rewrite;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// A plan in a folder of its own, with its logbook.
struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    fn new(plan: &str) -> Bench {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("dock.toml"), text_of(plan)).unwrap();
        Bench { folder }
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_gapwright"));
        command.args(["log", "dock.toml"]).args(arguments).current_dir(&self.folder);
        command.env("COLUMNS", "80").env("GAPWRIGHT_WHO", "Kim").env("GAPWRIGHT_DEVICE", "bench").env("TZ", "UTC");
        command
    }

    fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).stdin(Stdio::null()).output().unwrap()
    }

    /// What is printed, where the command ends with this status.
    #[track_caller]
    fn says(&self, status: i32, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        let errors = String::from_utf8(output.stderr).unwrap();
        assert_eq!(
            output.status.code(),
            Some(status),
            "{arguments:?}: {}{errors}",
            String::from_utf8_lossy(&output.stdout)
        );
        let text = String::from_utf8(output.stdout).unwrap();
        if status < 2 {
            assert!(errors.is_empty(), "{errors}");
            fits(&text);
            return text;
        }
        assert!(text.is_empty(), "{text}");
        errors
    }

    /// The entries as a table.
    fn entries(&self) -> Vec<logbook::Entry> {
        logbook::table::from_csv(&String::from_utf8(self.run(&["export"]).stdout).unwrap()).unwrap()
    }
}

fn text_of(plan: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../plans/{plan}/plan.toml")))
        .unwrap()
}

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
    assert_eq!(bench.entries().last().unwrap().says.range, "a load of 2 A, 20 V");
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
fn a_table_is_entered_whole_or_not_at_all() {
    let bench = Bench::new("thistle-dock-mended");
    let file = |text: &str| std::fs::write(bench.path().join("r.csv"), text).unwrap();
    // As a spreadsheet saves it where commas stand before decimals; not all tests were read yet.
    file("\u{feff}No.;Read;Unit;Date;Air;By\r\n15;12,9;mV;2026-05-01 18:20;18;Ada\r\n16;;mV;;;\r\n;;;;;\r\n");
    let said = bench.says(0, &["file", "r.csv"]);
    assert!(said.contains("1 readings entered, 0 fail"), "{said}");
    assert!(bench.says(0, &["file", "r.csv"]).contains("0 readings entered, 0 fail; 1 were there before"));
    let entries = bench.entries();
    let read = entries.iter().find(|e| e.says.kind == logbook::EntryKind::Reading).unwrap();
    assert_eq!((read.says.value, read.says.air, read.says.who.as_str()), (Some(12.9), Some(18.0), "Ada"));
    assert!(read.says.time.as_str().starts_with("2026-05-01T18:20:00.000"));
    file("test,reading\n15,13 mV\n99,1 ohm\n15,much\n15,104.3 mV\n");
    let said = bench.says(2, &["file", "r.csv"]);
    assert!(said.contains("line 3: there is no test `99`") && said.contains("line 4: `much` is no reading"), "{said}");
    assert_eq!(bench.entries().len(), entries.len());
    file("test,reading\n15,13 mV\n15,104.3 mV\n");
    assert!(bench.says(1, &["file", "r.csv"]).contains("FAIL: test 15"));
    file("nothing,here\n1,2\n");
    assert!(bench.says(2, &["file", "r.csv"]).contains("has no columns `test` and `reading`"));
}

#[test]
fn copies_travel_and_come_together() {
    let (bench, other) = (Bench::new("thistle-dock-mended"), Bench::new("thistle-dock-mended"));
    assert!(bench.says(2, &["export"]).contains("has no logbook yet"));
    bench.says(0, &["reading", "15", "12.9 mV"]);
    other.says(0, &["reading", "15", "13.1 mV"]);
    other.says(0, &["remark", "=1+1"]);
    std::fs::copy(other.path().join("dock.logbook"), bench.path().join("exhibition.logbook")).unwrap();
    let said = bench.says(0, &["merge", "exhibition.logbook"]);
    assert!(said.contains("3 entries taken over, 0 were there already"), "{said}");
    assert!(bench.says(0, &["merge", "exhibition.logbook"]).contains("0 entries taken over, 3 were there already"));
    bench.says(0, &["export", "--out", "all.csv"]);
    assert!(std::fs::read_to_string(bench.path().join("all.csv")).unwrap().contains("'=1+1"));
    std::fs::copy(bench.path().join("all.csv"), other.path().join("all.csv")).unwrap();
    assert!(other.says(0, &["import", "all.csv"]).contains("2 entries taken over, 3 were there already"));
    assert_eq!(bench.entries(), other.entries());
    assert!(bench.says(0, &["backup", "copy.logbook"]).contains("5 entries in copy.logbook"));
    // That of another layout is not taken over by mistake.
    let strange = Bench::new("seven-tracks");
    strange.says(0, &["tick", "1"]);
    std::fs::copy(strange.path().join("dock.logbook"), bench.path().join("seven.logbook")).unwrap();
    assert!(bench.says(2, &["merge", "seven.logbook"]).contains("seems to be of another layout"));
    assert_eq!(bench.entries().len(), 5);
    assert!(bench.says(0, &["merge", "seven.logbook", "--anyway"]).contains("2 entries taken over"));
    assert!(bench.says(0, &["list"]).contains("order 1, marking out"), "what is done once is the same on all layouts");
    assert!(bench.says(2, &["backup", "copy.logbook"]).contains("is there already"));
    assert!(bench.says(2, &["merge", "dock.toml"]).contains("is no logbook"));
    assert!(bench.says(2, &["import", "dock.toml"]).contains("nothing was taken over"));
}

#[test]
fn several_hands_write_at_once() {
    let bench = Bench::new("thistle-dock-mended");
    let writers: Vec<_> = (0..8)
        .map(|hand| {
            bench
                .command(&["reading", "15", "12.9 mV", "--who", &hand.to_string()])
                .stdout(Stdio::null())
                .spawn()
                .unwrap()
        })
        .collect();
    for mut writer in writers {
        assert_eq!(writer.wait().unwrap().code(), Some(0));
    }
    let mut hands: Vec<String> = bench
        .entries()
        .into_iter()
        .filter(|e| e.says.kind == logbook::EntryKind::Reading)
        .map(|e| e.says.who)
        .collect();
    hands.sort();
    assert_eq!(hands, ["0", "1", "2", "3", "4", "5", "6", "7"]);
}

#[test]
fn what_a_newer_program_wrote_is_refused() {
    let bench = Bench::new("thistle-dock-mended");
    bench.says(0, &["reading", "15", "12.9 mV"]);
    let path = bench.path().join("dock.logbook");
    // The version of the form stands at byte 60 of the header (SQLite file format, 1.3).
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[60..64].copy_from_slice(&99_u32.to_be_bytes());
    std::fs::write(&path, &bytes).unwrap();
    assert!(bench.says(2, &["reading", "15", "12.9 mV"]).contains("written by a newer program"));
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
}

#[test]
fn a_slow_change_is_told_with_the_year_in_which_the_limit_is_crossed() {
    let bench = Bench::new("thistle-dock-mended");
    assert!(bench.says(0, &["years"]).contains("no test was read more than once"));
    let mut table = "test,reading,time,air\n".to_owned();
    for year in 0..8 {
        table.push_str(&format!("15,{} mV,{}-05-01,20\n", 10.0 + f64::from(year), 2016 + year));
        table.push_str(&format!("16,{} mV,{}-05-01,20\n", 12.8 + 0.1 * f64::from(year % 2), 2016 + year));
    }
    std::fs::write(bench.path().join("r.csv"), table).unwrap();
    bench.run(&["file", "r.csv"]);
    let said = bench.says(1, &["years", "15"]);
    // 10 mV and 1 mV a year from May 2016 on: the limit stands in the message.
    assert!(said.contains("CHANGING since") && said.contains("+1.00 mV a year from a mean of 11.0 mV"), "{said}");
    let crosses = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let (limit, year) = crosses.split_once("it crosses ").unwrap().1.split_once(" mV in ").unwrap();
    let due = 2016.33 + limit.parse::<f64>().unwrap() - 10.0;
    assert_eq!(
        year.split(|c: char| !c.is_ascii_digit()).next().unwrap().parse::<f64>().unwrap(),
        due.floor(),
        "{said}"
    );
    let all = bench.says(1, &["years"]);
    assert!(all.contains("1 tests are steady"), "{all}");
}

#[test]
fn the_dialogue_leads_from_one_to_the_next() {
    let bench = Bench::new("thistle-dock-mended");
    let talk = |typed: &str| {
        let mut child = bench.command(&[]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
        child.stdin.take().unwrap().write_all(typed.as_bytes()).unwrap();
        let output = child.wait_with_output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        (output.status.code(), text)
    };
    let (status, said) = talk("warm\n18\ny\nmaybe\n15 12.9 mV\n15 104.3 mV\nq\n");
    assert_eq!(status, Some(1), "a reading failed: {said}");
    for due in [
        "How warm is the air?",
        "`warm` is no temperature",
        "18 °C, for the next 12 hours",
        "ticked: order 1, marking out",
        "Type y when it is done",
        "test 15: PASS",
        "test 15: FAIL",
        "CAUTION: Look below before you drill",
    ] {
        assert!(said.contains(due), "{due}: {said}");
    }
    let readings = bench.entries().into_iter().filter(|e| e.says.kind == logbook::EntryKind::Reading);
    assert!(readings.into_iter().all(|e| e.says.air == Some(18.0)));
    // The end of what is typed is an end as any other; nothing is asked twice.
    let (status, said) = talk("");
    assert_eq!(status, Some(0));
    assert!(!said.contains("How warm"), "{said}");
    // All jobs done: the tests that can be made are asked, with how and limits, and a wrong line loses nothing.
    bench.says(0, &["tick", "1 to 24"]);
    let (_, said) = talk("0.4 furlongs\nq\n");
    assert!(said.contains("CAUTION: cold tests are read with every supply") && said.contains("; well: "), "{said}");
    assert!(said.contains("nothing was entered. Please type it as"), "{said}");
}
