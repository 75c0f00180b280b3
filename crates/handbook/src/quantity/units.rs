//! Which spelling is which unit.

use super::QuantityKind;

/// A unit as it was looked up: SI value = (number − `shift`) × `factor`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct UnitFactor {
    pub kind: QuantityKind,
    pub factor: f64,
    pub shift: f64,
}

/// One unit and how it may be spelt.
struct UnitRow {
    kind: QuantityKind,
    factor: f64,
    shift: f64,
    /// Spellings in which the letter case matters (`mΩ` is not `MΩ`), best first.
    symbols: &'static [&'static str],
    /// Spellings in which it does not, in lower case.
    words: &'static [&'static str],
}

const fn row(
    kind: QuantityKind,
    factor: f64,
    symbols: &'static [&'static str],
    words: &'static [&'static str],
) -> UnitRow {
    UnitRow { kind, factor, shift: 0.0, symbols, words }
}

pub(super) const INCH: f64 = 0.0254;
/// Standard gravity, m/s² (exact by definition): turns grams-force and ounces-force into newtons.
pub(super) const GRAVITY: f64 = 9.80665;
pub(super) const OUNCE: f64 = 0.028349523125;

const ROWS: &[UnitRow] = &[
    row(QuantityKind::Length, 1.0, &["m"], &["metre", "metres", "meter", "meters"]),
    row(QuantityKind::Length, 1e-3, &["mm"], &["millimetre", "millimetres", "millimeter", "millimeters"]),
    row(QuantityKind::Length, 1e-2, &["cm"], &["centimetre", "centimetres", "centimeter", "centimeters"]),
    row(QuantityKind::Length, 12.0 * INCH, &["ft", "'"], &["ft", "foot", "feet"]),
    row(QuantityKind::Length, INCH, &["in", "\"", "''"], &["in", "ins", "inch", "inches"]),
    row(QuantityKind::Length, 36.0 * INCH, &["yd"], &["yd", "yds", "yard", "yards"]),
    row(QuantityKind::Length, 1e3, &["km"], &["kilometre", "kilometres", "kilometer", "kilometers"]),
    row(QuantityKind::Length, 1e-6, &["µm", "um"], &["micrometre", "micrometres", "micrometer", "micrometers"]),
    row(QuantityKind::Length, 1e-3 * INCH, &["thou"], &["thou"]),
    row(
        QuantityKind::Voltage,
        1.0,
        &["V"],
        &["volt", "volts", "vdc", "v dc", "v d.c", "v d.c.", "volts dc", "volts d.c", "volts d.c."],
    ),
    row(QuantityKind::Voltage, 1e-3, &["mV"], &["millivolt", "millivolts"]),
    row(QuantityKind::Voltage, 1e3, &["kV"], &["kilovolt", "kilovolts"]),
    row(QuantityKind::Current, 1.0, &["A"], &["amp", "amps", "ampere", "amperes"]),
    row(QuantityKind::Current, 1e-3, &["mA"], &["milliamp", "milliamps", "milliampere", "milliamperes"]),
    row(QuantityKind::Current, 1e-6, &["µA", "uA"], &["microamp", "microamps"]),
    row(QuantityKind::Resistance, 1.0, &["Ω"], &["ohm", "ohms"]),
    row(QuantityKind::Resistance, 1e-3, &["mΩ", "mohm", "mohms"], &["milliohm", "milliohms"]),
    row(QuantityKind::Resistance, 1e3, &["kΩ", "kohm", "kohms"], &["kilohm", "kilohms"]),
    row(QuantityKind::Resistance, 1e-6, &["µΩ", "uΩ", "µohm", "uohm"], &["microhm", "microhms"]),
    row(QuantityKind::Resistance, 1e6, &["MΩ", "Mohm", "Mohms"], &["megohm", "megohms"]),
    row(QuantityKind::Time, 1.0, &["s"], &["sec", "secs", "second", "seconds"]),
    row(QuantityKind::Time, 1e-3, &["ms"], &["msec", "millisecond", "milliseconds"]),
    row(QuantityKind::Time, 1e-6, &["µs", "us"], &["microsecond", "microseconds"]),
    row(QuantityKind::Time, 60.0, &["min"], &["min", "mins", "minute", "minutes"]),
    row(
        QuantityKind::Temperature,
        1.0,
        &["°C", "C", "° C", "℃"],
        &["deg c", "degc", "degrees c", "celsius", "degrees celsius"],
    ),
    UnitRow {
        kind: QuantityKind::Temperature,
        factor: 5.0 / 9.0,
        shift: 32.0,
        symbols: &["°F", "F", "° F", "℉"],
        words: &["deg f", "degf", "degrees f", "fahrenheit", "degrees fahrenheit"],
    },
    UnitRow {
        kind: QuantityKind::Temperature,
        factor: 1.0,
        shift: 273.15,
        symbols: &["K"],
        words: &["kelvin", "kelvins"],
    },
    row(QuantityKind::Fraction, 0.01, &["%"], &["percent", "per cent"]),
    row(QuantityKind::Angle, std::f64::consts::PI / 180.0, &["°"], &["deg", "degs", "degree", "degrees"]),
    row(QuantityKind::Angle, 1.0, &["rad"], &["rad", "radian", "radians"]),
    row(QuantityKind::Force, 1.0, &["N"], &["newton", "newtons"]),
    row(QuantityKind::Force, 1e-3, &["mN"], &["millinewton", "millinewtons"]),
    row(QuantityKind::Force, 1e3, &["kN"], &["kilonewton", "kilonewtons"]),
    row(QuantityKind::Force, 1e-3 * GRAVITY, &["gf"], &[]),
    row(QuantityKind::Force, OUNCE * GRAVITY, &["ozf"], &[]),
    // No bare F: that is a degree Fahrenheit.
    row(QuantityKind::Capacitance, 1e-6, &["µF", "uF"], &["microfarad", "microfarads"]),
    row(QuantityKind::Capacitance, 1e-9, &["nF"], &["nanofarad", "nanofarads"]),
    row(QuantityKind::Capacitance, 1e-12, &["pF"], &["picofarad", "picofarads"]),
    row(QuantityKind::Capacitance, 1e-3, &["mF"], &["millifarad", "millifarads"]),
    row(QuantityKind::Power, 1.0, &["W"], &["watt", "watts"]),
    row(QuantityKind::Power, 1e-3, &["mW"], &["milliwatt", "milliwatts"]),
    row(QuantityKind::Power, 1e3, &["kW"], &["kilowatt", "kilowatts"]),
];

/// The longest text that is looked up at all; keeps the time spent on a megabyte of nonsense in proportion.
pub(super) const LONGEST_UNIT: usize = 40;

/// The unit spelt so, or nothing. Squares (`mm²`, `mm2`, `mm^2`, `sq mm`) and what is per length (`Ω/m`, `N/m`) are put
/// together from the table's units.
pub(super) fn look_up(spelling: &str) -> Option<UnitFactor> {
    if spelling.len() > LONGEST_UNIT {
        return None;
    }
    let tidy = tidied(spelling);
    listed(&tidy).or_else(|| per_length(&tidy)).or_else(|| squared(&tidy))
}

/// The spelling a builder most likely meant, in the unit's best spelling, or nothing if all are far off.
pub(super) fn nearest(spelling: &str, kind: QuantityKind) -> Option<&'static str> {
    if spelling.len() > 16 {
        return None;
    }
    let wrong = tidied(spelling).to_lowercase();
    let mut best: Option<(f64, &'static str)> = None;
    let mut consider = |known: &str, answer: &'static str| {
        let longer = wrong.chars().count().max(known.chars().count());
        let mut far = edit_distance(&wrong, &known.to_lowercase()) as f64 / longer.max(1) as f64;
        // People get the first letter right more often than the rest.
        if wrong.chars().next() != known.to_lowercase().chars().next() {
            far += 0.2;
        }
        if far <= 0.5 && best.is_none_or(|(least, _)| far < least) {
            best = Some((far, answer));
        }
    };
    for unit in kind.units() {
        consider(unit, unit);
    }
    for row in ROWS.iter().filter(|row| row.kind == kind) {
        for known in row.symbols.iter().chain(row.words) {
            consider(known, row.symbols[0]);
        }
    }
    best.map(|(_, answer)| answer)
}

fn listed(spelling: &str) -> Option<UnitFactor> {
    let exact = ROWS.iter().find(|row| row.symbols.contains(&spelling));
    let found = exact.or_else(|| {
        let lower = spelling.to_lowercase();
        ROWS.iter().find(|row| row.words.contains(&lower.as_str()))
    });
    found.map(|row| UnitFactor { kind: row.kind, factor: row.factor, shift: row.shift })
}

fn per_length(spelling: &str) -> Option<UnitFactor> {
    let (over, under) = spelling.split_once('/')?;
    let (over, under) = (listed(over)?, listed(under)?);
    let kind = match over.kind {
        QuantityKind::Resistance => QuantityKind::ResistancePerLength,
        QuantityKind::Force => QuantityKind::ForcePerLength,
        _ => return None,
    };
    (under.kind == QuantityKind::Length).then_some(UnitFactor { kind, factor: over.factor / under.factor, shift: 0.0 })
}

fn squared(spelling: &str) -> Option<UnitFactor> {
    let side = ["²", "^2", "2"]
        .iter()
        .find_map(|mark| spelling.strip_suffix(mark))
        .or_else(|| ["sq. ", "sq ", "square ", "sq"].iter().find_map(|mark| spelling.strip_prefix(mark)))?;
    let side = listed(side)?;
    (side.kind == QuantityKind::Length).then_some(UnitFactor {
        kind: QuantityKind::Area,
        factor: side.factor * side.factor,
        shift: 0.0,
    })
}

/// One spelling for what looks the same: look-alike characters, spaces, `per` for `/`.
fn tidied(spelling: &str) -> String {
    let alike: String = spelling
        .chars()
        .map(|character| match character {
            '\u{03BC}' => '\u{00B5}',              // Greek mu for the micro sign
            '\u{2126}' => '\u{03A9}',              // ohm sign for Greek omega
            '\u{00BA}' | '\u{02DA}' => '\u{00B0}', // raised o and ring for the degree sign
            '\u{2019}' | '\u{2032}' => '\'',
            '\u{201D}' | '\u{2033}' => '"',
            other => other,
        })
        .collect();
    let mut words = alike.split_whitespace().collect::<Vec<_>>().join(" ");
    if words.contains('/') || words.contains(" per ") {
        words = words.replace(" per ", "/").replace(" /", "/").replace("/ ", "/");
    }
    words
}

/// How many letters must be put in, left out, changed or swapped with their neighbour to get from one to the other.
fn edit_distance(from: &str, to: &str) -> usize {
    let from: Vec<char> = from.chars().collect();
    let to: Vec<char> = to.chars().collect();
    let width = to.len() + 1;
    let mut table: Vec<usize> = (0..width).collect();
    for (i, &a) in from.iter().enumerate() {
        table.push(i + 1);
        for (j, &b) in to.iter().enumerate() {
            let above = i * width + j;
            let mut least =
                (table[above] + usize::from(a != b)).min(table[above + 1] + 1).min(table[above + width] + 1);
            if i > 0 && j > 0 && a == to[j - 1] && from[i - 1] == b {
                least = least.min(table[above - width - 1] + 1);
            }
            table.push(least);
        }
    }
    table[from.len() * width + to.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_named_in_a_hint_is_a_unit_of_that_kind() {
        for kind in QuantityKind::ALL {
            for unit in kind.units() {
                assert_eq!(look_up(unit).map(|found| found.kind), Some(kind), "{unit}");
            }
        }
    }

    #[test]
    fn no_spelling_stands_for_two_units() {
        let mut seen = std::collections::BTreeMap::new();
        for (index, row) in ROWS.iter().enumerate() {
            for spelling in row.symbols.iter().chain(row.words) {
                assert_eq!(*seen.entry(spelling).or_insert(index), index, "{spelling}");
            }
        }
        assert!(seen.len() > ROWS.len());
    }

    #[test]
    fn edit_distance_counts_letters() {
        assert_eq!(edit_distance("mtr", "metre"), 2);
        assert_eq!(edit_distance("", "mm"), 2);
        assert_eq!(edit_distance("smm", "mms"), 2);
        assert_eq!(edit_distance("volst", "volts"), 1);
        assert_eq!(edit_distance("ft", "ft"), 0);
    }
}
