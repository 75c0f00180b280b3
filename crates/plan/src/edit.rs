//! Changes to a plan's text that touch only what they must: comments and layout stay.
//!
//! Each function gives one [`Edit`]: bytes to replace and what to put there. They work from the
//! places the reader noted, so they know nothing of TOML beyond where things stand.

use crate::value::{At, List, TablePlace};
use finding::Edit;
use std::ops::Range;

/// Adds an item behind the last of a list, or writes the key with the item where there is no list.
///
/// `item` is TOML as it should stand in the brackets, such as `{ at = "0.09 m", rail = "right" }`. In a list that is
/// written over several lines it gets a line of its own, behind whatever comment follows the last item.
pub fn add_to_list<T>(text: &str, list: &List<T>, table: &TablePlace, key: &str, item: &str) -> Vec<Edit> {
    let Some(span) = &list.span else { return vec![add_key(table, key, &format!("[{item}]"))] };
    let Some(last) = list.items.last() else { return vec![replace(span.clone(), &format!("[{item}]"))] };
    let close = span.end.saturating_sub(1);
    let between = text.get(last.span.end..close).unwrap_or_default();
    let comma = between.find(',').filter(|&c| !between[..c].contains('#'));
    let behind = last.span.end + comma.map_or(0, |c| c + 1);
    let insert = |at: usize, words: String| replace(at..at, &words);
    match between.find('\n') {
        None if comma.is_some() => vec![insert(behind, format!(" {item}"))],
        None => vec![insert(behind, format!(", {item}"))],
        Some(line) => {
            let line_start = text[..last.span.start].rfind('\n').map_or(0, |n| n + 1);
            let indent: String = text[line_start..].chars().take_while(|c| *c == ' ' || *c == '\t').collect();
            let own_line = insert(last.span.end + line, format!("\n{indent}{item},"));
            if comma.is_some() { vec![own_line] } else { vec![insert(last.span.end, ",".to_owned()), own_line] }
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
