//! Words that people type for words of the language, where they can have one meaning only.

/// Words, and what they mean where the language has that word in their place.
const MEANT: [(&str, &str); 17] = [
    ("lh", "left"),
    ("l", "left"),
    ("left hand", "left"),
    ("lefthand", "left"),
    ("rh", "right"),
    ("r", "right"),
    ("right hand", "right"),
    ("righthand", "right"),
    ("y", "wye"),
    ("straight", "through"),
    ("stall motor", "stall"),
    ("solenoid motor", "solenoid"),
    ("twin coil", "solenoid"),
    ("manual", "hand"),
    ("solder", "soldered"),
    ("slide", "sliding"),
    ("both ends", "both ends agree"),
];

/// The word of a list that is meant: whatever its letter case, with spaces or hyphens, or another word for it.
pub(crate) fn canonical(text: &str, words: &'static [&'static str]) -> Option<&'static str> {
    let plain = |word: &str| {
        word.split(|c: char| c.is_whitespace() || c == '-' || c == '_')
            .filter(|w| !w.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
            .to_lowercase()
    };
    if let Some(word) = words.iter().find(|word| **word == text) {
        return Some(word);
    }
    let said = plain(text);
    if said.chars().count() > 40 {
        return None;
    }
    let is = |word: &str| words.iter().copied().find(|known| plain(known) == word);
    is(&said).or_else(|| MEANT.iter().find(|(other, _)| *other == said).and_then(|(_, word)| is(word)))
}

/// The word for a stop, or for the edge of the plan, that some words mean.
pub(crate) fn stop(text: &str) -> Option<&'static str> {
    match text.trim().to_lowercase().as_str() {
        "buffer" | "buffers" | "buffer stop" | "bumper" | "bumpers" | "bumper stop" | "stop block" => Some("buffer"),
        "beyond" | "off plan" | "off the plan" => Some("beyond"),
        _ => None,
    }
}
