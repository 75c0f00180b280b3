//! Words and numbers in markup: SVG and HTML.

use crate::escape_control_chars;

/// A number of an SVG, to a hundredth, without zeros at its end.
pub fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

/// Words as text or as an attribute in quotes of either kind; control characters, which markup does not allow, are made visible.
pub fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    escape(&mut out, words);
    out
}

/// Writes words as [`escaped`] has them.
pub fn escape(out: &mut String, words: &str) {
    let special = |byte: u8| matches!(byte, b'&' | b'<' | b'>' | b'"' | b'\'') || byte.is_ascii_control();
    if words.is_ascii() && !words.bytes().any(special) {
        out.push_str(words);
        return;
    }
    for character in escape_control_chars(words).chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_the_words_is_markup() {
        assert_eq!(escaped("a <b> & \"c's\"\n"), "a &lt;b&gt; &amp; &quot;c&#39;s&quot; ");
        assert_eq!(escaped("plain"), "plain");
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!([1.0, -0.001, 2.5, 1.239].map(number), ["1", "0", "2.5", "1.24"]);
    }
}
