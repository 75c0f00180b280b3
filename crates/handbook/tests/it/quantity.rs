//! What builders write, read as quantities.

use handbook::quantity::{
    Amps, Celsius, Fraction, Metres, Newtons, Ohms, OhmsPerMetre, Quantity, Radians, Seconds, SquareMetres, Volts,
    parse,
};

/// Reads `text` and asks for this many SI units.
#[track_caller]
fn check<Q: Quantity + std::fmt::Debug>(text: &str, expected: f64) {
    match parse::<Q>(text) {
        Ok(read) => {
            let far = (read.si() - expected).abs();
            assert!(far <= 1e-12 * expected.abs().max(1.0), "{text:?} read as {read:?}, not {expected}");
        }
        Err(error) => panic!("{text:?} was refused: {error}"),
    }
}

#[test]
fn lengths() {
    for ten_and_a_half_feet in
        ["10 ft 6 in", "10ft 6in", "10ft6in", "10' 6\"", "10'6\"", "10′ 6″", "10’ 6”", "10 feet 6 inches"]
    {
        check::<Metres>(ten_and_a_half_feet, 3.2004);
    }
    check::<Metres>("3.05 m", 3.05);
    check::<Metres>("3.05m", 3.05);
    check::<Metres>("914 mm", 0.914);
    check::<Metres>("91.4 cm", 0.914);
    check::<Metres>("12 in", 0.3048);
    check::<Metres>("12 IN.", 0.3048);
    check::<Metres>("2 yd", 1.8288);
    check::<Metres>("1 yd 2 ft 3 in", 1.6002);
    check::<Metres>("2 m 30 cm", 2.3);
    check::<Metres>("1 m 20 cm 5 mm", 1.205);
    check::<Metres>("  .5 m\t", 0.5);
    check::<Metres>("5. m", 5.0);
    check::<Metres>("1e3 m", 1000.0);
    check::<Metres>("2.5E-3 m", 0.0025);
    check::<Metres>("5 thou", 0.000127);
}

#[test]
fn fractions_of_an_inch() {
    check::<Metres>("1/2 in", 0.0127);
    check::<Metres>("3 1/4 in", 0.08255);
    check::<Metres>("3-1/4 in", 0.08255);
    check::<Metres>("3¼\"", 0.08255);
    check::<Metres>("3 ¼ in", 0.08255);
    check::<Metres>("10 ft 6 1/2 in", 3.2131);
    check::<Metres>("10 ft 1/2 in", 3.0607);
    check::<Metres>("10'½\"", 3.0607);
    for (character, eighths) in ["⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"].iter().zip([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0])
    {
        check::<Metres>(&format!("{character} in"), eighths / 8.0 * 0.0254);
    }
}

#[test]
fn signs() {
    check::<Celsius>("-2 °C", -2.0);
    check::<Celsius>("\u{2212}2 °C", -2.0);
    check::<Celsius>("+2 °C", 2.0);
    check::<Metres>("-10 ft 6 in", -3.2004);
    check::<Metres>("- 3 1/4 in", -0.08255);
    assert!(parse::<Metres>("-0 m").expect("nothing is a length").si().is_sign_positive());
}

#[test]
fn electrical_quantities() {
    check::<Amps>("250 mA", 0.25);
    check::<Amps>("4.5 A", 4.5);
    check::<Amps>("4.5 amps", 4.5);
    check::<Volts>("15 V", 15.0);
    check::<Volts>("15 volts", 15.0);
    for twelve_hundredths in ["0.12 \u{3A9}", "0.12 \u{2126}", "0.12 ohm", "0.12 ohms", "0.12 Ohms", "120 mohm"] {
        check::<Ohms>(twelve_hundredths, 0.12);
    }
    check::<Ohms>("80 mΩ", 0.08);
    check::<Ohms>("80 m\u{2126}", 0.08);
    check::<Ohms>("4.7 kΩ", 4700.0);
    check::<Ohms>("1 MΩ", 1e6);
    check::<OhmsPerMetre>("57 mΩ/m", 0.057);
    check::<OhmsPerMetre>("57 mΩ / m", 0.057);
    check::<OhmsPerMetre>("80 mohm/m", 0.08);
    check::<OhmsPerMetre>("0.08 ohm per metre", 0.08);
    check::<OhmsPerMetre>("7.98 Ω/km", 0.00798);
    check::<OhmsPerMetre>("3.048 mΩ/ft", 0.01);
}

#[test]
fn other_quantities() {
    check::<Seconds>("150 ms", 0.15);
    for micro in ["120 \u{B5}s", "120 \u{3BC}s", "120 us"] {
        check::<Seconds>(micro, 120e-6);
    }
    check::<Seconds>("2 s", 2.0);
    for warm in ["68 °F", "68 F", "68F", "68° F", "68 deg F", "68 \u{BA}F", "20 °C", "20 C", "20 celsius", "293.15 K"]
    {
        check::<Celsius>(warm, 20.0);
    }
    check::<Celsius>("293 K", 19.85);
    check::<Fraction>("55 %", 0.55);
    check::<Fraction>("55%", 0.55);
    check::<Fraction>("55 per cent", 0.55);
    for area in
        ["2.5 mm²", "2.5 mm2", "2.5mm2", "2.5 mm^2", "2.5 sq mm", "2.5 sq. mm", "2.5 sqmm", "2.5 square millimetres"]
    {
        check::<SquareMetres>(area, 2.5e-6);
    }
    check::<SquareMetres>("1 sq in", 0.00064516);
    check::<Radians>("180°", std::f64::consts::PI);
    check::<Radians>("0.5 rad", 0.5);
    check::<Newtons>("500 mN", 0.5);
    check::<Newtons>("100 gf", 0.980665);
}
