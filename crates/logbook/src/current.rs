//! Which entries hold: those that nothing stands in place of.

use crate::entry::{Entry, EntryId};
use std::collections::{BTreeMap, BTreeSet};

/// The entries that hold, in order of the time they tell of. Of all that stand in place of one entry, or of each other, one holds: that
/// in place of which nothing stands; the last by its id where two hands corrected the same on two copies. What is taken back is not
/// among them. Clocks may be wrong: a correction may have been made before what it corrects.
pub fn current(entries: &[Entry]) -> Vec<&Entry> {
    let by_id: BTreeMap<EntryId, &Entry> = entries.iter().map(|entry| (entry.id, entry)).collect();
    let in_place_of = |entry: &Entry| entry.says.supersedes.filter(|old| *old != entry.id && by_id.contains_key(old));
    let replaced: BTreeSet<EntryId> = by_id.values().filter_map(|entry| in_place_of(entry)).collect();
    let mut groups: BTreeMap<EntryId, Vec<&Entry>> = BTreeMap::new();
    for &entry in by_id.values() {
        groups.entry(root(entry, &by_id, in_place_of)).or_default().push(entry);
    }
    let mut held: Vec<&Entry> = Vec::with_capacity(groups.len());
    for group in groups.into_values() {
        let open = group.iter().filter(|entry| !replaced.contains(&entry.id)).max_by_key(|entry| entry.id);
        // Where somebody made entries that stand in place of each other none is open.
        let last = open.or_else(|| group.iter().max_by_key(|entry| entry.id));
        held.extend(last.filter(|entry| !entry.is_withdrawal()));
    }
    held.sort_by(|a, b| (&a.says.time, a.id).cmp(&(&b.says.time, b.id)));
    held
}

/// The entry that all corrections lead back to; of a circle the first by its id.
fn root<'e>(
    entry: &'e Entry,
    by_id: &BTreeMap<EntryId, &'e Entry>,
    in_place_of: impl Fn(&Entry) -> Option<EntryId>,
) -> EntryId {
    let (mut at, mut met) = (entry, vec![entry.id]);
    while let Some(old) = in_place_of(at).and_then(|old| by_id.get(&old)) {
        if let Some(start) = met.iter().position(|id| *id == old.id) {
            return met[start..].iter().min().copied().unwrap_or(old.id);
        }
        met.push(old.id);
        at = old;
    }
    at.id
}
