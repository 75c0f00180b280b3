//! Profiles as comma-separated values, read back.

use super::{DEMOS, all_profiles, broken, profile, to_csv};

/// Records and fields as RFC 4180 has them; a record ends with its line.
fn read(text: &str) -> Vec<Vec<String>> {
    let mut records = vec![vec![String::new()]];
    let mut quoted = false;
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let record = records.last_mut().expect("there is one");
        match letter {
            '"' if quoted && letters.next_if_eq(&'"').is_some() => record.last_mut().expect("a field").push('"'),
            '"' => quoted = !quoted,
            ',' if !quoted => record.push(String::new()),
            '\n' if !quoted => records.push(vec![String::new()]),
            other => record.last_mut().expect("a field").push(other),
        }
    }
    assert!(!quoted, "a quote is left open");
    assert_eq!(records.pop(), Some(vec![String::new()]), "the last line ends");
    records
}

/// Every line has every column, the pieces follow one another, and each number is that of the profile to the last digit.
#[test]
fn every_number_reads_back_as_it_was() {
    let broken = broken();
    let texts: Vec<&str> = DEMOS.into_iter().chain([broken.as_str()]).collect();
    for profile in all_profiles(&texts) {
        let records = read(&to_csv(&profile));
        let head = &records[0];
        assert_eq!((head.len(), records.len()), (53, profile.pieces.len() + 1), "{}", profile.name);
        let column = |name: &str| head.iter().position(|h| h == name).unwrap_or_else(|| panic!("no column {name}"));
        let mut reached: f64 = 0.0;
        for (record, piece) in records[1..].iter().zip(&profile.pieces) {
            assert_eq!(record.len(), head.len());
            let number =
                |name: &str| -> f64 { record[column(name)].parse().unwrap_or_else(|_| panic!("{name}: {record:?}")) };
            assert!((number("along_from_m") - reached).abs() < 1e-9, "{}", profile.name);
            reached = number("along_to_m");
            assert_eq!(record[column("segment")], profile.steps[piece.step].name);
            let Ok(fed) = &piece.feed else {
                assert!(record[6..].iter().all(String::is_empty), "{record:?}");
                continue;
            };
            assert_eq!((record[column("power")].as_str(), number("supply_V")), ("yes", fed.supply_volts));
            for (word, parabola) in
                [("new", fed.loop_ohms.low), ("usual", fed.loop_ohms.typical), ("aged", fed.loop_ohms.high)]
            {
                let of = |name: &str| number(&name.replace('*', word));
                let told = [of("loop_from_*_ohm"), of("loop_to_*_ohm"), of("loop_bow_*_ohm")];
                assert_eq!(told, [parabola.start, parabola.end, parabola.bow]);
                let s = (of("volts_worst_at_*_m") - piece.from) / (piece.to - piece.from);
                let missing = [
                    ("new", fed.standing_train_drop.low),
                    ("usual", fed.standing_train_drop.typical),
                    ("aged", fed.standing_train_drop.high),
                ];
                let missing = missing.iter().find(|m| m.0 == word).map_or(0.0, |m| m.1.at(s));
                let least = fed.supply_volts - profile.load_case.train_amps * parabola.at(s) - missing;
                assert!((of("volts_least_*_V") - least).abs() < 1e-12);
                assert!(of("volts_least_*_V") <= of("volts_from_*_V").min(of("volts_to_*_V")));
                assert!(of("fault_least_*_A") <= of("fault_from_*_A").min(of("fault_to_*_A")));
            }
            assert!(number("volts_least_aged_V") <= number("volts_least_usual_V"));
            assert!(number("fault_least_new_A") >= number("fault_least_usual_A"));
        }
        assert!((reached - profile.length).abs() < 1e-9, "{}", profile.name);
    }
}

/// Headers name their units or are words.
#[test]
fn headers_carry_units() {
    let text = to_csv(&profile(DEMOS[0], None));
    let head = &read(&text)[0];
    let words = ["segment", "power", "supply", "trip_breaker"];
    let unit = |h: &String| ["_m", "_ohm", "_V", "_A"].iter().any(|u| h.ends_with(u));
    assert!(head.iter().all(|h| words.contains(&h.as_str()) || unit(h)), "{head:?}");
}

#[test]
fn names_with_commas_and_quotes_are_one_field() {
    let text = DEMOS[0].replace("\"dock 1", "\"dock, \\\"old\\\" 1").replace("\"approach\"", "\"=a,b\"");
    let records = read(&to_csv(&profile(&text, None)));
    assert!(records.iter().any(|r| r[2] == "dock, \"old\" 1"));
    assert!(records.iter().any(|r| r[2] == "'=a,b"), "no formula");
    assert!(records.iter().all(|r| r.len() == 53));
}
