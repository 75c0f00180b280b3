//! What is said when a text is not the quantity that is due.

use handbook::quantity::{
    Amps, Celsius, Fraction, Metres, Ohms, Quantity, QuantityError, QuantityKind, Radians, parse,
};

/// Reads `text`, which must fail at `words` with this message and a hint holding `hint`.
#[track_caller]
fn refuse<Q: Quantity + std::fmt::Debug>(text: &str, words: &str, message: &str, hint: &str) -> QuantityError {
    let error = parse::<Q>(text).expect_err(text);
    assert_eq!(error.message, message, "{text:?}");
    assert_eq!(text.get(error.at.clone()), Some(words), "{text:?}");
    assert!(error.hint.contains(hint), "{text:?}: hint is {:?}", error.hint);
    error
}

#[test]
fn a_bare_number_is_told_which_units_would_do() {
    let error = refuse::<Metres>("3.05", "3.05", "a length is due here, but `3.05` has no unit", "`mm`");
    assert_eq!(
        error.hint,
        "units that would do: `m`, `mm`, `cm`, `ft`, `in`, `yd`; for example `3.05 m`, `914 mm` or `10 ft 6 in`"
    );
    refuse::<Fraction>("0.55", "0.55", "a percentage is due here, but `0.55` has no unit", "`55 %`");
    refuse::<Metres>("10 ft 6", "6", "a length is due here, but `6` has no unit", "`in`");
    refuse::<Amps>(" 4 ", "4", "a current is due here, but `4` has no unit", "`mA`");
    for kind in QuantityKind::ALL {
        assert!(kind.examples().starts_with('`') && !kind.units().is_empty(), "{kind:?}");
    }
}

#[test]
fn a_unit_of_another_kind_is_called_by_its_kind() {
    refuse::<Metres>("3 A", "A", "a length is due here, but `A` is a unit of current", "`mm`");
    refuse::<Amps>("3 mm", "mm", "a current is due here, but `mm` is a unit of length", "`mA`");
    refuse::<Radians>("3 °C", "°C", "an angle is due here, but `°C` is a unit of temperature", "`°`");
    refuse::<Ohms>("57 mΩ/m", "mΩ/m", "a resistance is due here, but `mΩ/m` is a unit of resistance per length", "`Ω`");
    refuse::<Metres>("2.5 mm2", "mm2", "a length is due here, but `mm2` is a unit of area", "`m`");
    refuse::<Metres>("2 m 3 V", "V", "a length is due here, but `V` is a unit of voltage", "`m`");
}

#[test]
fn an_unknown_unit_is_told_what_is_near() {
    let near = |text, words, message, meant: &str| {
        let error = refuse::<Metres>(text, words, message, "units that would do");
        assert!(error.hint.starts_with(&format!("did you mean `{meant}`?")), "{text}: {}", error.hint);
    };
    near("3 mtr", "mtr", "a length is due here, but `mtr` is no unit known here", "m");
    near("3 M", "M", "a length is due here, but `M` is no unit known here", "m");
    near("3 MM", "MM", "a length is due here, but `MM` is no unit known here", "mm");
    near("3 inchs", "inchs", "a length is due here, but `inchs` is no unit known here", "in");
    let current =
        refuse::<Amps>("3 ma", "ma", "a current is due here, but `ma` is no unit known here", "did you mean `mA`?");
    assert!(current.hint.contains("`250 mA`"));
    let far =
        refuse::<Metres>("3 bananas", "bananas", "a length is due here, but `bananas` is no unit known here", "units");
    assert!(!far.hint.contains("did you mean"), "{}", far.hint);
}

#[test]
fn a_comma_is_told_to_be_a_point() {
    refuse::<Metres>("2,5 m", "2,5", "`2,5` has a comma in it", "write `2.5`");
    refuse::<Metres>(
        "1,000 mm",
        "1,000",
        "`1,000` has a comma in it",
        "write `1.000`, or `1000` if thousands are meant",
    );
    refuse::<Metres>("1,000,000 mm", "1,000,000", "`1,000,000` has a comma in it", "as in `2.5`");
    refuse::<Metres>("2, m", "2,", "`2,` has a comma in it", "as in `2.5`");
}

#[test]
fn sums_are_for_lengths_and_fall() {
    refuse::<Metres>("6 in 10 ft", "ft", "`ft` is larger than the `in` before it", "10 ft 6 in");
    refuse::<Metres>("6 in 3 in", "in", "`in` stands here twice", "10 ft 6 in");
    refuse::<Metres>("10 ft -6 in", "-", "only the first part of a length may have a sign", "10 ft 6 in");
    refuse::<Metres>("10 ft or so", "or so", "`or so` is left over behind the length", "a length alone");
    refuse::<Amps>("4 A 500 mA", "500 mA", "`500 mA` is left over behind the current", "a current alone");
}

#[test]
fn what_is_no_number() {
    refuse::<Metres>("", "", "a length is due here, but nothing is written", "`m`");
    refuse::<Metres>("  ", "  ", "a length is due here, but nothing is written", "`m`");
    refuse::<Metres>("-", "-", "a number is due after `-`", "`m`");
    refuse::<Metres>("long", "long", "a length starts with a number, but `long` stands here", "`m`");
    refuse::<Metres>("NaN m", "NaN", "a length starts with a number, but `NaN` stands here", "`m`");
    refuse::<Metres>("inf m", "inf", "a length starts with a number, but `inf` stands here", "`m`");
    refuse::<Metres>("--3 m", "-3", "a length starts with a number, but `-3` stands here", "`m`");
    refuse::<Metres>("1e999 m", "1e999", "`1e999` is too large a number", "`3.05 m`");
    refuse::<Metres>("1e308 km", "1e308 km", "`1e308 km` is too large a number", "`3.05 m`");
    refuse::<Metres>("1/0 in", "1/0", "`1/0` divides by nothing", "`1/4`");
    refuse::<Ohms>("1/2 Ω", "1/2", "`1/2` is a fraction, which only a length may be", "decimal point");
    refuse::<Celsius>("-300 °C", "-300 °C", "`-300 °C` is below absolute zero", "`20 °C`");
    refuse::<Metres>("3\u{0} m", "\u{0}", "a length is due here, but `\\0` is no unit known here", "`m`");
}

#[test]
fn a_megabyte_is_read_in_a_blink_and_quoted_short() {
    const MEGABYTE: usize = 1 << 20;
    let long = [
        "9".repeat(MEGABYTE),
        "x".repeat(MEGABYTE),
        format!("3 {}", "m".repeat(MEGABYTE)),
        format!("3 {}", "m ".repeat(MEGABYTE)),
        format!("3{}m", " ".repeat(MEGABYTE)),
        "1 ".repeat(MEGABYTE),
        "1,".repeat(MEGABYTE),
        "1/".repeat(MEGABYTE),
        "1m".repeat(MEGABYTE),
        "-".repeat(MEGABYTE),
        "½".repeat(MEGABYTE),
        format!("1e{}", "9".repeat(MEGABYTE)),
        format!("1/{} in", "0".repeat(MEGABYTE)),
        format!("3 m{}", " /".repeat(MEGABYTE)),
    ];
    // Reading that took the square of a megabyte would not end here.
    for text in &long {
        match parse::<Metres>(text) {
            Ok(length) => assert_eq!(length, Metres(3.0)),
            Err(error) => assert!(error.message.len() + error.hint.len() < 500, "{}", error.message),
        }
    }
}
