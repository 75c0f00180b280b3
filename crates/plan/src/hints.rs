//! Lines that would do, for whoever left something out or wrote it in a word processor.

use std::ops::Range;

/// What is wrong with words that stand without straight quotes, and how they should stand.
pub(crate) fn quotes(text: &str, span: &Range<usize>, short: fn(&str) -> String) -> (&'static str, Option<String>) {
    const CURLY: [char; 8] =
        ['\u{201c}', '\u{201d}', '\u{201e}', '\u{201f}', '\u{2018}', '\u{2019}', '\u{ab}', '\u{bb}'];
    let rest = text.get(span.start..).unwrap_or_default();
    let line = rest.lines().next().unwrap_or_default();
    if line.starts_with(CURLY) {
        let words = line.trim_start_matches(CURLY);
        let words = words.split(CURLY).next().unwrap_or_default();
        let straight = format!(
            "write `\"{}\"`; a word processor makes curly quotes, an editor for plain text does not",
            short(words)
        );
        return ("these quotes are curly; the plan takes straight ones only", Some(straight));
    }
    let words = line.split(['#', ',', ']', '}']).next().unwrap_or_default().trim();
    let straight = (!words.is_empty() && !words.contains('"')).then(|| format!("write `\"{}\"`", short(words)));
    ("words and quantities stand in double quotes", straight)
}

/// A line that would do where a key is missing.
pub(crate) fn such_as(key: &str) -> String {
    let value = match key {
        "from" | "to" => {
            return format!(
                "such as `{key} = \"T1.points\"`, `{key} = \"buffer\"` or, where the plan ends, `{key} = \"beyond\"`"
            );
        }
        "length" => "3.05 m",
        "voltage" => "15 V",
        "wire" => "2.5 mm²",
        "scale" => "HO",
        "hand" => "left",
        "wiring" => "live-bonded",
        "frogs" => "live",
        "at" => "0.4 m",
        "temperature" => "20 °C",
        "humidity" => "55 %",
        "material" => "birch plywood",
        "name" => "a name of your own",
        "supply" | "behind" => "booster",
        "moves" => "T1",
        "follows" => {
            return "such as `follows = \"M1\"`: the motor, relay or toggle with which it changes over".to_owned();
        }
        "common" => return "such as `common = \"main bus.B\"` or `common = \"T1.frog\"`".to_owned(),
        _ => return format!("`{key} = …`"),
    };
    format!("such as `{key} = \"{value}\"`")
}
