//! From quantity to short text for people: three figures, no trailing noise, the same on every machine.
//! What is shown can be read back by [`super::parse`] and is then within 1 % of what it was, unless it is so small
//! that it shows as nothing.

use super::{
    Amps, Celsius, Farads, Fraction, Metres, Newtons, NewtonsPerMetre, Ohms, OhmsPerMetre, Radians, Seconds,
    SquareMetres, Volts, Watts,
};

/// A length: metres from 1 m up, millimetres below ("2.1 m", "90 mm").
pub fn show_length(length: Metres) -> String {
    on_ladder(length.0, &[("m", 1.0), ("mm", 1e-3)])
}

/// An area ("2.5 mm²").
pub fn show_area(area: SquareMetres) -> String {
    on_ladder(area.0, &[("m²", 1.0), ("cm²", 1e-4), ("mm²", 1e-6)])
}

/// A voltage, to a hundredth of a volt or three figures, whichever says more ("13.42 V", "0.7 V", "12.5 mV").
pub fn show_volts(voltage: Volts) -> String {
    let volts = voltage.0;
    if volts == 0.0 || !volts.is_finite() || volts.abs() >= 0.1 {
        with_unit(&figures(volts, if volts.abs() < 1000.0 { 2 } else { 0 }), "V")
    } else {
        with_unit(&figures(volts * 1e3, 0), "mV")
    }
}

/// A current: amps from 1 A up, milliamps below ("4.5 A", "150 mA").
pub fn show_amps(current: Amps) -> String {
    on_ladder(current.0, &[("A", 1.0), ("mA", 1e-3)])
}

/// A resistance ("4.7 kΩ", "1.25 Ω", "80 mΩ").
pub fn show_ohms(resistance: Ohms) -> String {
    on_ladder(resistance.0, &[("Ω", 1.0), ("MΩ", 1e6), ("kΩ", 1e3), ("Ω", 1.0), ("mΩ", 1e-3)])
}

/// A resistance per length ("57 mΩ/m").
pub fn show_ohms_per_metre(resistance: OhmsPerMetre) -> String {
    on_ladder(resistance.0, &[("Ω/m", 1.0), ("mΩ/m", 1e-3)])
}

/// A capacitance ("470 µF", "100 nF").
pub fn show_farads(capacitance: Farads) -> String {
    on_ladder(capacitance.0, &[("µF", 1e-6), ("mF", 1e-3), ("µF", 1e-6), ("nF", 1e-9), ("pF", 1e-12)])
}

/// A power ("0.77 W", "250 mW").
pub fn show_watts(power: Watts) -> String {
    on_ladder(power.0, &[("W", 1.0), ("kW", 1e3), ("W", 1.0), ("mW", 1e-3)])
}

/// A time ("2 s", "150 ms", "58 µs").
pub fn show_seconds(time: Seconds) -> String {
    on_ladder(time.0, &[("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)])
}

/// A temperature to a tenth of a degree ("20 °C", "-2.5 °C").
pub fn show_celsius(temperature: Celsius) -> String {
    if temperature.0.abs() < 1e9 {
        with_unit(&trimmed(format!("{:.1}", temperature.0)), "°C")
    } else {
        with_unit(&figures(temperature.0, 0), "°C")
    }
}

/// A part of one in per cent ("5 %").
pub fn show_percent(fraction: Fraction) -> String {
    with_unit(&figures(fraction.0 * 100.0, 0), "%")
}

/// An angle in degrees ("9.53°").
pub fn show_radians(angle: Radians) -> String {
    format!("{}°", figures(angle.0.to_degrees(), 0))
}

/// A force ("0.5 N", "48 kN").
pub fn show_newtons(force: Newtons) -> String {
    on_ladder(force.0, &[("N", 1.0), ("kN", 1e3), ("N", 1.0), ("mN", 1e-3)])
}

/// A force per length ("5 N/m").
pub fn show_newtons_per_metre(force: NewtonsPerMetre) -> String {
    on_ladder(force.0, &[("N/m", 1.0), ("kN/m", 1e3), ("N/m", 1.0), ("mN/m", 1e-3)])
}

pub(super) fn with_unit(number: &str, unit: &str) -> String {
    format!("{number} {unit}")
}

/// Shows the value in the first unit in which it is at least 1 after rounding, or else in the last; the first unit
/// also serves for nothing and for what is no number. The units that follow the first fall in size.
pub(super) fn on_ladder(value: f64, units: &[(&str, f64)]) -> String {
    let (first, rest) = (units[0], &units[1..]);
    if value == 0.0 || !value.is_finite() {
        return with_unit(&figures(value / first.1, 0), first.0);
    }
    // A first unit that is not the largest is there for zero alone.
    let climbs = rest.first().is_some_and(|&(_, size)| size > first.1);
    let steps = if climbs { rest } else { units };
    for &(unit, size) in steps {
        // 0.9995 shows as 1.00.
        if (value / size).abs() >= 0.9995 {
            return with_unit(&figures(value / size, 0), unit);
        }
    }
    let (unit, size) = steps[steps.len() - 1];
    with_unit(&figures(value / size, 0), unit)
}

/// Powers of ten and their exponents.
const POWERS: [(i32, f64); 6] = [(0, 1.0), (1, 10.0), (2, 100.0), (3, 1e3), (-1, 0.1), (-2, 0.01)];

/// Three figures, but at least `decimals` decimals, without zeros at the end.
pub(super) fn figures(value: f64, decimals: usize) -> String {
    if value.is_nan() {
        return "?".into();
    }
    if value.is_infinite() {
        return if value < 0.0 { "-∞".into() } else { "∞".into() };
    }
    let size = value.abs();
    if size >= 1e9 {
        return format!("{value:.2e}");
    }
    if size < 1e-6 {
        return "0".into();
    }
    // The place of the first figure after rounding to three: 9.996 is 10.0, not 10.00.
    // Most numbers are not near to such a step, and a glance tells.
    let plain = POWERS.iter().find(|(_, power)| (1.0..9.99).contains(&(size / power)));
    let place = plain.map_or_else(
        || {
            let rounded = format!("{size:.2e}");
            rounded.split_once('e').and_then(|(_, place)| place.parse::<i32>().ok()).unwrap_or(0)
        },
        |&(place, _)| place,
    );
    let wanted = usize::try_from(2 - place).unwrap_or(0).max(decimals);
    trimmed(format!("{value:.wanted$}"))
}

pub(super) fn trimmed(number: String) -> String {
    let short = if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { &number };
    if short == "-0" { "0".into() } else { short.into() }
}
