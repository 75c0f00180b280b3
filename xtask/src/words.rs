//! Turns of speech that a builder does not understand at first reading, or that the trade has a plainer word for: no text for users has
//! them.

/// The turn, and what to write instead.
const BANNED: &[(&str, &str)] = &[
    ("Told is", "the finding names"),
    ("Told are", "the finding names"),
    ("eckoned", "calculated"),
    ("hangs on", "depends on"),
    ("hang on its", "depend on its"),
    ("lets go", "fails, opens"),
    ("poles meet", "SHORT CIRCUIT: A touches B"),
    ("taken for granted", "was assumed"),
    ("be mended", "be fixed"),
    ("is lined", "is set"),
    ("are lined", "are set"),
];

/// The banned turns in the texts of a source file, each with what to write instead: comments are for colleagues and left out.
pub fn banned(source: &str) -> Vec<String> {
    let code: String =
        source.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    // A text that goes on in the next line is one text.
    let mut joined = String::new();
    let mut lines = code.split("\\\n");
    joined.push_str(lines.next().unwrap_or_default());
    lines.for_each(|line| joined.push_str(line.trim_start()));
    let texts = joined.split('"').skip(1).step_by(2);
    let found = texts.flat_map(|text| BANNED.iter().filter(move |(turn, _)| text.contains(turn)));
    found.map(|(turn, instead)| format!("`{turn}` stands in a text for users; write `{instead}`")).collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_banned_turn_is_noticed() {
        let source = "// it hangs on this\nlet a = \"what it hangs \\\n    on\";\nlet b = \"depends on\";";
        assert_eq!(super::banned(source), ["`hangs on` stands in a text for users; write `depends on`"]);
    }
}
