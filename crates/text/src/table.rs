//! Tables for a terminal.

use crate::width;

/// Rows as a table, each column as wide as its widest cell, set in by two.
pub fn table(rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let widths: Vec<usize> =
        (0..columns).map(|c| rows.iter().filter_map(|r| r.get(c)).map(|cell| width(cell)).max().unwrap_or(0)).collect();
    let mut out = String::new();
    for row in rows {
        let cells: Vec<String> =
            row.iter().zip(&widths).map(|(cell, w)| format!("{cell}{}", " ".repeat(w - width(cell)))).collect();
        out.push_str(format!("  {}", cells.join("  ")).trim_end());
        out.push('\n');
    }
    out
}

#[cfg(test)]
mod tests {
    #[test]
    fn columns_are_as_wide_as_their_widest_cell() {
        let rows = [["線路", "1"], ["dock", "22"], ["a", ""]].map(|row| row.map(str::to_owned).to_vec());
        assert_eq!(super::table(&rows), "  線路  1\n  dock  22\n  a\n");
    }
}
