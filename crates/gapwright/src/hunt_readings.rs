//! Readings from a spreadsheet.

use crate::exit::CliError;
pub use site::hunted::{COLUMNS, ReadingRow, csv, kit_word, observation, row_of, with_points};
use std::path::Path;

/// The rows of a file.
pub fn rows(path: &Path, bytes: &[u8]) -> Result<Vec<ReadingRow>, CliError> {
    let wrong = |why: String| {
        CliError::new(format!("`{}`: {why}", path.display()))
            .help("write a first line `from,to,setting,pulled,kit,reading`, then a line for each reading, such as `booster.A,dock 1.left @ 2.4 m,T1=diverging,,bench,\"12,4\"`")
    };
    let text = std::str::from_utf8(bytes).map_err(|_| wrong("it is no text".to_owned()))?;
    // A spreadsheet may put a mark before the first letter, and part columns by `;`.
    let text = text.trim_start_matches('\u{feff}');
    let first = text.lines().next().unwrap_or_default();
    let semicolons = !first.contains(',') && first.contains(';');
    let replaced;
    let text = if semicolons {
        replaced = text.lines().map(by_commas).collect::<Vec<_>>().join("\n");
        &replaced
    } else {
        text
    };
    let lines = text::csv::read(text).map_err(|e| wrong(e.to_string()))?;
    let Some((_, titles)) = lines.first() else { return Err(wrong("it is empty".to_owned())) };
    let place = |title: &str| titles.iter().position(|t| t.trim().eq_ignore_ascii_case(title));
    for title in ["from", "to", "reading"] {
        if place(title).is_none() {
            return Err(wrong(format!("it has no column `{title}`")));
        }
    }
    if let Some(other) =
        titles.iter().find(|t| !t.trim().is_empty() && !COLUMNS.contains(&t.trim().to_lowercase().as_str()))
    {
        return Err(wrong(format!("it has a column `{other}`, which means nothing here")));
    }
    let mut found = Vec::new();
    for (line, cells) in &lines[1..] {
        let cell = |title: &str| -> String {
            let at = place(title).and_then(|at| cells.get(at));
            at.map_or_else(String::new, |cell| cell.trim().to_owned())
        };
        if cells.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        found.push(ReadingRow {
            line: *line,
            from: cell("from"),
            to: cell("to"),
            setting: cell("setting"),
            pulled: cell("pulled"),
            kit: cell("kit"),
            reading: cell("reading"),
            load: ["load from", "load to"].map(cell),
        });
    }
    Ok(found)
}

/// A line that is parted by `;` as one parted by commas.
fn by_commas(line: &str) -> String {
    let mut quoted = false;
    let mut cells = vec![String::new()];
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ';' if !quoted => cells.push(String::new()),
            c => cells.last_mut().into_iter().for_each(|cell| cell.push(c)),
        }
    }
    cells.iter().map(|cell| text::csv::field(cell)).collect::<Vec<_>>().join(",")
}
