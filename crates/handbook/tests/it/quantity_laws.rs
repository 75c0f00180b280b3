//! What holds for every text and every quantity.

use handbook::quantity::*;
use proptest::prelude::*;

/// Reading must not panic, and an error must point into the text.
fn read_all_kinds(text: &str) {
    fn read<Q: Quantity + std::fmt::Debug>(text: &str) {
        match parse::<Q>(text) {
            Ok(quantity) => assert!(quantity.si().is_finite(), "{text:?} gave {quantity:?}"),
            Err(error) => {
                assert!(text.get(error.at.clone()).is_some(), "{text:?}: {error:?}");
                assert!(!error.message.is_empty() && !error.hint.is_empty());
                assert!(!error.message.contains('\n') && !error.hint.contains('\n'), "{error:?}");
            }
        }
    }
    read::<Metres>(text);
    read::<SquareMetres>(text);
    read::<Volts>(text);
    read::<Amps>(text);
    read::<Ohms>(text);
    read::<OhmsPerMetre>(text);
    read::<Seconds>(text);
    read::<Celsius>(text);
    read::<Fraction>(text);
    read::<Radians>(text);
    read::<Newtons>(text);
    if let Err(error) = handbook::wires::wire(text) {
        assert!(text.get(error.at.clone()).is_some(), "{text:?}: {error:?}");
    }
}

/// Shows a value of one kind, reads it back and asks for it within 1 %.
fn round_trip<Q: Quantity>(value: f64, show: impl Fn(Q) -> String) {
    let shown = show(Q::from_si(value));
    let read = parse::<Q>(&shown).unwrap_or_else(|error| panic!("{shown}: {error}")).si();
    assert!((read - value).abs() <= 0.01 * value.abs(), "{value} shown as {shown}, read as {read}");
    assert!(shown.chars().count() <= 14, "{shown} is long");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn reading_never_panics_on_any_text(text in any::<String>()) {
        read_all_kinds(&text);
    }

    /// Texts made of the pieces quantities are made of reach deeper than arbitrary ones.
    #[test]
    fn reading_never_panics_on_pieces(pieces in prop::collection::vec(prop::sample::select(vec![
        "1", "10", "0", ".", ",", "/", "-", "\u{2212}", "+", " ", "\u{a0}", "e", "E5", "1/4", "½", "m", "mm", "ft", "in",
        "'", "\"", "Ω", "\u{2126}", "µ", "°", "C", "F", "%", "²", "2", "^2", "sq", "per", "AWG", "awg", "999999999", "\u{0}", "é",
    ]), 0..12)) {
        read_all_kinds(&pieces.concat());
    }

    #[test]
    fn feet_and_inches_add_up(feet in 0_u32..1000, inches in 0.0_f64..12.0) {
        let read = parse::<Metres>(&format!("{feet} ft {inches} in")).expect("a length").si();
        let expected = (f64::from(feet) * 12.0 + inches) * 0.0254;
        prop_assert!((read - expected).abs() <= 1e-12 * expected.max(1.0));
    }

    #[test]
    fn fractions_add_up(whole in 0_u32..100, over in 1_u32..64, under in 1_u32..64) {
        let read = parse::<Metres>(&format!("{whole} {over}/{under} in")).expect("a length").si();
        let expected = (f64::from(whole) + f64::from(over) / f64::from(under)) * 0.0254;
        prop_assert!((read - expected).abs() <= 1e-12);
    }

    #[test]
    fn what_is_shown_reads_back_within_one_per_cent(
        power in -5.0_f64..12.0,
        negative in any::<bool>(),
    ) {
        let value = 10_f64.powf(power) * if negative { -1.0 } else { 1.0 };
        round_trip(value, show_length);
        round_trip(value, show_area);
        round_trip(value, show_volts);
        round_trip(value, show_amps);
        round_trip(value, show_ohms);
        round_trip(value, show_ohms_per_metre);
        round_trip(value, show_seconds);
        round_trip(value, show_percent);
        round_trip(value, show_radians);
        round_trip(value, show_newtons);
    }

    #[test]
    fn a_temperature_shown_reads_back_within_a_tenth(value in -273.0_f64..2000.0) {
        let read = parse::<Celsius>(&show_celsius(Celsius(value))).expect("a temperature").si();
        prop_assert!((read - value).abs() <= 0.0501);
    }
}

#[test]
fn shown_for_people() {
    let check = |shown: String, expected: &str| assert_eq!(shown, expected);
    check(show_length(Metres(2.1)), "2.1 m");
    check(show_length(Metres(0.09)), "90 mm");
    check(show_length(Metres(0.9999)), "1 m");
    check(show_length(Metres(0.0005)), "0.5 mm");
    check(show_length(Metres(0.0)), "0 m");
    check(show_length(Metres(-0.0)), "0 m");
    check(show_length(Metres(1e-12)), "0 mm");
    check(show_length(Metres(-0.1)), "-100 mm");
    check(show_length(Metres(12.3456)), "12.3 m");
    check(show_length(Metres(1234.5)), "1234 m");
    check(show_area(SquareMetres(2.5e-6)), "2.5 mm²");
    check(show_volts(Volts(13.4231)), "13.42 V");
    check(show_volts(Volts(15.0)), "15 V");
    check(show_volts(Volts(0.7)), "0.7 V");
    check(show_volts(Volts(0.0125)), "12.5 mV");
    check(show_amps(Amps(4.5)), "4.5 A");
    check(show_amps(Amps(0.15)), "150 mA");
    check(show_amps(Amps(9.996)), "10 A");
    check(show_ohms(Ohms(0.08)), "80 mΩ");
    check(show_ohms(Ohms(1.25)), "1.25 Ω");
    check(show_ohms(Ohms(4700.0)), "4.7 kΩ");
    check(show_ohms(Ohms(0.0)), "0 Ω");
    check(show_ohms(Ohms(f64::INFINITY)), "∞ Ω");
    check(show_ohms(Ohms(f64::NAN)), "? Ω");
    check(show_ohms_per_metre(OhmsPerMetre(0.057)), "57 mΩ/m");
    check(show_seconds(Seconds(58e-6)), "58 µs");
    check(show_seconds(Seconds(0.12)), "120 ms");
    check(show_celsius(Celsius(-2.0)), "-2 °C");
    check(show_celsius(Celsius(-0.01)), "0 °C");
    check(show_percent(Fraction(0.05)), "5 %");
    check(show_percent(Fraction(0.0333333)), "3.33 %");
    check(show_radians(Radians(0.16633)), "9.53°");
    check(show_newtons(Newtons(47926.0)), "47.9 kN");
}
