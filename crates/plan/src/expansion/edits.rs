//! Edits of the whole text led back to what the builder wrote.

use super::{ExpandedTable, Expansion};
use crate::edit::{add_key, quoted};
use crate::new_table::new_table;
use finding::{Edit, Place};
use std::ops::Range;
use toml::de::{DeTable, DeValue};

pub(super) fn written(expansion: &Expansion, edits: &[Edit]) -> Option<Vec<Edit>> {
    let (behind, mut own): (Vec<&Edit>, Vec<Edit>) = (
        edits.iter().filter(|edit| expansion.is_expanded(&edit.place.span)).collect(),
        edits.iter().filter(|edit| !expansion.is_expanded(&edit.place.span)).cloned().collect(),
    );
    if own.iter().any(|edit| edit.place.span.end > expansion.own) {
        return None;
    }
    let mut over = Vec::new();
    for edit in behind {
        match said_alone(expansion, &edit.place.span) {
            Some(span) => own.push(Edit::replace(Place::new(span), edit.text.clone())),
            None => over.push(edit.clone()),
        }
    }
    if !over.is_empty() {
        own.extend(overriding(expansion, &over)?);
    }
    let crlf = expansion.whole[..expansion.own].contains("\r\n");
    if crlf {
        own.iter_mut().for_each(|edit| edit.text = edit.text.replace("\r\n", "\n").replace('\n', "\r\n"));
    }
    Some(together(own))
}

/// The builder's own words that say a value or something in it, and nothing but that.
fn said_alone(expansion: &Expansion, span: &Range<usize>) -> Option<Range<usize>> {
    let holds = |at: &Range<usize>| at == span || (at.start < span.start && span.end < at.end);
    let mark = expansion.marks.iter().find(|mark| mark.as_written && holds(&mark.at))?;
    let times = expansion.marks.iter().filter(|other| other.as_written && other.of == mark.of).count();
    (times == 1).then(|| expansion.origin(span))
}

/// The tables that say what is changed in expanded ones.
fn overriding(expansion: &Expansion, edits: &[Edit]) -> Option<Vec<Edit>> {
    let text = expansion.whole.get(..expansion.own)?;
    let after = finding::apply(&expansion.whole, edits).ok()?;
    let after = after.get(expansion.own..)?;
    let parsed = DeTable::parse(after).ok()?;
    let mut changes = Vec::new();
    let mut kinds: Vec<_> = parsed.get_ref().iter().collect();
    kinds.sort_by_key(|(key, _)| key.span().start);
    for (kind, found) in kinds {
        let DeValue::Array(items) = found.get_ref() else { return None };
        let mut before = expansion.tables.iter().filter(|table| table.kind == kind.get_ref().as_ref()).peekable();
        for item in items.iter() {
            let DeValue::Table(table) = item.get_ref() else { return None };
            let mut keys: Vec<(&str, String)> = table
                .iter()
                .map(|(key, value)| (key.get_ref().as_ref(), crate::keys::words_of(value, after)))
                .collect();
            keys.sort_by_key(|(key, _)| table.get_key_value(*key).map(|(key, _)| key.span().start));
            let name = keys.iter().find(|(key, _)| *key == "name").map(|(_, words)| words.clone());
            match before.next_if(|was| was.name.as_ref().map(|n| quoted(n)) == name) {
                Some(was) => changes.extend(changed(expansion, text, was, &keys)?),
                None => changes.extend(new_table(text, kind.get_ref(), None, None, &keys)),
            }
        }
        // What is taken away no table can say.
        if before.next().is_some() {
            return None;
        }
    }
    Some(changes)
}

/// The edits that override the keys of an expanded table that have changed.
fn changed(expansion: &Expansion, text: &str, was: &ExpandedTable, keys: &[(&str, String)]) -> Option<Vec<Edit>> {
    let now = |key: &str| keys.iter().find(|(known, _)| *known == key).map(|(_, words)| words.as_str());
    if was.keys.iter().any(|(key, _)| now(key).is_none()) {
        return None;
    }
    let before = |key: &str| {
        let at = was.keys.iter().find(|(known, _)| known == key).map(|(_, at)| at.clone())?;
        expansion.whole.get(at)
    };
    let changed: Vec<(&str, String)> =
        keys.iter().filter(|(key, words)| before(key) != Some(words.as_str())).cloned().collect();
    if changed.is_empty() {
        return Some(Vec::new());
    }
    if let Some(own) = &was.own {
        return Some(changed.iter().map(|(key, words)| add_key(own, key, words)).collect());
    }
    let name = was.name.as_ref()?;
    let mut all = vec![("name", quoted(name))];
    all.extend(changed);
    let inline = inline_list(text, was.kind);
    let composite = expansion.composites.get(was.composite);
    Some(new_table(text, was.kind, inline.as_ref(), composite, &all))
}

/// Where the last table of a kind stands that is written as a list in brackets: no header can add to such a list.
fn inline_list(text: &str, kind: &str) -> Option<crate::value::TablePlace> {
    let parsed = DeTable::parse(text).ok()?;
    let DeValue::Array(items) = parsed.get_ref().get(kind)?.get_ref() else { return None };
    let place = crate::reader::place_of(text, text.len(), items.last()?);
    place.inline.then_some(place)
}

/// Insertions at one point made one.
pub(super) fn together(edits: Vec<Edit>) -> Vec<Edit> {
    let mut all: Vec<Edit> = Vec::new();
    for edit in edits {
        let same = |known: &&mut Edit| known.place == edit.place && edit.place.span.is_empty();
        match all.iter_mut().find(same) {
            Some(known) => known.text.push_str(&edit.text),
            None => all.push(edit),
        }
    }
    all
}
