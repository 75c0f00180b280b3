//! How wide the columns of a table are, so that it fits its page.

use super::Type;
use super::references::PAGE;
use crate::fonts::{Face, Fonts};
use schedule::paper::{Cell, ColumnSet, Table, TableColumn};

/// What is free left and right of a cell's content, millimetres.
pub const PADDING: f64 = 1.0;
/// The widest that a column of words asks for by itself.
const WIDEST: f64 = 70.0;
/// Longer words are broken rather than given more.
const LONGEST_WORD: f64 = 34.0;
/// A column of words narrower than this is hard to read.
const READABLE: f64 = 24.0;
/// A box to write a reading into.
const WRITE_IN: f64 = 14.0;

/// The columns of a table as they are set.
#[derive(Clone, Debug, PartialEq)]
pub struct SetColumns {
    /// Width of each, millimetres, padding included.
    pub widths: Vec<f64>,
    /// The size of type.
    pub size: f64,
    /// The face of the cells.
    pub face: Face,
    /// The face of the header.
    pub bold: Face,
}

/// What a column asks for.
#[derive(Clone, Copy, Debug, Default)]
struct ColumnDemand {
    /// Below this words are broken.
    least: f64,
    /// At this nothing wraps, or it wraps at a good width.
    usual: f64,
    /// Whether it takes what is left over.
    grows: bool,
}

/// The width of a swatch of colour beside words of this size in points, with what is free behind it.
pub fn swatch(size: f64) -> f64 {
    size * 0.52
}

/// The header of a column: its title, and the unit of its numbers.
pub fn header(column: &TableColumn) -> String {
    match &column.unit {
        Some(unit) => format!("{} ({unit})", column.title),
        None => column.title.to_string(),
    }
}

/// Whether something is written into the boxes of a column, not only ticked.
pub fn is_written_into(column: &TableColumn) -> bool {
    column.set == ColumnSet::Box && (column.unit.is_some() || column.title.contains("read"))
}

/// How many times the width of a sheet the rows of a table want before they are set on one that lies.
const WORST_HEIGHT_RATIO: f64 = 1.35;

impl SetColumns {
    /// The columns of a table on `available` millimetres: in the usual face where nothing wraps in it, else in the narrow one;
    /// at last with words broken. Letters are never set smaller.
    pub fn fit(fonts: &Fonts, table: &Table, kind: &Type, available: f64) -> SetColumns {
        let mut last = None;
        for (face, bold) in [(Face::Regular, Face::Bold), (Face::Narrow, Face::NarrowBold)] {
            let size = kind.table;
            let wishes = wishes(fonts, table, kind, (face, bold, size));
            let wanted: f64 = wishes.iter().map(|w| w.usual).sum();
            let widths = shared(&wishes, &|| cell_widths(fonts, table, (face, size)), available);
            let columns = SetColumns { widths, size, face, bold };
            if wanted <= available {
                return columns;
            }
            last = Some(columns);
        }
        last.unwrap_or(SetColumns { widths: Vec::new(), size: kind.table, face: Face::Regular, bold: Face::Bold })
    }

    /// Whether the longest word of each column has room in `available` millimetres, so that none is broken.
    pub fn holds_words(fonts: &Fonts, table: &Table, kind: &Type, available: f64) -> bool {
        let wishes = wishes(fonts, table, kind, (Face::Narrow, Face::NarrowBold, kind.table));
        wishes.iter().map(|w| w.least).sum::<f64>() <= available
    }

    /// Whether a table is better set on a sheet that lies: even in the narrow face its words would be squeezed.
    pub fn prefers_landscape(fonts: &Fonts, table: &Table, kind: &Type, available: f64) -> bool {
        let wishes = wishes(fonts, table, kind, (Face::Narrow, Face::NarrowBold, kind.table));
        let squeezed = wishes.iter().map(|w| w.usual.min(w.least.max(READABLE))).sum::<f64>() > available;
        // Or each row would be a tower of short lines.
        squeezed || wishes.iter().map(|w| w.usual).sum::<f64>() > WORST_HEIGHT_RATIO * available
    }
}

/// What stands in a cell on a page.
pub(super) fn on_page(cell: &Cell) -> &str {
    if matches!(cell, Cell::Page { .. }) { PAGE } else { cell.shown() }
}

fn wishes(fonts: &Fonts, table: &Table, kind: &Type, (face, bold, size): (Face, Face, f64)) -> Vec<ColumnDemand> {
    let mut wishes: Vec<ColumnDemand> =
        table.on_pages().iter().map(|c| of_header(fonts, c, kind, bold, size)).collect();
    let scale = size / 8.5;
    for row in &table.rows {
        for ((cell, column), wish) in row.cells.iter().zip(table.on_pages()).zip(&mut wishes) {
            let beside = 2.0 * PADDING + if matches!(cell, Cell::Colour { .. }) { swatch(size) } else { 0.0 };
            let text = on_page(cell);
            let whole = text.lines().map(|line| fonts.width(face, size, line)).fold(0.0, f64::max);
            // What fits into the least asks for nothing more.
            if whole + beside <= wish.least {
                continue;
            }
            let word = if column.set == ColumnSet::Words {
                let longest = text.split_whitespace().map(|word| fonts.width(face, size, word)).fold(0.0, f64::max);
                longest.min(LONGEST_WORD * scale)
            } else {
                whole
            };
            wish.least = wish.least.max(word + beside);
            let usual = if column.set == ColumnSet::Words { whole.min(WIDEST * scale) } else { whole };
            wish.usual = wish.usual.max(usual + beside);
        }
    }
    wishes
}

fn of_header(fonts: &Fonts, column: &TableColumn, kind: &Type, bold: Face, size: f64) -> ColumnDemand {
    let title = header(column);
    let word = title.split_whitespace().map(|word| fonts.width(bold, size, word)).fold(0.0, f64::max);
    let own = match column.set {
        ColumnSet::Box if is_written_into(column) => WRITE_IN * size / 8.5,
        ColumnSet::Box => kind.tick,
        ColumnSet::Words | ColumnSet::Short | ColumnSet::Number | ColumnSet::File => 0.0,
    };
    let least = word.max(own) + 2.0 * PADDING;
    ColumnDemand { least, usual: least, grows: column.set == ColumnSet::Words }
}

/// Rows that widths are weighed by at most; of more, as many of them spread over the table.
const WEIGHED: usize = 400;

/// For each row that widths are weighed by, how wide each cell would be on one line, padding included.
fn cell_widths(fonts: &Fonts, table: &Table, (face, size): (Face, f64)) -> Vec<Vec<f64>> {
    // An odd step, or of rows that take turns only every other would be seen.
    let every = table.rows.len().div_ceil(WEIGHED) | 1;
    let of_cell = |cell: &Cell| {
        let beside = 2.0 * PADDING + if matches!(cell, Cell::Colour { .. }) { swatch(size) } else { 0.0 };
        beside + on_page(cell).lines().map(|line| fonts.width(face, size, line)).sum::<f64>()
    };
    let rows = table.rows.iter().step_by(every);
    rows.map(|row| row.cells.iter().take(table.on_pages().len()).map(of_cell).collect()).collect()
}

/// Widths between the least and what fits at which rows are lowest: what there is to give is given in small parts, each to the
/// column whose words most make rows high.
fn lowest_rows(wishes: &[ColumnDemand], rows: &[Vec<f64>], available: f64) -> Vec<f64> {
    /// Millimetres given at a time.
    const PART: f64 = 2.0;
    let mut widths: Vec<f64> = wishes.iter().map(|w| w.least).collect();
    // A row is as high as its highest cell, but one that is nearly as high must shrink with it: the fourth root of a sum of
    // fourth powers tells of both. Roots and products are alike on every machine.
    let lines = |cell: f64, width: f64| {
        let squared = (cell / width).max(1.0) * (cell / width).max(1.0);
        squared * squared
    };
    let height = |sum: f64| sum.sqrt().sqrt();
    // For each row the sum over its cells, kept up as widths grow.
    let mut sums: Vec<f64> =
        rows.iter().map(|row| row.iter().zip(&widths).map(|(cell, width)| lines(*cell, *width)).sum()).collect();
    let mut left = available - widths.iter().sum::<f64>();
    while left > 0.0 {
        let part = PART.min(left);
        let gain = |column: usize| -> f64 {
            let [before, after] = [widths[column], widths[column] + part];
            let of_row = |(row, sum): (&Vec<f64>, &f64)| {
                let less = row.get(column).map_or(0.0, |cell| lines(*cell, before) - lines(*cell, after));
                height(*sum) - height((sum - less).max(1.0))
            };
            rows.iter().zip(&sums).map(of_row).sum()
        };
        let gains = (0..widths.len()).map(|column| (column, gain(column)));
        let Some((column, gain)) = gains.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0))) else { break };
        if gain <= 0.0 {
            break;
        }
        for (row, sum) in rows.iter().zip(&mut sums) {
            if let Some(cell) = row.get(column) {
                *sum += lines(*cell, widths[column] + part) - lines(*cell, widths[column]);
            }
        }
        widths[column] += part;
        left -= part;
    }
    settle(wishes, rows, &mut widths);
    // What no row needs goes to the columns that grow.
    let growing = wishes.iter().filter(|w| w.grows).count();
    for (width, wish) in widths.iter_mut().zip(wishes).filter(|_| growing > 0) {
        *width += if wish.grows { left.max(0.0) / growing as f64 } else { 0.0 };
    }
    widths
}

/// Moves a little from one column to another as long as that makes all rows together fewer lines: what the roots above weigh is
/// smooth, lines are not.
fn settle(wishes: &[ColumnDemand], rows: &[Vec<f64>], widths: &mut [f64]) {
    /// Millimetres moved at a time.
    const MOVED: f64 = 3.0;
    /// Moves at most.
    const MOST: usize = 60;
    /// Words do not fill their lines to the end.
    const RAGGED: f64 = 1.06;
    let lines = |cell: f64, width: f64| {
        let inner = (width - 2.0 * PADDING).max(1.0);
        let words = cell - 2.0 * PADDING;
        if words <= inner { 1.0 } else { (words * RAGGED / inner).ceil().max(2.0) }
    };
    let of_row = |row: &[f64], widths: &[f64]| row.iter().zip(widths).map(|(c, w)| lines(*c, *w)).fold(1.0, f64::max);
    let total = |widths: &[f64]| rows.iter().map(|row| of_row(row, widths)).sum::<f64>();
    let mut best = total(widths);
    for _ in 0..MOST {
        let mut found: Option<(f64, usize, usize, f64)> = None;
        for from in 0..widths.len() {
            let spare = widths[from] - wishes[from].least;
            for by in [MOVED, 3.0 * MOVED, 6.0 * MOVED] {
                if spare < by {
                    continue;
                }
                for to in (0..widths.len()).filter(|&to| to != from && wishes[to].grows) {
                    let mut tried = widths.to_vec();
                    tried[from] -= by;
                    tried[to] += by;
                    let lines = total(&tried);
                    if lines < best - 0.5 && found.is_none_or(|known| lines < known.0) {
                        found = Some((lines, from, to, by));
                    }
                }
            }
        }
        let Some((lines, from, to, by)) = found else { return };
        widths[from] -= by;
        widths[to] += by;
        best = lines;
    }
}

/// Widths that add up to what is available, where the columns take it. `rows` are only asked for where not all fits.
fn shared(wishes: &[ColumnDemand], rows: &dyn Fn() -> Vec<Vec<f64>>, available: f64) -> Vec<f64> {
    let least: f64 = wishes.iter().map(|w| w.least).sum();
    let usual: f64 = wishes.iter().map(|w| w.usual).sum();
    if least > available {
        return wishes.iter().map(|w| w.least * available / least).collect();
    }
    if usual > available {
        return lowest_rows(wishes, &rows(), available);
    }
    let growing: f64 = wishes.iter().filter(|w| w.grows).map(|w| w.usual).sum();
    let left = if growing > 0.0 { (available - usual) / growing } else { 0.0 };
    wishes.iter().map(|w| if w.grows { w.usual * (1.0 + left) } else { w.usual }).collect()
}
