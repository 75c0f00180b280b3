//! Narrow tables stand in columns beside each other, as in a telephone book: down the first, then down the next.

use super::columns::SetColumns;
use super::flow::Flow;
use super::setting::TypeSetting;
use super::table::Broken;
use schedule::paper::Table;

/// What is free between two columns, millimetres.
const GUTTER: f64 = 5.0;
/// The most columns of a sheet.
const MOST: usize = 4;
/// A table with fewer rows stands in one column.
const FEWEST_ROWS: usize = 6;
/// The more columns, the lower must all of it become by this share, or the fewer are taken.
const WORTH: f64 = 0.96;
/// No row may be higher than this part of a sheet, with all that stands above it, or the table stands in one column, where rows
/// can be parted.
const HIGHEST_ROW: f64 = 0.5;

/// A table that is set in columns beside each other.
pub(super) struct NarrowTable<'t> {
    pub(super) count: usize,
    pub(super) set: SetColumns,
    pub(super) rows: Vec<Broken<'t>>,
}

impl Flow<'_> {
    /// The table in as many columns as make it lowest; none where that is one.
    pub(super) fn in_columns<'t>(&self, table: &'t Table) -> Option<NarrowTable<'t>> {
        if table.rows.len() < FEWEST_ROWS {
            return None;
        }
        let width = |count: usize| (self.body.width() - (count - 1) as f64 * GUTTER) / count as f64;
        let set = |count: usize| {
            let set = SetColumns::fit(self.fonts, table, &self.kind, width(count));
            let rows: Vec<Broken<'_>> = table.rows.iter().map(|row| self.broken(row, table, &set)).collect();
            NarrowTable { count, set, rows }
        };
        let height = |narrow: &NarrowTable<'_>| {
            let cells = TypeSetting::new(narrow.set.face, narrow.set.size);
            let rows: f64 = narrow.rows.iter().map(|row| self.row_height(row, cells)).sum();
            let (mut titles, mut highest_title) = (0.0, 0.0_f64);
            for group in narrow.rows.chunk_by(|one, other| one.row.group == other.row.group) {
                // Room for the word that it is continued.
                let of = |words: &String| self.group_height(&format!("{words}, continued"), cells, width(narrow.count));
                let title = group[0].row.group.as_ref().map_or(0.0, of);
                titles += title;
                highest_title = highest_title.max(title);
            }
            let highest = narrow.rows.iter().map(|row| self.row_height(row, cells)).fold(0.0, f64::max);
            let header = self.header_height(table, &narrow.set);
            // Each further column may begin with a title that is continued.
            let again = highest_title * (narrow.count - 1) as f64;
            let whole = (rows + titles + again) / narrow.count as f64 + header;
            let too_high = narrow.count > 1 && header + highest_title + highest > HIGHEST_ROW * self.body.height();
            if too_high { f64::INFINITY } else { whole }
        };
        let mut best = set(1);
        let mut lowest = height(&best);
        for count in 2..=MOST {
            if !SetColumns::holds_words(self.fonts, table, &self.kind, width(count)) {
                break;
            }
            let tried = set(count);
            let high = height(&tried);
            if high < lowest * WORTH {
                (best, lowest) = (tried, high);
            }
        }
        (best.count > 1).then_some(best)
    }

    /// Sets it, sheet by sheet; on the last one all columns end at one height, as near as rows allow.
    pub(super) fn columns_beside(&mut self, table: &Table, narrow: &NarrowTable<'_>) {
        let cells = TypeSetting::new(narrow.set.face, narrow.set.size);
        let header = self.header_height(table, &narrow.set);
        let first: f64 = narrow.rows.iter().take(2).map(|row| self.row_height(row, cells)).sum();
        self.make_room(self.caption_height(table) + header + 2.0 * cells.line() + first);
        self.caption(table);
        let whole = self.body;
        let width = (whole.width() - (narrow.count - 1) as f64 * GUTTER) / narrow.count as f64;
        let mut at = 0;
        while at < narrow.rows.len() {
            let top = self.y;
            let room = whole.bottom - top - header;
            let fill = |from: usize, high: f64| self.filled(narrow, from, high, width);
            let ends = |high: f64| {
                let mut ends = vec![at];
                for _ in 0..narrow.count {
                    ends.push(fill(ends[ends.len() - 1], high));
                }
                ends
            };
            let mut chosen = ends(room);
            if chosen[narrow.count] == narrow.rows.len() {
                // All of the rest is on this sheet: as low as it can be.
                let (mut low, mut high) = (0.0, room);
                for _ in 0..12 {
                    let middle = (low + high) / 2.0;
                    if ends(middle)[narrow.count] == narrow.rows.len() { high = middle } else { low = middle }
                }
                chosen = ends(high);
            }
            let mut lowest = top;
            for (column, pair) in chosen.windows(2).enumerate() {
                if pair[0] == pair[1] {
                    continue;
                }
                self.y = top;
                self.body.left = whole.left + column as f64 * (width + GUTTER);
                self.body.right = self.body.left + width;
                self.table_header(table, &narrow.set, at > 0 || column > 0);
                self.column_of_rows(table, narrow, pair[0]..pair[1], cells);
                lowest = lowest.max(self.y);
            }
            self.body = whole;
            self.y = lowest;
            // A fresh sheet has room for a row at least: see `HIGHEST_ROW`.
            at = chosen[narrow.count];
            if at < narrow.rows.len() {
                self.sheet(self.lying);
            }
        }
        self.y += cells.line() * 0.8;
    }

    /// The row behind the last one that has room in a column so high.
    fn filled(&self, narrow: &NarrowTable<'_>, from: usize, high: f64, width: f64) -> usize {
        let cells = TypeSetting::new(narrow.set.face, narrow.set.size);
        let mut used = 0.0;
        let mut at = from;
        while let Some(row) = narrow.rows.get(at) {
            let group = row.row.group.as_deref();
            let starts = at == from || narrow.rows[at - 1].row.group.as_deref() != group;
            let mut needed = self.row_height(row, cells);
            if let (Some(words), true) = (group, starts) {
                let is_continued = at == from && at > 0 && narrow.rows[at - 1].row.group.as_deref() == group;
                let words = if is_continued { format!("{words}, continued") } else { words.to_owned() };
                needed += self.group_height(&words, cells, width);
                // No title stands alone at the foot of a column with one row of many.
                let same = |r: &&Broken<'_>| r.row.group.as_deref() == group;
                if at > from && narrow.rows[at..].iter().take_while(same).count() > 1 {
                    let next = self.row_height(&narrow.rows[at + 1], cells);
                    if used + needed + next > high {
                        return at;
                    }
                }
            }
            if used + needed > high + 1e-6 {
                return at;
            }
            used += needed;
            at += 1;
        }
        at
    }

    fn column_of_rows(
        &mut self,
        table: &Table,
        narrow: &NarrowTable<'_>,
        rows: std::ops::Range<usize>,
        cells: TypeSetting,
    ) {
        for at in rows.clone() {
            let row = &narrow.rows[at];
            let group = row.row.group.as_deref();
            let before = at.checked_sub(1).and_then(|before| narrow.rows[before].row.group.as_deref());
            let starts = at == 0 || before != group;
            if let (Some(words), true) = (group, starts || at == rows.start) {
                self.group_title(words, !starts, cells, table);
            }
            self.row(row, table, &narrow.set, cells);
        }
    }
}
