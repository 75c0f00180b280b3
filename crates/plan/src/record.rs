//! What a table that is declared says of itself.

/// A table that is declared with `record!`.
pub trait Record {
    /// What it is called in messages.
    const WORD: &'static str;
    /// Its keys, in the order of the language.
    const KEYS: &'static [&'static str];
}
