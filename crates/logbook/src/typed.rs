//! What people type for a reading: `0.4 ohm`, `0,4 Ω`, `4k7`, `OL`, `-0.3 mV`, `beeps`, `yes`.

use handbook::quantity::{Amps, Celsius, Ohms, Quantity, Volts, parse};

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Typed {
    /// A number without a unit.
    Bare(f64),
    /// Ohms.
    Ohms(f64),
    /// Volts.
    Volts(f64),
    /// Amperes.
    Amps(f64),
    /// More than the range can show: `OL`.
    OverRange,
    /// A buzzer sounds.
    Buzzes,
    /// It happened, or it is so.
    Yes,
    /// It did not, or is not.
    No,
    /// What is looked at has power.
    Live,
    /// It has none.
    Dead,
}

/// Why a reading is none.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{what}")]
pub struct NotTyped {
    /// What is wrong.
    pub what: String,
    /// A line that would be right.
    pub help: String,
}

const OVER: [&str; 16] = [
    "ol",
    "0l",
    "o.l",
    "o.l.",
    ".ol",
    "0.l",
    "0.l.",
    "over",
    "overload",
    "over range",
    "open",
    "inf",
    "infinite",
    "infinity",
    "∞",
    "silent",
];
const BUZZES: [&str; 7] = ["beep", "beeps", "buzz", "buzzes", "joined", "closed", "shorted"];
const YES: [&str; 14] =
    ["yes", "y", "ok", "okay", "good", "well", "pass", "passes", "opens", "opened", "trips", "tripped", "so", "true"];
const NO: [&str; 8] = ["no", "n", "bad", "fail", "fails", "not", "stays", "false"];
const LIVE: [&str; 5] = ["live", "alive", "lit", "is live", "powered"];
const DEAD: [&str; 5] = ["dead", "dark", "is dead", "no power", "not live"];

/// Reads what was typed.
///
/// # Errors
/// Where it is no reading; with a line that would be right.
pub fn typed(text: &str) -> Result<Typed, NotTyped> {
    let tidy = tidied(text);
    let lower = tidy.to_lowercase();
    let word = lower.as_str();
    // A meter shows the unit of its range beside `OL`.
    let bare = word.trim_end_matches(['ω', 'k', 'm']).trim_end();
    if OVER.contains(&word) || OVER.contains(&bare) || matches!(word, "no beep" | "no buzz" | "not joined") {
        return Ok(Typed::OverRange);
    }
    for (words, typed) in [
        (&BUZZES[..], Typed::Buzzes),
        (&YES[..], Typed::Yes),
        (&NO[..], Typed::No),
        (&LIVE[..], Typed::Live),
        (&DEAD[..], Typed::Dead),
    ] {
        if words.contains(&word) {
            return Ok(typed);
        }
    }
    let wrong = |what: String| NotTyped { what, help: EXAMPLES.to_owned() };
    if tidy.is_empty() {
        return Err(wrong("nothing was typed".to_owned()));
    }
    let end = tidy.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+'))).unwrap_or(tidy.len());
    let (digits, rest) = tidy.split_at(end);
    if digits.is_empty() || rest.len() > 20 || digits.len() > 20 {
        return Err(wrong(format!("`{}` is no reading", cut(text))));
    }
    let (digits, unit) = match between(digits, rest) {
        Some(whole) => whole,
        None => (decimal(digits, text)?, rest.trim().to_owned()),
    };
    let number: f64 = digits.parse().map_err(|_| wrong(format!("`{}` is no number", cut(text))))?;
    if unit.is_empty() {
        return Ok(Typed::Bare(number));
    }
    let sign = if number < 0.0 { -1.0 } else { 1.0 };
    let whole = format!("{} {}", digits.trim_start_matches(['-', '+']), usual_unit(&unit));
    if let Ok(Ohms(ohms)) = parse::<Ohms>(&whole) {
        return Ok(Typed::Ohms(sign * ohms));
    }
    if let Ok(Volts(volts)) = parse::<Volts>(&whole) {
        return Ok(Typed::Volts(sign * volts));
    }
    if let Ok(Amps(amps)) = parse::<Amps>(&whole) {
        return Ok(Typed::Amps(sign * amps));
    }
    Err(wrong(format!("`{}` is no unit of a reading", cut(&unit))))
}

/// Readings that would be right.
pub const EXAMPLES: &str = "type it as `0.4 ohm`, `12.5 mV`, `14.8 V`, `OL` or `yes`";

/// The air's temperature in °C: `18 °C`, `18`, `64 F`, `-5,5`.
///
/// # Errors
/// Where it is no temperature, or none of a room with a layout in it.
pub fn air(text: &str, fahrenheit: bool) -> Result<f64, NotTyped> {
    let wrong = |what: String| NotTyped { what, help: "type it as `18 °C` or `64 °F`".to_owned() };
    let tidy = tidied(text);
    let end = tidy.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+'))).unwrap_or(tidy.len());
    let (digits, unit) = tidy.split_at(end);
    let number: f64 =
        decimal(digits, text)?.parse().map_err(|_| wrong(format!("`{}` is no temperature", cut(text))))?;
    let usual = if fahrenheit { "°F" } else { "°C" };
    let unit = match unit.trim() {
        "" | "°" | "deg" | "degrees" => usual,
        "c" | "°c" | "oC" => "°C",
        "f" | "°f" | "oF" => "°F",
        other => other,
    };
    let celsius = match parse::<Celsius>(&format!("{number} {unit}")) {
        Ok(celsius) => celsius.si(),
        Err(_) => return Err(wrong(format!("`{}` is no temperature", cut(text)))),
    };
    if (-40.0..=60.0).contains(&celsius) {
        Ok(celsius)
    } else {
        Err(wrong(format!("in air of `{}` nobody reads a layout", cut(text))))
    }
}

fn tidied(text: &str) -> String {
    let same = |c: char| match c {
        '−' | '–' => '-',
        // The sign of the unit and the Greek letter; the Greek letter and the sign of the prefix.
        '\u{2126}' => '\u{3a9}',
        '\u{3bc}' => '\u{b5}',
        '\u{a0}' | '\u{202f}' | '\t' => ' ',
        other => other,
    };
    text.trim().chars().map(same).collect()
}

/// Digits with a decimal point, of digits with a point or a comma.
fn decimal(digits: &str, text: &str) -> Result<String, NotTyped> {
    let marks = digits.matches(['.', ',']).count();
    if marks > 1 {
        let help = "write one point or comma, before the decimals: `1234.5`".to_owned();
        return Err(NotTyped { what: format!("`{}` has more than one point or comma", cut(text)), help });
    }
    Ok(digits.replace(',', "."))
}

/// A value whose unit stands in place of the point (IEC 60062): `4k7`, `0R4`, `2M2`.
fn between(digits: &str, rest: &str) -> Option<(String, String)> {
    let mut letters = rest.chars();
    let letter = letters.next()?;
    let decimals = letters.as_str();
    let plain = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
    if !(matches!(letter, 'R' | 'r' | 'k' | 'K' | 'M') && plain(digits) && plain(decimals)) {
        return None;
    }
    Some((format!("{digits}.{decimals}"), letter.to_string()))
}

/// Short and shouted units as the handbook has them. `m` is milli and `M` mega: where only the case tells, it must be right.
fn usual_unit(unit: &str) -> &str {
    match unit {
        "R" | "r" | "E" => "Ω",
        "k" | "K" | "KΩ" | "Kohm" | "KOhm" | "KOHM" | "kOhm" | "kOHM" | "KOHMS" | "Kohms" => "kΩ",
        "M" | "MOhm" | "Meg" | "meg" => "MΩ",
        "mOhm" | "mOHM" => "mΩ",
        "v" => "V",
        "mv" | "MV" | "Mv" => "mV",
        "a" => "A",
        "ma" | "MA" | "Ma" => "mA",
        other => other,
    }
}

/// As much of a text as a message should repeat.
fn cut(text: &str) -> String {
    let mut short: String = text.chars().take(40).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}
