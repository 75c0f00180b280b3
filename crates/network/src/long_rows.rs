//! Rows to which very many columns add, as that of a bus that feeds a thousand tracks: their sums kept in blocks, so that one
//! column that changes does not ask for all of them anew.
//!
//! Each block is summed from nothing, the blocks in their order: what comes out depends on the values alone, not on which of them
//! changed before.

use crate::contributions::Contributions;
use crate::pattern::Structure;
use std::ops::Range;

/// Columns that a block sums.
const BLOCK: usize = 64;
/// Rows to which no more columns add are summed one after the other.
const SHORT: usize = 4 * BLOCK;

/// Blocks of the long rows of a structure.
#[derive(Debug, Clone, Default)]
pub(crate) struct LongRows {
    /// The columns that have one, in order.
    columns: Vec<u32>,
    rows: Vec<LongRow>,
}

/// The blocks of one row.
#[derive(Debug, Clone)]
pub(crate) struct LongRow {
    /// For each block what it adds to each entry of the column, and last to its way to ground.
    pub(crate) sums: Vec<f64>,
    is_due: Vec<bool>,
    /// Blocks that are to be summed anew.
    due: Vec<u32>,
}

impl LongRows {
    pub(crate) fn new(structure: &Structure) -> LongRows {
        let contributions = structure.contributions();
        let mut all = LongRows::default();
        for column in 0..structure.order.len() {
            let adding = contributions.in_row(column).len();
            if adding > SHORT {
                let blocks = adding.div_ceil(BLOCK);
                all.columns.push(column as u32);
                all.rows.push(LongRow {
                    sums: vec![0.0; blocks * (structure.column(column).len() + 1)],
                    is_due: vec![false; blocks],
                    due: Vec::new(),
                });
            }
        }
        all
    }

    /// The columns whose rows are long.
    pub(crate) fn columns(&self) -> &[u32] {
        &self.columns
    }

    /// That of a column; none where it is short.
    pub(crate) fn of(&mut self, column: usize) -> Option<&mut LongRow> {
        let found = self.columns.binary_search(&(column as u32)).ok()?;
        Some(&mut self.rows[found])
    }

    /// All of it anew.
    pub(crate) fn want_all(&mut self) {
        self.rows.iter_mut().for_each(|row| (0..row.is_due.len()).for_each(|block| row.want(block)));
    }

    /// An entry of an earlier column that adds to a row changed.
    pub(crate) fn want(&mut self, row: u32, entry: usize, contributions: &Contributions) {
        if let Some(long) = self.of(row as usize)
            && let Ok(place) = contributions.in_row(row as usize).binary_search(&(entry as u32))
        {
            long.want(place / BLOCK);
        }
    }
}

impl LongRow {
    fn want(&mut self, block: usize) {
        if !std::mem::replace(&mut self.is_due[block], true) {
            self.due.push(block as u32);
        }
    }

    /// A block to be summed anew, if there is one.
    pub(crate) fn next_due(&mut self) -> Option<usize> {
        let block = self.due.pop()? as usize;
        self.is_due[block] = false;
        Some(block)
    }
}

/// The columns of a block, by where they stand in their row.
pub(crate) fn places(block: usize, adding: usize) -> Range<usize> {
    block * BLOCK..adding.min((block + 1) * BLOCK)
}
