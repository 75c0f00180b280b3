//! Where tables stand in the text of a plan.

use std::ops::Range;

/// Where a table stands: its header (or the whole of an inline table) and where it ends.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TablePlace {
    /// The `[[track]]` line, or the whole inline table.
    pub header: Range<usize>,
    /// Where a further key would go: behind the last value of its own, and behind the comment in that line.
    pub end: usize,
    /// Behind everything in it, tables with headers of their own included: where another table would go.
    pub last: usize,
    /// Whether it is written in braces.
    pub inline: bool,
}
