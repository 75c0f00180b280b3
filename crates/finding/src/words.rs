//! Text on a terminal: what may be shown, how wide it is, where it may be broken.

/// A text on one line with nothing in it that a terminal would obey: line breaks and tabs become spaces, other
/// control characters a picture.
pub fn clean(text: &str) -> String {
    let text = text.replace("\r\n", " ");
    text.chars()
        .filter(|&c| c != BYTE_ORDER_MARK)
        .map(|c| if matches!(c, '\n' | '\r' | '\t') { ' ' } else { shown(c) })
        .collect()
}

const BYTE_ORDER_MARK: char = '\u{feff}';

/// The character to show for this one. Control characters have their own pictures; those that turn the direction of
/// writing or hide would make the line look like something else and are shown as unknown.
pub(crate) fn shown(character: char) -> char {
    match character {
        '\0'..='\u{1f}' => char::from_u32(0x2400 + u32::from(character)).unwrap_or('\u{fffd}'),
        '\u{7f}' => '\u{2421}',
        '\u{80}'..='\u{9f}'
        | '\u{61c}'
        | '\u{200b}'
        | '\u{200e}'..='\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{feff}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e007f}' => '\u{fffd}',
        other => other,
    }
}

/// Columns a character takes in a terminal. Near enough for breaking lines; the alignment of underlines is left to
/// the library that draws them.
pub(crate) fn columns(character: char) -> usize {
    match u32::from(character) {
        0x300..=0x36f | 0x200c..=0x200d | 0x20d0..=0x20ff | 0xfe00..=0xfe0f => 0,
        0x1100..=0x115f
        | 0x2e80..=0x303e
        | 0x3041..=0xa4cf
        | 0xac00..=0xd7a3
        | 0xf900..=0xfaff
        | 0xfe30..=0xfe6f
        | 0xff00..=0xff60
        | 0xffe0..=0xffe6
        | 0x1f300..=0x1f64f
        | 0x1f680..=0x1f6ff
        | 0x1f900..=0x1f9ff
        | 0x20000..=0x3fffd => 2,
        _ => 1,
    }
}

/// Columns a text takes in a terminal.
pub(crate) fn width(text: &str) -> usize {
    text.chars().map(columns).sum()
}

/// How many digits a number is written with.
pub(crate) fn digits(number: usize) -> usize {
    number.checked_ilog10().unwrap_or(0) as usize + 1
}

/// A sentence broken into lines of at most `room` columns. A number keeps its unit beside it.
pub(crate) fn wrap(sentence: &str, room: usize) -> Vec<String> {
    let sentence = clean(sentence);
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
    fill(&units, room)
}

/// Whether a word looks like the unit of the number before it.
fn is_unit(word: &str) -> bool {
    let word = word.trim_end_matches([',', ';', ':', ')', '.']);
    ["m", "mm", "mm²", "A", "mA", "V", "W", "Ω", "mΩ", "s", "ms", "%", "°C", "°F", "ft", "in", "AWG", "kg", "N"]
        .contains(&word)
}

/// Units put side by side in lines of at most `room` columns. Breaks come between units, and inside one only if it
/// alone is too long.
pub(crate) fn fill(units: &[String], room: usize) -> Vec<String> {
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
pub(crate) fn rows(text: &str, room: usize) -> Vec<String> {
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
    fn shows_what_a_terminal_would_obey() {
        assert_eq!(clean("red\u{1b}[31m\u{7}\r\nnext\u{9b}\u{202e}x\u{7f}"), "red␛[31m␇ next��x␡");
        assert_eq!(clean("\u{feff}Ω 線 é"), "Ω 線 é");
    }

    #[test]
    fn rows_break_after_spaces_near_the_end() {
        assert_eq!(rows("rail = \"left\"", 9), ["rail = ", "\"left\""]);
        assert_eq!(rows("a bcdefghij", 6), ["a bcde", "fghij"]);
        assert_eq!(rows("", 6), [""]);
    }

    #[test]
    fn counts_digits() {
        assert_eq!([0, 9, 10, 99, 100, usize::MAX].map(digits), [1, 1, 2, 2, 3, 20]);
    }

    proptest! {
        #[test]
        fn wrapped_lines_fit_and_lose_nothing(sentence in "[a-zΩ線 \u{1b}\n]{0,60}", room in 2usize..30) {
            let lines = wrap(&sentence, room);
            prop_assert!(lines.iter().all(|line| (1..=room).contains(&width(line))), "{:?}", lines);
            let without_spaces = |text: &str| text.replace(' ', "");
            prop_assert_eq!(without_spaces(&lines.concat()), without_spaces(&clean(&sentence)));
        }

        #[test]
        fn rows_fit_and_lose_nothing(text in "[a-z Ω線]{0,60}", room in 2usize..30) {
            let rows = rows(&text, room);
            prop_assert!(rows.iter().all(|row| width(row) <= room), "{:?}", rows);
            prop_assert_eq!(rows.concat(), text);
        }
    }
}
