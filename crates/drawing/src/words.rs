//! How wide words are.

/// The width of words in letters of a size, in the same unit: at least what they take in DejaVu Sans, in which they are set,
/// bold where names are, and about what they take in any usual face. From the advance widths of DejaVu Sans Bold, rounded up.
pub(crate) fn width(words: &str, size: f64) -> f64 {
    let advance = |c: char| match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' => 0.40,
        ' ' => 0.36,
        'f' | 'r' | 't' | '-' | '(' | ')' | '[' | ']' | '/' => 0.50,
        'm' | 'M' | 'w' | 'W' | '@' | '%' | '—' | '…' => 1.11,
        'A'..='Z' => 0.85,
        '0'..='9' => 0.70,
        c if c.is_ascii_alphanumeric() => 0.73,
        c if c.is_ascii() => 0.88,
        _ => 1.05,
    };
    size * words.chars().map(advance).sum::<f64>()
}

/// The sign of a district, which stands before its name and behind the names of its tracks.
pub(crate) fn district_sign(district: usize) -> String {
    format!("[{}]", district + 1)
}
