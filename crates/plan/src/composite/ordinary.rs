//! Ordinary tables as a composite writes them, each value with the words of the composite that it comes from.

use crate::edit::quoted;
use crate::keys::{KeySaid, Keys};
use crate::value::At;
use std::ops::Range;

/// A value as TOML, and where in the builder's text it comes from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Words {
    pub(crate) toml: String,
    pub(crate) of: Range<usize>,
    /// Whether the builder's words are the same, letter by letter.
    pub(crate) as_written: bool,
}

impl Words {
    /// A value that follows from what stands at a place.
    pub(crate) fn made(toml: impl Into<String>, of: &Range<usize>) -> Words {
        Words { toml: toml.into(), of: of.clone(), as_written: false }
    }

    /// A text that follows from what stands at a place.
    pub(crate) fn text(text: &str, of: &Range<usize>) -> Words {
        Words::made(quoted(text), of)
    }

    /// A list in brackets; of several lines where `broken`.
    pub(crate) fn list(items: &[String], broken: bool, of: &Range<usize>) -> Words {
        let toml = if broken {
            format!("[\n{}]", items.iter().map(|item| format!("  {item},\n")).collect::<String>())
        } else {
            format!("[{}]", items.join(", "))
        };
        Words::made(toml, of)
    }
}

impl From<&KeySaid> for Words {
    fn from(said: &KeySaid) -> Words {
        Words { toml: said.words.clone(), of: said.span.clone(), as_written: said.as_written }
    }
}

/// A table in the making.
#[derive(Clone, Debug)]
pub(crate) struct OrdinaryTable {
    pub(crate) kind: &'static str,
    /// Its name, where it has one.
    pub(crate) name: Option<String>,
    /// Its keys in order, the name first.
    pub(crate) keys: Vec<(String, Words)>,
    /// The words of the composite that the table as a whole comes from.
    pub(crate) of: Range<usize>,
    /// Whether it only adds keys to a table that stands elsewhere.
    pub(crate) adds: bool,
}

impl OrdinaryTable {
    pub(crate) fn new(kind: &'static str, name: &str, of: &Range<usize>) -> OrdinaryTable {
        let keys = vec![("name".to_owned(), Words::text(name, of))];
        OrdinaryTable { kind, name: Some(name.to_owned()), keys, of: of.clone(), adds: false }
    }

    /// A table without a name.
    pub(crate) fn nameless(kind: &'static str, of: &Range<usize>) -> OrdinaryTable {
        OrdinaryTable { kind, name: None, keys: Vec::new(), of: of.clone(), adds: false }
    }

    /// Keys that are added to a table of this name.
    pub(crate) fn adding(kind: &'static str, name: &str, of: &Range<usize>) -> OrdinaryTable {
        OrdinaryTable { adds: true, ..OrdinaryTable::new(kind, name, of) }
    }

    /// Says a key, in place of what was said of it.
    pub(crate) fn set(&mut self, key: &str, words: Words) {
        match self.keys.iter_mut().find(|(known, _)| known == key) {
            Some((_, said)) => *said = words,
            None => self.keys.push((key.to_owned(), words)),
        }
    }

    /// Hands on what the builder says of a key.
    pub(crate) fn set_text(&mut self, key: &str, said: Option<&At<String>>) {
        if let Some(said) = said {
            self.set(key, Words::text(&said.value, &said.span));
        }
    }

    /// Hands on all that the builder says.
    pub(crate) fn take<H>(&mut self, keys: &Keys<H>, but: &[&str]) {
        for said in keys.said.iter().filter(|said| !but.contains(&said.key.as_str())) {
            self.set(&said.key, Words::from(said));
        }
    }

    pub(crate) fn get(&self, key: &str) -> Option<&Words> {
        self.keys.iter().find(|(known, _)| known == key).map(|(_, words)| words)
    }

    /// The text behind a key.
    pub(crate) fn text(&self, key: &str) -> Option<String> {
        let words = self.get(key)?;
        let said = KeySaid { key: String::new(), words: words.toml.clone(), span: 0..0, as_written: false };
        said.text()
    }
}
