//! Numbers of things in words: `F12`, `G3`.

/// Whether words are nothing but the number of a thing: a capital letter and a count, as wires, gaps and joints have it.
pub fn is_number(text: &str) -> bool {
    let mut rest = text.chars();
    rest.next().is_some_and(|c| c.is_ascii_uppercase())
        && (2..=8).contains(&text.len())
        && rest.all(|c| c.is_ascii_digit())
}

/// Words in pieces, each with whether it is a number of a thing: `F12 and G3` has two.
pub fn pieces(text: &str) -> Vec<(&str, bool)> {
    let mut pieces = Vec::new();
    let mut start = 0;
    let is_part = |c: char| c.is_alphanumeric() || c == '_';
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
        for (text, is) in [("F12", true), ("G3", true), ("F", false), ("12", false), ("dock", false), ("F12a", false)] {
            assert_eq!(is_number(text), is, "{text}");
        }
        let found = pieces("from F12, to G3 at Ω4: S2.B");
        assert_eq!(found.iter().filter(|p| p.1).map(|p| p.0).collect::<Vec<_>>(), ["F12", "G3", "S2"]);
        assert_eq!(found.iter().map(|p| p.0).collect::<String>(), "from F12, to G3 at Ω4: S2.B");
    }
}
