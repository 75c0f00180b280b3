//! Quantities said in either system of units. An inch is 25.4 mm, an ounce 28.349523125 g, standard gravity 9.80665 m/s² (NIST SP
//! 811, appendix B; exact by definition).

use handbook::quantity::{Celsius, Metres, Newtons, OhmsPerMetre, Units, parse};
use proptest::prelude::*;

#[test]
fn lengths_as_one_measures_them() {
    let metric =
        [(2.35, "2.35 m"), (0.0127, "13 mm"), (0.09, "90 mm"), (0.0008, "0.8 mm"), (12.345, "12.3 m"), (0.0, "0 m")];
    for (metres, due) in metric {
        assert_eq!(Units::Metric.metres(metres), due);
    }
    let inch = 0.0254;
    let imperial = [
        (114.0 * inch, "9 ft 6 in"),
        (119.99 * inch, "10 ft"),
        (4.5 * inch, "4 1/2 in"),
        (18.0625 * inch, "18 1/16 in"),
        (0.25 * inch, "1/4 in"),
        (0.031 * inch, "0.031 in"),
        (40.0, "131 ft"),
        (0.0, "0 in"),
    ];
    for (metres, due) in imperial {
        assert_eq!(Units::Imperial.metres(metres), due);
    }
    // From 20 ft on to the inch: 28.6 m are 1125.98 in.
    assert_eq!(Units::Imperial.metres(28.6), "93 ft 10 in");
    assert_eq!(Units::Imperial.narrow(92.5 * inch), "7'8-1/2\"");
}

#[test]
fn other_quantities() {
    assert_eq!(Units::Imperial.temperature(Celsius(20.0)), "68 °F");
    assert_eq!(Units::Imperial.temperature(Celsius(-40.0)), "-40 °F");
    assert_eq!(Units::Imperial.temperature_step(5.0), "9 °F");
    // 57 mΩ/m are 17.4 mΩ/ft.
    assert_eq!(Units::Imperial.ohms_per_length(OhmsPerMetre(0.057)), "17.4 mΩ/ft");
    // 1 N is 3.5969 ozf, 1 lbf 4.4482 N.
    assert_eq!(Units::Imperial.force(Newtons(1.0)), "3.6 ozf");
    assert_eq!(Units::Imperial.force(Newtons(44.482)), "10 lbf");
    // 1 ksi is 6.8948 MPa.
    assert_eq!(Units::Imperial.stress(1690e6), "245 ksi");
    assert_eq!(Units::Metric.stress(1690e6), "1690 MPa");
}

#[test]
fn the_system_is_known_by_its_units() {
    for text in ["3 ft", "10'6\"", "2 in", "68 °F", "16 AWG", "18 gauge"] {
        assert_eq!(Units::of_text(text), Some(Units::Imperial), "{text}");
    }
    for text in ["3 m", "90 mm", "20 °C", "2.5 mm²", "0.5 N", "dock 1 @ 1.2 m"] {
        assert_eq!(Units::of_text(text), Some(Units::Metric), "{text}");
    }
    for text in ["15 V", "0.12 Ω", "55 %", "250 mA", ""] {
        assert_eq!(Units::of_text(text), None, "{text}");
    }
}

proptest! {
    /// What is written into a plan is read back within half a millimetre, or half a sixteenth of an inch.
    #[test]
    fn what_is_written_is_read_back(metres in 0.0..50.0_f64) {
        for (units, off) in [(Units::Metric, 0.5001e-3), (Units::Imperial, 0.0254 / 31.99)] {
            let read: Metres = parse(&units.written(metres)).expect("it is a length");
            prop_assert!((read.0 - metres).abs() <= off, "{} is {}", metres, units.written(metres));
        }
    }

    /// What is shown is read back within the step that is shown.
    #[test]
    fn what_is_shown_is_read_back(metres in 0.01..50.0_f64) {
        for units in [Units::Metric, Units::Imperial] {
            let read: Metres = parse(&units.metres(metres)).expect("it is a length");
            let step = (0.5001e-3_f64).max(0.00501 * metres).max(if units == Units::Imperial { 0.0254 / 31.99 } else { 0.0 });
            prop_assert!((read.0 - metres).abs() <= step, "{} is {}", metres, units.metres(metres));
        }
    }
}
