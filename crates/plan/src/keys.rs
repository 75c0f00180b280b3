//! Keys that a composite table hands on, in the builder's own words, to the ordinary tables it stands for.

use crate::reader::TableReader;
use crate::record::Record;
use crate::table_place::TablePlace;
use crate::value::Value;
use handbook::quantity::{self, Quantity};
use serde_json::{Value as Json, json};
use std::marker::PhantomData;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Which keys of which table are handed on.
pub trait HandsOn {
    /// The table that has the keys.
    type Of: Record + Value;
    /// Keys of it that the composite gives itself, and nobody can say here.
    const GIVEN: &'static [&'static str];
    /// The key that is meant where a single value stands in place of a table.
    const SHORT: Option<&'static str> = None;
    /// Keys that may say a list, one for each table.
    const MANY: &'static [&'static str] = &[];
}

/// Keys that are handed on; what they hold is read where they arrive.
#[derive(Clone, Debug)]
pub struct Keys<H> {
    /// The keys, in the order of the language.
    pub said: Vec<KeySaid>,
    /// Where the table stands.
    pub place: TablePlace,
    of: PhantomData<H>,
}

/// A key and the words behind it.
#[derive(Clone, Debug)]
pub struct KeySaid {
    /// The key.
    pub key: String,
    /// What stands behind it, as TOML.
    pub words: String,
    /// Where.
    pub span: Range<usize>,
    /// Whether the words are those of the text, letter by letter.
    pub as_written: bool,
}

impl KeySaid {
    /// The text behind the key, where it is one.
    pub fn text(&self) -> Option<String> {
        let line = format!("v = {}", self.words);
        match DeTable::parse(&line).ok()?.get_ref().get("v")?.get_ref() {
            DeValue::String(text) => Some(text.clone().into_owned()),
            _ => None,
        }
    }

    /// The texts of the list behind the key, where it is one of nothing else.
    pub fn texts(&self) -> Option<Vec<String>> {
        let line = format!("v = {}", self.words);
        let parsed = DeTable::parse(&line).ok()?;
        let DeValue::Array(items) = parsed.get_ref().get("v")?.get_ref() else { return None };
        let text = |item: &Spanned<DeValue<'_>>| match item.get_ref() {
            DeValue::String(text) => Some(text.clone().into_owned()),
            _ => None,
        };
        items.iter().map(text).collect()
    }

    /// The number behind the key, where it is one.
    pub fn number(&self) -> Option<f64> {
        self.words.replace('_', "").parse().ok().filter(|n: &f64| n.is_finite())
    }

    /// The quantity behind the key, where it is one.
    pub fn quantity<Q: Quantity>(&self) -> Option<Q> {
        quantity::parse(&self.text()?).ok()
    }
}

impl<H> Keys<H> {
    /// What stands behind a key.
    pub fn get(&self, key: &str) -> Option<&KeySaid> {
        self.said.iter().find(|said| said.key == key)
    }
}

impl<H: HandsOn> Value for Keys<H> {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        let said = |key: &str, value: &Spanned<DeValue<'_>>, text: &str| {
            let written = text.get(value.span()).filter(|words| stands_alone(value, words));
            let words = written.map_or_else(|| in_braces(value, text), str::to_owned);
            KeySaid { key: key.to_owned(), words, span: value.span(), as_written: written.is_some() }
        };
        if let (Some(key), false) = (H::SHORT, matches!(found.get_ref(), DeValue::Table(_))) {
            let place =
                TablePlace { header: found.span(), end: found.span().end, last: found.span().end, inline: true };
            return Some(Keys { said: vec![said(key, found, reader.text())], place, of: PhantomData });
        }
        let allowed: Vec<&str> =
            <H::Of as Record>::KEYS.iter().copied().filter(|key| !H::GIVEN.contains(key)).collect();
        let (table, place) = reader.table(found, <H::Of as Record>::WORD, &allowed)?;
        let keys = allowed.iter().filter_map(|key| Some(said(key, table.get(*key)?, reader.text()))).collect();
        Some(Keys { said: keys, place, of: PhantomData })
    }

    fn schema() -> Json {
        let mut schema = <H::Of as Value>::schema();
        if let Some(properties) = schema["properties"].as_object_mut() {
            properties.retain(|key, _| !H::GIVEN.contains(&key.as_str()));
            for (_, of) in properties.iter_mut().filter(|(key, _)| H::MANY.contains(&key.as_str())) {
                *of = json!({ "description": of["description"], "anyOf": [of, { "type": "array", "items": of }] });
            }
        }
        if let Some(object) = schema.as_object_mut() {
            object.remove("required");
            let but: Vec<String> = H::GIVEN.iter().map(|key| format!("`{key}`")).collect();
            let words = format!("any keys of a {} but {}", <H::Of as Record>::WORD, but.join(", "));
            object.insert("$comment".to_owned(), Json::String(words));
        }
        match H::SHORT {
            Some(key) => json!({ "anyOf": [schema["properties"][key].clone(), schema] }),
            None => schema,
        }
    }
}

/// Whether the words of a value are a value wherever they stand: not so of tables with a header of their own.
fn stands_alone(value: &Spanned<DeValue<'_>>, words: &str) -> bool {
    match value.get_ref() {
        DeValue::Table(_) => words.starts_with('{'),
        // A list in brackets starts before its first item; one of tables with headers does not.
        DeValue::Array(items) => {
            words.starts_with('[') && items.iter().all(|item| item.span().start > value.span().start)
        }
        _ => true,
    }
}

/// A value in braces or brackets that is written with headers or dotted keys.
fn in_braces(value: &Spanned<DeValue<'_>>, text: &str) -> String {
    match value.get_ref() {
        DeValue::Table(table) => {
            let mut inner: Vec<_> = table.iter().collect();
            inner.sort_by_key(|(key, _)| key.span().start);
            let keys: Vec<String> = inner
                .into_iter()
                .map(|(key, value)| format!("{} = {}", bare_or_quoted(key.get_ref()), words_of(value, text)))
                .collect();
            format!("{{ {} }}", keys.join(", "))
        }
        DeValue::Array(items) => {
            format!("[{}]", items.iter().map(|item| words_of(item, text)).collect::<Vec<_>>().join(", "))
        }
        _ => text.get(value.span()).unwrap_or_default().to_owned(),
    }
}

/// A value as TOML that can stand anywhere.
pub(crate) fn words_of(value: &Spanned<DeValue<'_>>, text: &str) -> String {
    match text.get(value.span()).filter(|words| stands_alone(value, words)) {
        Some(words) => words.to_owned(),
        None => in_braces(value, text),
    }
}

fn bare_or_quoted(key: &str) -> String {
    let bare = !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    if bare { key.to_owned() } else { crate::edit::quoted(key) }
}
