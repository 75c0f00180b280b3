//! Meters.

use logbook::instrument::{Instrument, Reads, factor_from};

#[test]
fn a_meters_words_are_read() {
    let (meter, reads) = Instrument::parse("0.1 Ω; 0.8 % + 5 digits; leads 0.3 Ω; factor 1.002").unwrap();
    assert_eq!(meter, Instrument { resolution: 0.1, share: 0.008, digits: 5.0, lead_zero: 0.3, factor: 1.002 });
    assert_eq!(reads, Reads::Ohms);
    assert_eq!(meter.words(reads), "0.1 Ω; 0.8 % + 5 digits; leads 0.3 Ω; factor 1.002");
    for (words, share, digits) in [
        ("0,1 ohm; 0,5 % + 2 digits", 0.005, 2.0),
        ("0.1 ohm; ±(0.5% + 2)", 0.005, 2.0),
        ("0.1 ohm; accuracy 0.5 % + 2 dgt", 0.005, 2.0),
        ("resolution 0.1 ohm; +-0.5% rdg + 2 d", 0.005, 2.0),
        ("0.1 ohm; 1 %", 0.01, 0.0),
        ("0.1 ohm; 3 digits", 0.0, 3.0),
        ("0.1 ohm", 0.0, 0.0),
    ] {
        let (meter, _) = Instrument::parse(words).unwrap_or_else(|why| panic!("{words}: {why}"));
        assert!((meter.share - share).abs() < 1e-12 && meter.digits == digits, "{words}: {meter:?}");
    }
    let (meter, reads) = Instrument::parse("0.1 mV; 0.5 % + 3 digits").unwrap();
    assert!((meter.resolution - 0.1).abs() < 1e-12 && reads == Reads::Millivolts);
    assert_eq!(Instrument::parse("0.01 V").unwrap().1, Reads::Volts);
    for wrong in [
        "",
        "good",
        "0 ohm",
        "-1 ohm",
        "0.1 ohm; 500 %",
        "0.1 ohm; 0.5 % + 0.5 %",
        "0.1 ohm; leads OL",
        "0.1 ohm; factor 9",
        "0.1",
    ] {
        assert!(Instrument::parse(wrong).is_err(), "{wrong}");
    }
}

#[test]
fn uncertainties_are_those_of_the_guide() {
    // JCGM 100:2008, F.2.2.1: a step of δx gives 0.29 δx.
    assert!((Instrument::with_resolution(1.0).resolution_uncertainty() - 0.288_675).abs() < 1e-6);
    // 4.3.7: limits ±a as a rectangular distribution give a/√3. 0.5 % of 100 and 2 digits of 0.1 are 0.7.
    let (meter, _) = Instrument::parse("0.1 Ω; 0.5 % + 2 digits").unwrap();
    let due = (0.7_f64 / 3f64.sqrt()).hypot(0.1 / 12f64.sqrt());
    assert!((meter.uncertainty(100.0) - due).abs() < 1e-12);
    // Two readings of one meter share what it is off by as a part of the reading.
    assert!((meter.repeatability() - (0.2_f64 / 3f64.sqrt()).hypot(0.1 / 12f64.sqrt())).abs() < 1e-12);
}

#[test]
fn leads_and_factor_are_taken_in() {
    let (meter, _) = Instrument::parse("0.1 Ω; 0.8 % + 5 digits; factor 1.02").unwrap();
    assert!((meter.corrected_ohms(10.3, 0.3).unwrap() - 10.2).abs() < 1e-12);
    assert_eq!(meter.corrected_ohms(0.2, 0.3).unwrap(), 0.0, "within what the meter may be off by that is nothing");
    assert!(meter.corrected_ohms(0.2, 3.0).is_err(), "the leads are others");
    assert!((factor_from(10.0, 10.3, 0.3).unwrap() - 1.0).abs() < 1e-12);
    assert_eq!(factor_from(10.0, 0.3, 0.3), None);
    assert_eq!(factor_from(10.0, 100.0, 0.3), None, "that is no resistor of 10 Ω");
}
