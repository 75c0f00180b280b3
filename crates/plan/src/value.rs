//! Values as they stand in the text: what was read and where.

pub use crate::table_place::TablePlace;

use crate::reader::TableReader;
use serde_json::{Value as Json, json};
use std::ops::Range;
use toml::Spanned;
use toml::de::DeValue;

/// A value and the bytes of the plan text it was read from.
#[derive(Clone, Debug, PartialEq)]
pub struct At<T> {
    /// What was read.
    pub value: T,
    /// Where it stands, in bytes of the plan text, quotes included.
    pub span: Range<usize>,
}

/// Something that can be read from one TOML value.
pub trait Value: Sized {
    /// Reads it; on failure tells the reader why and returns nothing.
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self>;
    /// Its JSON Schema.
    fn schema() -> Json;
}

/// Something that can stand behind a key: required, optional or a list.
pub trait Field: Sized {
    /// Whether leaving the key out is an error.
    const REQUIRED: bool;
    /// Reads it; `None` means the table as a whole cannot be used.
    fn read(found: Option<&Spanned<DeValue<'_>>>, reader: &mut TableReader<'_>) -> Option<Self>;
    /// Its JSON Schema.
    fn schema() -> Json;
}

impl<T: Value> Field for At<T> {
    const REQUIRED: bool = true;
    fn read(found: Option<&Spanned<DeValue<'_>>>, reader: &mut TableReader<'_>) -> Option<Self> {
        let found = found?;
        Some(At { value: T::read(found, reader)?, span: found.span() })
    }
    fn schema() -> Json {
        T::schema()
    }
}

impl<T: Value> Field for Option<At<T>> {
    const REQUIRED: bool = false;
    fn read(found: Option<&Spanned<DeValue<'_>>>, reader: &mut TableReader<'_>) -> Option<Self> {
        // Where a value is there but wrong, that has been told by now, and the table cannot be used:
        // taking the key as left out would give rise to findings that are not true.
        match found {
            None => Some(None),
            Some(f) => Some(Some(At { value: T::read(f, reader)?, span: f.span() })),
        }
    }
    fn schema() -> Json {
        T::schema()
    }
}

/// A table that stands at most once in a plan, such as `[layout]`. Where it cannot be read the rest of
/// the plan still can.
#[derive(Clone, Debug, PartialEq)]
pub struct OptionalTable<T>(pub Option<At<T>>);

impl<T> std::ops::Deref for OptionalTable<T> {
    type Target = Option<At<T>>;
    fn deref(&self) -> &Option<At<T>> {
        &self.0
    }
}

impl<T> Default for OptionalTable<T> {
    fn default() -> Self {
        OptionalTable(None)
    }
}

impl<T: Value> Field for OptionalTable<T> {
    const REQUIRED: bool = false;
    fn read(found: Option<&Spanned<DeValue<'_>>>, reader: &mut TableReader<'_>) -> Option<Self> {
        let found = found.and_then(|f| Some(At { value: T::read(f, reader)?, span: f.span() }));
        Some(OptionalTable(found))
    }
    fn schema() -> Json {
        T::schema()
    }
}

/// A table that may stand once, `[storage]`, or several times, `[[storage]]`. Those that cannot be read are left out.
#[derive(Clone, Debug, PartialEq)]
pub struct TableOrTables<T>(pub Vec<At<T>>);

impl<T> std::ops::Deref for TableOrTables<T> {
    type Target = [At<T>];
    fn deref(&self) -> &[At<T>] {
        &self.0
    }
}

impl<T> Default for TableOrTables<T> {
    fn default() -> Self {
        TableOrTables(Vec::new())
    }
}

impl<T: Value> Field for TableOrTables<T> {
    const REQUIRED: bool = false;
    fn read(found: Option<&Spanned<DeValue<'_>>>, reader: &mut TableReader<'_>) -> Option<Self> {
        Some(TableOrTables(match found.map(|f| (f, f.get_ref())) {
            None => Vec::new(),
            Some((all, DeValue::Array(_))) => items(all, reader)?.into_iter().flatten().collect(),
            Some((one, _)) => T::read(one, reader).map(|value| At { value, span: one.span() }).into_iter().collect(),
        }))
    }
    fn schema() -> Json {
        json!({ "anyOf": [T::schema(), { "type": "array", "items": T::schema() }] })
    }
}

/// A list behind a key, with the place of the whole list where it is there.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct List<T> {
    /// The items, in the order written.
    pub items: Vec<At<T>>,
    /// Where the list stands, brackets included.
    pub span: Option<Range<usize>>,
}

impl<T> List<T> {
    /// The items, in the order written.
    pub fn iter(&self) -> std::slice::Iter<'_, At<T>> {
        self.items.iter()
    }
    /// Whether one thing stands without brackets.
    pub fn is_bare(&self) -> bool {
        self.items.len() == 1 && self.span.as_ref() == self.items.first().map(|item| &item.span)
    }
    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }
}

impl<T: Value> Field for List<T> {
    const REQUIRED: bool = false;
    fn read(found: Option<&Spanned<DeValue<'_>>>, reader: &mut TableReader<'_>) -> Option<Self> {
        let Some(found) = found else { return Some(List { items: Vec::new(), span: None }) };
        let items: Vec<Option<At<T>>> = items(found, reader)?;
        let items = items.into_iter().collect::<Option<Vec<_>>>()?;
        Some(List { items, span: Some(found.span()) })
    }
    fn schema() -> Json {
        json!({ "type": "array", "items": T::schema() })
    }
}

/// The items of a list, each read or not.
fn items<T: Value>(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Vec<Option<At<T>>>> {
    let mut read = |item: &Spanned<DeValue<'_>>| Some(At { value: T::read(item, reader)?, span: item.span() });
    match found.get_ref() {
        DeValue::Array(array) => Some(array.iter().map(read).collect()),
        // One thing without brackets is a list of one.
        DeValue::String(_) | DeValue::Table(_) => Some(vec![read(found)]),
        _ => {
            reader.wrong_kind(found, "a list in square brackets");
            None
        }
    }
}

/// One value, or a list of them in square brackets.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OneOrMany<T>(pub Vec<At<T>>);

impl<T: Value> Field for OneOrMany<T> {
    const REQUIRED: bool = false;
    fn read(found: Option<&Spanned<DeValue<'_>>>, reader: &mut TableReader<'_>) -> Option<Self> {
        match found.map(|f| (f, f.get_ref())) {
            None => Some(OneOrMany(Vec::new())),
            Some((_, DeValue::Array(_))) => Some(OneOrMany(<List<T> as Field>::read(found, reader)?.items)),
            Some((one, _)) => Some(OneOrMany(vec![At { value: T::read(one, reader)?, span: one.span() }])),
        }
    }
    fn schema() -> Json {
        json!({ "anyOf": [T::schema(), { "type": "array", "items": T::schema() }] })
    }
}

/// Tables of one kind, written `[[kind]]`. Those that cannot be read are left out.
impl<T: Value> Field for Vec<T> {
    const REQUIRED: bool = false;
    fn read(found: Option<&Spanned<DeValue<'_>>>, reader: &mut TableReader<'_>) -> Option<Self> {
        let Some(found) = found else { return Some(Vec::new()) };
        if let DeValue::Table(_) = found.get_ref() {
            reader.single_brackets(found);
            return Some(Vec::new());
        }
        Some(items::<T>(found, reader)?.into_iter().flatten().map(|i| i.value).collect())
    }
    fn schema() -> Json {
        json!({ "type": "array", "items": T::schema() })
    }
}

impl Value for String {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        match found.get_ref() {
            DeValue::String(text) => Some(text.clone().into_owned()),
            _ => {
                reader.wrong_kind(found, "words in double quotes");
                None
            }
        }
    }
    fn schema() -> Json {
        json!({ "type": "string" })
    }
}

impl Value for f64 {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        let number = match found.get_ref() {
            DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse::<f64>().ok(),
            DeValue::Float(f) => f.as_str().parse::<f64>().ok(),
            // A number in quotes is that number.
            DeValue::String(text) => text.trim().parse::<f64>().ok(),
            _ => None,
        };
        let number = number.filter(|n| n.is_finite());
        if number.is_none() {
            reader.wrong_kind(found, "a plain number");
        }
        number
    }
    fn schema() -> Json {
        json!({ "type": "number" })
    }
}

impl Value for u32 {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        let number = match found.get_ref() {
            DeValue::Integer(i) => u32::from_str_radix(i.as_str(), i.radix()).ok(),
            DeValue::String(text) => text.trim().parse::<u32>().ok(),
            _ => None,
        };
        if number.is_none() {
            reader.wrong_kind(found, "a whole number");
        }
        number
    }
    fn schema() -> Json {
        json!({ "type": "integer", "minimum": 0 })
    }
}

impl Value for bool {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        let said = match found.get_ref() {
            DeValue::Boolean(yes) => Some(*yes),
            DeValue::String(text) => match text.trim().to_lowercase().as_str() {
                "yes" | "true" => Some(true),
                "no" | "false" => Some(false),
                _ => None,
            },
            _ => None,
        };
        if said.is_none() {
            reader.wrong_kind(found, "`true` or `false`");
        }
        said
    }
    fn schema() -> Json {
        json!({ "type": "boolean" })
    }
}

/// Declares the words that may stand behind a key, with the spelling of each.
macro_rules! choice {
    ($(#[$meta:meta])* $name:ident, $due:literal { $($(#[$inner:meta])* $variant:ident = $word:literal),* $(,)? }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$inner])* $variant),* }
        impl $name {
            /// Every word that will do, in the order of the handbook.
            pub const WORDS: &'static [&'static str] = &[$($word),*];
            /// The word as the builder writes it.
            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word),* }
            }
        }
        impl $crate::value::Value for $name {
            fn read(found: &toml::Spanned<toml::de::DeValue<'_>>, reader: &mut $crate::reader::TableReader<'_>) -> Option<Self> {
                match found.get_ref() {
                    toml::de::DeValue::String(text) => match $crate::stops::canonical(text, Self::WORDS) {
                        $(Some($word) => Some($name::$variant),)*
                        _ => { reader.unknown_word(found.span(), text, $due, Self::WORDS); None }
                    },
                    _ => { reader.wrong_kind(found, concat!("the name of a ", $due, " in double quotes")); None }
                }
            }
            fn schema() -> serde_json::Value {
                serde_json::json!({ "enum": Self::WORDS })
            }
        }
    };
}
pub(crate) use choice;

/// Adds a key's own words to its schema, before what its kind says of itself.
pub(crate) fn describe(schema: &mut Json, words: &str) {
    let words = words.trim();
    if let Some(object) = schema.as_object_mut() {
        let own = object.get("description").and_then(Json::as_str).map(str::to_owned);
        let text = match own {
            // A table behind a key is described by the key; its own words would only repeat it.
            Some(own) if object.get("type") == Some(&json!("string")) => format!("{words} ({own})"),
            _ => words.to_owned(),
        };
        object.insert("description".to_owned(), Json::String(text));
    }
}

/// Declares a table of the plan: its Rust record, its reader and its schema at once.
macro_rules! record {
    ($(#[doc = $doc:literal])* $name:ident, $kind:literal {
        $($(#[doc = $field_doc:literal])* $field:ident : $ty:ty),* $(,)?
    }) => {
        $(#[doc = $doc])*
        #[derive(Clone, Debug)]
        pub struct $name {
            $($(#[doc = $field_doc])* pub $field: $ty,)*
            /// Where the table stands.
            pub place: $crate::value::TablePlace,
        }
        impl $crate::record::Record for $name {
            const WORD: &'static str = $kind;
            const KEYS: &'static [&'static str] = &[$(stringify!($field)),*];
        }
        impl $crate::value::Value for $name {
            fn read(found: &toml::Spanned<toml::de::DeValue<'_>>, reader: &mut $crate::reader::TableReader<'_>) -> Option<Self> {
                if !matches!(found.get_ref(), toml::de::DeValue::Table(_)) {
                    reader.no_table(found, $kind, &<$name as $crate::value::Value>::schema());
                    return None;
                }
                let (table, place) = reader.table(found, $kind, <$name as $crate::record::Record>::KEYS)?;
                $(
                    let entry = table.get(stringify!($field));
                    if entry.is_none() && <$ty as $crate::value::Field>::REQUIRED {
                        reader.missing_key(&place, $kind, stringify!($field));
                    }
                    let $field = <$ty as $crate::value::Field>::read(entry, reader);
                )*
                Some($name { $($field: $field?,)* place })
            }
            fn schema() -> serde_json::Value {
                let mut properties = serde_json::Map::new();
                let mut required: Vec<&str> = Vec::new();
                $(
                    let mut schema = <$ty as $crate::value::Field>::schema();
                    $crate::value::describe(&mut schema, concat!($($field_doc),*));
                    properties.insert(stringify!($field).to_owned(), schema);
                    if <$ty as $crate::value::Field>::REQUIRED { required.push(stringify!($field)); }
                )*
                serde_json::json!({
                    "type": "object",
                    "description": concat!($($doc),*).trim(),
                    "properties": properties,
                    "required": required,
                    "additionalProperties": false,
                })
            }
        }
    };
}
pub(crate) use record;
