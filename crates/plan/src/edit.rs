//! Changes to a plan's text that touch only what they must: comments and layout stay.
//!
//! Each function gives one [`Edit`]: bytes to replace and what to put there. They work from the
//! places the reader noted, so they know nothing of TOML beyond where things stand.

use crate::value::{At, List, TablePlace};
use finding::Edit;
use std::ops::Range;

/// Adds an item behind the last of a list, or writes the key with the item where there is no list.
///
/// `item` is TOML as it should stand in the brackets, such as `{ at = "0.09 m", rail = "right" }`.
pub fn add_to_list<T>(text: &str, list: &List<T>, table: &TablePlace, key: &str, item: &str) -> Edit {
    let Some(span) = &list.span else { return add_key(table, key, &format!("[{item}]")) };
    let close = span.end.saturating_sub(1);
    match list.items.last() {
        None => replace(span.clone(), &format!("[{item}]")),
        Some(last) => {
            // A trailing comma, if there is one, stays the last thing before the bracket.
            let between = text.get(last.span.end..close).unwrap_or_default();
            let uncommented: String = between.lines().map(|l| l.split('#').next().unwrap_or("")).collect();
            let comma = if uncommented.contains(',') { "" } else { "," };
            if comma.is_empty() {
                let at = last.span.end + between.find(',').map_or(0, |i| i + 1);
                replace(at..at, &format!(" {item},"))
            } else {
                replace(last.span.end..last.span.end, &format!(", {item}"))
            }
        }
    }
}

/// Adds `key = value` to a table: on a line of its own, or inside the braces of an inline table.
pub fn add_key(table: &TablePlace, key: &str, value: &str) -> Edit {
    if table.inline {
        return replace(table.end..table.end, &format!(", {key} = {value}"));
    }
    replace(table.end..table.end, &format!("\n{key} = {value}"))
}

/// Puts other words in place of a value.
pub fn replace(span: Range<usize>, words: &str) -> Edit {
    Edit { place: finding::Place { span }, text: words.to_owned() }
}

/// Replaces one value.
pub fn set<T>(value: &At<T>, words: &str) -> Edit {
    replace(value.span.clone(), words)
}

/// A string as TOML, quoted.
pub fn quoted(words: &str) -> String {
    toml::Value::String(words.to_owned()).to_string()
}
