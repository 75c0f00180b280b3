//! What an entry of a logbook is about, as text, and which test, job, wire or thing of the plan as it is now that is.
//!
//! The text names things as the plan did when the entry was written: `cold wiring millivolts,dock 1,left,9000,…`. A logbook also keeps
//! which things each text of the plan had and what they joined ([`things_text`]); from one text to the next they are matched as the
//! record of numbers matches them, so that an entry is found again after things were renamed.

use crate::record_cells::{test_cells, test_from_cells, thing_cells, thing_from_cells};
use crate::test_key::TestKey;
use crate::things::Things;
use std::collections::{BTreeMap, BTreeSet};
use text::csv::{escape_formula, lines, read};

/// A key as the text of an entry.
pub fn key_text(key: &TestKey, things: &Things) -> String {
    line(test_cells(key, things))
}

/// The things of a plan as text: a line for each.
pub fn things_text(things: &Things) -> String {
    things.list.iter().map(|thing| line(thing_cells(thing).into_iter().map(str::to_owned).collect()) + "\n").collect()
}

fn line(cells: Vec<String>) -> String {
    let cells = cells.iter().map(|cell| escape_formula(cell).into_owned()).collect();
    lines(std::iter::once(cells)).trim_end_matches(['\r', '\n']).to_owned()
}

/// The things of such a text, as far as it can be read: a spreadsheet may have cut it short.
fn things_from_text(text: &str) -> Things {
    let mut things = Things::default();
    for (_, cells) in read(text).unwrap_or_default() {
        let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
        if let ["thing", rest @ ..] = cells.as_slice()
            && let Ok(thing) = thing_from_cells(rest)
        {
            things.push(thing);
        }
    }
    things
}

/// The names of the things of such a text.
pub fn names_of(text: &str) -> Vec<String> {
    things_from_text(text).list.into_iter().map(|thing| thing.name).collect()
}

/// The texts that a plan had before, with their things as they are now.
#[derive(Debug, Default)]
pub struct EarlierTexts {
    /// By the revision of the text: its things, and which of those now each of them is.
    of: BTreeMap<String, (Things, Vec<Option<usize>>)>,
    now: Things,
}

impl EarlierTexts {
    /// Of the things now, and those of earlier texts by their revision, in the order in which they were first worked on.
    pub fn new(now: Things, earlier: &[(String, String)]) -> EarlierTexts {
        let read: Vec<(String, Things)> =
            earlier.iter().map(|(revision, text)| (revision.clone(), things_from_text(text))).collect();
        let mut of: BTreeMap<String, (Things, Vec<Option<usize>>)> = BTreeMap::new();
        // From the last text back to the first: what each thing became in the next text, and from there now. A text that came again
        // is itself both times.
        let mut next: Option<(Things, Vec<Option<usize>>)> = None;
        for (revision, things) in read.into_iter().rev() {
            let direct = now.matched(&things);
            let to = match &next {
                None => direct,
                Some((after, after_to)) => {
                    let step: Vec<Option<usize>> = after
                        .matched(&things)
                        .iter()
                        .map(|to| to.and_then(|to| after_to.get(to).copied().flatten()))
                        .collect();
                    // What a text between the two did not have may be there again.
                    let taken: BTreeSet<usize> = step.iter().flatten().copied().collect();
                    let back =
                        |(step, direct): (Option<usize>, Option<usize>)| step.or(direct.filter(|d| !taken.contains(d)));
                    step.iter().copied().zip(direct).map(back).collect()
                }
            };
            next = Some((things.clone(), to.clone()));
            of.entry(revision).or_insert((things, to));
        }
        EarlierTexts { of, now }
    }

    /// What the texts of entries are about now: for each, given by its revision and its text, the text that the same has in `known`; none
    /// where nothing of it is left. What stands where it stood is found first, then what moved on the same things, the nearest first.
    pub fn found(&self, entries: &[(String, String)], known: &[TestKey]) -> Vec<Option<usize>> {
        let mut found = vec![None; entries.len()];
        let place: BTreeMap<&TestKey, usize> = known.iter().enumerate().map(|(index, key)| (key, index)).collect();
        let mut elsewhere: BTreeMap<TestKey, Vec<usize>> = BTreeMap::new();
        known.iter().enumerate().for_each(|(index, key)| elsewhere.entry(key.anywhere()).or_default().push(index));
        let mut by_revision: BTreeMap<&str, Vec<(usize, TestKey)>> = BTreeMap::new();
        for (index, (revision, text)) in entries.iter().enumerate() {
            if let Some(key) = self.key_now(revision, text) {
                by_revision.entry(revision).or_default().push((index, key));
            }
        }
        for keys in by_revision.into_values() {
            let mut taken: BTreeSet<usize> = BTreeSet::new();
            let mut moved: Vec<(usize, usize, i64)> = Vec::new();
            for (entry, key) in keys {
                if let Some(&index) = place.get(&key) {
                    found[entry] = Some(index);
                    taken.insert(index);
                } else {
                    let there = elsewhere.get(&key.anywhere()).into_iter().flatten();
                    moved.extend(there.map(|&index| (entry, index, key.distance(&known[index]))));
                }
            }
            // Several entries may be about the same test; none is about one that another key stands for.
            moved.sort_by_key(|(entry, index, distance)| (*distance, *index, *entry));
            let mut text_of: BTreeMap<usize, &str> = BTreeMap::new();
            for (entry, index, _) in moved {
                let text = entries[entry].1.as_str();
                if found[entry].is_none() && !taken.contains(&index) && *text_of.entry(index).or_insert(text) == text {
                    found[entry] = Some(index);
                }
            }
        }
        found
    }

    /// What a text is about, by the things now.
    fn key_now(&self, revision: &str, text: &str) -> Option<TestKey> {
        let rows = read(text).ok()?;
        let cells: Vec<&str> = rows.first()?.1.iter().map(String::as_str).collect();
        let [what, rest @ ..] = cells.as_slice() else { return None };
        let key = match self.of.get(revision) {
            Some((things, to)) => test_from_cells(what, rest, things).renumbered(to),
            // Without its things a text is about those of the same names.
            None => test_from_cells(what, rest, &self.now).in_order(),
        };
        let there = |thing: &Option<crate::things::ThingId>| thing.is_none_or(|t| t.listed().is_some());
        (key.ends.iter().all(|end| there(&end.thing)) && key.set.iter().all(|(thing, _)| there(thing))).then_some(key)
    }
}
