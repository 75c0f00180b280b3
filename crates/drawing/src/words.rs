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

/// The same of words that are not bold: from the advance widths of DejaVu Sans, in thousandths of its size, rounded up.
pub(crate) fn plain_width(words: &str, size: f64) -> f64 {
    let advance = |c: char| match c {
        'i' | 'j' | 'l' => 278,
        ' ' | '.' | ',' => 318,
        ':' | ';' | '|' | '\\' | '/' => 338,
        '\'' => 275,
        '-' => 361,
        '(' | ')' | '[' | ']' => 391,
        't' => 393,
        'f' => 353,
        'r' => 412,
        's' => 522,
        'z' => 526,
        'c' => 550,
        'k' => 580,
        'v' | 'x' | 'y' => 592,
        'a' | 'e' | 'o' => 616,
        'b' | 'd' | 'g' | 'h' | 'n' | 'p' | 'q' | 'u' | '0'..='9' => 637,
        'w' => 818,
        'm' => 975,
        'I' | 'J' => 295,
        'E' | 'F' | 'L' | 'P' | 'S' | 'T' | 'Y' | 'Z' | 'A' | 'B' | 'C' | 'K' | 'R' | 'V' | 'X' => 699,
        'D' | 'G' | 'H' | 'N' | 'O' | 'Q' | 'U' => 788,
        'M' => 863,
        'W' => 989,
        '·' => 318,
        '²' => 401,
        c if c.is_ascii() => 1000,
        _ => 1050,
    };
    size * f64::from(words.chars().map(advance).sum::<u32>()) / 1000.0
}

/// The sign of a district, which stands before its name and behind the names of its tracks.
pub(crate) fn district_sign(district: usize) -> String {
    format!("[{}]", district + 1)
}

/// A to Z, then AA and so on.
pub(crate) fn letters_of(mut index: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'A' + (index % 26) as u8));
        index /= 26;
        if index == 0 {
            return letters.into_iter().rev().collect();
        }
        index -= 1;
    }
}
