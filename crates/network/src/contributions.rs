//! What adds to each column of an elimination: the index list read the other way round.

use crate::lists::Lists;

/// For each column the entries of earlier ones whose elimination adds to it, and the edges that it begins with.
pub(crate) struct Contributions {
    /// By row: the entries in that row, in the order of their columns.
    in_row: Lists,
    /// The column of each entry.
    pub(crate) column_of: Vec<u32>,
    /// By entry: the edges, as given, that lie there.
    edges: Lists,
    /// By column: where its steps begin in the index list.
    pub(crate) target_start: Vec<u32>,
    /// By column: the first of those below it in the elimination tree, which all stand between that and it.
    pub(crate) first_below: Vec<u32>,
}

impl Contributions {
    /// Of columns that begin at these entries and have these rows; for each edge its entry, none beyond their number.
    pub(crate) fn new(
        column_start: &[u32],
        row: &[u32],
        slot: &[u32],
        listed: impl Fn(usize) -> usize,
    ) -> Contributions {
        let columns = column_start.len() - 1;
        let mut column_of = Vec::with_capacity(row.len());
        let mut target_start = Vec::with_capacity(columns);
        let mut before = 0;
        for (column, ends) in (0_u32..).zip(column_start.windows(2)) {
            let entries = (ends[1] - ends[0]) as usize;
            column_of.extend(std::iter::repeat_n(column, entries));
            target_start.push(before as u32);
            before += listed(entries);
        }
        let mut first_below: Vec<u32> = (0..columns as u32).collect();
        for (column, &start) in column_start[..columns].iter().enumerate() {
            if start < column_start[column + 1] {
                let above = row[start as usize] as usize;
                first_below[above] = first_below[above].min(first_below[column]);
            }
        }
        let in_row = Lists::new(columns, row.iter().zip(0..).map(|(&row, entry)| (row, entry)));
        let edges = slot.iter().zip(0..).filter(|(slot, _)| (**slot as usize) < row.len());
        let edges = Lists::new(row.len(), edges.map(|(&slot, edge)| (slot, edge)));
        Contributions { in_row, column_of, edges, target_start, first_below }
    }

    /// The entries in a row, in the order of their columns.
    pub(crate) fn in_row(&self, row: usize) -> &[u32] {
        self.in_row.get(row)
    }

    /// The edges that lie at an entry, in their order.
    pub(crate) fn edges(&self, entry: usize) -> &[u32] {
        self.edges.get(entry)
    }
}
