//! Where something new goes in a text.

use crate::edit::{add_behind, outside_comments, replace};
use crate::value::TablePlace;
use finding::Edit;

/// A new table of a kind: behind the last of its kind, or behind `beside`, or at the end of the text.
///
/// `keys` are its keys with their values as TOML.
pub fn new_table(
    text: &str,
    kind: &str,
    last: Option<&TablePlace>,
    beside: Option<&TablePlace>,
    keys: &[(&str, String)],
) -> Vec<Edit> {
    if let Some(last) = last.filter(|last| last.inline) {
        let close = closing_bracket(text, last.header.end);
        let keys: Vec<String> = keys.iter().map(|(key, value)| format!("{key} = {value}")).collect();
        return add_behind(text, last.header.clone(), close, &format!("{{ {} }}", keys.join(", ")));
    }
    let widest = keys.iter().map(|(key, _)| key.len()).max().unwrap_or(0);
    let mut table = format!("[[{kind}]]\n");
    for (key, value) in keys {
        table.push_str(&format!("{key:widest$} = {value}\n"));
    }
    let behind = last.or(beside).filter(|place| !place.inline).map(|place| place.last);
    // Behind the line break that ends the table before, whose own lines stay as they are.
    let behind = behind.map(|at| text[at..].find('\n').map_or(text.len(), |n| at + n + 1));
    let at = behind.unwrap_or(text.len());
    let before = match at {
        0 => "",
        _ if text[..at].ends_with('\n') => "\n",
        _ => "\n\n",
    };
    vec![replace(at..at, &format!("{before}{table}"))]
}

/// The bracket that closes a list whose last item ends here: between them stand space, commas and comments.
pub(crate) fn closing_bracket(text: &str, from: usize) -> usize {
    let rest = text.get(from..).unwrap_or_default();
    outside_comments(rest, ']').map_or(text.len(), |n| from + n)
}
