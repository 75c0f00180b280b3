//! The JSON Schema of the plan language, made from the same records that read it.

use crate::tables::Plan;
use crate::value::Value as _;
use serde_json::{Value, json};

/// Adds a key's own words to its schema, before what its kind says of itself.
pub(crate) fn describe(schema: &mut Value, words: &str) {
    let words = words.trim();
    if let Some(object) = schema.as_object_mut() {
        let own = object.get("description").and_then(Value::as_str).map(str::to_owned);
        let text = match own {
            // A table behind a key is described by the key; its own words would only repeat it.
            Some(own) if object.get("type") == Some(&json!("string")) => format!("{words} ({own})"),
            _ => words.to_owned(),
        };
        object.insert("description".to_owned(), Value::String(text));
    }
}

/// The JSON Schema (2020-12) of a plan, for editors that complete and check.
pub fn schema() -> Value {
    let mut schema = Plan::schema();
    if let Some(object) = schema.as_object_mut() {
        object.shift_insert(0, "$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
        object.shift_insert(1, "title".to_owned(), json!("Gapwright plan"));
    }
    schema
}
