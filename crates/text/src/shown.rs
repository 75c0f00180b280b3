//! What may be shown: nothing that a terminal or a reader would obey.

/// A text on one line with nothing in it that a terminal would obey: line breaks and tabs become spaces, other
/// control characters a picture.
pub fn escape_control_chars(text: &str) -> String {
    let text = text.replace("\r\n", " ");
    text.chars()
        .filter(|&c| c != BYTE_ORDER_MARK)
        .map(|c| if matches!(c, '\n' | '\r' | '\t') { ' ' } else { shown(c) })
        .collect()
}

const BYTE_ORDER_MARK: char = '\u{feff}';

/// The character to show for this one. Control characters have their own pictures; those that turn the direction of
/// writing or hide would make the line look like something else and are shown as unknown.
pub fn shown(character: char) -> char {
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

#[cfg(test)]
mod tests {
    use super::escape_control_chars;

    #[test]
    fn shows_what_a_terminal_would_obey() {
        assert_eq!(escape_control_chars("red\u{1b}[31m\u{7}\r\nnext\u{9b}\u{202e}x\u{7f}"), "red␛[31m␇ next��x␡");
        assert_eq!(escape_control_chars("\u{feff}Ω 線 é"), "Ω 線 é");
    }
}
