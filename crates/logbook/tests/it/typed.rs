//! What people type.

use logbook::typed::{Typed, air, typed};

#[track_caller]
fn near(text: &str, due: Typed) {
    let found = typed(text).unwrap_or_else(|why| panic!("{text}: {why}"));
    let same = match (found, due) {
        (Typed::Bare(a), Typed::Bare(b))
        | (Typed::Ohms(a), Typed::Ohms(b))
        | (Typed::Volts(a), Typed::Volts(b))
        | (Typed::Amps(a), Typed::Amps(b)) => (a - b).abs() <= 1e-12 * b.abs(),
        (a, b) => a == b,
    };
    assert!(same, "{text}: {found:?}, not {due:?}");
}

#[test]
fn readings_are_taken_as_people_write_them() {
    for text in [
        "0.4 ohm",
        "0,4 ohm",
        "0.4ohm",
        "0,4Ω",
        "0.4 \u{2126}",
        ".4 Ohm",
        "0R4",
        "0,40 OHMS",
        "400 mΩ",
        "400 mohm",
        " 0.4\u{a0}Ω ",
    ] {
        near(text, Typed::Ohms(0.4));
    }
    for text in ["4.7 kΩ", "4k7", "4,7k", "4.7 kohm", "4.7 Kohm", "4700 ohm", "0.0047 MΩ", "4K7"] {
        near(text, Typed::Ohms(4700.0));
    }
    near("2M2", Typed::Ohms(2.2e6));
    for text in ["OL", "0L", "ol", "O.L", "0.L MΩ", "OL kΩ", "open", "over", "∞", "no beep"] {
        near(text, Typed::OverRange);
    }
    for text in ["12.5 mV", "12,5mV", "0.0125 V", "12.5 MV", "12.5 millivolts"] {
        near(text, Typed::Volts(0.0125));
    }
    near("-0,3 mV", Typed::Volts(-0.0003));
    near("−0.3 mV", Typed::Volts(-0.0003));
    near("250 mA", Typed::Amps(0.25));
    near("0,4", Typed::Bare(0.4));
    near("1", Typed::Bare(1.0));
    near("beeps", Typed::Buzzes);
    near("Yes", Typed::Yes);
    near("tripped", Typed::Yes);
    near("no", Typed::No);
    near("Dead", Typed::Dead);
    near("is live", Typed::Live);
}

#[test]
fn what_is_no_reading_is_told_with_a_line_that_is_right() {
    for text in [
        "",
        " ",
        "ohm",
        "much",
        "1.234,5 ohm",
        "1,234.5",
        "0.4 furlongs",
        "0.4 kg",
        "1 2",
        "--4",
        "4-",
        "0.4 ohm 3",
        "1e999",
        "nan",
        "NaN ohm",
        "-",
        "0.4 MOHM",
        "𝟙 ohm",
        &"9".repeat(400),
        &"x".repeat(100_000),
    ] {
        let why = typed(text).expect_err(text);
        assert!(why.what.len() < 400 && why.help.contains('`'), "{text}: {why}");
    }
}

#[test]
fn the_air_is_taken_as_people_write_it() {
    for (text, due) in [
        ("18 °C", 18.0),
        ("18", 18.0),
        ("18,5 C", 18.5),
        ("-5 °C", -5.0),
        ("−5", -5.0),
        ("64.4 °F", 18.0),
        ("64.4F", 18.0),
        ("18 deg", 18.0),
        ("291.15 K", 18.0),
    ] {
        assert!((air(text, false).unwrap() - due).abs() < 1e-9, "{text}");
    }
    assert!((air("64.4", true).unwrap() - 18.0).abs() < 1e-9, "a plan in feet and inches is read in °F");
    for text in ["warm", "", "180", "68", "18 ohm", "1.8.2026", "-50 °C"] {
        assert!(air(text, false).is_err(), "{text}");
    }
}
