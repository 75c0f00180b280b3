//! Published tables, row by row: each row names its source, each value in it is held against the handbook.

use handbook::materials::equilibrium_moisture_content;
use handbook::quantity::{Celsius, Fraction, Metres};
use handbook::scales::{frog_angle, frog_number};
use handbook::wires::{awg_area, awg_diameter, preece_fusing_current, wire};

/// Wire tables as NBS Handbook 100 (Circular 31) has them, solid copper at 20 °C: AWG, diameter in mils, circular mils, ohms per
/// 1000 ft. Written down from memory; that they agree to their last figure with two formulas is what confirms them.
const COPPER: [(i8, f64, f64, f64); 33] = [
    (4, 204.3, 41740.0, 0.2485),
    (5, 181.9, 33090.0, 0.3134),
    (6, 162.0, 26240.0, 0.3952),
    (7, 144.3, 20820.0, 0.4981),
    (8, 128.5, 16510.0, 0.6281),
    (9, 114.4, 13090.0, 0.7925),
    (10, 101.9, 10380.0, 0.9988),
    (11, 90.7, 8230.0, 1.26),
    (12, 80.8, 6530.0, 1.589),
    (13, 72.0, 5180.0, 2.003),
    (14, 64.1, 4110.0, 2.524),
    (15, 57.1, 3260.0, 3.181),
    (16, 50.8, 2580.0, 4.018),
    (17, 45.3, 2050.0, 5.054),
    (18, 40.3, 1620.0, 6.386),
    (19, 35.9, 1290.0, 8.046),
    (20, 32.0, 1020.0, 10.13),
    (21, 28.5, 812.0, 12.77),
    (22, 25.3, 640.0, 16.2),
    (23, 22.6, 511.0, 20.3),
    (24, 20.1, 404.0, 25.67),
    (25, 17.9, 320.0, 32.37),
    (26, 15.9, 253.0, 41.02),
    (27, 14.2, 202.0, 51.44),
    (28, 12.6, 159.0, 65.31),
    (29, 11.3, 128.0, 81.21),
    (30, 10.0, 100.0, 103.7),
    (31, 8.9, 79.2, 130.9),
    (32, 8.0, 64.0, 162.0),
    (33, 7.1, 50.4, 205.7),
    (34, 6.3, 39.7, 261.3),
    (35, 5.6, 31.4, 330.7),
    (36, 5.0, 25.0, 414.8),
];

#[test]
fn wire_tables() {
    let mut values = 0;
    for (number, mils, circular_mils, ohms) in COPPER {
        let found = awg_diameter(number).in_inches() * 1e3;
        // Diameters are given to a tenth of a mil.
        assert!((found - mils).abs() <= 0.06, "{number} AWG: {found} mils");
        let area = awg_area(number).in_square_millimetres() / (std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254);
        // Three figures, some of them of the rounded diameter.
        assert!((area - circular_mils).abs() <= 0.014 * circular_mils, "{number} AWG: {area} circular mils");
        let per_metre = wire(&format!("{number} AWG")).expect("listed").resistance_per_metre.typical.0;
        let per_thousand_feet = per_metre * 304.8;
        assert!((per_thousand_feet - ohms).abs() <= 0.014 * ohms, "{number} AWG: {per_thousand_feet} Ω/1000 ft");
        values += 3;
    }
    assert_eq!(values, 99);
}

/// Wood Handbook FPL-GTR-282, Table 4-2: °F, then per cent of moisture at 5, 10 … 95 % relative humidity. Written down from
/// memory; the cells that checks.md quotes are among them, and the handbook's own equation confirms the rest.
const MOISTURE: [(f64, [f64; 19]); 11] = [
    (30.0, [1.4, 2.6, 3.7, 4.6, 5.5, 6.3, 7.1, 7.9, 8.7, 9.5, 10.4, 11.3, 12.4, 13.5, 14.9, 16.5, 18.5, 21.0, 24.3]),
    (40.0, [1.4, 2.6, 3.7, 4.6, 5.5, 6.3, 7.1, 7.9, 8.7, 9.5, 10.4, 11.3, 12.3, 13.5, 14.9, 16.5, 18.5, 21.0, 24.3]),
    (50.0, [1.4, 2.6, 3.6, 4.6, 5.5, 6.3, 7.1, 7.9, 8.7, 9.5, 10.3, 11.2, 12.3, 13.4, 14.8, 16.4, 18.4, 20.9, 24.3]),
    (60.0, [1.3, 2.5, 3.6, 4.6, 5.4, 6.2, 7.0, 7.8, 8.6, 9.4, 10.2, 11.1, 12.1, 13.3, 14.6, 16.2, 18.2, 20.7, 24.1]),
    (70.0, [1.3, 2.5, 3.5, 4.5, 5.4, 6.2, 6.9, 7.7, 8.5, 9.2, 10.1, 11.0, 12.0, 13.1, 14.4, 16.0, 17.9, 20.5, 23.9]),
    (80.0, [1.3, 2.4, 3.5, 4.4, 5.3, 6.1, 6.8, 7.6, 8.3, 9.1, 9.9, 10.8, 11.7, 12.9, 14.2, 15.7, 17.7, 20.2, 23.6]),
    (90.0, [1.2, 2.3, 3.4, 4.3, 5.1, 5.9, 6.7, 7.4, 8.1, 8.9, 9.7, 10.5, 11.5, 12.6, 13.9, 15.4, 17.3, 19.8, 23.3]),
    (100.0, [1.2, 2.3, 3.3, 4.2, 5.0, 5.8, 6.5, 7.2, 7.9, 8.7, 9.5, 10.3, 11.2, 12.3, 13.6, 15.1, 17.0, 19.5, 22.9]),
    (110.0, [1.1, 2.2, 3.2, 4.0, 4.9, 5.6, 6.3, 7.0, 7.7, 8.4, 9.2, 10.0, 11.0, 12.0, 13.2, 14.7, 16.6, 19.1, 22.4]),
    (120.0, [1.1, 2.1, 3.0, 3.9, 4.7, 5.4, 6.1, 6.8, 7.5, 8.2, 8.9, 9.7, 10.6, 11.7, 12.9, 14.4, 16.2, 18.6, 22.0]),
    (130.0, [1.0, 2.0, 2.9, 3.7, 4.5, 5.2, 5.9, 6.6, 7.2, 7.9, 8.7, 9.4, 10.3, 11.3, 12.5, 14.0, 15.8, 18.2, 21.5]),
];

#[test]
fn the_moisture_table() {
    let mut values = 0;
    for (fahrenheit, row) in MOISTURE {
        for (step, expected) in row.into_iter().enumerate() {
            let humidity = 0.05 * (step + 1) as f64;
            let found =
                equilibrium_moisture_content(Celsius((fahrenheit - 32.0) / 1.8), Fraction(humidity)).expect("a value");
            assert!(
                (found.0 * 100.0 - expected).abs() <= 0.11,
                "{fahrenheit} °F, {humidity}: {} is not {expected}",
                found.0 * 100.0
            );
            values += 1;
        }
    }
    assert_eq!(values, 209);
}

/// Frog numbers and angles, NMRA RP-12: degrees and minutes; half a minute.
const FROGS: [(f64, f64, f64); 8] = [
    (4.0, 14.0, 15.0),
    (4.5, 12.0, 41.0),
    (5.0, 11.0, 25.0),
    (6.0, 9.0, 32.0),
    (7.0, 8.0, 10.0),
    (8.0, 7.0, 9.0),
    (9.0, 6.0, 22.0),
    (10.0, 5.0, 43.0),
];

#[test]
fn frog_angles() {
    for (number, degrees, minutes) in FROGS {
        let expected = degrees + minutes / 60.0;
        let found = frog_angle(number).0.to_degrees();
        assert!((found - expected).abs() <= 0.6 / 60.0, "no. {number}: {found}°");
        assert!((frog_number(frog_angle(number)) - number).abs() < 1e-9);
    }
}

/// Fusing currents of copper wire in free air as pocket books list them after Preece, AWG and amperes; from memory, 2 %.
const FUSING: [(i8, f64); 11] = [
    (10, 333.0),
    (12, 235.0),
    (14, 166.0),
    (16, 117.0),
    (18, 82.9),
    (20, 58.4),
    (22, 41.2),
    (24, 29.2),
    (26, 20.5),
    (28, 14.4),
    (30, 10.2),
];

#[test]
fn fusing_currents() {
    for (number, expected) in FUSING {
        let found = preece_fusing_current(awg_diameter(number)).0;
        assert!((found - expected).abs() <= 0.02 * expected, "{number} AWG: {found} A");
    }
}

/// Inches of a drill that is called so: `13/32`.
fn inches(drill: &str) -> f64 {
    let (top, bottom) = drill.split_once('/').expect("a fraction");
    top.parse::<f64>().expect("a number") / bottom.parse::<f64>().expect("a number")
}

/// Holes of a panel let the thread that their part is called by through, metric or in inches, with no more than a millimetre to spare
/// (arithmetic; the sizes themselves are common practice, no source).
#[test]
fn panel_holes_let_their_thread_through() {
    for hole in handbook::panel::PANEL_HOLES.value {
        let Some((_, thread)) = hole.part.split_once(", ") else { continue };
        for side in thread.trim_end_matches(" thread").split(" or ") {
            let (value, unit) = side.split_once(' ').expect("a length");
            let thread = if unit == "in" { 25.4 * inches(value) } else { value.parse().expect("a number") };
            for drill in [hole.metric.in_millimetres(), 25.4 * inches(hole.inch)] {
                assert!(drill >= thread - 1e-9 && drill <= thread + 1.0, "{}: {drill} mm", hole.part);
            }
        }
    }
    assert_eq!(handbook::panel::PANEL_HOLES.source, "common practice, no source");
}

/// Capitals of 22 minutes of arc at 700 mm are 4.5 mm high, as ISO 9241-3's reading distance gives it; at twice the distance they are
/// twice as high.
#[test]
fn letters_of_panels_are_as_high_as_the_eye_needs() {
    let high = |distance: f64| handbook::panel::letter_height(Metres(distance)).in_millimetres();
    assert!((high(0.7) - 4.48).abs() < 0.005, "{}", high(0.7));
    assert!((high(1.4) - 2.0 * high(0.7)).abs() < 1e-9);
}

/// The three standard holes are those of IEC 60947-5-1, and no two parts of the table would touch at their distance.
#[test]
fn mounting_holes_are_those_of_the_standard() {
    let holes = handbook::panel::MOUNTING_HOLES;
    let standard = holes.iter().filter(|h| h.source.starts_with("IEC 60947-5-1"));
    let sizes: Vec<f64> = standard.map(|h| (h.diameter.in_millimetres() * 10.0).round() / 10.0).collect();
    assert_eq!(sizes, [16.2, 22.3, 30.5]);
    for hole in holes {
        assert!(hole.across.0 > hole.diameter.0 && hole.down.0 > hole.diameter.0, "{hole:?}");
        assert_eq!(handbook::panel::mounting_hole(hole.diameter), hole);
    }
}
