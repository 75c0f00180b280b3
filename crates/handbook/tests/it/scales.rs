//! Scales and turnouts against the standards.

use handbook::limits;
use handbook::quantity::{Metres, Quantity, Radians, Volts};
use handbook::scales::{
    Scale, continental_frog_angle, fouling_from_frog, frog_angle, frog_number, frog_to_centre_lines, scale, scales,
    turnout_lead,
};
use handbook::spread::{Sourced, Spread};

fn known(name: &str) -> &'static Scale {
    scale(name).unwrap_or_else(|| panic!("{name} is not listed"))
}

#[test]
fn ratios_and_gauges() {
    // Scales (no tag): O 1:48, S 1:64, OO 1:76.2 (16.5 mm), HO 1:87.1 (16.5 mm), TT 1:120 (12), N 1:160 (9.0), Z 1:220 (6.5)
    for (name, ratio, gauge) in [
        ("O", 48.0, None),
        ("S", 64.0, None),
        ("OO", 76.2, Some(16.5)),
        ("HO", 87.1, Some(16.5)),
        ("TT", 120.0, Some(12.0)),
        ("N", 160.0, Some(9.0)),
        ("Z", 220.0, Some(6.5)),
        // [memory] NEM 010: H0m 12, H0e 9 mm; NMRA S-1.2: HOn3 .413 in, On30 .650 in
        ("HOm", 87.1, Some(12.0)),
        ("HOe", 87.1, Some(9.0)),
        ("OO9", 76.2, Some(9.0)),
        ("HOn3", 87.1, Some(10.5)),
        ("On30", 48.0, Some(16.5)),
    ] {
        let scale = known(name);
        assert_eq!(scale.ratio, ratio);
        match gauge {
            Some(gauge) => assert!((scale.gauge.value.in_millimetres() - gauge).abs() < 1e-9),
            None => assert!(scale.gauge.source.contains("from memory")),
        }
    }
    // [std] NMRA S-3.2 (2010) HO: gauge .651 +.010/−.002 in
    let inches = known("HO").gauge.value.in_inches();
    assert!((0.649..=0.661).contains(&inches), "{inches}");
    assert_eq!(scales().len(), 12);
}

#[test]
fn names_and_aliases() {
    for (text, name) in [
        ("oo", "OO"),
        ("00", "OO"),
        ("H0", "HO"),
        ("h0", "HO"),
        (" n ", "N"),
        ("0", "O"),
        ("h0m", "HOm"),
        ("009", "OO9"),
    ] {
        assert_eq!(scale(text).map(|scale| scale.name), Some(name), "{text}");
    }
    assert_eq!(scale("G"), None);
}

#[test]
fn voltages() {
    // [std] NMRA S-9.1: nominal N 12, HO/S/O 15; decoders withstand 24 V (N) / 27 V
    for (name, nominal, withstand) in [("N", 12.0, 24.0), ("HO", 15.0, 27.0), ("S", 15.0, 27.0), ("O", 15.0, 27.0)] {
        let scale = known(name);
        assert_eq!((scale.nominal_voltage.value, scale.decoder_withstand.value), (Volts(nominal), Volts(withstand)));
        assert_eq!((scale.nominal_voltage.source, scale.decoder_withstand.source), ("NMRA S-9.1", "NMRA S-9.1"));
    }
    // [std] NMRA S-9.1: track 8.5–22 V peak
    for scale in scales() {
        assert!((8.5..=22.0).contains(&scale.nominal_voltage.value.0), "{}", scale.name);
        assert!(scale.nominal_voltage.value < scale.decoder_withstand.value, "{}", scale.name);
    }
}

#[test]
fn running_currents() {
    // [practice] running current N 0.25, HO/OO 0.3–0.6, O 1–2 A: common practice, no source
    for (name, low, high) in [("N", 0.25, 0.25), ("HO", 0.3, 0.6), ("OO", 0.3, 0.6), ("O", 1.0, 2.0)] {
        let current = known(name).train_running_current;
        assert_eq!((current.value.low.0, current.value.high.0), (low, high), "{name}");
        assert_eq!(current.source, "common practice, no source");
    }
    for scale in scales() {
        let band = scale.train_running_current.value;
        assert!(band.low <= band.typical && band.typical <= band.high, "{}", scale.name);
    }
}

#[test]
fn clear_widths_and_centres() {
    // [std] NEM 102 clear width mm: Z 20 · N 27 · TT 36 · H0 48 · S 66 · 0 94
    for (name, width) in [("Z", 20.0), ("N", 27.0), ("TT", 36.0), ("HO", 48.0), ("S", 66.0), ("O", 94.0)] {
        let clear = known(name).clear_width;
        assert!((clear.value.in_millimetres() - width).abs() < 1e-9);
        assert_eq!(clear.source, "NEM 102");
    }
    // [memory] O 3¼ in, S 2 7/16, TT 34 mm; practice HO 2 in; NEM N 25 mm
    for (name, centres) in [("O", 82.55), ("S", 61.9125), ("HO", 50.8), ("TT", 34.0), ("N", 25.0)] {
        assert!((known(name).track_centres.value.in_millimetres() - centres).abs() < 1e-9, "{name}");
    }
}

#[test]
fn frog_angles() {
    // [std] NMRA RP-12 N = ½·cot(θ/2): 4 14°15′ · 5 11°25′ · 6 9°32′ · 7 8°10′, to the minute
    for (number, degrees, minutes) in [(4.0, 14.0, 15.0), (5.0, 11.0, 25.0), (6.0, 9.0, 32.0), (7.0, 8.0, 10.0)] {
        let angle = frog_angle(number);
        let off = angle.0.to_degrees() - (degrees + minutes / 60.0);
        assert!(off.abs() <= 0.5 / 60.0, "No. {number} is {}°", angle.0.to_degrees());
        assert!((frog_number(angle) - number).abs() < 1e-12);
    }
    // [std] continental 1:n = tan θ: 1:7.5 → 7.5946°
    assert!((continental_frog_angle(7.5).0.to_degrees() - 7.5946).abs() < 0.00005);
    assert_eq!(continental_frog_angle(1.0), Radians(std::f64::consts::FRAC_PI_4));
}

#[test]
fn turnout_leads() {
    // [std] RP-12.7 N scale, inches: lead 4 2.657 · 5 2.971 · 6 3.256 · 7 4.514
    for (number, lead) in [(4.0, 2.657), (5.0, 2.971), (6.0, 3.256), (7.0, 4.514)] {
        let estimate = turnout_lead(known("N"), number);
        assert!((estimate.typical.in_inches() - lead).abs() < 1e-9, "No. {number}");
        assert!(estimate.low <= estimate.typical && estimate.typical <= estimate.high);
    }
    // [std] RP-12.7 No. 6 lead = point rail + straight closure + toe: 1.088 + 1.793 + 0.375
    assert!((turnout_lead(known("N"), 6.0).typical.in_inches() - (1.088 + 1.793 + 0.375)).abs() < 1e-9);
    // The estimate goes with the gauge, and between the table's numbers it is between their ratios.
    let (n, oo) = (turnout_lead(known("N"), 5.0), turnout_lead(known("OO"), 5.0));
    assert!((oo.typical.0 / n.typical.0 - 16.5 / 9.0).abs() < 1e-12);
    let between = turnout_lead(known("N"), 5.5).typical.0 / 5.5;
    assert!(between < n.typical.0 / 5.0 && between > turnout_lead(known("N"), 6.0).typical.0 / 6.0);
    // Beyond the table the ratio stays.
    let far = turnout_lead(known("HO"), 12.0).typical.0 / turnout_lead(known("HO"), 7.0).typical.0;
    assert!((far - 12.0 / 7.0).abs() < 1e-12);
    assert!(turnout_lead(known("HO"), f64::NAN).typical.0.is_nan());
}

#[test]
fn frog_point_to_intersection_of_centre_lines() {
    // [std] RP-12.7: frog point to intersection of centre lines N·G: No. 5 1.771 in
    let distance: Metres = frog_to_centre_lines(known("N"), 5.0);
    assert!((distance.in_inches() - 1.771).abs() < 0.001);
}

#[test]
fn fouling_point_of_straight_legs() {
    // [calc] from NMRA RP-12 angles and straight centre lines: from the frog point, mm
    for (scale, number, listed) in [("HO", 4.0, 138.8), ("HO", 6.0, 206.9), ("HO", 8.0, 275.2)] {
        let distance = fouling_from_frog(known(scale), number).0 * 1e3;
        assert!((distance - listed).abs() < 0.15, "{scale} {number}: {distance}");
    }
    // [calc] from the intersection of the centre lines, mm
    for (scale, number, listed) in [("HO", 4.0, 204.8), ("N", 6.0, 150.5), ("O", 8.0, 662.1)] {
        let scale = known(scale);
        let distance = (fouling_from_frog(scale, number).0 + frog_to_centre_lines(scale, number).0) * 1e3;
        assert!((distance - listed).abs() < 0.5, "{} {number}: {distance}", scale.name);
    }
}

/// Both ends of a band, after asking that its middle lies between them.
fn ends<Q: Quantity + PartialOrd>(band: Sourced<Spread<Q>>) -> (f64, f64) {
    let Spread { low, typical, high } = band.value;
    assert!(low <= typical && typical <= high);
    (low.si(), high.si())
}

#[test]
fn limits_are_what_the_trade_does() {
    // [practice] common practice, no source: drop ≤ 5 %, fault current ≥ 1.5–2 × trip, insulated gap 0.5 mm, feeders every
    // 1–2 m, coin test every 3 m, stall motor 15–20 mA, solenoid 2–5 A for 30–100 ms, small servo 0.2–1 A, sound 0.5–1 A,
    // sound idle 50–200 mA
    assert_eq!(limits::VOLTAGE_DROP.value.0, 0.05);
    assert_eq!(limits::FAULT_MARGIN.value, 1.5);
    assert_eq!(limits::INSULATED_GAP.value.in_millimetres(), 0.5);
    assert_eq!(limits::COIN_TEST_SPACING.value, Metres(3.0));
    assert_eq!(ends(limits::FEEDER_SPACING), (1.0, 2.0));
    assert_eq!(ends(limits::STALL_MOTOR_CURRENT), (0.015, 0.02));
    assert_eq!(ends(limits::SOLENOID_CURRENT), (2.0, 5.0));
    assert_eq!(ends(limits::SOLENOID_PULSE), (0.03, 0.1));
    assert_eq!(ends(limits::SERVO_CURRENT), (0.2, 1.0));
    // Our own defaults say so, and the wire they name is listed.
    assert!(handbook::wires::wire(limits::FEEDER_WIRE.value).is_ok());
    assert!(limits::FEEDER_LENGTH.source.contains("our own default"));
    assert!(limits::BOOSTER_SOURCE_RESISTANCE.source.contains("from memory"));
    let dead = limits::longest_dead_length(known("OO"));
    assert!((dead.value.in_millimetres() - 31.5).abs() < 0.01 && dead.source.contains("our own default"));
}
