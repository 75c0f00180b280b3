//! Rows of papers: what each is called in addresses, and which name a thing.

use crate::drawn::is_number;
use papers::{Binder, things};
use schedule::paper::{Cell, Paper, Table, TableRow};
use std::collections::BTreeSet;

/// A row that names a thing.
pub(super) struct Naming<'b> {
    pub paper: &'b str,
    pub title: &'b str,
    pub id: String,
    /// What stands in it.
    pub words: String,
}

/// The number of the thing a row tells of.
pub(super) fn numbered(row: &TableRow) -> Option<&str> {
    row.cells.first().map(Cell::shown).filter(|text| is_number(text))
}

/// What the rows of a paper are called in addresses, table by table: by the number of what they tell of, where that is its first
/// row in this paper.
pub(super) fn ids(paper: &Paper) -> Vec<Vec<String>> {
    let mut given = BTreeSet::new();
    let of_table = |(at, table): (usize, &Table)| {
        let rows = table.rows.iter().enumerate();
        rows.map(|(row, r)| match numbered(r).filter(|number| given.insert((*number).to_owned())) {
            Some(number) => number.to_owned(),
            None => format!("t{}-{}", at + 1, row + 1),
        })
        .collect()
    };
    paper.tables().enumerate().map(of_table).collect()
}

/// Every number that a row of a binder tells of; but a word that is a name of the plan too leads to what has the name.
pub(super) fn numbers(binder: &Binder) -> BTreeSet<&str> {
    let rows = binder.tables().flat_map(|table| &table.rows);
    rows.filter_map(numbered).filter(|number| !binder.names.contains(*number)).collect()
}

/// All rows that name a thing by its number or its name.
pub(super) fn naming<'b>(binder: &'b Binder, of: &str) -> Vec<Naming<'b>> {
    let mut found = Vec::new();
    for paper in &binder.papers {
        let ids = ids(paper);
        for (table, ids) in paper.tables().zip(ids) {
            for (row, id) in table.rows.iter().zip(ids) {
                if row.cells.iter().any(|cell| names(cell.shown(), of)) {
                    let cells = row.cells.iter().map(Cell::shown).filter(|words| !words.is_empty());
                    let words = cells.collect::<Vec<_>>().join(", ");
                    found.push(Naming { paper: &paper.name, title: &paper.title, id, words });
                }
            }
        }
    }
    found
}

/// Whether words name a thing, as a word of its own: `road 1` is not in `road 10`.
fn names(words: &str, of: &str) -> bool {
    if is_number(of) {
        return things::pieces(words).into_iter().any(|(piece, is)| is && piece == of);
    }
    let part = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
    let free =
        |(at, _): (usize, &str)| !part(words[..at].chars().next_back()) && !part(words[at + of.len()..].chars().next());
    !of.is_empty() && words.match_indices(of).any(free)
}

#[cfg(test)]
mod tests {
    use super::names;

    #[test]
    fn a_thing_is_named_by_a_whole_word() {
        for (words, of, is) in [
            ("road 1 left @ 400 mm", "road 1", true),
            ("road 10 left", "road 1", false),
            ("main road 1", "road 1", true),
            ("crossroad 1", "road 1", false),
            ("road 1", "", false),
            ("F-12, F-3", "F-1", false),
            ("from F-1 to G-2", "F-1", true),
            ("é road 1é, road 1", "road 1", true),
        ] {
            assert_eq!(names(words, of), is, "{of:?} in {words:?}");
        }
    }
}
