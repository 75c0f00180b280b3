//! Expanded tables put among those of the builder, whose own keys win.

use super::Expansion;
use crate::reader::place_of;
use std::collections::BTreeMap;
use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

/// Where a table stands in the order of its kind: by place, then by number among what a composite stands for.
type Rank = (usize, usize);

/// Puts the expanded tables, read from behind the builder's text, among those of the plan.
pub(crate) fn merge<'i>(expansion: &mut Expansion, root: &mut DeTable<'i>, expanded: DeTable<'i>) {
    let (text, composites) = (expansion.whole.clone(), expansion.composites.clone());
    for (kind, found) in expanded {
        let DeValue::Array(items) = found.into_inner() else { continue };
        let word = kind.get_ref().clone().into_owned();
        let own = root.remove(word.as_str());
        let span = own.as_ref().map_or(0..0, Spanned::span);
        let mut list: Vec<(Rank, Spanned<DeValue<'i>>)> = match own.map(|own| (own.span(), own.into_inner())) {
            None => Vec::new(),
            Some((_, DeValue::Array(own))) => own.into_iter().map(|item| ((item.span().start, 0), item)).collect(),
            Some((span, one @ DeValue::Table(_))) if word == "storage" => {
                vec![((span.start, 0), Spanned::new(span, one))]
            }
            // What is no list is told when it is read.
            Some((span, other)) => {
                root.insert(kind, Spanned::new(span, other));
                continue;
            }
        };
        let mut named: BTreeMap<String, usize> = BTreeMap::new();
        for (at, (_, item)) in list.iter().enumerate() {
            if let Some(name) = name_of(item) {
                named.entry(name).or_insert(at);
            }
        }
        let tables = expansion.tables.iter_mut().enumerate().filter(|(_, table)| table.kind == word);
        for ((number, table), item) in tables.zip(items) {
            let rank = (composites.get(table.composite).map_or(usize::MAX, |c| c.header.start), number + 1);
            match table.name.as_ref().and_then(|name| named.get(name)) {
                Some(&at) => {
                    let (own_rank, own) = &mut list[at];
                    if own_rank.1 == 0 {
                        table.own = Some(place_of(&text, expansion.own, own));
                    }
                    // What overrides takes the place of what it overrides, so that numbers do not change.
                    if !table.adds && own_rank.1 == 0 {
                        *own_rank = rank;
                    }
                    let (DeValue::Table(own), DeValue::Table(more)) = (own.get_mut(), item.into_inner()) else {
                        continue;
                    };
                    for (key, value) in more {
                        if !own.contains_key(key.get_ref().as_ref()) {
                            own.insert(key, value);
                        }
                    }
                }
                None => {
                    if let Some(name) = table.name.clone() {
                        named.insert(name, list.len());
                    }
                    list.push((rank, item));
                }
            }
        }
        list.sort_by_key(|(rank, _)| *rank);
        let merged: DeArray<'i> = list.into_iter().map(|(_, item)| item).collect();
        root.insert(kind, Spanned::new(span, DeValue::Array(merged)));
    }
}

fn name_of(item: &Spanned<DeValue<'_>>) -> Option<String> {
    let DeValue::Table(table) = item.get_ref() else { return None };
    match table.get("name")?.get_ref() {
        DeValue::String(name) => Some(name.clone().into_owned()),
        _ => None,
    }
}
