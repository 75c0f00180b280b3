//! How wide words are in columns of letters, and where they may be broken.

use crate::escape_control_chars;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Columns a character takes.
pub fn columns(character: char) -> usize {
    character.width().unwrap_or(0)
}

/// Columns a text takes.
pub fn width(text: &str) -> usize {
    text.width()
}

/// A sentence broken into lines of at most `room` columns. A number keeps its unit beside it.
pub fn wrap(sentence: &str, room: usize) -> Vec<String> {
    fill(&kept_together(&escape_control_chars(sentence)), room)
}

/// The words of a sentence, a number and its unit as one.
pub fn kept_together(sentence: &str) -> Vec<String> {
    let mut units: Vec<String> = Vec::new();
    for word in sentence.split(' ').filter(|word| !word.is_empty()) {
        match units.last_mut() {
            Some(number) if number.ends_with(|c: char| c.is_ascii_digit()) && is_unit(word) => {
                number.push(' ');
                number.push_str(word);
            }
            _ => units.push(word.to_owned()),
        }
    }
    units
}

/// Whether a word looks like the unit of the number before it.
fn is_unit(word: &str) -> bool {
    let word = word.trim_end_matches([',', ';', ':', ')', '.', '*']);
    ["m", "mm", "mm²", "A", "mA", "V", "W", "Ω", "mΩ", "s", "ms", "%", "°C", "°F", "ft", "in", "AWG", "kg", "N"]
        .contains(&word)
}

/// Units put side by side in lines of at most `room` columns. Breaks come between units, and inside one only if it
/// alone is too long.
pub fn fill(units: &[String], room: usize) -> Vec<String> {
    let room = room.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut used = 0;
    for unit in units {
        let needed = width(unit);
        if used > 0 && used + 1 + needed <= room {
            line.push(' ');
            line.push_str(unit);
            used += 1 + needed;
            continue;
        }
        if used > 0 {
            lines.push(std::mem::take(&mut line));
        }
        let mut rows = rows(unit, room);
        line = rows.pop().unwrap_or_default();
        used = width(&line);
        lines.append(&mut rows);
    }
    if used > 0 {
        lines.push(line);
    }
    lines
}

/// A text cut into rows of at most `room` columns, after a space if there is one not too far from where it must be cut.
/// The rows put together again are the text.
pub fn rows(text: &str, room: usize) -> Vec<String> {
    let mut rows = Vec::new();
    let mut row = String::new();
    let mut used = 0;
    for character in text.chars() {
        let needed = columns(character);
        if used > 0 && used + needed > room {
            let space = row.rfind(' ').map(|at| at + 1).filter(|&at| 3 * at >= 2 * row.len());
            let rest = space.map_or(String::new(), |at| row.split_off(at));
            used = width(&rest);
            rows.push(std::mem::replace(&mut row, rest));
        }
        row.push(character);
        used += needed;
    }
    rows.push(row);
    rows
}

/// Words filled into lines of at most `room` columns behind a label, further lines set in as deep as the label is wide. A word
/// that is wider than the room stands on a line of its own. Ends with a line break.
pub fn paragraph(label: &str, text: &str, room: usize) -> String {
    let indent = width(label);
    let mut out = label.to_owned();
    let mut column = indent;
    let mut fresh = true;
    for word in text.split_whitespace() {
        let length = width(word);
        if !fresh && column + 1 + length > room {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            column = indent;
            fresh = true;
        }
        if !fresh {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
        fresh = false;
    }
    let mut out = out.trim_end().to_owned();
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn breaks_between_words_and_keeps_units_with_their_numbers() {
        assert_eq!(wrap("the gap opens to 0.9 mm at the driest", 20), ["the gap opens to", "0.9 mm at the driest"]);
        assert_eq!(wrap("  spaces\n and breaks \r\n fold ", 80), ["spaces and breaks fold"]);
        assert_eq!(wrap("abcdefghij kl", 4), ["abcd", "efgh", "ij", "kl"]);
        assert_eq!(wrap("線路線路 ab", 4), ["線路", "線路", "ab"]);
        assert!(wrap(" \n ", 10).is_empty());
    }

    #[test]
    fn further_lines_stand_below_the_first_word() {
        assert_eq!(paragraph("note: ", "one two three", 12), "note: one\n      two\n      three\n");
        // Wide characters take two columns.
        assert_eq!(paragraph("線: ", "路 路 路", 9), "線: 路 路\n    路\n");
    }

    #[test]
    fn rows_break_after_spaces_near_the_end() {
        assert_eq!(rows("rail = \"left\"", 9), ["rail = ", "\"left\""]);
        assert_eq!(rows("a bcdefghij", 6), ["a bcde", "fghij"]);
        assert_eq!(rows("", 6), [""]);
    }

    proptest! {
        #[test]
        fn wrapped_lines_fit_and_lose_nothing(sentence in "[a-zΩ線 \u{1b}\n]{0,60}", room in 2usize..30) {
            let lines = wrap(&sentence, room);
            prop_assert!(lines.iter().all(|line| (1..=room).contains(&width(line))), "{:?}", lines);
            let without_spaces = |text: &str| text.replace(' ', "");
            prop_assert_eq!(without_spaces(&lines.concat()), without_spaces(&escape_control_chars(&sentence)));
        }

        #[test]
        fn rows_fit_and_lose_nothing(text in "[a-z Ω線]{0,60}", room in 2usize..30) {
            let rows = rows(&text, room);
            prop_assert!(rows.iter().all(|row| width(row) <= room), "{:?}", rows);
            prop_assert_eq!(rows.concat(), text);
        }
    }
}
