//! The same plan in ordinary tables.

use super::{ExpandedTable, Expansion};
use crate::edit::{add_behind, add_key};
use crate::value::TablePlace;
use finding::Edit;
use std::collections::BTreeMap;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// See [`Expansion::ordinary`].
pub(super) fn written_out(expansion: &Expansion, text: &str) -> String {
    let mut edits: Vec<Edit> = Vec::new();
    let lists = inline_lists(text);
    // Tables that override go where what they override stands; those that are added to stay.
    let mut moved: Vec<Range<usize>> = Vec::new();
    let mut behind = String::new();
    for (number, place) in expansion.composites.iter().enumerate() {
        let here = || expansion.tables.iter().filter(|table| table.composite == number && !table.adds);
        let comments = comments_in(text, &lines_of(text, place));
        let mut written: Vec<String> = if comments.is_empty() { Vec::new() } else { vec![comments] };
        for table in here() {
            match &table.own {
                Some(own) if !own.inline => {
                    let range = with_comment(text, lines_of(text, own));
                    written.push(with_missing(expansion, text, table, own, &range));
                    moved.push(range);
                }
                Some(own) => edits.extend(missing(expansion, text, table).map(|(key, words)| add_key(own, key, words))),
                None if lists.contains_key(table.kind) => {}
                None => written.push(header_form(expansion, table)),
            }
        }
        let words = written.join("\n");
        if place.inline {
            // A header in the midst of a list would end it, and what follows would belong to the last table.
            behind.push_str(&format!("\n{words}"));
        } else {
            edits.push(Edit { place: lines_of(text, place).into(), text: words });
        }
    }
    edits.extend(inline_composites(text).map(|place| Edit { place: place.into(), text: String::new() }));
    if !behind.is_empty() {
        edits.push(Edit { place: (text.len()..text.len()).into(), text: behind });
    }
    for table in expansion.tables.iter().filter(|table| table.adds) {
        if let Some(own) = &table.own {
            edits.extend(missing(expansion, text, table).map(|(key, words)| add_key(own, key, words)));
        }
    }
    edits.extend(moved.into_iter().map(|range| {
        let blank = text[range.end..].starts_with('\n');
        Edit { place: (range.start..range.end + usize::from(blank)).into(), text: String::new() }
    }));
    for (kind, place) in &lists {
        let new: Vec<String> = expansion
            .tables
            .iter()
            .filter(|table| table.kind == *kind && !table.adds && table.own.is_none())
            .map(|table| brace_form(expansion, table))
            .collect();
        if !new.is_empty() {
            let close = crate::new_table::closing_bracket(text, place.header.end);
            edits.extend(add_behind(text, place.header.clone(), close, &new.join(", ")));
        }
    }
    let edits = super::edits::together(edits);
    let out = finding::apply(text, &edits).unwrap_or_else(|_| text.to_owned());
    if text.contains("\r\n") { out.replace("\r\n", "\n").replace('\n', "\r\n") } else { out }
}

/// The lists of composites that are written in brackets, with their keys.
fn inline_composites(text: &str) -> impl Iterator<Item = Range<usize>> {
    let parsed = DeTable::parse(text).ok();
    let found: Vec<Range<usize>> = parsed
        .iter()
        .flat_map(|root| crate::composite::COMPOSITES.iter().filter_map(|key| root.get_ref().get_key_value(*key)))
        .filter(|(_, found)| match found.get_ref() {
            DeValue::Array(items) => items.first().is_some_and(|i| crate::reader::place_of(text, text.len(), i).inline),
            _ => false,
        })
        .map(|(key, found)| key.span().start..found.span().end)
        .collect();
    found.into_iter()
}

/// The lines of a table with a header; an inline one as it stands.
fn lines_of(text: &str, place: &TablePlace) -> Range<usize> {
    if place.inline {
        return place.header.clone();
    }
    let start = text[..place.header.start].rfind('\n').map_or(0, |n| n + 1);
    let last = place.last.max(place.end).min(text.len());
    let end = text[last..].find('\n').map_or(text.len(), |n| last + n + 1);
    start..end
}

/// Some lines with the comment that stands right above them.
fn with_comment(text: &str, lines: Range<usize>) -> Range<usize> {
    let mut start = lines.start;
    for line in text[..lines.start].lines().rev().take_while(|line| line.trim_start().starts_with('#')) {
        let above = text[..start].trim_end_matches(['\n', '\r']).len().saturating_sub(line.len());
        start = above;
    }
    start..lines.end
}

/// The lines of comment in a stretch, and comments behind values.
fn comments_in(text: &str, range: &Range<usize>) -> String {
    let lines = text.get(range.clone()).unwrap_or_default().lines();
    lines.filter(|line| line.trim_start().starts_with('#')).map(|line| format!("{}\n", line.trim())).collect()
}

/// The keys of an expanded table that the builder's own table of that name does not say.
fn missing<'e>(
    expansion: &'e Expansion,
    text: &'e str,
    table: &'e ExpandedTable,
) -> impl Iterator<Item = (&'e str, &'e str)> + 'e {
    let said = own_keys(text, table);
    table
        .keys
        .iter()
        .filter(move |(key, _)| !said.contains(key))
        .filter_map(|(key, at)| Some((key.as_str(), expansion.whole.get(at.clone())?)))
}

/// The keys that the builder's own table says.
fn own_keys(text: &str, table: &ExpandedTable) -> Vec<String> {
    let Ok(parsed) = DeTable::parse(text) else { return Vec::new() };
    let Some(DeValue::Array(items)) = parsed.get_ref().get(table.kind).map(|found| found.get_ref()) else {
        return Vec::new();
    };
    let start = table.own.as_ref().map(|own| own.header.start);
    let own = items.iter().find(|item| Some(item.span().start) == start);
    match own.map(|item| item.get_ref()) {
        Some(DeValue::Table(table)) => table.keys().map(|key| key.get_ref().clone().into_owned()).collect(),
        _ => Vec::new(),
    }
}

/// The builder's own table with what it does not say.
fn with_missing(
    expansion: &Expansion,
    text: &str,
    table: &ExpandedTable,
    own: &TablePlace,
    range: &Range<usize>,
) -> String {
    let more: String = missing(expansion, text, table).map(|(key, words)| format!("\n{key} = {words}")).collect();
    let at = own.end.clamp(range.start, range.end);
    let mut out = text[range.start..at].to_owned();
    out.push_str(&more);
    out.push_str(&text[at..range.end]);
    if !out.ends_with('\n') {
        out.push('\n');
    }
    out
}

fn header_form(expansion: &Expansion, table: &ExpandedTable) -> String {
    let widest = table.keys.iter().map(|(key, _)| key.len()).max().unwrap_or(0);
    let mut out = format!("[[{}]]\n", table.kind);
    for (key, at) in &table.keys {
        out.push_str(&format!("{key:widest$} = {}\n", &expansion.whole[at.clone()]));
    }
    out
}

fn brace_form(expansion: &Expansion, table: &ExpandedTable) -> String {
    let keys: Vec<String> =
        table.keys.iter().map(|(key, at)| format!("{key} = {}", &expansion.whole[at.clone()])).collect();
    format!("{{ {} }}", keys.join(", "))
}

/// The last item of each list of tables that is written in brackets: what is new goes there too.
fn inline_lists(text: &str) -> BTreeMap<String, TablePlace> {
    let Ok(parsed) = DeTable::parse(text) else { return BTreeMap::new() };
    let lists = parsed.get_ref().iter().filter_map(|(kind, found)| {
        let DeValue::Array(items) = found.get_ref() else { return None };
        let place = crate::reader::place_of(text, text.len(), items.last()?);
        place.inline.then(|| (kind.get_ref().clone().into_owned(), place))
    });
    lists.collect()
}
