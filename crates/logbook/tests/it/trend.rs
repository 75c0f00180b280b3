//! Readings over the years.

use crate::cusum::normal;
use logbook::trend::{BASELINE, YearReading, at_reference, trend};

const COPPER: f64 = 0.00393;

fn rows(values: &[f64]) -> Vec<YearReading> {
    let row = |(year, value): (usize, &f64)| YearReading {
        year: 2020.0 + year as f64,
        value: *value,
        air: Some(20.0),
        uncertainty: 0.1,
    };
    values.iter().enumerate().map(row).collect()
}

#[test]
fn a_joint_that_ages_is_told_with_the_year_its_limit_is_crossed() {
    // 10 mV, then half a millivolt more each year; 18 mV is the limit. A line through (2022.5, 10.25)... crosses it by arithmetic below.
    let values: Vec<f64> = (0..8).map(|year| 10.0 + 0.5 * f64::from(year)).collect();
    let found = trend(&rows(&values), 0.0, [5.0, 18.0]).unwrap();
    assert!((found.slope.unwrap() - 0.5).abs() < 1e-9);
    assert!(found.changed.is_some());
    // 10 + 0.5 (t − 2020) = 18.
    assert!((found.crosses.unwrap() - 2036.0).abs() < 1e-6, "{:?}", found.crosses);
    // Downwards it is the lower limit.
    let falling: Vec<f64> = values.iter().map(|v| 20.0 - v).collect();
    assert!((trend(&rows(&falling), 0.0, [5.0, 18.0]).unwrap().crosses.unwrap() - 2030.0).abs() < 1e-6);
    // What stays as it is crosses nothing, and a step that stays within limits has no year.
    let steady = trend(&rows(&[10.0, 10.1, 9.9, 10.0, 10.1, 9.9, 10.0]), 0.0, [5.0, 18.0]).unwrap();
    assert_eq!((steady.changed, steady.crosses), (None, None));
    assert!(trend(&rows(&values[..BASELINE]), 0.0, [5.0, 18.0]).is_none(), "three readings are the baseline");
    // A limit that is crossed already is crossed by the last reading.
    let past = trend(&rows(&values), 0.0, [5.0, 12.0]).unwrap();
    assert!(past.crosses.unwrap() >= 2027.0);
}

#[test]
fn readings_of_one_evening_show_a_change_but_no_pace() {
    let mut evening = rows(&[10.0, 10.1, 9.9, 14.0]);
    for (hour, row) in evening.iter_mut().enumerate() {
        row.year = 2026.0 + hour as f64 / 8766.0;
    }
    let found = trend(&evening, 0.0, [5.0, 18.0]).unwrap();
    assert!(found.changed.is_some(), "it is another value");
    assert_eq!((found.slope, found.crosses), (None, None));
    // A year later the same readings have a pace.
    evening[3].year = 2027.0;
    assert!(trend(&evening, 0.0, [5.0, 18.0]).unwrap().slope.is_some());
}

#[test]
fn the_air_is_taken_off() {
    // Copper, IEC 60028: 0.00393 / K at 20 °C: 100 mΩ read 103.93 at 30 °C.
    assert!((at_reference(103.93, Some(30.0), COPPER) - 100.0).abs() < 1e-9);
    assert_eq!(at_reference(103.93, None, COPPER), 103.93);
    // A loft that gets warmer from year to year is no fault of the wiring.
    let airs = [15.0, 16.0, 17.0, 20.0, 24.0, 28.0, 30.0, 32.0];
    let warm: Vec<YearReading> = airs
        .iter()
        .enumerate()
        .map(|(year, air)| YearReading {
            year: 2020.0 + year as f64,
            value: 100.0 * (1.0 + COPPER * (air - 20.0)),
            air: Some(*air),
            uncertainty: 0.1,
        })
        .collect();
    assert_eq!(trend(&warm, COPPER, [50.0, 150.0]).unwrap().changed, None);
    // The same readings, the air taken for the same every time, look like a fault.
    let deaf: Vec<YearReading> = warm.iter().map(|r| YearReading { air: Some(20.0), ..*r }).collect();
    assert!(trend(&deaf, COPPER, [50.0, 150.0]).unwrap().changed.is_some());
    let unknown: Vec<YearReading> = warm.iter().map(|r| YearReading { air: None, ..*r }).collect();
    assert_eq!(trend(&unknown, COPPER, [50.0, 150.0]).unwrap().without_air, 8);
}

/// How often ten yearly readings, the first three of them the baseline, of a joint that does not change are called a change. `air`: by
/// how much the air strays, in K, and whether it is noted.
fn false_alarms(air: f64, noted: bool) -> f64 {
    let mut seed = 4711;
    let runs = 20_000;
    let mut alarms = 0;
    for _ in 0..runs {
        let rows: Vec<YearReading> = (0..10)
            .map(|year| {
                // Even between -1 and 1: the last digits of a normal number.
                let strays = 2.0 * (normal(&mut seed).abs() * 1e4).fract() - 1.0;
                let real = 20.0 + air * strays;
                let value = 100.0 * (1.0 + COPPER * (real - 20.0)) + normal(&mut seed);
                YearReading {
                    year: f64::from(year),
                    value,
                    air: Some(if noted { real } else { 20.0 }),
                    uncertainty: 0.92,
                }
            })
            .collect();
        alarms += usize::from(trend(&rows, COPPER, [0.0, 1e9]).unwrap().changed.is_some());
    }
    f64::from(u32::try_from(alarms).unwrap()) / f64::from(runs)
}

#[test]
fn false_alarms_in_ten_years_are_some_in_a_hundred_and_air_that_is_not_noted_makes_more() {
    let [noted, taken_for_20] = [true, false].map(|noted| false_alarms(5.0, noted));
    println!("false alarms in ten years: {noted} with the air noted, {taken_for_20} with the air taken for 20 °C");
    assert!(noted < 0.15, "{noted}");
    assert!(taken_for_20 > 1.5 * noted, "{taken_for_20} and {noted}");
}
