//! Tables, copies, several hands, years, and the dialogue.

use super::bench::Bench;
use std::io::Write as _;
use std::process::Stdio;

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
