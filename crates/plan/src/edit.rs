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
    if list.is_bare() {
        // What stood alone gets its brackets.
        return vec![replace(span.start..span.start, "["), replace(span.end..span.end, &format!(", {item}]"))];
    }
    let Some(last) = list.items.last() else {
        // Between the brackets may stand a comment.
        return vec![replace(span.start + 1..span.start + 1, item)];
    };
    add_behind(text, last.span.clone(), span.end.saturating_sub(1), item)
}

/// Adds an item behind the last of a list, whose closing bracket stands at `close`.
pub(crate) fn add_behind(text: &str, last: Range<usize>, close: usize, item: &str) -> Vec<Edit> {
    let between = text.get(last.end..close).unwrap_or_default();
    let comma = outside_comments(between, ',').map(|c| c + 1);
    let behind = last.end + comma.unwrap_or(0);
    let insert = |at: usize, words: String| replace(at..at, &words);
    let rest = text.get(behind..close).unwrap_or_default();
    match (rest.find('\n'), comma) {
        (None, Some(_)) => vec![insert(behind, format!(" {item}"))],
        (None, None) => vec![insert(behind, format!(", {item}"))],
        (Some(line), _) => {
            let line = behind + rest[..line].trim_end_matches('\r').len();
            let line_start = text[..last.start].rfind('\n').map_or(0, |n| n + 1);
            let indent: String = text[line_start..].chars().take_while(|c| *c == ' ' || *c == '\t').collect();
            match comma {
                Some(_) => vec![insert(line, format!("\n{indent}{item},"))],
                // Both at one point are one edit.
                None if line == last.end => vec![insert(line, format!(",\n{indent}{item},"))],
                None => vec![insert(last.end, ",".to_owned()), insert(line, format!("\n{indent}{item},"))],
            }
        }
    }
}

/// Where a mark stands first outside comments, in a part of a list between its items.
pub(crate) fn outside_comments(between: &str, mark: char) -> Option<usize> {
    let mut in_comment = false;
    let found = between.char_indices().find(|(_, c)| {
        in_comment = match c {
            '#' => true,
            '\n' => false,
            _ => in_comment,
        };
        *c == mark && !in_comment
    });
    found.map(|(at, _)| at)
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
