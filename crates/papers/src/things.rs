//! Numbers of things in words: `F-12`, `G-3`.

/// Whether words are nothing but the number of a thing: a capital letter, a dash and a count, as wires, gaps and joints have it.
pub fn is_number(text: &str) -> bool {
    let Some((class, count)) = text.split_once('-') else { return false };
    matches!(class.as_bytes(), [letter] if letter.is_ascii_uppercase())
        && (1..=7).contains(&count.len())
        && count.bytes().all(|b| b.is_ascii_digit())
}

/// Words in pieces, each with whether it is a number of a thing: `F-12 and G-3` has two.
pub fn pieces(text: &str) -> Vec<(&str, bool)> {
    let mut pieces = Vec::new();
    let mut start = 0;
    let is_part = |c: char| c.is_alphanumeric() || c == '_' || c == '-';
    let mut at = 0;
    while at < text.len() {
        let word: usize = text[at..].chars().take_while(|c| is_part(*c)).map(char::len_utf8).sum();
        if word == 0 {
            at += text[at..].chars().next().map_or(1, char::len_utf8);
            continue;
        }
        if is_number(&text[at..at + word]) {
            if start < at {
                pieces.push((&text[start..at], false));
            }
            pieces.push((&text[at..at + word], true));
            start = at + word;
        }
        at += word;
    }
    if start < text.len() {
        pieces.push((&text[start..], false));
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_told_from_words() {
        for (text, is) in [
            ("F-12", true),
            ("G-3", true),
            ("F12", false),
            ("F-", false),
            ("-12", false),
            ("dock", false),
            ("F-12a", false),
            ("é-1", false),
        ] {
            assert_eq!(is_number(text), is, "{text}");
        }
        let found = pieces("from F-12, to G-3 at Ω4, W1 and A-G-7: S-2.B");
        assert_eq!(found.iter().filter(|p| p.1).map(|p| p.0).collect::<Vec<_>>(), ["F-12", "G-3", "S-2"]);
        assert_eq!(found.iter().map(|p| p.0).collect::<String>(), "from F-12, to G-3 at Ω4, W1 and A-G-7: S-2.B");
    }
}
