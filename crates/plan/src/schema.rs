//! The JSON Schema of the plan language, made from the same records that read it.

use crate::composite::COMPOSITES;
use crate::tables::Plan;
use crate::value::Value as _;
use serde_json::json;

/// The JSON Schema (2020-12) of a plan, for editors that complete and check.
///
/// A table beside a composite need not say what the composite says of it, so that only its name is required there.
pub fn schema() -> serde_json::Value {
    let mut schema = tables();
    let composites: Vec<_> = COMPOSITES.iter().map(|key| json!({ "required": [key] })).collect();
    let mut whole = serde_json::Map::new();
    for (kind, table) in schema["properties"].as_object_mut().into_iter().flatten() {
        if COMPOSITES.contains(&kind.as_str()) {
            continue;
        }
        let required = table.get_mut("items").and_then(|items| items.get_mut("required"));
        let Some(required) = required.filter(|list| list[0] == "name") else { continue };
        let all = std::mem::replace(required, json!(["name"]));
        whole.insert(kind.clone(), json!({ "items": { "required": all } }));
    }
    if let Some(object) = schema.as_object_mut() {
        object.shift_insert(0, "$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
        object.shift_insert(1, "title".to_owned(), json!("Gapwright plan"));
        object.insert("if".to_owned(), json!({ "not": { "anyOf": composites } }));
        object.insert("then".to_owned(), json!({ "properties": whole }));
    }
    schema
}

/// Every table with its keys, and which of them it must have.
pub fn tables() -> serde_json::Value {
    Plan::schema()
}
