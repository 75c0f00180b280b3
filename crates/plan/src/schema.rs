//! The JSON Schema of the plan language, made from the same records that read it.

use crate::tables::Plan;
use crate::value::Value as _;
use serde_json::json;

/// The JSON Schema (2020-12) of a plan, for editors that complete and check.
pub fn schema() -> serde_json::Value {
    let mut schema = Plan::schema();
    if let Some(object) = schema.as_object_mut() {
        object.shift_insert(0, "$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
        object.shift_insert(1, "title".to_owned(), json!("Gapwright plan"));
    }
    schema
}
