//! Names that files may have on every system.

/// A name as a file may have it: letters, digits, `-` and `_`; what else there is becomes `-`.
pub fn safe(name: &str) -> String {
    let mapped: String = name.chars().map(|c| if c.is_alphanumeric() || "-_".contains(c) { c } else { '-' }).collect();
    let mapped: String = mapped.trim_matches('-').chars().take(80).collect();
    if mapped.is_empty() { "unnamed".to_owned() } else { mapped }
}
